//! Money rules and equipment in their layers: sheet < workshop < job < command line.

pub use sheet::EconomyOverrides as EconomyOver;
use sheet::{Economy, EconomyOverrides, MOST_BYTES, RemarkKind, Settings, Sheet};

use crate::sheet_file::problem;
use crate::{Problem, Problems, Source};

/// Reads the workshop's settings; nothing named: none.
///
/// # Errors
/// All errors of the text with their places, or why there is no text.
pub fn workshop(source: Option<&Source>) -> Result<Settings, Problems> {
    let Some(source) = source else { return Ok(Settings::default()) };
    let text = source.text(MOST_BYTES)?;
    let read = sheet::read_settings(&text);
    let errors = read.remarks.iter().filter(|remark| remark.kind == RemarkKind::Error);
    let file = source.to_string();
    match Problems::of(errors.map(|remark| problem(&file, &text, remark)).collect()) {
        Some(errors) => Err(errors),
        None => Ok(read.settings.unwrap_or_default()),
    }
}

/// The money rules that hold: the sheet's with every layer over it, lowest first.
///
/// # Errors
/// A value out of range, or a second currency.
pub fn economy(sheet: &Sheet, layers: &[&EconomyOverrides]) -> Result<Economy, Problem> {
    let over = layers
        .iter()
        .fold(EconomyOverrides::default(), |below, layer| (*layer).clone().over(below));
    sheet.economy.with(&over).map_err(|error| Problem::wrong("economy", error))
}

#[cfg(test)]
mod tests {
    use super::{economy, workshop};
    use crate::Source;
    use sheet::EconomyOverrides;

    #[test]
    fn the_command_line_goes_over_the_workshop_and_the_workshop_over_the_sheet() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("workshop.toml");
        std::fs::write(
            &path,
            "has = [\"smoke-machine\"]\n[economy]\nlabour_per_hour = 80\npass_on = 150\n",
        )
        .unwrap();
        let settings = workshop(Some(&Source::from(path))).unwrap();
        assert_eq!(settings.has.unwrap(), ["smoke-machine"]);
        let name = Source::from(std::path::PathBuf::from("boost-vane-diesel"));
        let sheet = crate::sheet_file::load(&name).unwrap().sheet;
        let flags =
            EconomyOverrides { pass_on: Some(90.0), ..EconomyOverrides::default() };
        let holds = economy(&sheet, &[&settings.economy, &flags]).unwrap();
        let expected = sheet::Economy {
            labour_per_hour: 80.0,
            pass_on: 90.0,
            ..sheet.economy.clone()
        };
        assert_eq!(holds, expected);
        let dollars = EconomyOverrides {
            currency: Some("USD".to_owned()),
            ..EconomyOverrides::default()
        };
        assert_eq!(economy(&sheet, &[&dollars]).unwrap_err().kind, "economy");
    }
}
