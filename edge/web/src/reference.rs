//! References of taps: 128 random bits, so that the same form sent twice counts once.

use std::fmt::Write;

use app::Problem;

/// A fresh reference, 32 hex digits.
///
/// # Errors
/// Where the system gives no random numbers.
pub(crate) fn fresh() -> Result<String, Problem> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|error| Problem::could_not("random", error))?;
    Ok(hex(&bytes))
}

/// The reference of one of several entries of a tap; that of the first is the tap's own.
///
/// # Errors
/// A reference that is not 32 hex digits.
pub(crate) fn of_entry(reference: &str, place: u8) -> Result<String, Problem> {
    let fault = || Problem::wrong("reference", "the form has no reference of its own");
    if reference.len() != 32 || !reference.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Err(fault().hint("open the page again and tap there"));
    }
    let (kept, last) = reference.split_at_checked(30).ok_or_else(fault)?;
    let last = u8::from_str_radix(last, 16).map_err(|_| fault())?;
    Ok(format!("{}{:02x}", kept.to_ascii_lowercase(), last ^ place))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string can't fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::{fresh, of_entry};

    #[test]
    fn references_differ_and_entries_of_a_tap_have_their_own() {
        let (one, other) = (fresh().unwrap(), fresh().unwrap());
        assert_ne!(one, other);
        assert_eq!(one.len(), 32);
        assert_eq!(of_entry(&one, 0).unwrap(), one);
        assert_eq!(
            of_entry(&"0".repeat(32), 3).unwrap(),
            format!("{}03", "0".repeat(30))
        );
    }

    #[test]
    fn what_is_no_reference_is_refused() {
        for wrong in [
            "",
            "xyz",
            &"g".repeat(32),
            &"0".repeat(31),
            "ä23456789012345678901234567890",
        ] {
            assert_eq!(of_entry(wrong, 0).unwrap_err().kind, "reference", "{wrong}");
        }
    }
}
