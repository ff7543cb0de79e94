//! What is typed on a command line becomes what is meant: numbers, shares, lists.

use units::{Measured, Unit, parse_number};

/// A finite number, such as `7.9` or `-3`.
///
/// # Errors
/// Says what would be right.
pub fn number(text: &str) -> Result<f64, String> {
    parse_number(text).map_err(|error| error.to_string())
}

/// A finite number, 0 or more: money, minutes, kilometres.
///
/// # Errors
/// Says what would be right.
pub fn amount(text: &str) -> Result<f64, String> {
    let value = number(text)?;
    if value >= 0.0 { Ok(value) } else { Err("must be 0 or more".to_owned()) }
}

/// A finite number above 0.
///
/// # Errors
/// Says what would be right.
pub fn positive(text: &str) -> Result<f64, String> {
    let value = number(text)?;
    if value > 0.0 { Ok(value) } else { Err("must be above 0".to_owned()) }
}

/// A probability or share, 0 to 1.
///
/// # Errors
/// Says what would be right.
pub fn share(text: &str) -> Result<f64, String> {
    let value = number(text)?;
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err("must lie between 0 and 1".to_owned())
    }
}

/// A probability that can be reached: above 0 and below 1.
///
/// # Errors
/// Says what would be right.
pub fn inner_share(text: &str) -> Result<f64, String> {
    let value = number(text)?;
    if value > 0.0 && value < 1.0 {
        Ok(value)
    } else {
        Err("must lie above 0 and below 1".to_owned())
    }
}

/// A reading as typed: a value, or two between which it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Read {
    /// The value, or the one of the two that is surely reached.
    pub(crate) value: f64,
    /// The one that it is below, where it lies between two.
    pub(crate) below: Option<f64>,
    /// Its unit, where one was typed.
    pub(crate) unit: Option<Unit>,
}

/// A value with its unit, or two: `7.9ohm`, `0.20..0.25mm`. A `bare` one may have no unit.
pub(crate) fn reading(text: &str, bare: bool) -> Result<Read, String> {
    let two = text.split_once("..");
    let first = two.map(|(first, _)| number(first)).transpose()?;
    let last = two.map_or(text, |(_, last)| last);
    let (last, unit) = match number(last) {
        Ok(value) if bare => (value, None),
        Ok(_) | Err(_) => {
            let read = Measured::parse(last).map_err(|error| error.to_string())?;
            (read.value(), Some(read.unit()))
        }
    };
    let read = Read { value: first.unwrap_or(last), below: first.and(Some(last)), unit };
    match first {
        Some(first) if first >= last => {
            Err(format!("`{text}`: write the smaller value first, as in 0.20..0.25mm"))
        }
        Some(_) | None => Ok(read),
    }
}

/// A language such as `en` or `pt-BR`.
///
/// # Errors
/// Says what would be right.
pub fn language(text: &str) -> Result<String, String> {
    let fits = |part: &str| {
        (1..=8).contains(&part.len()) && part.chars().all(|c| c.is_ascii_alphanumeric())
    };
    let primary = text.split('-').next().unwrap_or("");
    if (2..=3).contains(&primary.len())
        && primary.chars().all(|c| c.is_ascii_alphabetic())
        && text.len() <= 35
        && text.split('-').all(fits)
    {
        Ok(text.to_owned())
    } else {
        Err("write a language as in `en`, `de` or `pt-BR`".to_owned())
    }
}

/// The entries of lists with commas, blanks around them and empty ones dropped.
pub fn entries(lists: &[String]) -> Vec<String> {
    lists
        .iter()
        .flat_map(|list| list.split(','))
        .map(str::trim)
        .filter(|entry| !entry.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Numbers in lists with commas.
///
/// # Errors
/// Says which is no number.
pub fn numbers(text: &str) -> Result<Vec<f64>, String> {
    text.split(',').map(number).collect()
}

#[cfg(test)]
mod tests {
    use super::{
        Read, amount, entries, inner_share, language, number, numbers, positive, reading,
        share,
    };

    #[test]
    fn numbers_are_finite_and_in_range() {
        assert_eq!(number("-3"), Ok(-3.0));
        for text in ["NaN", "inf", "1e999", "", "seven", "7,9", "0x10"] {
            assert!(number(text).is_err(), "{text}");
        }
        assert!(amount("-5").is_err() && amount("0").is_ok());
        assert!(positive("0").is_err() && positive("1e-3").is_ok());
        assert!(share("1.01").is_err() && share("1").is_ok());
        assert!(inner_share("1").is_err() && inner_share("0.95").is_ok());
        assert_eq!(numbers("7.9,8.0"), Ok(vec![7.9, 8.0]));
        assert!(numbers("7.9,,8").is_err());
    }

    #[test]
    fn a_reading_is_one_value_or_two() {
        let unit = |name: &str| units::Unit::parse(name).ok();
        let one = Read { value: 7.9, below: None, unit: unit("ohm") };
        assert_eq!(reading("7.9 ohm", false), Ok(one));
        let two = Read { value: 0.2, below: Some(0.25), unit: unit("mm") };
        assert_eq!(reading("0.20..0.25mm", false), Ok(two));
        assert_eq!(reading("0.20 .. 0.25", true), Ok(Read { unit: None, ..two }));
        for wrong in ["0.25..0.20mm", "0.2..0.2mm", "..0.25mm", "0.20..", "0.2..0.25"] {
            assert!(reading(wrong, false).is_err(), "{wrong}");
        }
    }

    #[test]
    fn lists_may_be_empty() {
        assert_eq!(entries(&["a, b".to_owned(), String::new(), "c".to_owned()]).len(), 3);
        assert!(entries(&[String::new()]).is_empty());
    }

    #[test]
    fn languages_have_the_form_of_bcp_47() {
        assert!(language("en").is_ok() && language("pt-BR").is_ok());
        for text in ["", "e", "english", "en_GB", "en-", "../en"] {
            assert!(language(text).is_err(), "{text}");
        }
    }
}
