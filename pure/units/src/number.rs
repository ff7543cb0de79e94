//! Numbers as people type them: a decimal point, no grouping, finite.

use crate::unit::UnitError;

/// Reads a finite decimal number, such as `7.9`, `-1e3` or `−0.5`.
///
/// # Errors
/// [`UnitError::NotANumber`], [`UnitError::DecimalComma`] or [`UnitError::NotFinite`].
pub fn parse_number(text: &str) -> Result<f64, UnitError> {
    let (value, rest) = leading_number(text)?;
    if rest.trim().is_empty() {
        Ok(value)
    } else {
        Err(UnitError::NotANumber(shorten(text)))
    }
}

/// The number a text starts with, and what follows it.
pub(crate) fn leading_number(text: &str) -> Result<(f64, &str), UnitError> {
    let text = text.trim();
    let end = number_end(text);
    let (digits, rest) = text.split_at(end);
    let mut after = rest.chars();
    if after.next() == Some(',') && after.next().is_some_and(|c| c.is_ascii_digit()) {
        return Err(UnitError::DecimalComma(shorten(text)));
    }
    let value: f64 = digits
        .replace('\u{2212}', "-")
        .parse()
        .map_err(|_| UnitError::NotANumber(shorten(text)))?;
    if value.is_finite() {
        Ok((value, rest))
    } else {
        Err(UnitError::NotFinite(shorten(text)))
    }
}

/// Byte index at which the leading number ends; an `e` counts only before digits,
/// so that a unit may begin with it.
fn number_end(text: &str) -> usize {
    let sign = |c: char| matches!(c, '+' | '-' | '\u{2212}');
    let mut end = text.chars().next().filter(|c| sign(*c)).map_or(0, char::len_utf8);
    end += mantissa_len(&text[end..]);
    let mut after = text[end..].chars();
    if matches!(after.next(), Some('e' | 'E')) {
        let mut digits_at = end + 1;
        if let Some(c) = text[digits_at..].chars().next().filter(|c| sign(*c)) {
            digits_at += c.len_utf8();
        }
        let digits = digit_run(&text[digits_at..]);
        if digits > 0 {
            end = digits_at + digits;
        }
    }
    end
}

fn mantissa_len(text: &str) -> usize {
    let whole = digit_run(text);
    if text[whole..].starts_with('.') {
        whole + 1 + digit_run(&text[whole + 1..])
    } else {
        whole
    }
}

fn digit_run(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// At most 40 characters of a text, so that an error line stays a line.
pub(crate) fn shorten(text: &str) -> String {
    text.trim().chars().take(40).collect()
}
