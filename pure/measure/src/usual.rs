//! Limits that hold on most vehicles where the maker's value is not at hand.

use units::{Unit, UnitError};

use crate::limits::Limits;
use crate::reading::JudgeError;

/// A usual limit: common practice, and the maker's value wins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usual {
    /// Short name, as in `earth-drop`.
    pub id: &'static str,
    /// What is read, and how.
    pub what: &'static str,
    /// Unit of the limits.
    pub unit: &'static str,
    low: Option<f64>,
    high: Option<f64>,
}

/// All of them (*common practice*, from memory).
pub const USUAL: [Usual; 6] = [
    Usual {
        id: "earth-drop",
        what: "voltage drop across an earth connection under load",
        unit: "V",
        low: None,
        high: Some(0.1),
    },
    Usual {
        id: "supply-drop",
        what: "voltage drop from battery to consumer under load",
        unit: "V",
        low: None,
        high: Some(0.5),
    },
    Usual {
        id: "plug-drop",
        what: "voltage drop across one plug or switch under load",
        unit: "V",
        low: None,
        high: Some(0.2),
    },
    Usual {
        id: "battery-rest",
        what: "12 V battery at rest for an hour or more",
        unit: "V",
        low: Some(12.4),
        high: Some(12.8),
    },
    Usual {
        id: "cranking",
        what: "12 V battery while the starter turns",
        unit: "V",
        low: Some(9.6),
        high: None,
    },
    Usual {
        id: "charging",
        what: "12 V system with the engine running",
        unit: "V",
        low: Some(13.8),
        high: Some(14.7),
    },
];

impl Usual {
    /// The limit of a name.
    ///
    /// # Errors
    /// The names there are.
    pub fn parse(name: &str) -> Result<Self, String> {
        USUAL.into_iter().find(|usual| usual.id == name.trim()).ok_or_else(|| {
            let names: Vec<&str> = USUAL.iter().map(|usual| usual.id).collect();
            format!("no usual limit of that name; there are {}", names.join(", "))
        })
    }

    /// The limits in the unit of a reading.
    ///
    /// # Errors
    /// A unit of another quantity.
    pub fn limits(self, unit: Unit) -> Result<Limits, JudgeError> {
        let own = Unit::parse(self.unit)?;
        let side = |value: Option<f64>| -> Result<Option<f64>, UnitError> {
            value.map(|value| own.convert(value, unit)).transpose()
        };
        Limits::new(side(self.low)?, side(self.high)?)
    }
}
