//! How the letters of a file are written: byte-order marks, UTF-16, Latin-1 where UTF-8
//! fails.

use crate::header::windows_letter;
use crate::share;

/// How letters become bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Letters {
    /// UTF-8, or plain ASCII.
    Utf8,
    /// Windows-1252, Latin-1 among it.
    Latin,
    /// UTF-16, little end first.
    Wide,
    /// UTF-16, great end first.
    WideBig,
}

impl Letters {
    /// Looks at the first bytes of a file: letters, bytes of its mark, and what to say.
    pub(crate) fn of(head: &[u8]) -> (Self, usize, Option<&'static str>) {
        if head.starts_with(&[0xff, 0xfe]) {
            return (Self::Wide, 2, Some("read as UTF-16, by its byte-order mark"));
        }
        if head.starts_with(&[0xfe, 0xff]) {
            return (Self::WideBig, 2, Some("read as UTF-16, by its byte-order mark"));
        }
        if head.starts_with(&[0xef, 0xbb, 0xbf]) {
            return (Self::Utf8, 3, Some("read as UTF-8, by its byte-order mark"));
        }
        let start = &head[..head.len().min(400)];
        let empty = |odd: usize| {
            let bytes = start.iter().skip(odd).step_by(2);
            share(bytes.clone().filter(|b| **b == 0).count(), bytes.count())
        };
        let zeros =
            |odd: usize| start.len() > 7 && empty(odd) > 0.9 && empty(1 - odd) == 0.0;
        if zeros(1) {
            return (Self::Wide, 0, Some("read as UTF-16, by its empty bytes"));
        }
        if zeros(0) {
            return (Self::WideBig, 0, Some("read as UTF-16, by its empty bytes"));
        }
        match std::str::from_utf8(head) {
            Ok(_) => (Self::Utf8, 0, None),
            // Cut within a letter.
            Err(error) if error.error_len().is_none() => (Self::Utf8, 0, None),
            Err(_) => (Self::Latin, 0, Some("not UTF-8: read as Latin-1")),
        }
    }

    /// Bytes of a letter of the plain kind.
    pub(crate) fn width(self) -> usize {
        match self {
            Self::Utf8 | Self::Latin => 1,
            Self::Wide | Self::WideBig => 2,
        }
    }

    /// Wide letters as UTF-8; `None`: they are not wide.
    pub(crate) fn narrowed(self, bytes: &[u8]) -> Option<Vec<u8>> {
        let join: fn([u8; 2]) -> u16 = match self {
            Self::Utf8 | Self::Latin => return None,
            Self::Wide => u16::from_le_bytes,
            Self::WideBig => u16::from_be_bytes,
        };
        let (pairs, _) = bytes.as_chunks::<2>();
        let letters = char::decode_utf16(pairs.iter().map(|pair| join(*pair)));
        let text: String =
            letters.map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER)).collect();
        Some(text.into_bytes())
    }

    /// Bytes of the file that a piece of narrowed text was.
    pub(crate) fn bytes_of(self, narrowed: &[u8]) -> usize {
        if self.width() == 1 {
            return narrowed.len();
        }
        2 * String::from_utf8_lossy(narrowed).encode_utf16().count()
    }

    /// Bytes as text.
    pub(crate) fn text(self, bytes: &[u8]) -> String {
        if self == Self::Latin {
            bytes.iter().map(|b| windows_letter(*b)).collect()
        } else {
            String::from_utf8_lossy(bytes).into_owned()
        }
    }
}
