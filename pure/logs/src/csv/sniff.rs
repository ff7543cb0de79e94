//! What separates the columns and lines of a file.

use super::split::Syntax;
use crate::error::LogError;
use crate::share;

/// Separators tried, in the order in which they win: a decimal comma makes commas
/// look like separators, so the comma comes late, and blanks stand within names.
const CANDIDATES: [(u8, &str); 5] =
    [(b'\t', "tab"), (b';', "semicolon"), (b'|', "|"), (b',', "comma"), (b' ', "blanks")];

/// Lines looked at.
const LINES: usize = 60;

/// Share of the lines that must hold the same number of separators.
const ALIKE: f64 = 0.6;

/// What separates cells and lines, and what to say of it.
///
/// # Errors
/// [`LogError::OneColumn`].
pub(crate) fn syntax(
    head: &[u8],
    given: Option<u8>,
) -> Result<(Syntax, String), LogError> {
    let newline =
        if !head.contains(&b'\n') && head.contains(&b'\r') { b'\r' } else { b'\n' };
    if let Some(separator) = given {
        return Ok((
            Syntax { separator, newline },
            "columns separated as asked".to_owned(),
        ));
    }
    let lines: Vec<&[u8]> = head
        .split(|b| *b == newline)
        .filter(|line| !is_comment(line))
        .take(LINES)
        .collect();
    if let Some(separator) = lines.first().and_then(|line| stated(line)) {
        return Ok((
            Syntax { separator, newline },
            format!(
                "columns separated by `{}`, as its first line says",
                char::from(separator)
            ),
        ));
    }
    let steady = CANDIDATES.into_iter().find(|(separator, _)| {
        let counts: Vec<usize> =
            lines.iter().map(|line| count(line, *separator)).collect();
        let most = counts
            .iter()
            .copied()
            .max_by_key(|c| (counts.iter().filter(|other| *other == c).count(), *c));
        most.is_some_and(|most| {
            let alike = counts.iter().filter(|c| **c == most).count();
            most > 0
                && share(alike, counts.len()) >= ALIKE
                && (*separator != b' ' || numbers(&lines))
        })
    });
    let any = || {
        CANDIDATES.into_iter().take(4).find(|(separator, _)| {
            lines.first().is_some_and(|line| count(line, *separator) > 0)
        })
    };
    let (separator, name) = steady.or_else(any).ok_or(LogError::OneColumn)?;
    Ok((Syntax { separator, newline }, format!("columns separated by {name}")))
}

/// The separator of a line `sep=;`, which spreadsheets write first.
fn stated(line: &[u8]) -> Option<u8> {
    let line = line.trim_ascii();
    let line =
        line.strip_prefix(b"\"").and_then(|l| l.strip_suffix(b"\"")).unwrap_or(line);
    let (word, rest) = line.split_at_checked(4)?;
    match rest {
        [separator] if word.eq_ignore_ascii_case(b"sep=") => Some(*separator),
        _ => None,
    }
}

/// True for a line that only says what separates columns.
pub(crate) fn states_separator(cells: &[String]) -> bool {
    cells.first().is_some_and(|cell| cell.to_ascii_lowercase().starts_with("sep="))
        && cells.iter().skip(1).all(String::is_empty)
}

/// True for a blank line and for a comment, neither of which is a row.
fn is_comment(line: &[u8]) -> bool {
    let line = line.trim_ascii();
    line.is_empty() || line.starts_with(b"#")
}

/// True if most lines hold nothing but numbers and clocks: prose has blanks too.
fn numbers(lines: &[&[u8]]) -> bool {
    let of_numbers = |line: &&&[u8]| {
        line.iter().all(|b| b.is_ascii_digit() || b" \t+-.,:eE\rNaninf".contains(b))
    };
    share(lines.iter().filter(of_numbers).count(), lines.len()) >= ALIKE
}

/// Separators outside quotes; runs of blanks, for blanks.
fn count(line: &[u8], separator: u8) -> usize {
    if separator == b' ' {
        let words = line.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
        return words.count().saturating_sub(1);
    }
    let mut quoted = false;
    line.iter()
        .filter(|b| {
            quoted ^= **b == b'"';
            **b == separator && !quoted
        })
        .count()
}
