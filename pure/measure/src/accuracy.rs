//! A meter's stated accuracy: per cent of reading or of range, digits, and a fixed part.

use units::{Measured, Unit, parse_number};

use crate::reading::JudgeError;

/// Stated accuracy; its parts add up to a half-width.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Accuracy {
    percent: f64,
    percent_of_range: f64,
    digits: f64,
    fixed: f64,
}

impl Accuracy {
    /// Reads `0.8%+2d`, `0.5%`, `2d`, `0.05ohm`, `0.5%+0.02`, `1% of range`, also with `±`
    /// before it. Per cent is of the reading unless said; a bare number is in the unit of
    /// the reading.
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
        let (mut seen_percent, mut seen_range) = (false, false);
        let (mut seen_digits, mut seen_fixed) = (false, false);
        for part in plain.split('+').map(str::trim) {
            let (value, slot, seen) = if let Some(number) = range_part(part) {
                (number?, &mut accuracy.percent_of_range, &mut seen_range)
            } else if let Some(number) = percent_part(part) {
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

    /// True if the accuracy speaks of the range, so that its end is needed.
    pub fn needs_range(self) -> bool {
        self.percent_of_range > 0.0
    }

    /// Half-width in the unit of the reading; `range` is the end of the meter's range.
    ///
    /// # Errors
    /// [`JudgeError::DigitMissing`] or [`JudgeError::RangeMissing`].
    pub fn half_width_in(
        self,
        reading: f64,
        digit: Option<f64>,
        range: Option<f64>,
    ) -> Result<f64, JudgeError> {
        let of_range = match range {
            Some(range) => self.percent_of_range / 100.0 * range.abs(),
            None if self.needs_range() => return Err(JudgeError::RangeMissing),
            None => 0.0,
        };
        let alone = Self { percent_of_range: 0.0, ..self };
        Ok(alone.half_width(reading, digit)? + of_range)
    }

    /// Half-width in the unit of the reading; `digit` is the size of the last digit.
    ///
    /// # Errors
    /// [`JudgeError::DigitMissing`] if digits count and `digit` is not given,
    /// [`JudgeError::RangeMissing`] if it speaks of the range: see [`Self::half_width_in`].
    pub fn half_width(self, reading: f64, digit: Option<f64>) -> Result<f64, JudgeError> {
        let of_digits = match digit {
            Some(digit) => self.digits * digit,
            None if self.needs_digit() => return Err(JudgeError::DigitMissing),
            None => 0.0,
        };
        if self.needs_range() {
            return Err(JudgeError::RangeMissing);
        }
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
    number_before(part, &["% of reading", "% reading", "% rdg", "%rdg", "%"])
}

fn range_part(part: &str) -> Part {
    let endings =
        ["% of range", "% of full scale", "% FS", "%FS", "% fs", "%fs", "% f.s."];
    number_before(part, &endings)
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
