//! A problem in words: place, what is wrong, the line with the spot underlined, what would
//! be right. Plain ASCII marks, so that it reads anywhere.

use app::{Problem, Spot};
use pages::Words;

/// Characters of a long line that are shown before and after the spot.
const AROUND: usize = 40;
/// Characters of a spot that are underlined at most.
const MOST_UNDERLINED: usize = 60;

/// The problem as text with its line ends.
pub(crate) fn shown(problem: &Problem) -> String {
    let mut text = String::new();
    if problem.place.is_none() {
        text.push_str("witmark: ");
    }
    text.push_str(Words::new(&problem.to_string()).as_str());
    text.push('\n');
    if let Some(spot) = &problem.spot {
        text.push_str(&underlined(spot));
    }
    if let Some(hint) = &problem.hint {
        for part in ["    = ", Words::new(hint).as_str(), "\n"] {
            text.push_str(part);
        }
    }
    text
}

/// The line, cut around the spot where it is long, and marks under the spot.
fn underlined(spot: &Spot) -> String {
    let from = spot.from.saturating_sub(AROUND);
    let length = spot.length.min(MOST_UNDERLINED);
    let part = |from: usize, count: usize| -> String {
        let chars = spot.line.chars().skip(from).take(count);
        chars
            .map(|c| {
                Words::new(c.encode_utf8(&mut [0; 4]))
                    .as_str()
                    .chars()
                    .next()
                    .unwrap_or(' ')
            })
            .collect()
    };
    let before = part(from, spot.from - from);
    let at = part(spot.from, length);
    let after = part(spot.from + length, AROUND);
    let cut = if from > 0 { "..." } else { "" };
    let goes_on = spot.line.chars().count() > spot.from + length + AROUND;
    let tail = if goes_on { "..." } else { "" };
    let line = format!("{cut}{before}{at}{after}");
    let marks = "^".repeat(report::columns(&at).max(1));
    let blanks = " ".repeat(report::columns(cut) + report::columns(&before));
    format!("    {}{tail}\n    {blanks}{marks}\n", line.trim_end())
}

#[cfg(test)]
mod tests {
    use super::shown;
    use app::{Place, Problem, Spot};

    fn problem(line: &str, from: usize, length: usize) -> Problem {
        let mut problem = Problem::wrong("x", "`a` is wrong").hint("write `b`");
        let place = Place { file: "s.toml".to_owned(), line: Some(3), column: Some(5) };
        problem.place = Some(Box::new(place));
        problem.spot = Some(Box::new(Spot { line: line.to_owned(), from, length }));
        problem
    }

    #[test]
    fn the_spot_is_underlined_under_its_place() {
        let text = shown(&problem("\ta = 排 x", 5, 1));
        let expected =
            "s.toml:3:5: `a` is wrong\n     a = 排 x\n         ^^\n    = write `b`\n";
        assert_eq!(text, expected);
    }

    #[test]
    fn a_long_line_is_cut_and_a_hostile_one_cleaned() {
        let long = format!("{}\u{1b}\u{202e}here{}", "x".repeat(9000), "y".repeat(9000));
        let text = shown(&problem(&long, 9002, 4));
        assert!(text.lines().all(|line| line.chars().count() < 120), "{text}");
        assert!(!text.contains(['\u{1b}', '\u{202e}']));
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1].find("here"), lines[2].find("^^^^"));
    }
}
