//! Column names and their units, mended where an encoding was applied twice.

use units::{Quantity, Unit};

/// A column as the header gives it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    pub(crate) name: String,
    pub(crate) unit: Option<String>,
}

/// Letters of a unit at most, where nothing but its place says that it is one.
const LONGEST_UNIT: usize = 16;

/// Times that a doubled encoding is undone at most.
const DOUBLED: usize = 3;

/// Splits `Name [unit]` and, where the unit is known, `Name (unit)`, `Name in unit`,
/// `Name, unit` and `Name / unit`.
pub(crate) fn column(text: &str) -> Column {
    let text = mend_label(text.trim());
    let bracketed = text.strip_suffix(']').and_then(|t| t.rsplit_once('['));
    let known = |found: Option<(String, String)>| {
        found.filter(|(name, unit)| !name.trim().is_empty() && is_unit(unit))
    };
    let owned = |(name, unit): (&str, &str)| (name.to_owned(), unit.to_owned());
    let round = || {
        let (name, unit) = text.strip_suffix(')')?.rsplit_once('(')?;
        is_unit(unit).then(|| owned((name, unit)))
    };
    let behind = |mark: &str| known(text.rsplit_once(mark).map(owned));
    let slash = || {
        // `v/km/h`: the unit may hold a slash itself.
        let mut at = text.match_indices('/').map(|(at, _)| at);
        at.find_map(|at| known(Some(owned((&text[..at], &text[at + 1..])))))
    };
    let found = bracketed.map(owned).or_else(round);
    let found = found.or_else(|| behind(" in ")).or_else(|| behind(","));
    match found.or_else(slash).filter(|_| !is_unit(&text)) {
        Some((name, unit)) => {
            Column { name: name.trim().to_owned(), unit: plain_unit(&unit) }
        }
        None => Column { name: text, unit: None },
    }
}

fn is_unit(text: &str) -> bool {
    Unit::parse(text.trim()).is_ok()
}

/// A unit without its brackets; `None` for none.
pub(crate) fn plain_unit(text: &str) -> Option<String> {
    let text = mend_label(text.trim().trim_matches(['[', ']', '(', ')']).trim());
    let none = text.is_empty() || ["-", "--", "none", "n/a"].contains(&text.as_str());
    (!none).then_some(text)
}

/// The units of a row of words, one a column, and how many of them are known units;
/// `None`: it holds none, or words too long for units.
pub(crate) fn unit_row(cells: &[String]) -> Option<(Vec<Option<String>>, usize)> {
    let short = cells.iter().all(|c| c.trim().chars().count() <= LONGEST_UNIT);
    let units: Vec<_> = cells.iter().map(|c| plain_unit(c)).collect();
    let known = units.iter().flatten().filter(|u| is_unit(u)).count();
    (short && known > 0).then_some((units, known))
}

/// Gives columns without a name their place, and those of one name a number, so that each
/// can be asked for.
pub(crate) fn name_apart(columns: &mut [Column]) {
    for at in 0..columns.len() {
        if columns[at].name.is_empty() {
            columns[at].name = format!("column {}", at + 1);
        }
        let same = columns[..at].iter().filter(|c| c.name == columns[at].name).count();
        if same > 0 {
            columns[at].name = format!("{} ({})", columns[at].name, same + 1);
        }
    }
}

/// Undoes an encoding that was applied twice (`Â°` for `°`), and writes signs that look
/// like a degree as one.
pub(crate) fn mend_label(text: &str) -> String {
    let mut text = text.to_owned();
    for _ in 0..DOUBLED {
        match undoubled(&text) {
            Some(mended) => text = mended,
            None => break,
        }
    }
    // A lost sign before a C was a degree, whatever else it may have been.
    text.replace('\u{2103}', "\u{b0}C")
        .replace('\u{2109}', "\u{b0}F")
        .replace("\u{ba}C", "\u{b0}C")
        .replace("\u{ba}F", "\u{b0}F")
        .replace("\u{fffd}C", "\u{b0}C")
}

/// The text as UTF-8 if its letters, as bytes of Latin-1 or Windows-1252, are that.
fn undoubled(text: &str) -> Option<String> {
    if text.is_ascii() {
        return None;
    }
    let bytes: Option<Vec<u8>> = text.chars().map(as_byte).collect();
    String::from_utf8(bytes?).ok()
}

/// Windows-1252 where it differs from Latin-1, from 0x80 on; a blank where it has nothing.
const WINDOWS: &str = "€\u{81}‚ƒ„…†‡ˆ‰Š‹Œ\u{8d}Ž\u{8f}\u{90}‘’“”•–—˜™š›œ\u{9d}žŸ";

fn as_byte(letter: char) -> Option<u8> {
    let code = u32::from(letter);
    let plain = u8::try_from(code).ok();
    let windows = || {
        let at = WINDOWS.chars().position(|w| w == letter)?;
        u8::try_from(0x80 + at).ok()
    };
    plain.or_else(windows)
}

/// A letter of Windows-1252, which Latin-1 is a part of.
pub(crate) fn windows_letter(byte: u8) -> char {
    let above = usize::from(byte).checked_sub(0x80);
    above.and_then(|at| WINDOWS.chars().nth(at)).unwrap_or(char::from(byte))
}

/// True for a name that means time and nothing else.
pub(crate) fn is_time(name: &str) -> bool {
    let exact = [
        "time",
        "zeit",
        "t",
        "ts",
        "t_s",
        "t_ms",
        "t_us",
        "time_s",
        "time_ms",
        "time_us",
        "timestamp",
        "timestamps",
        "datetime",
        "s",
        "sec",
        "ms",
        "seconds",
        "elapsed",
        "uhrzeit",
        "zeitstempel",
        "clock",
        "temps",
        "tiempo",
        "tempo",
        "tijd",
        "czas",
    ];
    exact.contains(&name.to_lowercase().as_str())
}

/// True for a name that may mean time.
pub(crate) fn looks_like_time(name: &str) -> bool {
    let lower = name.to_lowercase();
    is_time(name)
        || ["time", "zeit", "clock", "elapsed", "sekunde", "second"]
            .iter()
            .any(|word| lower.contains(word))
}

/// The unit of a time column: the one given, or the end of its name.
pub(crate) fn time_unit(column: &Column) -> Option<Unit> {
    let lower = column.name.to_lowercase();
    let suffix = lower.rsplit(['_', ' ', '-', '.']).next().unwrap_or_default();
    let stated = column.unit.as_deref().and_then(|u| Unit::parse(u).ok());
    let named = || Unit::parse(suffix).ok().filter(|_| suffix != "t");
    stated.or_else(named).filter(|u| u.quantity() == Quantity::Time)
}

#[cfg(test)]
mod tests {
    use super::{column, mend_label};

    #[test]
    fn units_are_told_from_names() {
        for (text, name, unit) in [
            ("p [kPa]", "p", Some("kPa")),
            ("p (kPa)", "p", Some("kPa")),
            ("p (rail)", "p (rail)", None),
            ("speed in km/h", "speed", Some("km/h")),
            ("rail pressure, bar", "rail pressure", Some("bar")),
            ("U/V", "U", Some("V")),
            ("v/km/h", "v", Some("km/h")),
            ("T / \u{c2}\u{b0}C", "T", Some("\u{b0}C")),
            ("on/off", "on/off", None),
            ("flag []", "flag", None),
            ("km/h", "km/h", None),
        ] {
            let read = column(text);
            assert_eq!(
                (read.name.as_str(), read.unit.as_deref()),
                (name, unit),
                "{text}"
            );
        }
    }

    #[test]
    fn doubled_encodings_are_undone_however_often() {
        for text in ["\u{b0}C", "µs", "Ω", "Drehzahl Ölpumpe"] {
            let mut doubled = text.to_owned();
            for _ in 0..2 {
                doubled = doubled.bytes().map(super::windows_letter).collect();
                assert_eq!(mend_label(&doubled), text, "{doubled}");
            }
            assert_eq!(mend_label(text), text);
        }
        assert_eq!(mend_label("\u{ba}C \u{2103}"), "\u{b0}C \u{b0}C");
    }
}
