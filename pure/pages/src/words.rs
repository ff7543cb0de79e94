//! Text that is fit for a page: no control and no direction-changing characters.

use std::fmt;

use serde::{Serialize, Serializer};

/// A cleaned line of text; the only text that a [`crate::Page`] can hold.
///
/// Tabs, line ends and other white space become one space each; C0 and C1 control
/// characters, bidirectional controls (Unicode UAX 9), interlinear marks, byte order
/// marks and tag characters are dropped. What is left is still untrusted: renderers
/// escape it.
#[derive(Clone, PartialEq, Eq, Default, PartialOrd, Ord, Hash)]
pub struct Words(String);

impl Words {
    /// Cleans `text` into one line.
    #[must_use]
    pub fn new(text: &str) -> Self {
        let kept: String = text.chars().filter_map(fit).collect();
        Self(kept.trim().to_owned())
    }

    /// The cleaned text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether nothing is left.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// One entry for each line of `text` that is not blank.
    #[must_use]
    pub fn lines(text: &str) -> Vec<Self> {
        text.split(['\n', '\r', '\u{b}', '\u{c}', '\u{85}', '\u{2028}', '\u{2029}'])
            .map(Self::new)
            .filter(|line| !line.is_empty())
            .collect()
    }
}

/// The character as it may stand on a page; `None`: dropped.
fn fit(c: char) -> Option<char> {
    match c {
        '\t' | '\n' | '\u{b}' | '\u{c}' | '\r' | '\u{85}' | '\u{2028}' | '\u{2029}' => {
            Some(' ')
        }
        '\u{61c}'
        | '\u{200e}'
        | '\u{200f}'
        | '\u{202a}'..='\u{202e}'
        | '\u{2066}'..='\u{206f}'
        | '\u{feff}'
        | '\u{fff0}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}' => None,
        _ if c.is_control() => None,
        _ => Some(c),
    }
}

impl From<&str> for Words {
    fn from(text: &str) -> Self {
        Self::new(text)
    }
}

impl From<String> for Words {
    fn from(text: String) -> Self {
        Self::new(&text)
    }
}

impl From<&String> for Words {
    fn from(text: &String) -> Self {
        Self::new(text)
    }
}

impl fmt::Display for Words {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

impl fmt::Debug for Words {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&self.0, out)
    }
}

impl Serialize for Words {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}
