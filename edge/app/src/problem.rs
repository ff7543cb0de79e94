//! What went wrong: the thing, the place, the next move, and what the command exits with.

use std::fmt;

use serde::Serialize;

/// Exit status of the command.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Exit {
    /// Answered.
    #[default]
    Answered = 0,
    /// The input was understood and is wrong.
    Wrong = 1,
    /// The command line makes no sense.
    Usage = 2,
    /// It could not be finished: disk, store.
    CouldNot = 3,
}

/// Where something is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Place {
    /// The file as it was named; `-` is standard input.
    pub file: String,
    /// Line, from 1.
    pub line: Option<u32>,
    /// Column in characters, from 1.
    pub column: Option<u32>,
}

/// The line that holds a problem, to be shown with the spot underlined.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// The line without its end.
    pub line: String,
    /// Characters of the line before the spot.
    pub from: usize,
    /// Characters of the spot within the line, at least 1.
    pub length: usize,
}

/// One problem.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// A stable word for this kind of problem, such as `unknown-key`.
    pub kind: String,
    /// What is wrong, in plain words.
    pub what: String,
    /// Where; null where it is no file.
    #[serde(rename = "where")]
    pub place: Option<Box<Place>>,
    /// What would be right, where it can be said.
    pub hint: Option<String>,
    /// The line to show.
    #[serde(skip)]
    pub spot: Option<Box<Spot>>,
    /// What the command exits with.
    #[serde(skip)]
    pub exit: Exit,
}

/// The shape of an error line on standard error.
#[derive(Serialize)]
struct Line<'a> {
    error: &'a Problem,
}

impl Problem {
    /// The input was understood and is wrong.
    pub fn wrong(kind: &str, what: impl fmt::Display) -> Self {
        Self::new(Exit::Wrong, kind, what)
    }

    /// The command line makes no sense.
    pub fn usage(what: impl fmt::Display) -> Self {
        Self::new(Exit::Usage, "usage", what)
    }

    /// It could not be finished.
    pub fn could_not(kind: &str, what: impl fmt::Display) -> Self {
        Self::new(Exit::CouldNot, kind, what)
    }

    fn new(exit: Exit, kind: &str, what: impl fmt::Display) -> Self {
        let (kind, what) = (kind.to_owned(), what.to_string());
        Self { kind, what, place: None, hint: None, spot: None, exit }
    }

    /// Adds what would be right.
    #[must_use]
    pub fn hint(mut self, hint: impl fmt::Display) -> Self {
        self.hint = Some(hint.to_string());
        self
    }

    /// Adds what would be right, where there is something to say.
    #[must_use]
    pub fn maybe_hint(mut self, hint: Option<String>) -> Self {
        self.hint = hint;
        self
    }

    /// Adds the file it is about.
    #[must_use]
    pub fn in_file(mut self, file: impl fmt::Display) -> Self {
        self.place =
            Some(Box::new(Place { file: file.to_string(), line: None, column: None }));
        self
    }

    /// The problem as one line of JSON, without a line end.
    pub fn json_line(&self) -> String {
        let line = Line { error: self };
        serde_json::to_string(&line)
            .unwrap_or_else(|error| format!(r#"{{"error":{{"kind":"json","what":"{error}","where":null,"hint":null}}}}"#))
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(place) = &self.place {
            write!(out, "{}:", place.file)?;
            if let (Some(line), Some(column)) = (place.line, place.column) {
                write!(out, "{line}:{column}:")?;
            }
            write!(out, " ")?;
        }
        out.write_str(&self.what)
    }
}

impl std::error::Error for Problem {}

/// All problems of one run, at least one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problems(Vec<Problem>);

impl Problems {
    /// All of a list; `None` where it is empty.
    pub fn of(list: Vec<Problem>) -> Option<Self> {
        (!list.is_empty()).then_some(Self(list))
    }

    /// The problems in order.
    pub fn list(&self) -> &[Problem] {
        &self.0
    }

    /// What the command exits with: the gravest of them.
    pub fn exit(&self) -> Exit {
        self.0.iter().map(|problem| problem.exit).max().unwrap_or(Exit::Wrong)
    }
}

impl From<Problem> for Problems {
    fn from(problem: Problem) -> Self {
        Self(vec![problem])
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, problem) in self.0.iter().enumerate() {
            if at > 0 {
                out.write_str("\n")?;
            }
            problem.fmt(out)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

#[cfg(test)]
mod tests {
    use super::{Exit, Place, Problem, Problems};

    #[test]
    fn an_error_line_has_the_four_fields_of_the_contract() {
        let mut problem =
            Problem::wrong("unknown-key", "`titel` is not known").hint("title");
        let place = Place { file: "a.toml".to_owned(), line: Some(3), column: Some(1) };
        problem.place = Some(Box::new(place));
        let expected = r#"{"error":{"kind":"unknown-key","what":"`titel` is not known","where":{"file":"a.toml","line":3,"column":1},"hint":"title"}}"#;
        assert_eq!(problem.json_line(), expected);
        assert_eq!(problem.to_string(), "a.toml:3:1: `titel` is not known");
    }

    #[test]
    fn what_is_not_known_is_null_and_not_left_out() {
        let line = Problem::usage("no sheet").json_line();
        assert_eq!(
            line,
            r#"{"error":{"kind":"usage","what":"no sheet","where":null,"hint":null}}"#
        );
    }

    #[test]
    fn the_gravest_problem_decides() {
        let all = vec![Problem::wrong("a", "a"), Problem::could_not("b", "b")];
        assert_eq!(Problems::of(all).map(|all| all.exit()), Some(Exit::CouldNot));
        assert_eq!(Problems::of(Vec::new()), None);
    }
}
