//! What a minute, a comeback and a handed-on job cost, and how often the fault has set.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Money rules of a job. Sheet < workshop settings < job < command line.
#[derive(Debug, Clone, PartialEq)]
pub struct Economy {
    /// ISO 4217 code.
    pub currency: String,
    /// Money per hour of work.
    pub labour_per_hour: f64,
    /// Money per hour of waiting (the bay alone).
    pub bay_per_hour: f64,
    /// What it costs to hand the vehicle back unfixed.
    pub comeback: f64,
    /// What it costs to stop and pass the job on.
    pub pass_on: f64,
    /// How rusty the vehicle is; scales the probability of snags.
    pub rust: Rust,
    /// Share of the time that the fault is present while the vehicle is here, 0 to 1.
    pub active: f64,
}

impl Economy {
    /// Price of `minutes` of work.
    #[must_use]
    pub fn work(&self, minutes: f64) -> f64 {
        minutes * self.labour_per_hour / 60.0
    }

    /// Price of `minutes` of waiting.
    #[must_use]
    pub fn waiting(&self, minutes: f64) -> f64 {
        minutes * self.bay_per_hour / 60.0
    }

    /// These rules with what the workshop's settings, the job or the command line say.
    ///
    /// # Errors
    /// Another currency, or a number that is out of range.
    pub fn with(&self, over: &EconomyOverrides) -> Result<Self, EconomyError> {
        if let Some(given) =
            over.currency.as_ref().filter(|given| **given != self.currency)
        {
            let (sheet, given) = (self.currency.clone(), given.clone());
            return Err(EconomyError::Currencies { sheet, given });
        }
        Ok(Self {
            currency: self.currency.clone(),
            labour_per_hour: money("labour_per_hour", over.labour_per_hour)?
                .unwrap_or(self.labour_per_hour),
            bay_per_hour: money("bay_per_hour", over.bay_per_hour)?
                .unwrap_or(self.bay_per_hour),
            comeback: money("comeback", over.comeback)?.unwrap_or(self.comeback),
            pass_on: money("pass_on", over.pass_on)?.unwrap_or(self.pass_on),
            rust: over.rust.unwrap_or(self.rust),
            active: match over.active {
                Some(active) if !(0.0..=1.0).contains(&active) => {
                    return Err(EconomyError::NoShare { key: "active", value: active });
                }
                active => active.unwrap_or(self.active),
            },
        })
    }
}

fn money(key: &'static str, value: Option<f64>) -> Result<Option<f64>, EconomyError> {
    match value {
        Some(value) if !(0.0..=MOST_MONEY).contains(&value) => {
            Err(EconomyError::NoMoney { key, value })
        }
        value => Ok(value),
    }
}

/// No sum of a repair is larger.
const MOST_MONEY: f64 = 1e12;

/// Keys of an `[economy]` that take the place of a sheet's; `None`: as the sheet says.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default, deny_unknown_fields)]
pub struct EconomyOverrides {
    /// ISO 4217 code; another one than the sheet's is an error.
    pub currency: Option<String>,
    /// Money per hour of work.
    pub labour_per_hour: Option<f64>,
    /// Money per hour of waiting.
    pub bay_per_hour: Option<f64>,
    /// What it costs to hand the vehicle back unfixed.
    pub comeback: Option<f64>,
    /// What it costs to stop and pass the job on.
    pub pass_on: Option<f64>,
    /// How rusty the vehicle is.
    pub rust: Option<Rust>,
    /// Share of the time that the fault is present while the vehicle is here, 0 to 1.
    pub active: Option<f64>,
}

impl EconomyOverrides {
    /// These, and where they say nothing, what `below` says (job over settings).
    #[must_use]
    pub fn over(self, below: Self) -> Self {
        Self {
            currency: self.currency.or(below.currency),
            labour_per_hour: self.labour_per_hour.or(below.labour_per_hour),
            bay_per_hour: self.bay_per_hour.or(below.bay_per_hour),
            comeback: self.comeback.or(below.comeback),
            pass_on: self.pass_on.or(below.pass_on),
            rust: self.rust.or(below.rust),
            active: self.active.or(below.active),
        }
    }
}

/// Why money rules do not fit together.
#[derive(Debug, Clone, PartialEq)]
pub enum EconomyError {
    /// Two currencies.
    Currencies {
        /// The sheet's.
        sheet: String,
        /// The one beside it.
        given: String,
    },
    /// No sum of money.
    NoMoney {
        /// Which key.
        key: &'static str,
        /// What it says.
        value: f64,
    },
    /// No share between 0 and 1.
    NoShare {
        /// Which key.
        key: &'static str,
        /// What it says.
        value: f64,
    },
}

impl fmt::Display for EconomyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Currencies { sheet, given } => write!(
                f,
                "the sheet counts in {sheet} (EUR where it names no currency), but {given} \
                 is given: currencies are never converted, so use one for both"
            ),
            Self::NoMoney { key, value } => {
                write!(f, "`{key}` must be a sum of money, 0 or more, not {value}")
            }
            Self::NoShare { key, value } => {
                write!(f, "`{key}` must lie between 0 and 1, not {value}")
            }
        }
    }
}

impl std::error::Error for EconomyError {}

/// How rusty the vehicle is.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Rust {
    /// Snags at 0.3 of their probability.
    None,
    /// Snags as the sheet says.
    #[default]
    Some,
    /// Snags at 3 times their probability, at most 0.9.
    Bad,
}

impl Rust {
    /// The probability of a snag that the sheet puts at `p`: min(0.9, p × factor).
    #[must_use]
    pub fn snag_probability(self, p: f64) -> f64 {
        let factor = match self {
            Self::None => 0.3,
            Self::Some => 1.0,
            Self::Bad => 3.0,
        };
        (p * factor).min(0.9)
    }

    /// The words in a sheet.
    pub const WORDS: [&'static str; 3] = ["none", "some", "bad"];

    /// The one that a word names.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        [Self::None, Self::Some, Self::Bad].into_iter().find(|rust| rust.word() == word)
    }

    /// The word in a sheet.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Some => "some",
            Self::Bad => "bad",
        }
    }
}

/// Minutes for changing position or tool (design section 6).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moving {
    /// Minutes to change working position.
    pub position_min: f64,
    /// Minutes to change tool.
    pub tool_min: f64,
}

/// What exposure is counted in; one unit throughout a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ExposureUnit {
    /// Kilometres driven.
    #[default]
    Km,
    /// Minutes of running.
    Minutes,
    /// Starts.
    Starts,
}

impl ExposureUnit {
    /// The key suffix in a sheet and in JSON: `km`, `min` or `starts`.
    #[must_use]
    pub fn suffix(self) -> &'static str {
        match self {
            Self::Km => "km",
            Self::Minutes => "min",
            Self::Starts => "starts",
        }
    }
}

/// An amount of exposure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exposure {
    /// How much.
    pub amount: f64,
    /// Of what.
    pub unit: ExposureUnit,
}

/// Where the window of a count ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum WindowEnd {
    /// At a set of the fault: exponent n.
    #[default]
    Set,
    /// At a moment not chosen by the fault: exponent n + ½.
    Now,
}

/// How often the fault has set before any repair: `seen` times over `over`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recurrence {
    /// Sets counted in the window.
    pub seen: u32,
    /// Length of the window.
    pub over: Exposure,
    /// Where the window ends.
    pub ends: WindowEnd,
}
