//! Remarks about a text: what is wrong, where, and what would be right.

use std::ops::Range;

use schemars::JsonSchema;
use serde::Serialize;

/// So many remarks are kept; a file with more has one cause for most of them.
const MOST_REMARKS: usize = 200;

/// Whether a remark stops the text from being used.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum RemarkKind {
    /// The text can't be used as it is.
    Error,
    /// The text can be used; the writer should know.
    Warning,
}

/// One remark with its place in the text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Remark {
    /// Error or warning.
    pub kind: RemarkKind,
    /// A stable name for this kind of problem, such as `unknown-key`.
    pub code: &'static str,
    /// What is wrong, in plain words.
    pub what: String,
    /// What would be right, where it can be said.
    pub hint: Option<String>,
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// First byte and the byte after the last.
    pub span: (usize, usize),
}

/// A remark whose place is still bytes.
#[derive(Debug, Clone)]
pub(crate) struct Note {
    pub(crate) kind: RemarkKind,
    pub(crate) code: &'static str,
    pub(crate) what: String,
    pub(crate) hint: Option<String>,
    pub(crate) span: Range<usize>,
}

impl Note {
    /// Adds what would be right.
    pub(crate) fn hint(&mut self, hint: impl Into<String>) {
        self.hint = Some(hint.into());
    }

    /// Adds what would be right, where there is something to say.
    pub(crate) fn maybe(&mut self, hint: Option<String>) {
        self.hint = hint;
    }
}

/// Collects remarks while a text is walked.
#[derive(Debug, Default)]
pub(crate) struct Notes {
    list: Vec<Note>,
}

impl Notes {
    /// Adds an error.
    pub(crate) fn error(
        &mut self,
        code: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
    ) -> &mut Note {
        self.push(RemarkKind::Error, code, span, what.into())
    }

    /// Adds a warning.
    pub(crate) fn warn(
        &mut self,
        code: &'static str,
        span: Range<usize>,
        what: impl Into<String>,
    ) -> &mut Note {
        self.push(RemarkKind::Warning, code, span, what.into())
    }

    fn push(
        &mut self,
        kind: RemarkKind,
        code: &'static str,
        span: Range<usize>,
        what: String,
    ) -> &mut Note {
        let place = self.list.len();
        self.list.push(Note { kind, code, what, hint: None, span });
        &mut self.list[place]
    }

    /// Whether there is an error among them.
    pub(crate) fn has_error(&self) -> bool {
        self.list.iter().any(|note| note.kind == RemarkKind::Error)
    }

    /// Whether so much is wrong that looking for what may be meant is wasted time.
    pub(crate) fn full(&self) -> bool {
        self.list.len() > 2 * MOST_REMARKS
    }

    /// Whether a remark says already that a key of a single table stands elsewhere.
    pub(crate) fn misplaced(&self, key: &str, owner: &str) -> bool {
        let said = format!("`{key}` belongs to {owner}");
        self.list.iter().any(|note| note.what.starts_with(&said))
    }

    /// Whether a remark on something within a place proposes that word.
    pub(crate) fn proposes(&self, word: &str, within: &Range<usize>) -> bool {
        let hint = format!("did you mean `{word}`?");
        self.list
            .iter()
            .rev()
            .take_while(|note| note.span.start >= within.start)
            .any(|note| note.code == "unresolved" && note.hint.as_deref() == Some(&hint))
    }

    /// Drops what does not hold.
    pub(crate) fn keep(&mut self, holds: impl FnMut(&Note) -> bool) {
        self.list.retain(holds);
    }

    /// Takes over the remarks of another walk.
    pub(crate) fn append(&mut self, other: Self) {
        self.list.extend(other.list);
    }

    /// The remarks in the order of the text, each with its line and column.
    pub(crate) fn placed(mut self, text: &str) -> Vec<Remark> {
        self.list.sort_by(|a, b| {
            (a.span.start, a.kind, a.span.end).cmp(&(b.span.start, b.kind, b.span.end))
        });
        // A list that is looked at twice is no two mistakes.
        self.list.dedup_by(|a, b| a.span == b.span && a.what == b.what);
        // Errors first when cutting, so that a cut never turns a bad text into a good one.
        if self.list.len() > MOST_REMARKS {
            self.list.sort_by_key(|note| note.kind);
            self.list.truncate(MOST_REMARKS);
            self.list.sort_by_key(|note| note.span.start);
        }
        let lines = Lines::of(text);
        self.list.into_iter().map(|note| lines.place(text, note)).collect()
    }
}

/// Where the lines of a text start.
struct Lines(Vec<usize>);

impl Lines {
    fn of(text: &str) -> Self {
        let after_breaks = text.match_indices('\n').map(|(at, _)| at + 1);
        Self(std::iter::once(0).chain(after_breaks).collect())
    }

    fn place(&self, text: &str, note: Note) -> Remark {
        let start = boundary(text, note.span.start);
        let end = boundary(text, note.span.end).max(start);
        let line = self.0.partition_point(|&from| from <= start).max(1);
        let from = self.0[line - 1];
        let before = text.get(from..start).unwrap_or("").trim_start_matches('\u{feff}');
        Remark {
            kind: note.kind,
            code: note.code,
            what: note.what,
            hint: note.hint,
            line: small(line),
            column: small(before.chars().count() + 1),
            span: (start, end),
        }
    }
}

/// The nearest character boundary at or before a byte.
fn boundary(text: &str, at: usize) -> usize {
    let at = at.min(text.len());
    (0..=at).rev().find(|&place| text.is_char_boundary(place)).unwrap_or(0)
}

fn small(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}
