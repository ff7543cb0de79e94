//! Limits as typed: `6.6..8.4`, `6.6..` or `..8.4`.

use std::fmt;

use units::parse_number;

use crate::reading::JudgeError;

/// Permissible values, the limits themselves included; at least one side is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    low: Option<f64>,
    high: Option<f64>,
}

impl Limits {
    /// Limits in the unit of the reading.
    ///
    /// # Errors
    /// [`JudgeError::Limits`] if both sides are missing, one is not finite, or they are
    /// the wrong way round.
    pub fn new(low: Option<f64>, high: Option<f64>) -> Result<Self, JudgeError> {
        let wrong = |why| Err(JudgeError::Limits(why));
        if [low, high].iter().flatten().any(|side| !side.is_finite()) {
            return wrong("a limit must be a finite number");
        }
        match (low, high) {
            (None, None) => wrong("give at least one side, as in 6.6.. or ..8.4"),
            (Some(low), Some(high)) if low > high => {
                wrong("they are the wrong way round: write the smaller first")
            }
            (low, high) => Ok(Self { low, high }),
        }
    }

    /// Reads `6.6..8.4`, `6.6..` or `..8.4`.
    ///
    /// # Errors
    /// [`JudgeError::Limits`] or [`JudgeError::Number`].
    pub fn parse(text: &str) -> Result<Self, JudgeError> {
        let Some((low, high)) = text.trim().split_once("..") else {
            return Err(JudgeError::Limits(
                "write two dots between them, as in 6.6..8.4, 6.6.. or ..8.4",
            ));
        };
        let side = |text: &str| {
            if text.trim().is_empty() { Ok(None) } else { parse_number(text).map(Some) }
        };
        Self::new(side(low)?, side(high)?)
    }

    /// The lower limit.
    pub fn low(self) -> Option<f64> {
        self.low
    }

    /// The upper limit.
    pub fn high(self) -> Option<f64> {
        self.high
    }
}

impl fmt::Display for Limits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let side = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
        write!(f, "{}..{}", side(self.low), side(self.high))
    }
}
