//! Bytes to text: byte-order marks, UTF-16, and Latin-1 where UTF-8 fails.

use std::borrow::Cow;

/// The text of a file, and a remark where it was not plain UTF-8.
pub(crate) fn decode(bytes: &[u8]) -> (Cow<'_, str>, Option<&'static str>) {
    if let Some(rest) = bytes.strip_prefix(&[0xff, 0xfe]) {
        return (utf16(rest, u16::from_le_bytes), Some("read as UTF-16"));
    }
    if let Some(rest) = bytes.strip_prefix(&[0xfe, 0xff]) {
        return (utf16(rest, u16::from_be_bytes), Some("read as UTF-16"));
    }
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    if let Ok(text) = std::str::from_utf8(bytes) {
        return (Cow::Borrowed(text), None);
    }
    let text = bytes.iter().map(|b| char::from(*b)).collect();
    (Cow::Owned(text), Some("not UTF-8: read as Latin-1"))
}

fn utf16(bytes: &[u8], join: fn([u8; 2]) -> u16) -> Cow<'_, str> {
    let (pairs, _) = bytes.as_chunks::<2>();
    let units = pairs.iter().map(|pair| join(*pair));
    let text =
        char::decode_utf16(units).map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER));
    Cow::Owned(text.collect())
}

/// Undoes the double encoding that turns `°` into `Â°` and `µ` into `Âµ`.
pub(crate) fn mend_label(text: &str) -> String {
    text.replace("\u{c2}\u{b0}", "\u{b0}")
        .replace("\u{c2}\u{b5}", "\u{b5}")
        .replace("\u{ce}\u{a9}", "\u{3a9}")
}
