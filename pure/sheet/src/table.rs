//! One table of the text: its keys checked, its values taken out with their places.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::kinds::{Kind, PLACES};
use crate::near::nearest;
use crate::remark::Notes;

/// A value with its place.
pub(crate) type Value<'a> = Spanned<DeValue<'a>>;

/// A table whose unknown keys have been remarked.
#[derive(Debug, Clone)]
pub(crate) struct Table<'a> {
    /// What kind of table.
    pub(crate) kind: Kind,
    /// Its header or its braces.
    pub(crate) span: Range<usize>,
    /// What it is called in remarks: `` item `heat-shield` ``.
    pub(crate) called: String,
    entries: &'a DeTable<'a>,
    /// Keys that unknown ones are slips for.
    strange: Vec<&'static str>,
}

impl<'a> Table<'a> {
    /// The top of a text.
    pub(crate) fn top(kind: Kind, entries: &'a DeTable<'a>, notes: &mut Notes) -> Self {
        let called = kind.word().to_owned();
        let mut table = Self { kind, span: 0..0, called, entries, strange: Vec::new() };
        table.remark_unknown(None, notes);
        table
    }

    /// The table that a value is, or a remark that it is none.
    pub(crate) fn open(
        kind: Kind,
        value: &'a Value<'a>,
        parent: &Self,
        notes: &mut Notes,
    ) -> Option<Self> {
        let DeValue::Table(entries) = value.get_ref() else {
            let what = format!(
                "{} must be a table, not {}",
                with_article(kind.word()),
                kind_of(value.get_ref())
            );
            notes
                .error("wrong-type", value.span(), what)
                .hint(format!("write `{}` and its keys below", kind.header()));
            return None;
        };
        let called = match entries.get("id").map(Spanned::get_ref) {
            Some(DeValue::String(id)) => format!("{} `{}`", kind.word(), short(id)),
            _ => kind.word().to_owned(),
        };
        let span = value.span();
        let mut table = Self { kind, span, called, entries, strange: Vec::new() };
        table.remark_unknown(Some(parent), notes);
        Some(table)
    }

    /// The value of a key; `None` too where a syntax error ate it.
    pub(crate) fn value(&self, key: &str) -> Option<&'a Value<'a>> {
        self.entries.get(key).filter(|value| !value.span().is_empty())
    }

    /// Whether the key is there, with whatever value.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.entries.contains_key(key)
    }

    /// Where the key stands; the table itself where it is absent.
    pub(crate) fn key_span(&self, key: &str) -> Range<usize> {
        self.entries
            .get_key_value(key)
            .map_or_else(|| self.span.clone(), |(name, _)| name.span())
    }

    /// Where the value of a key stands; the table itself where it is absent.
    pub(crate) fn value_span(&self, key: &str) -> Range<usize> {
        self.value(key).map_or_else(|| self.span.clone(), Spanned::span)
    }

    /// Whether a key that is not known here is a slip for this one.
    pub(crate) fn means(&self, key: &str) -> bool {
        self.strange.contains(&key)
    }

    fn remark_unknown(&mut self, parent: Option<&Self>, notes: &mut Notes) {
        for (key, value) in self.entries {
            let name: &str = key.get_ref();
            if self.kind.holds(name) || name.starts_with("x-") {
                continue;
            }
            if notes.full() {
                notes.error("unknown-key", key.span(), "too many unknown keys");
                return;
            }
            let (what, hint) = self.unknown(name, value.get_ref(), parent);
            notes.error("unknown-key", key.span(), what).maybe(hint);
        }
    }

    /// What to say of a key that does not belong here.
    fn unknown(
        &mut self,
        key: &str,
        value: &DeValue<'_>,
        parent: Option<&Self>,
    ) -> (String, Option<String>) {
        if let Some(what) = parent.and_then(|parent| parent.belongs(key)) {
            return (what, None);
        }
        let shown = short(key);
        if self.kind == Kind::Proof && ["off", "on", "assembled"].contains(&key) {
            let what = format!("`{shown}` is no key of a proof");
            let hint = "a proof is made with everything refitted; one that repeats a \
                        check takes over what the check needs";
            return (what, Some(hint.to_owned()));
        }
        let table = matches!(value, DeValue::Table(_) | DeValue::Array(_));
        let sort = if self.kind == Kind::Root && table { "table" } else { "key" };
        let what =
            format!("`{shown}` is no {sort} of {}", with_article(self.kind.word()));
        if let Some(near) = nearest(key, self.kind.all()) {
            self.strange.push(near);
            return (what, Some(format!("did you mean `{near}`?")));
        }
        let mut places = PLACES.iter().filter(|place| place.holds(key));
        if let (Some(place), None) = (places.next(), places.next()) {
            return (self.elsewhere(&shown, *place), None);
        }
        let around = parent.and_then(|parent| nearest(key, parent.kind.all()));
        if let Some(near) = around {
            let kind = parent.map_or("", |parent| parent.kind.word());
            return (what, Some(format!("did you mean `{near}` of the {kind}?")));
        }
        let known: Vec<String> = self.kind.all().map(|key| format!("`{key}`")).collect();
        (
            what,
            Some(format!("known here: {}; your own begin with `x-`", known.join(", "))),
        )
    }

    /// What to say of a key of this table that landed in one of its sub-tables.
    pub(crate) fn belongs(&self, key: &str) -> Option<String> {
        if !self.kind.keys().contains(&key) {
            return None;
        }
        let (word, sub) = (self.kind.word(), self.first_sub()?);
        Some(format!("`{key}` belongs to the {word}: move it above {sub}"))
    }

    fn elsewhere(&self, key: &str, place: Kind) -> String {
        let word = place.word();
        let owner =
            if word.starts_with('`') { word.to_owned() } else { format!("the {word}") };
        let inside = place.parent() == Some(self.kind) && self.kind != Kind::Root;
        if inside || self.kind == Kind::Root || word.starts_with('`') {
            return format!(
                "`{key}` belongs to {owner}: move it below `{}`",
                place.header()
            );
        }
        let here = with_article(self.kind.word());
        format!("`{key}` is no key of {here}; it belongs to {owner}")
    }

    /// The first sub-table as the text has them: `its first fastener`.
    fn first_sub(&self) -> Option<String> {
        let start = |key: &&str| {
            let value = self.entries.get(*key)?;
            let first = value.get_ref().as_array().and_then(|list| list.first());
            Some(first.unwrap_or(value).span().start)
        };
        let subs =
            if self.kind == Kind::Repair { &["parts"] } else { self.kind.tables() };
        let first = subs
            .iter()
            .filter_map(|key| start(key).map(|start| (start, *key)))
            .min()
            .map(|(_, key)| key)?;
        let named = [
            (Kind::Item, format!("its first {first}")),
            (Kind::Check, format!("`[check.{first}]`")),
            (Kind::Repair, "its first part".to_owned()),
        ];
        named.into_iter().find(|(kind, _)| *kind == self.kind).map(|(_, words)| words)
    }
}

/// Every key with its value, in the order of the text.
pub(crate) fn in_order<'a>(
    entries: &'a DeTable<'a>,
) -> Vec<(&'a Spanned<toml::de::DeString<'a>>, &'a Value<'a>)> {
    let mut list: Vec<_> = entries.iter().collect();
    list.sort_by_key(|(key, _)| key.span().start);
    list
}

/// What a value is, in plain words.
pub(crate) fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// `an item`, `a check`, `[economy]`.
pub(crate) fn with_article(word: &str) -> String {
    match word.chars().next() {
        Some('`') => word.to_owned(),
        Some('a' | 'e' | 'i' | 'o' | 'u') => format!("an {word}"),
        _ => format!("a {word}"),
    }
}

/// At most 48 characters of what somebody wrote, without control characters.
pub(crate) fn short(text: &str) -> String {
    let mut shown: String =
        text.chars().take(48).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(48).is_some() {
        shown.push('…');
    }
    shown
}
