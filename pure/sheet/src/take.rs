//! Takes checked values out of tables: numbers, words, texts, lists, sub-tables.

use std::ops::Range;

use toml::de::DeValue;

use crate::Text;
use crate::kinds::Kind;
use crate::names::Names;
use crate::near::did_you_mean;
use crate::remark::Notes;
use crate::table::{Table, Value, in_order, kind_of, short};

/// No money, minute or distance of a repair is larger.
const LARGEST: f64 = 1e12;

/// Which numbers a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Within {
    /// Zero or more.
    Amount,
    /// More than zero.
    Positive,
    /// A probability or a share, 0 to 1.
    Share,
    /// Any finite number.
    Any,
}

/// What walks the text: its remarks so far and the names that references may use.
#[derive(Debug)]
pub(crate) struct Reader<'a> {
    pub(crate) notes: Notes,
    pub(crate) names: Names<'a>,
}

impl<'a> Reader<'a> {
    /// The number that a value is, if it is one in range.
    pub(crate) fn number_of(
        &mut self,
        name: &str,
        value: &Value<'_>,
        within: Within,
    ) -> Option<f64> {
        let found = value.get_ref();
        let number = match found {
            DeValue::Integer(whole) if whole.radix() == 10 => whole.as_str().parse().ok(),
            DeValue::Integer(whole) => {
                u32::from_str_radix(whole.as_str(), whole.radix()).ok().map(f64::from)
            }
            DeValue::Float(float) => float.as_str().parse().ok(),
            DeValue::String(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => {
                let what = format!("`{name}` must be a number, not {}", kind_of(found));
                let inside =
                    found.as_str().and_then(|text| units::parse_number(text).ok());
                self.notes
                    .error("wrong-type", value.span(), what)
                    .maybe(inside.map(|number| format!("without the quotes: {number}")));
                return None;
            }
        };
        let Some(number) = number.filter(|number: &f64| number.is_finite()) else {
            let what = format!("`{name}` must be a finite number");
            self.notes.error("not-finite", value.span(), what);
            return None;
        };
        if let Some(wrong) = out_of_range(name, number, within) {
            self.notes.error("out-of-range", value.span(), wrong);
            return None;
        }
        // Minus zero would print as -0.
        Some(number + 0.0)
    }

    /// The number of a key, if it is there and right.
    pub(crate) fn number(
        &mut self,
        table: &Table<'a>,
        key: &str,
        within: Within,
    ) -> Option<f64> {
        self.number_of(key, table.value(key)?, within)
    }

    /// Money, minutes or another amount of a key; 0 where it is absent.
    pub(crate) fn amount(&mut self, table: &Table<'a>, key: &str) -> f64 {
        self.number(table, key, Within::Amount).unwrap_or(0.0)
    }

    /// The number of a key that must be there.
    pub(crate) fn required(
        &mut self,
        table: &Table<'a>,
        key: &str,
        within: Within,
    ) -> Option<f64> {
        if !table.has(key) {
            self.missing(table, key, "a number");
        }
        self.number(table, key, within)
    }

    /// Remarks that a key is missing.
    pub(crate) fn missing(&mut self, table: &Table<'a>, key: &str, example: &str) {
        if table.means(key) || self.notes.misplaced(key, table.kind.word()) {
            return;
        }
        let owner = match table.kind.word() {
            word if word.starts_with('`') => word.to_owned(),
            _ => format!("the {}", table.called),
        };
        let what = format!("{owner} has no `{key}`");
        let hint = format!("add `{key} = …` ({example})");
        self.notes.error("missing-key", table.span.clone(), what).hint(hint);
    }

    /// A whole number of a key between two limits.
    pub(crate) fn count(
        &mut self,
        table: &Table<'a>,
        key: &str,
        limits: (u32, u32),
    ) -> Option<u32> {
        let value = table.value(key)?;
        let DeValue::Integer(whole) = value.get_ref() else {
            let found = value.get_ref();
            let shown = found.as_float().map(|float| short(float.as_str()));
            let what = format!(
                "`{key}` must be a whole number, not {}",
                shown.unwrap_or_else(|| kind_of(found).to_owned())
            );
            self.notes.error("wrong-type", value.span(), what);
            return None;
        };
        let number = i64::from_str_radix(whole.as_str(), whole.radix()).ok();
        let fits = |number: &u32| (limits.0..=limits.1).contains(number);
        let found = number.and_then(|number| u32::try_from(number).ok()).filter(fits);
        if found.is_none() {
            let what = format!(
                "`{key}` must be a whole number from {} to {}, not {}",
                limits.0,
                limits.1,
                short(whole.as_str())
            );
            self.notes.error("out-of-range", value.span(), what);
        }
        found
    }

    /// `true` or `false` of a key, if it is there and right.
    pub(crate) fn flag(&mut self, table: &Table<'a>, key: &str) -> Option<bool> {
        let value = table.value(key)?;
        if let DeValue::Boolean(flag) = value.get_ref() {
            return Some(*flag);
        }
        let what = format!("`{key}` must be true or false, without quotes");
        self.notes.error("wrong-type", value.span(), what);
        None
    }

    /// A plain string of a key.
    pub(crate) fn string(
        &mut self,
        table: &Table<'a>,
        key: &str,
    ) -> Option<(&'a str, Range<usize>)> {
        let value = table.value(key)?;
        self.string_of(key, value)
    }

    /// The plain string that a value is.
    pub(crate) fn string_of(
        &mut self,
        name: &str,
        value: &'a Value<'a>,
    ) -> Option<(&'a str, Range<usize>)> {
        if let DeValue::String(text) = value.get_ref() {
            return Some((text, value.span()));
        }
        let what = format!(
            "`{name}` must be a text in quotes, not {}",
            kind_of(value.get_ref())
        );
        self.notes.error("wrong-type", value.span(), what);
        None
    }

    /// A short name that is kept as written: a thread, a position, a part number.
    pub(crate) fn label(&mut self, table: &Table<'a>, key: &str) -> Option<String> {
        let (text, span) = self.string(table, key)?;
        let trimmed = text.trim();
        let fits = (1..=120).contains(&trimmed.len());
        if fits && !trimmed.chars().any(char::is_control) {
            return Some(trimmed.to_owned());
        }
        let what = format!("`{key}` must be one short line of text");
        self.notes.error("bad-text", span, what);
        None
    }

    /// One of the allowed words of a key.
    pub(crate) fn word(
        &mut self,
        table: &Table<'a>,
        key: &str,
        allowed: &'static [&'static str],
    ) -> Option<&'static str> {
        let (text, span) = self.string(table, key)?;
        self.word_of(key, (text, span), allowed)
    }

    /// The allowed word that a text is.
    pub(crate) fn word_of(
        &mut self,
        name: &str,
        (text, span): (&str, Range<usize>),
        allowed: &'static [&'static str],
    ) -> Option<&'static str> {
        let found = allowed.iter().find(|word| **word == text);
        if found.is_none() {
            let what = format!("`{}` is no word for `{name}`", short(text));
            let hint = did_you_mean(text, allowed.iter().copied())
                .unwrap_or_else(|| format!("known: {}", allowed.join(", ")));
            self.notes.error("unknown-word", span, what).hint(hint);
        }
        found.copied()
    }

    /// A text in one or several languages.
    pub(crate) fn text(&mut self, table: &Table<'a>, key: &str) -> Option<Text> {
        self.text_of(key, table.value(key)?)
    }

    /// The text that a value is.
    pub(crate) fn text_of(&mut self, name: &str, value: &'a Value<'a>) -> Option<Text> {
        let found = value.get_ref();
        if let DeValue::String(text) = found {
            let fits = self.not_empty(name, text, value.span());
            return fits.then(|| Text::plain(text.trim()));
        }
        let DeValue::Table(entries) = found else {
            let what = format!(
                "`{name}` must be a text, or texts by language as in {{ en = \"…\" }}, not {}",
                kind_of(found)
            );
            self.notes.error("wrong-type", value.span(), what);
            return None;
        };
        let mut by_language = Vec::new();
        for (language, value) in in_order(entries) {
            let tag: &str = language.get_ref();
            if tag.starts_with("x-") {
                continue;
            }
            if !is_language(tag) {
                let what = format!("`{}` is no language", short(tag));
                self.notes
                    .error("unknown-language", language.span(), what)
                    .hint("write it as in `en`, `de` or `pt-BR` (BCP 47)");
                continue;
            }
            if let Some((text, span)) = self.string_of(name, value)
                && self.not_empty(name, text, span)
            {
                by_language.push((tag.to_owned(), text.trim().to_owned()));
            }
        }
        if entries.iter().all(|(language, _)| language.get_ref().starts_with("x-")) {
            self.not_empty(name, "", value.span());
        }
        Some(Text { by_language })
    }

    fn not_empty(&mut self, name: &str, text: &str, span: Range<usize>) -> bool {
        let empty = text.trim().is_empty();
        if empty {
            self.notes.error("bad-text", span, format!("`{name}` is empty"));
        }
        !empty
    }

    /// The values of a list.
    pub(crate) fn list(&mut self, table: &Table<'a>, key: &str) -> &'a [Value<'a>] {
        let Some(value) = table.value(key) else { return &[] };
        if let DeValue::Array(list) = value.get_ref() {
            return list;
        }
        let what = format!("`{key}` must be a list, not {}", kind_of(value.get_ref()));
        let text = value.get_ref().as_str();
        self.notes
            .error("wrong-type", value.span(), what)
            .maybe(text.map(|text| format!("write `{key} = [\"{}\"]`", short(text))));
        &[]
    }

    /// The strings of a list.
    pub(crate) fn strings(
        &mut self,
        table: &Table<'a>,
        key: &str,
    ) -> Vec<(&'a str, Range<usize>)> {
        let list = self.list(table, key);
        list.iter().filter_map(|value| self.string_of(key, value)).collect()
    }

    /// A table within a table, if it is there.
    pub(crate) fn sub(
        &mut self,
        table: &Table<'a>,
        key: &str,
        kind: Kind,
    ) -> Option<Table<'a>> {
        let value = table.value(key)?;
        if let DeValue::Array(list) = value.get_ref() {
            let span = list.first().map_or(value.span(), toml::Spanned::span);
            let what = format!("`{key}` needs single brackets, as there is only one");
            self.notes
                .error("wrong-type", span, what)
                .hint(format!("write `{}`", kind.header()));
            return None;
        }
        Table::open(kind, value, table, &mut self.notes)
    }

    /// The tables of a list of tables, at most `most` of them.
    pub(crate) fn subs(
        &mut self,
        table: &Table<'a>,
        key: &str,
        (kind, most): (Kind, usize),
    ) -> Vec<Option<Table<'a>>> {
        let Some(value) = table.value(key) else { return Vec::new() };
        let DeValue::Array(list) = value.get_ref() else {
            let found = value.get_ref();
            let what = if found.is_table() {
                format!("`{key}` needs double brackets, as there may be several")
            } else {
                format!("`{key}` must be tables, not {}", kind_of(found))
            };
            self.notes
                .error("wrong-type", value.span(), what)
                .hint(format!("write `{}`", kind.header()));
            return Vec::new();
        };
        if let Some(over) = list.get(most) {
            let what = format!("a sheet holds at most {most} {}s here", kind.word());
            self.notes.error("too-many", over.span(), what).hint(format!(
                "this is number {} of {}",
                most + 1,
                list.len()
            ));
        }
        let open = |value| Table::open(kind, value, table, &mut self.notes);
        list.iter().take(most).map(open).collect()
    }
}

fn out_of_range(name: &str, number: f64, within: Within) -> Option<String> {
    match within {
        Within::Amount if number < 0.0 => {
            Some(format!("`{name}` must be 0 or more, not {number}"))
        }
        Within::Positive if number <= 0.0 => {
            Some(format!("`{name}` must be more than 0, not {number}"))
        }
        Within::Share if !(0.0..=1.0).contains(&number) => {
            Some(format!("`{name}` must lie between 0 and 1, not {number}"))
        }
        Within::Amount | Within::Positive | Within::Share | Within::Any => {
            let large = number.abs() > LARGEST;
            large.then(|| format!("`{name}` is too large to be meant: {number:e}"))
        }
    }
}

/// Whether a word has the shape of a BCP 47 language tag.
fn is_language(tag: &str) -> bool {
    let mut parts = tag.split('-');
    let language = parts.next().unwrap_or("");
    (2..=3).contains(&language.len())
        && language.chars().all(|c| c.is_ascii_lowercase())
        && parts.all(|part| {
            (1..=8).contains(&part.len())
                && part.chars().all(|c| c.is_ascii_alphanumeric())
        })
}
