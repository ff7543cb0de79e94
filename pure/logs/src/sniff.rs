//! What separates the columns of a file.

use crate::error::LogError;

/// Separators tried, in the order in which they win: a decimal comma makes commas
/// look like separators, so the comma comes last.
const CANDIDATES: [(u8, &str); 4] =
    [(b'\t', "tab"), (b';', "semicolon"), (b'|', "|"), (b',', "comma")];

/// Lines looked at.
const LINES: usize = 60;

/// Share of the lines that must hold the same number of separators.
const ALIKE: f64 = 0.6;

/// The separator with its name.
///
/// # Errors
/// [`LogError::OneColumn`].
pub(crate) fn separator(text: &str) -> Result<(u8, &'static str), LogError> {
    let lines: Vec<&str> =
        text.lines().filter(|line| !is_comment(line)).take(LINES).collect();
    let steady = CANDIDATES.into_iter().find(|(separator, _)| {
        let counts: Vec<usize> =
            lines.iter().map(|line| count(line, *separator)).collect();
        let most = counts
            .iter()
            .copied()
            .max_by_key(|c| (counts.iter().filter(|other| *other == c).count(), *c));
        most.is_some_and(|most| {
            let alike = counts.iter().filter(|c| **c == most).count();
            most > 0 && share(alike, counts.len()) >= ALIKE
        })
    });
    let any = || {
        CANDIDATES.into_iter().find(|(separator, _)| {
            lines.first().is_some_and(|line| count(line, *separator) > 0)
        })
    };
    steady.or_else(any).ok_or(LogError::OneColumn)
}

/// True for a blank line and for a comment, neither of which is a row.
pub(crate) fn is_comment(line: &str) -> bool {
    let line = line.trim();
    line.is_empty() || line.starts_with('#')
}

/// Separators outside quotes.
fn count(line: &str, separator: u8) -> usize {
    let mut quoted = false;
    line.bytes()
        .filter(|b| {
            if *b == b'"' {
                quoted = !quoted;
            }
            *b == separator && !quoted
        })
        .count()
}

/// Part of a whole, 0 for an empty whole.
#[expect(clippy::cast_precision_loss, reason = "counts stay far below 2^53")]
pub(crate) fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}
