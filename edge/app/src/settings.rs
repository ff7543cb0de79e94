//! Money rules, equipment and meters in their layers: sheet < workshop < job < command
//! line.

use std::path::Path;

use serde::Deserialize;

pub use sheet::EconomyOverrides as EconomyOver;
use sheet::{Economy, EconomyOverrides, MOST_BYTES, RemarkKind, Settings, Sheet};
use units::Unit;

use crate::sheet_file::problem;
use crate::{Problem, Problems, Source};

/// Reads the workshop's settings; nothing named: none.
///
/// # Errors
/// All errors of the text with their places, or why there is no text.
pub fn workshop(source: Option<&Source>) -> Result<Settings, Problems> {
    let Some(source) = source else { return Ok(Settings::default()) };
    let text = source.text(MOST_BYTES)?;
    let read = sheet::read_settings(&without_meters(&text));
    let errors = read.remarks.iter().filter(|remark| remark.kind == RemarkKind::Error);
    let file = source.to_string();
    match Problems::of(errors.map(|remark| problem(&file, &text, remark)).collect()) {
        Some(errors) => Err(errors),
        None => Ok(read.settings.unwrap_or_default()),
    }
}

/// Name of the workshop's settings beside the store.
const BESIDE: &str = "workshop.toml";

/// The settings and meters of the workshop that lie beside a store; none: there are none.
///
/// # Errors
/// The first thing that is wrong with them.
pub fn beside(store: &Path) -> Result<Option<(Settings, Vec<Meter>)>, Problem> {
    let file = store.with_file_name(BESIDE);
    if !file.is_file() {
        return Ok(None);
    }
    let source = Source::from(file);
    let first = |problems: Problems| {
        let first = problems.list().first().cloned();
        first.unwrap_or_else(|| Problem::wrong("settings", "they can't be read"))
    };
    let settings = workshop(Some(&source)).map_err(first)?;
    Ok(Some((settings, meters(&source)?)))
}

/// A meter of the workshop, so that only the value need be typed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Meter {
    /// What it is called.
    pub id: String,
    /// What it reads: resistance, voltage.
    pub quantity: Option<String>,
    /// Unit of `digit`, `range` and `leads`.
    pub unit: String,
    /// Its stated accuracy: `0.8%+2d`.
    pub accuracy: Option<String>,
    /// Size of the last digit.
    pub digit: Option<f64>,
    /// End of its range, for an accuracy of the range.
    pub range: Option<f64>,
    /// What its leads read with their probes shorted.
    pub leads: Option<f64>,
}

#[derive(Deserialize)]
struct Meters {
    #[serde(default)]
    meter: Vec<Meter>,
}

/// Last digit, end of the range and leads of a meter, in the unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct MeterIn {
    /// Size of the last digit.
    pub(crate) digit: Option<f64>,
    /// End of its range.
    pub(crate) range: Option<f64>,
    /// What its leads read with their probes shorted.
    pub(crate) leads: Option<f64>,
}

impl Meter {
    /// Its figures in the unit of a reading.
    ///
    /// # Errors
    /// A meter for another quantity.
    pub(crate) fn in_unit(&self, unit: Unit) -> Result<MeterIn, Problem> {
        let wrong = |error: &dyn std::fmt::Display| {
            Problem::wrong("meter", format!("meter `{}`: {error}", self.id))
        };
        let own = Unit::parse(&self.unit).map_err(|error| wrong(&error))?;
        if own.quantity() != unit.quantity() {
            return Err(wrong(&format!("it reads `{own}`, the reading is in `{unit}`")));
        }
        let given = |value: Option<f64>| {
            value.map(|value| own.convert_difference(value, unit)).transpose()
        };
        Ok(MeterIn {
            digit: given(self.digit).map_err(|error| wrong(&error))?,
            range: given(self.range).map_err(|error| wrong(&error))?,
            leads: given(self.leads).map_err(|error| wrong(&error))?,
        })
    }
}

/// The meters of the workshop's settings: `[[meter]]` tables.
///
/// # Errors
/// Settings that can't be read, or a meter that makes no sense.
pub fn meters(source: &Source) -> Result<Vec<Meter>, Problem> {
    let text = source.text(MOST_BYTES)?;
    let wrong = |what: String| Problem::wrong("meter", what).in_file(source);
    let read: Meters = toml::from_str(&text)
        .map_err(|error| wrong(error.message().to_owned()).hint(METER))?;
    for meter in &read.meter {
        let Meter { id, unit, .. } = meter;
        let known =
            Unit::parse(unit).map_err(|error| wrong(format!("meter `{id}`: {error}")))?;
        let quantity = known.quantity().to_string();
        if let Some(said) = meter.quantity.as_ref().filter(|said| **said != quantity) {
            return Err(wrong(format!(
                "meter `{id}`: `{unit}` is a unit of {quantity}, not of {said}"
            )));
        }
    }
    Ok(read.meter)
}

/// A meter of the workshop's settings, by its id.
///
/// # Errors
/// As [`meters`], or no meter of that id.
pub fn meter(source: &Source, id: &str) -> Result<Meter, Problems> {
    workshop(Some(source))?;
    let known = meters(source)?;
    let found = known.iter().find(|meter| meter.id == id).cloned();
    Ok(found.ok_or_else(|| no_meter(&known, id).in_file(source))?)
}

/// No meter is called that: those that there are.
pub(crate) fn no_meter(known: &[Meter], id: &str) -> Problem {
    let ids: Vec<&str> = known.iter().map(|meter| meter.id.as_str()).collect();
    let hint = if ids.is_empty() { METER.to_owned() } else { ids.join(", ") };
    Problem::wrong("meter", format!("no meter `{id}`")).hint(format!("there are: {hint}"))
}

const METER: &str = "write [[meter]] id = \"dmm\", quantity = \"resistance\", unit = \"ohm\", \
                     accuracy = \"0.8%+2d\", digit = 0.1, leads = 0.3";

/// The settings without their meters, line for line, so that places stay.
fn without_meters(text: &str) -> String {
    let mut inside = false;
    let mut kept = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let start = line.trim_start();
        if start.starts_with('[') {
            let name: String =
                start.chars().filter(|c| !c.is_whitespace()).take(9).collect();
            inside = name == "[[meter]]";
        }
        if !inside {
            kept.push_str(line);
        } else if line.ends_with('\n') {
            kept.push('\n');
        }
    }
    kept
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
    use super::{beside, economy, workshop};
    use crate::Source;
    use sheet::EconomyOverrides;

    #[test]
    fn settings_beside_a_store_hold_and_mistakes_in_them_are_told() {
        let folder = tempfile::tempdir().unwrap();
        let store = folder.path().join("jobs.db");
        assert_eq!(beside(&store), Ok(None));
        let write = |text: &str| {
            std::fs::write(folder.path().join("workshop.toml"), text).unwrap();
            beside(&store)
        };
        let good =
            "has = [\"lamp\"]\n[[meter]]\nid = \"dmm\"\nunit = \"ohm\"\ndigit = 0.1\n";
        let (settings, meters) = write(good).unwrap().unwrap();
        assert_eq!(settings.has.unwrap(), ["lamp"]);
        assert_eq!((meters[0].id.as_str(), meters[0].digit), ("dmm", Some(0.1)));
        for wrong in [
            "hsa = []",
            "[[meter]]\nid = \"dmm\"\nunit = \"ohmm\"",
            "[[meter]]\nid = \"dmm\"\nunit = \"ohm\"\nquantity = \"voltage\"",
            "[[meter]]\nunit = \"ohm\"",
            "[[meter",
        ] {
            assert!(write(wrong).is_err(), "{wrong}");
        }
    }

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
