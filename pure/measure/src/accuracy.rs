//! A meter's stated accuracy: per cent of reading, digits, and a fixed part.

use units::{Measured, Unit, parse_number};

use crate::reading::JudgeError;

/// Stated accuracy; its parts add up to a half-width.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Accuracy {
    percent: f64,
    digits: f64,
    fixed: f64,
}

impl Accuracy {
    /// Reads `0.8%+2d`, `0.5%`, `2d`, `0.05ohm`, `0.5%+0.02`, also with `±` before it.
    /// Per cent is of the reading; a bare number is in the unit of the reading.
    ///
    /// # Errors
    /// [`JudgeError::Accuracy`] for a part that is neither, negative or given twice.
    pub fn parse(text: &str, unit: Unit) -> Result<Self, JudgeError> {
        let plain = text.trim().trim_start_matches(['\u{b1}', '+']).trim();
        let plain = plain
            .strip_prefix('(')
            .and_then(|inner| inner.strip_suffix(')'))
            .unwrap_or(plain);
        let mut accuracy = Self::default();
        let (mut seen_percent, mut seen_digits, mut seen_fixed) = (false, false, false);
        for part in plain.split('+').map(str::trim) {
            let (value, slot, seen) = if let Some(number) = percent_part(part) {
                (number?, &mut accuracy.percent, &mut seen_percent)
            } else if let Some(number) = digit_part(part) {
                (number?, &mut accuracy.digits, &mut seen_digits)
            } else {
                (fixed_part(part, unit)?, &mut accuracy.fixed, &mut seen_fixed)
            };
            if *seen {
                return Err(JudgeError::Accuracy("one of its parts is given twice"));
            }
            if value < 0.0 {
                return Err(JudgeError::Accuracy("it must not be negative"));
            }
            *seen = true;
            *slot = value;
        }
        Ok(accuracy)
    }

    /// True if the accuracy speaks of digits, so that the size of one is needed.
    pub fn needs_digit(self) -> bool {
        self.digits > 0.0
    }

    /// Half-width in the unit of the reading; `digit` is the size of the last digit.
    ///
    /// # Errors
    /// [`JudgeError::DigitMissing`] if digits count and `digit` is not given.
    pub fn half_width(self, reading: f64, digit: Option<f64>) -> Result<f64, JudgeError> {
        let of_digits = match digit {
            Some(digit) => self.digits * digit,
            None if self.needs_digit() => return Err(JudgeError::DigitMissing),
            None => 0.0,
        };
        Ok(self.percent / 100.0 * reading.abs() + of_digits + self.fixed)
    }
}

type Part = Option<Result<f64, JudgeError>>;

fn number_before(part: &str, endings: &[&str]) -> Part {
    let ending = endings.iter().find(|ending| part.ends_with(**ending))?;
    let number = part.strip_suffix(ending)?;
    Some(parse_number(number).map_err(JudgeError::from))
}

fn percent_part(part: &str) -> Part {
    number_before(part, &["% of reading", "% rdg", "%rdg", "%"])
}

fn digit_part(part: &str) -> Part {
    number_before(part, &["digits", "digit", "counts", "dgt", "d"])
}

fn fixed_part(part: &str, unit: Unit) -> Result<f64, JudgeError> {
    // A half-width is a difference: 1 °F of it is 5/9 °C, without the offset.
    let given = match parse_number(part) {
        Ok(bare) => return Ok(bare),
        Err(_) => Measured::parse(part)
            .map_err(|_| JudgeError::Accuracy("write it like 0.8%+2d, 2d or 0.05ohm"))?,
    };
    Ok(given.unit().convert_difference(given.value(), unit)?)
}
