//! *Did you mean* for names on the command line.

/// A hint with the nearest of the known names, or with all of them where none is near.
pub(crate) fn known_names<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let known: Vec<&str> = known.into_iter().collect();
    match sheet::nearest(given, known.iter().copied()) {
        Some(name) => Some(format!("did you mean `{name}`?")),
        None if known.is_empty() => None,
        None => Some(format!("there are: {}", known.join(", "))),
    }
}

#[cfg(test)]
mod tests {
    use super::known_names;

    #[test]
    fn proposes_the_nearest_and_else_says_what_there_is() {
        let known = ["hose-look", "intake-smoke"];
        assert_eq!(known_names("hose-lok", known).unwrap(), "did you mean `hose-look`?");
        assert_eq!(
            known_names("xyz", known).unwrap(),
            "there are: hose-look, intake-smoke"
        );
        assert_eq!(known_names("xyz", []), None);
    }
}
