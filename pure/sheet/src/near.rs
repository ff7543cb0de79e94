//! *Did you mean*: the nearest of the known words to one that is not known.

/// Longer words are not compared: nobody mistypes them by two letters.
const LONGEST: usize = 64;

/// The known word nearest to `given`, if it is near enough to be meant.
pub fn nearest<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let plain: Vec<char> = plain(given);
    if plain.is_empty() || plain.len() > LONGEST {
        return None;
    }
    let allowed = match plain.len() {
        0..=2 => 1,
        3..=6 => 2,
        _ => 3,
    };
    let mut best: Option<(usize, &str)> = None;
    for word in known {
        let letters = self::plain(word);
        if letters.len() > LONGEST {
            continue;
        }
        // `torque` for `torque_nm`: the beginning of a word is as good as one slip.
        let begins = plain.len() > 3 && letters.starts_with(&plain);
        let steps = if begins { 1 } else { steps_between(&plain, &letters) };
        let enough = steps <= allowed && steps < letters.len().max(plain.len());
        if enough && best.is_none_or(|(least, _)| steps < least) {
            best = Some((steps, word));
        }
    }
    best.map(|(_, word)| word)
}

/// `did you mean …?` as a hint.
pub(crate) fn did_you_mean<'a>(
    given: &str,
    known: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    nearest(given, known).map(|word| format!("did you mean `{word}`?"))
}

/// Case and the kind of dash do not count as typing errors.
fn plain(word: &str) -> Vec<char> {
    word.chars()
        .take(LONGEST + 1)
        .map(|c| match c {
            ' ' | '-' => '_',
            c => c.to_ascii_lowercase(),
        })
        .collect()
}

/// Letters to insert, drop, change or swap with a neighbour (optimal string alignment).
fn steps_between(a: &[char], b: &[char]) -> usize {
    let mut before_last: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            let change = last[j] + usize::from(from != to);
            let mut least = change.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && *from == b[j - 1] && a[i - 1] == *to {
                least = least.min(before_last[j - 1] + 1);
            }
            row.push(least);
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::{nearest, steps_between};

    fn steps(a: &str, b: &str) -> usize {
        steps_between(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
    }

    #[test]
    fn counts_the_steps_of_the_textbook_examples() {
        // Wagner & Fischer, J. ACM 21 (1974) 168: insert, delete, change; the pair
        // kitten/sitting is the usual worked example (3). Swaps: Damerau, CACM 7 (1964) 171.
        assert_eq!(steps("kitten", "sitting"), 3);
        assert_eq!(steps("ab", "ba"), 1);
        assert_eq!(steps("", "abc"), 3);
    }

    #[test]
    fn proposes_what_is_near_and_nothing_that_is_far() {
        let known = ["weight", "title", "root"];
        assert_eq!(nearest("wieght", known), Some("weight"));
        assert_eq!(nearest("Titel", known), Some("title"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("x", known), None);
        assert_eq!(nearest("torque", ["torque_nm"]), Some("torque_nm"));
    }
}
