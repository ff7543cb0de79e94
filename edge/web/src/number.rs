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

#[cfg(test)]
mod tests {
    use super::amount;

    #[test]
    fn a_comma_is_a_point_and_nothing_else_is_a_number() {
        assert_eq!(amount("Sum", " 120,5 "), Ok(Some(120.5)));
        assert_eq!(amount("Sum", ""), Ok(None));
        for wrong in ["-1", "NaN", "inf", "1e999", "12 34", "1.000,50"] {
            assert!(amount("Sum", wrong).is_err(), "{wrong}");
        }
    }
}
