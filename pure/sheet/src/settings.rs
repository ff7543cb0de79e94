//! Workshop settings: the economy of the house and the equipment that is there.

use crate::economy::EconomyOverrides;
use crate::kinds::Kind;
use crate::names::Names;
use crate::read::with_tables;
use crate::remark::{Remark, RemarkKind};
use crate::table::Table;
use crate::take::Reader;

/// What a workshop says once for all its jobs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Settings {
    /// Keys that take the place of a sheet's.
    pub economy: EconomyOverrides,
    /// The equipment that is there; `None`: all that a sheet may ask for.
    pub has: Option<Vec<String>>,
}

/// What reading settings gives.
#[derive(Debug, Clone)]
pub struct ReadSettings {
    /// The settings; there if and only if no remark is an error.
    pub settings: Option<Settings>,
    /// All remarks, in the order of the text.
    pub remarks: Vec<Remark>,
}

/// Reads workshop settings: `[economy]` with a sheet's keys, all optional, and `has`.
///
/// ```
/// let text = "has = [\"smoke-machine\"]\n[economy]\nlabour_per_hour = 72.0\n";
/// let settings = sheet::read_settings(text).settings.unwrap();
/// assert_eq!(settings.economy.labour_per_hour, Some(72.0));
/// ```
#[must_use]
pub fn read_settings(text: &str) -> ReadSettings {
    let (settings, remarks) = with_tables(text, |top, notes| {
        let mut reader = Reader { notes: std::mem::take(notes), names: Names::default() };
        let top = Table::top(Kind::Settings, top, &mut reader.notes);
        let mut settings = Settings::default();
        if let Some(economy) = reader.sub(&top, "economy", Kind::Economy) {
            settings.economy = reader.economy_overrides(&economy);
        }
        if top.has("has") {
            settings.has = Some(reader.equipment(&top, "has"));
        }
        *notes = reader.notes;
        settings
    });
    let errors = remarks.iter().any(|remark| remark.kind == RemarkKind::Error);
    ReadSettings { settings: settings.filter(|_| !errors), remarks }
}
