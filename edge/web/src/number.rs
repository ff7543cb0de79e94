//! Numbers typed on a phone: point or comma, an empty field is no number.

use app::Problem;

/// The amount in a field, 0 or more; `None` where the field is empty.
///
/// # Errors
/// Says which field holds no amount.
pub(crate) fn amount(field: &str, text: &str) -> Result<Option<f64>, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let value = text.replace(',', ".").parse::<f64>().ok();
    match value.filter(|value| value.is_finite() && *value >= 0.0) {
        Some(value) => Ok(Some(value)),
        None => Err(Problem::wrong("form", format!("{field}: `{text}` is no amount"))
            .hint("digits, with a point or a comma where it needs one")),
    }
}

/// A reading with points where a comma stands between two digits: what follows a reading never
/// begins with a digit.
pub(crate) fn points(text: &str) -> String {
    let digit = |at: usize| text.as_bytes().get(at).is_some_and(u8::is_ascii_digit);
    let inner = |at: usize| digit(at + 1) && at.checked_sub(1).is_some_and(digit);
    let point = |(at, letter)| if letter == ',' && inner(at) { '.' } else { letter };
    text.char_indices().map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::{amount, points};

    #[test]
    fn a_comma_between_digits_is_a_point_and_any_other_stays() {
        assert_eq!(points("7,9 ohm,part-c=60"), "7.9 ohm,part-c=60");
        assert_eq!(points("0,20..0,25"), "0.20..0.25");
        assert_eq!(points(",5 ü,7,"), ",5 ü,7,");
    }

    #[test]
    fn a_comma_is_a_point_and_nothing_else_is_a_number() {
        assert_eq!(amount("Sum", " 120,5 "), Ok(Some(120.5)));
        assert_eq!(amount("Sum", ""), Ok(None));
        for wrong in ["-1", "NaN", "inf", "1e999", "12 34", "1.000,50"] {
            assert!(amount("Sum", wrong).is_err(), "{wrong}");
        }
    }
}
