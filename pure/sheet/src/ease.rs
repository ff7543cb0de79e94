//! `eased_by` of an item: what need not be off, but makes it quicker.

use std::ops::Range;

use toml::de::DeValue;

use crate::item::MOST_OF_AN_ITEM;
use crate::kinds::Kind;
use crate::table::{Table, in_order, kind_of};
use crate::take::{Reader, Within};
use crate::{Item, ItemIx};

/// The key.
const KEY: &str = "eased_by";

impl<'a> Reader<'a> {
    /// The items that ease the one at `place`, with the minutes that each saves. All items
    /// are closed under `behind` already.
    pub(crate) fn eased_by(
        &mut self,
        table: &Table<'a>,
        (place, items): (usize, &[Item]),
    ) -> Vec<(ItemIx, f64)> {
        let Some(value) = table.value(KEY) else { return Vec::new() };
        let DeValue::Table(entries) = value.get_ref() else {
            let what = format!(
                "`{KEY}` must be a table of items, not {}",
                kind_of(value.get_ref())
            );
            self.notes.error("wrong-type", value.span(), what).hint(format!(
                "write `{KEY} = {{ item-id = 4.0 }}`, minutes more while it is on"
            ));
            return Vec::new();
        };
        let mut eased: Vec<(ItemIx, f64)> = Vec::new();
        let named = in_order(entries);
        let named =
            named.into_iter().filter(|(name, _)| !name.get_ref().starts_with("x-"));
        for (count, (name, value)) in named.enumerate() {
            if count == MOST_OF_AN_ITEM {
                let what = format!("`{KEY}` names more than {MOST_OF_AN_ITEM} items");
                self.notes.error("too-many", name.span(), what);
                break;
            }
            let minutes = self.number_of(name.get_ref(), value, Within::Amount);
            let Some(other) = self.refer(Kind::Item, (name.get_ref(), name.span()))
            else {
                continue;
            };
            if self.can_ease((table, items), (place, other), name.span()) {
                eased.extend(minutes.map(|minutes| (ItemIx::from(other), minutes)));
            }
        }
        eased
    }

    /// Whether the other may be on or off when this one comes off.
    fn can_ease(
        &mut self,
        (table, items): (&Table<'a>, &[Item]),
        (place, other): (usize, usize),
        span: Range<usize>,
    ) -> bool {
        let [this, that] = [place, other].map(ItemIx::from);
        let id = |at: usize| items.get(at).map_or("", |item| item.id.as_str());
        let behind = |one: usize, two: ItemIx| {
            items.get(one).is_some_and(|item| item.closure.has(two))
        };
        if place == other {
            let what = format!("the {} can't ease itself", table.called);
            self.notes
                .error("eased-by-itself", span, what)
                .hint("name what makes it quicker when that is off before");
            return false;
        }
        let what = if behind(place, that) {
            format!(
                "`{KEY}` has no effect: the {} lies behind `{}`, which is always off before",
                table.called,
                id(other)
            )
        } else if behind(other, this) {
            format!(
                "`{KEY}` has no effect: `{}` lies behind the {}, which is always off before",
                id(other),
                table.called
            )
        } else {
            return true;
        };
        self.notes.warn("eased-by", span, what).hint("take it out, or take `behind` out");
        false
    }
}
