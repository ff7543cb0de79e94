//! What checks and repairs share: ways in, what must be on, needs, what they put right.

use std::ops::Range;

use toml::de::DeValue;

use crate::kinds::Kind;
use crate::near::nearest;
use crate::table::{Table, Value, in_order, kind_of, short};
use crate::take::{Reader, Within};
use crate::{CheckIx, Item, ItemIx, ItemSet, Way};

/// Most ways in that one action may choose from.
const MOST_WAYS: usize = 16;
/// Most words of equipment that one action may need.
const MOST_NEEDS: usize = 32;

/// How an action gets at its work.
#[derive(Debug, Default)]
pub(crate) struct Access {
    pub(crate) ways: Vec<Way>,
    pub(crate) on: ItemSet,
    pub(crate) assembled: bool,
}

impl<'a> Reader<'a> {
    /// The ways in of an action, what must be on, and whether it wants all assembled.
    pub(crate) fn access(&mut self, table: &Table<'a>, items: &[Item]) -> Access {
        let ways = self.ways(table, items);
        let assembled = self.flag(table, "assembled").unwrap_or(false);
        let mut on = ItemSet::EMPTY;
        for (id, span) in self.strings(table, "on") {
            let Some(item) = self.refer(Kind::Item, (id, span.clone())) else { continue };
            on = on.union(ItemSet::one(ItemIx::from(item)));
            let off = ways.iter().find(|way| way.closed.has(ItemIx::from(item)));
            if let Some(way) = off {
                let what = format!("`{id}` can't be on: {}", needs_off(way, item, items));
                self.notes
                    .error("off-and-on", span, what)
                    .hint("take it out of `on`, or name another way in with `off`");
            }
        }
        if assembled {
            self.assembled(table, (&ways, on), items);
        }
        Access { ways, on, assembled }
    }

    fn assembled(
        &mut self,
        table: &Table<'a>,
        (ways, on): (&[Way], ItemSet),
        items: &[Item],
    ) {
        if !on.is_empty() {
            let what =
                "`on` stands beside `assembled`, which has everything on but covers";
            self.notes
                .error("assembled", table.key_span("on"), what)
                .hint("take `on` out");
        }
        let covers: ItemSet = items
            .iter()
            .enumerate()
            .filter(|(_, item)| item.cover)
            .map(|(place, _)| ItemIx::from(place))
            .collect();
        let wrong = ways.iter().find_map(|way| way.closed.minus(covers).iter().next());
        if let Some(item) = wrong {
            let what = format!(
                "`assembled` leaves only covers off; `{}` is no cover",
                items.get(item.at()).map_or("", |item| item.id.as_str())
            );
            self.notes
                .error("assembled", table.value_span("off"), what)
                .hint("take `assembled` out, or mark the item `cover = true`");
        }
    }

    /// `off` as a list of items, or as a list of such lists to choose from.
    fn ways(&mut self, table: &Table<'a>, items: &[Item]) -> Vec<Way> {
        let list = self.list(table, "off");
        let nested = |value: &&Value<'_>| matches!(value.get_ref(), DeValue::Array(_));
        if !list.iter().any(|value| nested(&value)) {
            return vec![self.way(list, items)];
        }
        if let Some(over) = list.get(MOST_WAYS) {
            let what = format!("`off` names more than {MOST_WAYS} ways in");
            self.notes.error("too-many", over.span(), what);
        }
        let mut ways = Vec::new();
        for value in list.iter().take(MOST_WAYS) {
            if let DeValue::Array(way) = value.get_ref() {
                ways.push(self.way(way, items));
            } else {
                self.notes
                    .error("wrong-type", value.span(), "`off` mixes items and ways in")
                    .hint("write [\"a\", \"b\"], or ways to choose from: [[\"a\"], [\"b\"]]");
            }
        }
        ways
    }

    fn way(&mut self, list: &'a [Value<'a>], items: &[Item]) -> Way {
        let mut way = Way { named: Vec::new(), closed: ItemSet::EMPTY };
        for value in list {
            let Some(named) = self.string_of("off", value) else { continue };
            let Some(place) = self.refer(Kind::Item, named) else { continue };
            let item = ItemIx::from(place);
            if !way.named.contains(&item) {
                way.named.push(item);
            }
            let closure = items.get(place).map_or(ItemSet::EMPTY, |item| item.closure);
            way.closed = way.closed.union(closure);
        }
        way
    }

    /// The words of equipment of a key.
    pub(crate) fn equipment(&mut self, table: &Table<'a>, key: &str) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for (word, span) in self.strings(table, key).into_iter().take(MOST_NEEDS) {
            let name = word.trim();
            let odd = |c: char| c.is_control() || c == ',' || c.is_whitespace();
            if name.is_empty() || name.len() > 48 || name.contains(odd) {
                let what = format!("`{}` can't name equipment", short(word));
                self.notes
                    .error("bad-text", span, what)
                    .hint("one word, as in \"smoke-machine\"");
            } else if words.iter().all(|known| known != name) {
                words.push(name.to_owned());
            }
        }
        words
    }

    /// The checks that an action makes impossible.
    pub(crate) fn spoils(&mut self, table: &Table<'a>) -> Vec<CheckIx> {
        let spoils = self.references(table, "spoils", Kind::Check);
        spoils.into_iter().map(CheckIx::from).collect()
    }

    /// A probability by cause (`unlisted` last) from a table of suspects; others `rest`,
    /// or what `otherwise` says where that is a key.
    pub(crate) fn by_cause(
        &mut self,
        table: &Table<'a>,
        key: &str,
        otherwise: bool,
    ) -> Vec<f64> {
        let causes = self.names.suspects.len() + 1;
        let Some(value) = table.value(key) else { return vec![0.0; causes] };
        let DeValue::Table(entries) = value.get_ref() else {
            let what = format!(
                "`{key}` must be a table of suspects, not {}",
                kind_of(value.get_ref())
            );
            self.notes
                .error("wrong-type", value.span(), what)
                .hint(format!("write `{key} = {{ suspect-id = 0.9 }}`"));
            return vec![0.0; causes];
        };
        let mut rest = 0.0;
        let mut named: Vec<Option<f64>> = vec![None; causes];
        for (name, value) in in_order(entries) {
            let id: &str = name.get_ref();
            if otherwise && id == "otherwise" {
                rest = self.number_of(id, value, Within::Share).unwrap_or(0.0);
                continue;
            }
            let Some(cause) = self.cause(table, key, (id, name.span())) else { continue };
            named[cause] = self.number_of(id, value, Within::Share);
        }
        named.into_iter().map(|share| share.unwrap_or(rest)).collect()
    }

    /// The cause that a key of a table such as `fixes` or `given` names.
    pub(crate) fn cause(
        &mut self,
        table: &Table<'a>,
        inside: &str,
        (id, span): (&str, Range<usize>),
    ) -> Option<usize> {
        if let Some(cause) = self.names.cause(id) {
            return Some(cause);
        }
        if id.starts_with("x-") {
            return None;
        }
        let word = table.kind.word();
        if table.kind.keys().contains(&id) {
            let what = format!(
                "`{id}` belongs to the {word}: move it above `[{word}.{inside}]`"
            );
            self.notes.error("unknown-key", span, what);
            return None;
        }
        let rows: &[&str] = match inside {
            "given" => &["fine", "otherwise", "unlisted"],
            "shows" => &["otherwise", "unlisted"],
            _ => &["unlisted"],
        };
        let full = self.notes.full();
        let known = self.names.suspects.iter().chain(rows.iter().copied());
        let near = nearest(id, known.filter(|_| !full)).map(str::to_owned);
        self.unresolved("suspect", (id, span), near);
        None
    }
}

/// Why an item must be off for a way in.
fn needs_off(way: &Way, item: usize, items: &[Item]) -> String {
    let item = ItemIx::from(item);
    if way.named.contains(&item) {
        return "`off` takes it off".to_owned();
    }
    let behind = way
        .named
        .iter()
        .find(|named| items.get(named.at()).is_some_and(|named| named.closure.has(item)));
    let name = behind.and_then(|named| items.get(named.at()));
    format!("`{}` of `off` lies behind it", name.map_or("", |item| item.id.as_str()))
}
