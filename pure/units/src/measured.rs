//! A value with its unit, as typed: `7.9ohm`.

use std::fmt;

use crate::number::{leading_number, shorten};
use crate::unit::{Unit, UnitError};

/// A finite value with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    value: f64,
    unit: Unit,
}

impl Measured {
    /// A value with its unit.
    ///
    /// # Errors
    /// [`UnitError::NotFinite`] for NaN and the infinities.
    pub fn new(value: f64, unit: Unit) -> Result<Self, UnitError> {
        if value.is_finite() {
            Ok(Self { value, unit })
        } else {
            Err(UnitError::NotFinite(value.to_string()))
        }
    }

    /// Reads a number followed by a unit, with or without a space between.
    ///
    /// ```
    /// use units::{Measured, Unit};
    /// let read = Measured::parse("7.9 kΩ").unwrap();
    /// assert_eq!(read.value_in(Unit::parse("ohm").unwrap()).unwrap(), 7900.0);
    /// ```
    ///
    /// # Errors
    /// No number, a decimal comma, no unit, or an unknown unit.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let (value, rest) = leading_number(text)?;
        if rest.trim().is_empty() {
            return Err(UnitError::NoUnit(shorten(text)));
        }
        Self::new(value, Unit::parse(rest)?)
    }

    /// As [`Measured::parse`], but a bare number takes the given unit.
    ///
    /// # Errors
    /// As [`Measured::parse`], and [`UnitError::Mismatch`] for another quantity.
    pub fn parse_or(text: &str, default: Unit) -> Result<Self, UnitError> {
        let (value, rest) = leading_number(text)?;
        if rest.trim().is_empty() {
            return Self::new(value, default);
        }
        let given = Self::new(value, Unit::parse(rest)?)?;
        given.to(default)?;
        Ok(given)
    }

    /// The value in its own unit.
    pub fn value(self) -> f64 {
        self.value
    }

    /// The unit.
    pub fn unit(self) -> Unit {
        self.unit
    }

    /// The value on the scale of another unit.
    ///
    /// # Errors
    /// [`UnitError::Mismatch`] for another quantity.
    pub fn value_in(self, unit: Unit) -> Result<f64, UnitError> {
        self.unit.convert(self.value, unit)
    }

    /// The same value in another unit.
    ///
    /// # Errors
    /// [`UnitError::Mismatch`] for another quantity.
    pub fn to(self, unit: Unit) -> Result<Self, UnitError> {
        Self::new(self.value_in(unit)?, unit)
    }
}

impl fmt::Display for Measured {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value, self.unit.shown())
    }
}

impl std::str::FromStr for Measured {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        Self::parse(text)
    }
}
