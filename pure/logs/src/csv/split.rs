//! Bytes to lines and cells: separators, quotes, line ends.

use std::borrow::Cow;

/// Quoted cells of a header may go over so many bytes of line ends and all.
const QUOTED: usize = 2_000;

/// What separates cells and lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Syntax {
    /// Between cells; a blank stands for any run of blanks and tabs.
    pub(crate) separator: u8,
    /// Ends a line.
    pub(crate) newline: u8,
}

/// A line with its cells.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// Where it begins.
    pub(crate) from: usize,
    /// Where the next one begins.
    pub(crate) next: usize,
    pub(crate) cells: Vec<String>,
    /// It begins with `#`, which the first cell leaves out.
    pub(crate) comment: bool,
}

impl Syntax {
    /// True at a byte that ends a cell.
    pub(crate) fn ends_cell(self, byte: u8) -> bool {
        byte == self.separator
            || byte == self.newline
            || self.separator == b' ' && byte == b'\t'
    }

    /// Past blanks that are no separator.
    #[inline]
    pub(crate) fn past_blanks(self, bytes: &[u8], mut at: usize) -> usize {
        while bytes
            .get(at)
            .is_some_and(|b| *b == b' ' || *b == b'\t' && self.separator != b'\t')
        {
            at += 1;
        }
        at
    }

    /// A cell and the place of what ends it. `longest` is how far a quoted one may go; past
    /// that, or past a line end where that is 0, its quote is a letter like others.
    pub(crate) fn cell(
        self,
        bytes: &[u8],
        from: usize,
        longest: usize,
    ) -> (Cow<'_, [u8]>, usize) {
        let from = self.past_blanks(bytes, from);
        if bytes.get(from) == Some(&b'"')
            && let Some(quoted) = self.quoted(bytes, from + 1, longest)
        {
            return quoted;
        }
        let rest = bytes.get(from..).unwrap_or_default();
        let len = rest.iter().position(|b| self.ends_cell(*b)).unwrap_or(rest.len());
        (Cow::Borrowed(rest[..len].trim_ascii()), from + len)
    }

    fn quoted(
        self,
        bytes: &[u8],
        from: usize,
        longest: usize,
    ) -> Option<(Cow<'_, [u8]>, usize)> {
        let mut text: Cow<'_, [u8]> = Cow::Borrowed(&[]);
        let (mut at, mut piece) = (from, from);
        loop {
            let byte = *bytes.get(at)?;
            if byte == self.newline && at - from >= longest {
                return None;
            }
            if byte == b'"' {
                let part = &bytes[piece..at];
                if text.is_empty() {
                    text = Cow::Borrowed(part);
                } else {
                    text.to_mut().extend_from_slice(part);
                }
                if bytes.get(at + 1) != Some(&b'"') {
                    break;
                }
                text.to_mut().push(b'"');
                at += 1;
                piece = at + 1;
            }
            at += 1;
        }
        // What stands between the quote and the separator belongs to no cell.
        let rest = &bytes[at..];
        let len = rest.iter().position(|b| self.ends_cell(*b)).unwrap_or(rest.len());
        Some((text, at + len))
    }

    /// The lines from a place on, blank ones left out; at most so many.
    pub(crate) fn lines(
        self,
        bytes: &[u8],
        letters: impl Fn(&[u8]) -> String,
        most: usize,
    ) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut at = 0;
        while at < bytes.len() && lines.len() < most {
            let from = at;
            let mut cells: Vec<String> = Vec::new();
            at = self.past_blanks(bytes, at);
            let comment = bytes.get(at) == Some(&b'#');
            at += usize::from(comment);
            loop {
                let (cell, end) = self.cell(bytes, at, QUOTED);
                let text = letters(&cell);
                cells.push(text.split_whitespace().collect::<Vec<_>>().join(" "));
                at = end;
                if self.separator == b' ' {
                    while matches!(bytes.get(at), Some(b' ' | b'\t')) {
                        at += 1;
                    }
                    let over =
                        bytes.get(at).is_none_or(|b| *b == self.newline || *b == b'\r');
                    if over {
                        at += usize::from(bytes.get(at) == Some(&b'\r'));
                        break;
                    }
                    continue;
                }
                if bytes.get(at).is_none_or(|b| *b == self.newline) {
                    break;
                }
                at += 1;
            }
            at += 1;
            if cells.iter().any(|cell| !cell.is_empty()) {
                lines.push(Line { from, next: at.min(bytes.len()), cells, comment });
            }
        }
        lines
    }
}
