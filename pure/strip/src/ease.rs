//! Items that need not be off but make others quicker (`eased_by`): which of them to take off.
//!
//! What is compared is money: strip, refit, snags and parts of all that comes off, and the
//! minutes of moving about on the way in and of what is not eased. Exact for up to
//! [`MOST_EASING`] easing items and as many pairs of which either may come first.

use std::collections::BTreeMap;

use sheet::{Economy, ItemIx, ItemSet, Sheet};

use crate::ask::StripError;
use crate::order::Budget;
use crate::reach::closed;
use crate::sequence::{WayIn, way_in};
use crate::ways::{TIE, there_and_back};

/// Easing items, and pairs to be put in order, compared in all combinations.
const MOST_EASING: usize = 10;

/// An item that eases another: the easing one, the eased one, the minutes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ease {
    /// What is on or off.
    pub by: ItemIx,
    /// What takes longer while it is on.
    pub item: ItemIx,
    /// Minutes longer.
    pub minutes: f64,
}

/// The way in with what is taken off for ease.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct EasedWay {
    /// The order of all that comes off.
    pub way: WayIn,
    /// What comes off although nothing lies behind it.
    pub taken: ItemSet,
    /// Whether every combination was compared.
    pub all_compared: bool,
}

/// What eases these items, sheet order.
pub(crate) fn eases(sheet: &Sheet, items: ItemSet) -> Vec<Ease> {
    let known = items.iter().filter_map(|ix| Some((ix, sheet.items.get(ix.at())?)));
    known
        .flat_map(|(ix, item)| {
            item.eased_by.iter().map(move |&(by, minutes)| Ease { by, item: ix, minutes })
        })
        .filter(|ease| ease.minutes > 0.0 && sheet.items.get(ease.by.at()).is_some())
        .collect()
}

/// What each step of an order takes longer because something that eases it is still on.
pub(crate) fn longer(
    sheet: &Sheet,
    off_now: ItemSet,
    order: &[ItemIx],
) -> Vec<Vec<Ease>> {
    let mut off = off_now;
    let mut steps = Vec::with_capacity(order.len());
    for &item in order {
        let mut still = eases(sheet, ItemSet::one(item));
        still.retain(|ease| !off.has(ease.by));
        steps.push(still);
        off = off.union(ItemSet::one(item));
    }
    steps
}

/// Minutes of what is not eased in an order.
fn minutes_longer(sheet: &Sheet, off_now: ItemSet, order: &[ItemIx]) -> f64 {
    longer(sheet, off_now, order)
        .iter()
        .flatten()
        .fold(0.0, |sum, ease| sum + ease.minutes)
}

/// What may be taken off for ease besides `stripped`: the items that save most, and whether
/// these are all.
fn candidates(sheet: &Sheet, off_now: ItemSet, stripped: ItemSet) -> (Vec<ItemIx>, bool) {
    let mut reached = stripped;
    let mut found: BTreeMap<ItemIx, f64> = BTreeMap::new();
    loop {
        let known = found.len();
        found.clear();
        for ease in eases(sheet, reached) {
            if !off_now.has(ease.by) && !stripped.has(ease.by) {
                *found.entry(ease.by).or_insert(0.0) += ease.minutes;
            }
        }
        let more: ItemSet = found.keys().copied().collect();
        reached = reached.union(closed(sheet, more).minus(off_now));
        if found.len() == known {
            break;
        }
    }
    let mut list: Vec<(ItemIx, f64)> = found.into_iter().collect();
    let all = list.len() <= MOST_EASING;
    list.sort_by(|one, two| two.1.total_cmp(&one.1).then(one.0.cmp(&two.0)));
    list.truncate(MOST_EASING);
    let mut items: Vec<ItemIx> = list.into_iter().map(|(item, _)| item).collect();
    items.sort_unstable();
    (items, all)
}

/// Every set that may come off, with what it costs at least (all eased that can be, no moving
/// about): cheapest first, among equals the smaller.
fn sets(
    sheet: &Sheet,
    economy: &Economy,
    off_now: ItemSet,
    stripped: ItemSet,
) -> (Vec<(f64, ItemSet)>, bool) {
    let (items, all) = candidates(sheet, off_now, stripped);
    let chosen = |mask: u32| -> ItemSet {
        items
            .iter()
            .enumerate()
            .filter(|(at, _)| mask >> at & 1 == 1)
            .map(|(_, ix)| *ix)
            .collect()
    };
    let mut unique: BTreeMap<ItemSet, f64> = BTreeMap::new();
    for mask in 0..1_u32 << items.len() {
        let set = stripped.union(closed(sheet, chosen(mask)).minus(off_now));
        unique.entry(set).or_insert_with(|| {
            let still = eases(sheet, set);
            let still = still.iter().filter(|e| !off_now.has(e.by) && !set.has(e.by));
            let minutes = still.fold(0.0, |sum, ease| sum + ease.minutes);
            there_and_back(sheet, economy, off_now, set) + economy.work(minutes)
        });
    }
    let mut sets: Vec<(f64, ItemSet)> =
        unique.into_iter().map(|(set, cost)| (cost, set)).collect();
    sets.sort_by(|one, two| {
        one.0
            .total_cmp(&two.0)
            .then(one.1.len().cmp(&two.1.len()))
            .then(one.1.cmp(&two.1))
    });
    (sets, all)
}

/// What the items cost at least with what is worth taking off for ease, moving about apart.
pub(crate) fn least_cost(
    sheet: &Sheet,
    economy: &Economy,
    off_now: ItemSet,
    needed: ItemSet,
) -> f64 {
    let (sets, _) = sets(sheet, economy, off_now, needed.minus(off_now));
    sets.first().map_or(0.0, |(cost, _)| *cost)
}

/// The way in to `stripped`, with what pays to be off besides.
///
/// # Errors
/// A circle in `behind`.
pub(crate) fn eased_way(
    sheet: &Sheet,
    (economy, off_now): (&Economy, ItemSet),
    stripped: ItemSet,
    budget: &Budget<'_>,
) -> Result<EasedWay, StripError> {
    if eases(sheet, stripped).is_empty() {
        let way = way_in(sheet, stripped, &[], budget)?;
        return Ok(EasedWay { way, taken: ItemSet::EMPTY, all_compared: true });
    }
    let (sets, mut all_compared) = sets(sheet, economy, off_now, stripped);
    let mut best: Option<(f64, ItemSet, WayIn)> = None;
    for (floor, set) in sets {
        let tie = |cost: f64| TIE * cost.max(1.0);
        if best.as_ref().is_some_and(|(cost, ..)| floor > cost + tie(*cost)) {
            break;
        }
        if best.is_some() && !(budget.keep_on)() {
            all_compared = false;
            break;
        }
        let ordered = ordered(sheet, off_now, set, budget)?;
        all_compared &= ordered.all_compared;
        let minutes = ordered.way.moving_minutes
            + minutes_longer(sheet, off_now, &ordered.way.items);
        let total = there_and_back(sheet, economy, off_now, set) + economy.work(minutes);
        let better = best.as_ref().is_none_or(|(cost, other, _)| {
            total < cost - tie(*cost)
                || total <= cost + tie(*cost) && set.len() < other.len()
        });
        if better {
            best = Some((total, set, ordered.way));
        }
    }
    let Some((_, set, way)) = best else {
        let way = way_in(sheet, stripped, &[], budget)?;
        return Ok(EasedWay { way, taken: ItemSet::EMPTY, all_compared });
    };
    Ok(EasedWay { way, taken: set.minus(stripped), all_compared })
}

/// The order of a set that takes fewest minutes, moving about and what is not eased together;
/// among equals the one with least that is not eased.
fn ordered(
    sheet: &Sheet,
    off_now: ItemSet,
    set: ItemSet,
    budget: &Budget<'_>,
) -> Result<EasedWay, StripError> {
    let free = way_in(sheet, set, &[], budget)?;
    let mut pairs = eases(sheet, set);
    pairs.retain(|ease| set.has(ease.by));
    pairs.sort_by(|one, two| two.minutes.total_cmp(&one.minutes));
    let mut all_compared = pairs.len() <= MOST_EASING;
    pairs.truncate(MOST_EASING);
    let mut masks: Vec<(f64, u32)> = (0..1_u32 << pairs.len())
        .map(|mask| {
            let left = pairs.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 0);
            (left.fold(0.0, |sum, (_, ease)| sum + ease.minutes), mask)
        })
        .collect();
    masks.sort_by(|one, two| one.0.total_cmp(&two.0).then(two.1.cmp(&one.1)));
    let total =
        |way: &WayIn| way.moving_minutes + minutes_longer(sheet, off_now, &way.items);
    // Easing items that stay on cost the same in any order.
    let still = eases(sheet, set);
    let still = still.iter().filter(|ease| !set.has(ease.by) && !off_now.has(ease.by));
    let least = still.fold(free.lower_bound, |sum, ease| sum + ease.minutes);
    let mut best: Option<(f64, WayIn)> = None;
    for (left, mask) in masks {
        let close = |minutes: f64| minutes - TIE * minutes.max(1.0);
        if best.as_ref().is_some_and(|(minutes, _)| least + left >= close(*minutes)) {
            break;
        }
        if best.is_some() && !(budget.keep_on)() {
            all_compared = false;
            break;
        }
        let first = pairs.iter().enumerate().filter(|(at, _)| mask >> at & 1 == 1);
        let first: Vec<_> = first.map(|(_, ease)| (ease.by, ease.item)).collect();
        // Two items that ease each other cannot both come first.
        let Ok(way) = way_in(sheet, set, &first, budget) else { continue };
        let minutes = total(&way);
        if best.as_ref().is_none_or(|(least, _)| minutes < close(*least)) {
            best = Some((minutes, way));
        }
    }
    let way = best.map_or(free, |(_, way)| way);
    Ok(EasedWay { way, taken: ItemSet::EMPTY, all_compared })
}
