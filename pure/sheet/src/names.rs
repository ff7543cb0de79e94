//! The ids of a sheet: their shape, their places, and references to them.

use std::ops::Range;

use crate::kinds::Kind;
use crate::near::nearest;
use crate::table::{Table, Value, short};
use crate::take::Reader;

/// Words that may not be ids, as they mean something else (design section 4).
const RESERVED: [&str; 7] =
    ["fine", "otherwise", "unlisted", "fixed", "close", "pass-on", "skip"];

/// An id is at most so many bytes long.
const LONGEST_ID: usize = 48;

/// The ids of one kind, in sheet order; an unusable one holds its place with "".
#[derive(Debug, Default, Clone, PartialEq)]
pub(crate) struct Directory<'a> {
    ids: Vec<&'a str>,
}

impl<'a> Directory<'a> {
    pub(crate) fn place(&self, id: &str) -> Option<usize> {
        if id.is_empty() {
            return None;
        }
        self.ids.iter().position(|known| *known == id)
    }

    pub(crate) fn id(&self, place: usize) -> &'a str {
        self.ids.get(place).copied().unwrap_or("")
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = &'a str> {
        self.ids.iter().copied().filter(|id| !id.is_empty())
    }

    pub(crate) fn len(&self) -> usize {
        self.ids.len()
    }
}

/// The ids that references may use.
#[derive(Debug, Default)]
pub(crate) struct Names<'a> {
    pub(crate) suspects: Directory<'a>,
    pub(crate) items: Directory<'a>,
    pub(crate) checks: Directory<'a>,
    pub(crate) repairs: Directory<'a>,
    /// Outcome ids, check by check.
    pub(crate) outcomes: Vec<Directory<'a>>,
    /// Name of the quantity that a check reads, check by check; `None`: it reads none.
    pub(crate) quantities: Vec<Option<&'a str>>,
}

impl<'a> Reader<'a> {
    /// The ids of tables of one kind, each checked and unique.
    pub(crate) fn directory(&mut self, tables: &[Option<Table<'a>>]) -> Directory<'a> {
        let mut directory = Directory::default();
        for table in tables {
            let id = table.as_ref().and_then(|table| self.id(table, &directory));
            directory.ids.push(id.unwrap_or(""));
        }
        directory
    }

    /// The id of a table, if it is right and none of `taken`.
    pub(crate) fn id(
        &mut self,
        table: &Table<'a>,
        taken: &Directory<'a>,
    ) -> Option<&'a str> {
        if !table.has("id") {
            let what = format!("this {} has no `id`", table.kind.word());
            self.notes
                .error("missing-key", table.span.clone(), what)
                .hint("add `id = \"a-short-name\"`: small letters, digits and dashes");
        }
        let value = table.value("id")?;
        self.checked_id(table.kind.word(), value, taken)
    }

    /// The id that a value is, if it is right and none of `taken`.
    pub(crate) fn checked_id(
        &mut self,
        word: &str,
        value: &'a Value<'a>,
        taken: &Directory<'a>,
    ) -> Option<&'a str> {
        let (id, span) = self.string_of("id", value)?;
        if let Some((wrong, hint)) = wrong_id(id) {
            self.notes.error("bad-id", span, wrong).maybe(hint);
            return None;
        }
        if taken.place(id).is_some() {
            let what = format!("`{id}` is the id of another {word} already");
            self.notes
                .error("duplicate-id", span, what)
                .hint("give this one an id of its own");
            return None;
        }
        Some(id)
    }

    /// The ids of a list of outcomes.
    pub(crate) fn outcome_ids(&mut self, table: &Table<'a>) -> Directory<'a> {
        let mut directory = Directory::default();
        let list = self.list(table, "outcomes");
        for value in list.iter().take(crate::check::MOST_OUTCOMES) {
            if let Some(id) = self.checked_id("outcome", value, &directory) {
                directory.ids.push(id);
            }
        }
        directory
    }

    /// The place of the one that a reference names, or a remark that there is none.
    pub(crate) fn refer(
        &mut self,
        kind: Kind,
        (id, span): (&str, Range<usize>),
    ) -> Option<usize> {
        let directory = self.names.of(kind);
        let place = directory.place(id);
        if place.is_none() {
            let full = self.notes.full();
            let near = nearest(id, directory.iter().filter(|_| !full)).map(str::to_owned);
            self.unresolved(kind.word(), (id, span), near);
        }
        place
    }

    /// Remarks that there is nothing of that name.
    pub(crate) fn unresolved(
        &mut self,
        word: &str,
        (id, span): (&str, Range<usize>),
        near: Option<String>,
    ) {
        let what = format!("there is no {word} `{}`", short(id));
        self.notes
            .error("unresolved", span, what)
            .maybe(near.map(|near| format!("did you mean `{near}`?")));
    }

    /// The places of the ones that a list names, each once.
    pub(crate) fn references(
        &mut self,
        table: &Table<'a>,
        key: &str,
        kind: Kind,
    ) -> Vec<usize> {
        let mut places = Vec::new();
        for named in self.strings(table, key) {
            if let Some(place) = self.refer(kind, named)
                && !places.contains(&place)
            {
                places.push(place);
            }
        }
        places
    }
}

impl<'a> Names<'a> {
    fn of(&self, kind: Kind) -> &Directory<'a> {
        let directories = [
            (Kind::Item, &self.items),
            (Kind::Check, &self.checks),
            (Kind::Repair, &self.repairs),
        ];
        directories
            .into_iter()
            .find(|(known, _)| *known == kind)
            .map_or(&self.suspects, |(_, directory)| directory)
    }

    /// The place of a cause: a suspect, or `unlisted` just past the last one.
    pub(crate) fn cause(&self, id: &str) -> Option<usize> {
        if id == "unlisted" {
            return Some(self.suspects.len());
        }
        self.suspects.place(id)
    }
}

/// What is wrong with an id, and what would be right.
fn wrong_id(id: &str) -> Option<(String, Option<String>)> {
    let shown = short(id);
    if RESERVED.contains(&id) {
        let hint = format!("reserved: {}", RESERVED.join(", "));
        return Some((
            format!("`{shown}` can't be an id: the word is reserved"),
            Some(hint),
        ));
    }
    if id.len() > LONGEST_ID {
        let what = format!("`{shown}` is too long for an id: {} bytes", id.len());
        return Some((what, Some(format!("at most {LONGEST_ID}"))));
    }
    if is_id(id) {
        return None;
    }
    let what = format!(
        "`{shown}` can't be an id: small letters and digits, with single dashes between"
    );
    let better = as_id(id);
    let hint =
        (!better.is_empty() && is_id(&better)).then(|| format!("for example `{better}`"));
    Some((what, hint))
}

/// Whether a text has the shape of an id: `[a-z0-9]+(-[a-z0-9]+)*`.
pub(crate) fn is_id(id: &str) -> bool {
    let letter = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit();
    !id.is_empty()
        && id.len() <= LONGEST_ID
        && id.split('-').all(|part| !part.is_empty() && part.chars().all(letter))
        && !RESERVED.contains(&id)
}

/// The nearest id to a text; "" where nothing of it can be used.
pub(crate) fn as_id(text: &str) -> String {
    let lower = text.to_lowercase();
    let words = lower.split(|c: char| !c.is_ascii_lowercase() && !c.is_ascii_digit());
    let mut id = String::new();
    for word in words.filter(|word| !word.is_empty()) {
        if id.len() + 1 + word.len() > LONGEST_ID {
            break;
        }
        if !id.is_empty() {
            id.push('-');
        }
        id.push_str(word);
    }
    id
}
