//! *Did you mean* for names on the command line.

/// Longer names are not compared.
const LONGEST: usize = 48;

/// A hint with the nearest of the known names, or with all of them where none is near.
pub(crate) fn known_names<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let known: Vec<&str> = known.into_iter().collect();
    let given: Vec<char> = given.to_lowercase().chars().take(LONGEST + 1).collect();
    let most = given.len().div_ceil(3).min(3);
    let near = known
        .iter()
        .map(|name| (steps(&given, &name.chars().collect::<Vec<_>>()), *name))
        .filter(|(steps, name)| *steps <= most && *steps < name.len())
        .min_by_key(|(steps, _)| *steps);
    match near {
        Some((_, name)) => Some(format!("did you mean `{name}`?")),
        None if known.is_empty() => None,
        None => Some(format!("there are: {}", known.join(", "))),
    }
}

/// Letters to insert, drop or change (Wagner and Fischer 1974).
fn steps(from: &[char], to: &[char]) -> usize {
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.iter().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in to.iter().enumerate() {
            let change = diagonal + usize::from(a != b);
            diagonal = row[j + 1];
            row[j + 1] = change.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[to.len()]
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
