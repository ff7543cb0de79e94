//! What a sheet offers beside the step that is advised: every check, repair and proof.

use std::path::PathBuf;

use app::{Source, sheet_file};

use crate::shop::LANGUAGE;

/// Something that can be done.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Doable {
    /// Its id.
    pub(crate) id: String,
    /// Its title.
    pub(crate) title: String,
    /// Work and waiting, minutes.
    pub(crate) minutes: f64,
    /// Outcomes of a check: id and what is tapped.
    pub(crate) outcomes: Vec<(String, String)>,
    /// Unit of its reading.
    pub(crate) unit: Option<String>,
}

/// All that a sheet offers, each in sheet order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Known {
    /// Its checks.
    pub(crate) checks: Vec<Doable>,
    /// Its repairs.
    pub(crate) repairs: Vec<Doable>,
    /// Its proofs.
    pub(crate) proofs: Vec<Doable>,
}

impl Known {
    /// The check of that id.
    pub(crate) fn check(&self, id: &str) -> Option<&Doable> {
        self.checks.iter().find(|check| check.id == id)
    }
}

/// What the library's sheet of that id offers; nothing where the library has none.
pub(crate) fn of_sheet(id: Option<&str>) -> Known {
    let listed = |id: &&str| {
        sheet_file::list(LANGUAGE).sheets.iter().any(|sheet| sheet.id == **id)
    };
    let Some(id) = id.filter(listed) else { return Known::default() };
    let Ok(loaded) = sheet_file::load(&Source::from(PathBuf::from(id))) else {
        return Known::default();
    };
    let sheet = loaded.sheet;
    let plain = |id: &str, title: &str, minutes: f64| Doable {
        id: id.to_owned(),
        title: if title.is_empty() { id } else { title }.to_owned(),
        minutes,
        outcomes: Vec::new(),
        unit: None,
    };
    let checks = sheet.checks.iter().map(|check| {
        let outcomes = check.outcomes.iter().map(|(id, text)| {
            let title = text.in_language(LANGUAGE);
            (id.clone(), if title.is_empty() { id } else { title }.to_owned())
        });
        Doable {
            outcomes: outcomes.collect(),
            unit: check.reading.as_ref().map(|reading| reading.unit.clone()),
            ..plain(
                &check.id,
                check.title.in_language(LANGUAGE),
                check.minutes + check.wait_min,
            )
        }
    });
    let repairs = sheet.repairs.iter().map(|repair| {
        let minutes = repair.minutes + repair.wait_min;
        plain(&repair.id, repair.title.in_language(LANGUAGE), minutes)
    });
    let proofs = sheet.proofs.iter().map(|proof| {
        plain(
            &proof.id,
            proof.title.in_language(LANGUAGE),
            proof.minutes + proof.wait_min,
        )
    });
    Known {
        checks: checks.collect(),
        repairs: repairs.collect(),
        proofs: proofs.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::{Known, of_sheet};

    #[test]
    fn a_sheet_of_the_library_offers_all_it_has_and_no_path_leads_elsewhere() {
        let known = of_sheet(Some("boost-vane-diesel"));
        assert!(known.checks.len() > 10 && known.repairs.len() > 10);
        assert!(known.checks.iter().all(|check| check.outcomes.len() > 1));
        assert_eq!(known.check("key-on-compare").unwrap().unit.as_deref(), Some("kPa"));
        for other in [None, Some("../Cargo.toml"), Some("-"), Some("/etc/hostname")] {
            assert_eq!(of_sheet(other), Known::default());
        }
    }
}
