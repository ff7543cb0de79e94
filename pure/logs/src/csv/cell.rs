//! One cell: a number with a point or a comma, a switch, or the reason why it is none.

/// Longest cell that may be a number.
const LONGEST: usize = 64;

/// The decimal mark of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// `7.9`.
    Point,
    /// `7,9`.
    Comma,
    /// None was seen: both are read.
    Unseen,
}

impl Mark {
    /// The byte that fast reading takes for it.
    pub(crate) fn byte(self) -> u8 {
        if self == Self::Comma { b',' } else { b'.' }
    }
}

/// What a cell holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Cell {
    /// A finite number, or on and off as 1 and 0.
    Number(f64),
    /// Nothing, or a word that says so.
    Empty,
    /// A number without end.
    Infinite,
    /// A number with thousands marks, or one whose mark may be either.
    Thousands,
    /// Something else.
    Words,
}

/// Reads a cell.
pub(crate) fn cell(text: &str, mark: Mark) -> Cell {
    let text = text.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
    if text.len() > LONGEST {
        return Cell::Words;
    }
    if text.bytes().next().is_some_and(|b| b.is_ascii_digit())
        && let Some(cell) = digits(text, mark)
    {
        return cell;
    }
    word(text).or_else(|| digits(text, mark)).unwrap_or(Cell::Words)
}

/// The number of a cell, if it is one.
pub(crate) fn number(text: &str, mark: Mark) -> Option<f64> {
    match cell(text, mark) {
        Cell::Number(value) => Some(value),
        Cell::Empty | Cell::Infinite | Cell::Thousands | Cell::Words => None,
    }
}

fn word(text: &str) -> Option<Cell> {
    let is = |words: &[&str]| words.iter().any(|word| text.eq_ignore_ascii_case(word));
    if is(&[
        "",
        "-",
        "--",
        "---",
        "nan",
        "n/a",
        "na",
        "null",
        "none",
        "nil",
        "#n/a",
        "#nv",
        "?",
        "*",
        "1.#ind",
        "-1.#ind",
        "1.#qnan",
        "-nan",
        "-nan(ind)",
        "missing",
        "invalid",
        "#div/0!",
        "no data",
    ]) {
        return Some(Cell::Empty);
    }
    if is(&[
        "inf",
        "+inf",
        "-inf",
        "infinity",
        "+infinity",
        "-infinity",
        "\u{221e}",
        "-\u{221e}",
        "1.#inf",
        "-1.#inf",
    ]) {
        return Some(Cell::Infinite);
    }
    if is(&["on", "true", "yes"]) {
        return Some(Cell::Number(1.0));
    }
    is(&["off", "false", "no"]).then_some(Cell::Number(0.0))
}

/// A number by its digits; `None`: there are none.
fn digits(text: &str, mark: Mark) -> Option<Cell> {
    let text = text.replace('\u{2212}', "-");
    let (sign, rest) = match text.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", text.strip_prefix('+').unwrap_or(&text)),
    };
    if let Some(hex) = rest.strip_prefix("0x").or_else(|| rest.strip_prefix("0X")) {
        // Whole numbers to 2^52 are exact.
        let whole = u64::from_str_radix(hex, 16).ok().filter(|_| hex.len() <= 13)?;
        let high = f64::from(u32::try_from(whole >> 32).ok()?) * 4_294_967_296.0;
        let value = high + f64::from(u32::try_from(whole & 0xffff_ffff).ok()?);
        return Some(Cell::Number(if sign == "-" { -value } else { value }));
    }
    let (body, power) = match rest.find(['e', 'E']) {
        Some(at) => (&rest[..at], &rest[at..]),
        None => (rest, ""),
    };
    if !body.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
        return None;
    }
    let grouped =
        |c: char| matches!(c, ' ' | '\'' | '\u{a0}' | '\u{2009}' | '\u{202f}' | '’');
    let known = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',') || grouped(c);
    if !body.chars().all(known) {
        return None;
    }
    if body.contains(grouped) {
        return groups(body, grouped).then_some(Cell::Thousands);
    }
    let plain = match (body.matches('.').count(), body.matches(',').count()) {
        (0, 0) => body.to_owned(),
        (1, 0) if mark != Mark::Comma || !is_group(body, '.') => body.to_owned(),
        (0, 1) if mark != Mark::Point || !is_group(body, ',') => body.replace(',', "."),
        _ => {
            let marks = |c: char| c == '.' || c == ',';
            return groups(body, marks).then_some(Cell::Thousands);
        }
    };
    let value: f64 = format!("{sign}{plain}{power}").parse().ok()?;
    Some(if value.is_finite() { Cell::Number(value + 0.0) } else { Cell::Infinite })
}

/// True if the mark may stand before thousands: `1,234`, not `0,234` and not `1,2`.
pub(crate) fn is_group(body: &str, mark: char) -> bool {
    body.split_once(mark).is_some_and(|(before, after)| {
        let first = before.trim_start_matches(['-', '+']);
        (1..=3).contains(&first.len()) && !first.starts_with('0') && after.len() == 3
    })
}

/// True if the marks stand before groups of three digits: `1.234.567`, `1,234.5`.
fn groups(body: &str, mark: impl Fn(char) -> bool + Copy) -> bool {
    let mut parts = body.split(mark);
    let first = parts.next().unwrap_or_default();
    let rest: Vec<&str> = parts.collect();
    let (last, middle) = rest.split_last().unwrap_or((&"", &[]));
    (1..=3).contains(&first.len())
        && middle.iter().all(|part| part.len() == 3)
        && (last.len() == 3 || !middle.is_empty() || last.contains(['.', ',']))
}

#[cfg(test)]
mod tests {
    use super::{Cell, Mark, cell};

    #[test]
    fn what_a_cell_holds() {
        use Mark::{Comma, Point, Unseen};
        for (text, mark, wanted) in [
            ("7.9", Point, Cell::Number(7.9)),
            ("7,9", Point, Cell::Number(7.9)),
            ("7,9", Comma, Cell::Number(7.9)),
            ("1,234", Comma, Cell::Number(1.234)),
            ("1,234", Point, Cell::Thousands),
            ("0,234", Point, Cell::Number(0.234)),
            ("1.234", Comma, Cell::Thousands),
            ("1.234", Point, Cell::Number(1.234)),
            ("1.234", Unseen, Cell::Number(1.234)),
            ("1,234", Unseen, Cell::Number(1.234)),
            ("1.234,5", Comma, Cell::Thousands),
            ("1,234.5", Point, Cell::Thousands),
            ("1.234.567", Point, Cell::Thousands),
            ("1'234.5", Point, Cell::Thousands),
            ("1 234", Point, Cell::Thousands),
            ("1\u{a0}234,5", Comma, Cell::Thousands),
            ("1.2.3", Point, Cell::Words),
            ("-1e-3", Point, Cell::Number(-1e-3)),
            ("1,5E2", Comma, Cell::Number(150.0)),
            ("\u{2212}4", Point, Cell::Number(-4.0)),
            ("+4.", Point, Cell::Number(4.0)),
            (".5", Point, Cell::Number(0.5)),
            ("0x1F", Point, Cell::Number(31.0)),
            ("-0", Point, Cell::Number(0.0)),
            ("1e999", Point, Cell::Infinite),
            ("-Inf", Point, Cell::Infinite),
            ("1.#INF", Point, Cell::Infinite),
            ("NaN", Point, Cell::Empty),
            ("#N/A", Point, Cell::Empty),
            ("On", Point, Cell::Number(1.0)),
            ("e5", Point, Cell::Words),
            ("12 V", Point, Cell::Words),
            ("idle", Point, Cell::Words),
        ] {
            assert_eq!(cell(text, mark), wanted, "{text} {mark:?}");
        }
    }
}
