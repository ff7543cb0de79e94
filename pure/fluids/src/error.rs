//! What can be wrong with what was asked: the thing, the place, the next move.

use std::fmt;

/// A question that cannot be answered, in plain words.
#[derive(Debug, Clone, PartialEq)]
pub enum FluidError {
    /// A number outside what makes sense.
    Number {
        /// Name of the quantity with its unit.
        name: &'static str,
        /// What was given.
        value: f64,
        /// Least value allowed.
        low: f64,
        /// Greatest value allowed.
        high: f64,
    },
    /// A text that names no known grade or point.
    Word {
        /// What the text should have named.
        thing: &'static str,
        /// What was written, cut to a readable length.
        given: String,
        /// What would be right.
        next: &'static str,
    },
    /// Numbers that contradict each other, or one that is missing.
    Together(&'static str),
}

impl fmt::Display for FluidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number { name, value, low, high } => {
                write!(f, "{name} is {value}: give a number from {low} to {high}")
            }
            Self::Word { thing, given, next } => {
                write!(f, "{thing} {given:?} is not known: {next}")
            }
            Self::Together(what) => f.write_str(what),
        }
    }
}

impl std::error::Error for FluidError {}

/// The first characters of a text, so that an error stays readable.
pub(crate) fn cut(text: &str) -> String {
    const SHOWN: usize = 40;
    text.chars().take(SHOWN).collect()
}

/// The value when it lies in `low..=high`; NaN and infinities never do.
pub(crate) fn within(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, FluidError> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(FluidError::Number { name, value, low, high })
    }
}
