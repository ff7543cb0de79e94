//! What the TOML parser found, in plain words; nesting kept shallow.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::remark::Notes;
use crate::table::short;

/// Tables and lists nest at most so deep.
pub(crate) const MOST_DEPTH: usize = 16;

/// So many errors of syntax are told; the rest follows from them.
const MOST_ERRORS: usize = 100;

/// Adds a remark for every syntax error.
pub(crate) fn remarks(text: &str, errors: &[toml::de::Error], notes: &mut Notes) {
    for error in errors.iter().take(MOST_ERRORS) {
        let span = error.span().unwrap_or(text.len()..text.len());
        let there = text.get(span.clone()).unwrap_or("");
        let before = text.get(..span.start).unwrap_or("");
        let after = text.get(span.start..).unwrap_or("");
        let (what, hint) = if is_decimal_comma(before, after) {
            let what = "a decimal comma can't be read".to_owned();
            (what, Some("write a decimal point, as in 0.5".to_owned()))
        } else {
            plain_words(error.message(), there)
        };
        notes.error("syntax", span, what).maybe(hint);
    }
}

/// Whether a text breaks off between two digits at a comma.
fn is_decimal_comma(before: &str, after: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let rest = after.strip_prefix(',');
    digit(before.chars().next_back())
        && rest.is_some_and(|rest| digit(rest.chars().next()))
}

/// The parser's message in plain words, and what would be right.
fn plain_words(message: &str, there: &str) -> (String, Option<String>) {
    let there = short(there.lines().next().unwrap_or(""));
    let said = |what: &str, hint: &str| (what.to_owned(), Some(hint.to_owned()));
    let starts = |beginning: &str| message.starts_with(beginning);
    if starts("duplicate key") {
        let what = format!("`{there}` stands here a second time");
        return (what, Some("keep one of the two".to_owned()));
    }
    if starts("string values must be quoted") {
        let comma = there.contains(',');
        let hint = if comma { "write a decimal point: 0.5" } else { "write \"…\"" };
        return (
            format!("`{there}` is no value: a text stands in quotes"),
            Some(hint.to_owned()),
        );
    }
    if starts("key with no value") || starts("missing value") {
        return said("there is no value here", "write `key = value`");
    }
    if starts("missing assignment") || starts("invalid key-value pair") {
        return said("there is no `=` between key and value", "write `key = value`");
    }
    if starts("extra `=`") || starts("extra assignment") {
        return said("there is one `=` too many", "write `key = value`");
    }
    if starts("missing comma") {
        return said("a comma is missing here", "put a comma between two entries");
    }
    if starts("extra comma") {
        return said("there is one comma too many", "take it out");
    }
    if starts("unclosed table") || starts("unclosed array table") {
        return said("a header is not closed", "write `[name]` or `[[name]]`");
    }
    if starts("unclosed array") {
        return said("a list is not closed", "end it with `]`");
    }
    if starts("unclosed inline table") {
        return said("a table in braces is not closed", "end it with `}`");
    }
    if message.contains("recurs") {
        let hint = format!("at most {MOST_DEPTH} levels");
        return ("tables and lists are nested too deep".to_owned(), Some(hint));
    }
    if starts("cannot extend value") {
        let what = format!("`{there}` is a value already and can't be a table too");
        return (what, None);
    }
    if starts("unexpected leading zero") {
        return said("a number may not begin with 0 and a digit", "leave the zero out");
    }
    if starts("invalid unquoted key") {
        let hint = "write names with letters, digits, dashes and underscores";
        return (format!("`{there}` can't be a key"), Some(hint.to_owned()));
    }
    if message.contains("string") {
        let hint = "a text ends with the quotes that it began with, on the same line \
                    (or use \"\"\" for several lines)";
        return (format!("this text can't be read: {message}"), Some(hint.to_owned()));
    }
    (format!("this is no TOML: {message}"), None)
}

/// The first place that is nested too deep. Own stack: a hostile text has no say.
pub(crate) fn too_deep(top: &DeTable<'_>) -> Option<Range<usize>> {
    let mut deep: Option<Range<usize>> = None;
    let mut waiting: Vec<(&Spanned<DeValue<'_>>, usize)> =
        top.iter().map(|(_, value)| (value, 1)).collect();
    while let Some((value, depth)) = waiting.pop() {
        let inside: Vec<&Spanned<DeValue<'_>>> = match value.get_ref() {
            DeValue::Array(list) => list.iter().collect(),
            DeValue::Table(table) => table.iter().map(|(_, value)| value).collect(),
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_) => continue,
        };
        if depth > MOST_DEPTH {
            if deep.as_ref().is_none_or(|first| value.span().start < first.start) {
                deep = Some(value.span());
            }
            continue;
        }
        waiting.extend(inside.into_iter().map(|value| (value, depth + 1)));
    }
    deep
}

/// Takes a parsed text apart level by level, as dropping it whole recurses.
pub(crate) fn dismantle(top: DeTable<'_>) {
    let mut waiting: Vec<DeValue<'_>> = vec![DeValue::Table(top)];
    while let Some(value) = waiting.pop() {
        match value {
            DeValue::Array(list) => {
                waiting.extend(list.into_iter().map(Spanned::into_inner));
            }
            DeValue::Table(table) => {
                waiting.extend(table.into_iter().map(|(_, value)| value.into_inner()));
            }
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_) => {}
        }
    }
}
