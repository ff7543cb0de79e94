//! Which way to take to each target, so that all together cost least.

use std::collections::BTreeMap;

use sheet::{Economy, ItemSet, Sheet};

use crate::ask::{StripError, Target};
use crate::ease::least_cost;
use crate::reach::{closed, move_cost};

/// Sets of items compared at most; beyond, the cheapest so far are followed.
const MOST_SETS: usize = 20_000;
/// Costs nearer than this share of the least count as equal (design section 5, *Actions*).
pub(crate) const TIE: f64 = 1e-9;

/// The ways chosen.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chosen {
    /// All that must be off for them.
    pub needed: ItemSet,
    /// Index of the way for each target.
    pub ways: Vec<usize>,
    /// Whether all combinations were compared.
    pub all_compared: bool,
}

/// The ways of a target, closed under `behind`.
fn ways_of(sheet: &Sheet, target: Target) -> Result<Vec<ItemSet>, StripError> {
    let missing =
        |kind: &str, place: usize| StripError::NotOnSheet(format!("{kind} {place}"));
    match target {
        Target::Item(item) => match sheet.items.get(item.at()) {
            Some(found) => Ok(vec![found.closure.union(ItemSet::one(item))]),
            None => Err(missing("item", item.at())),
        },
        Target::Check(check) => match sheet.checks.get(check.at()) {
            Some(found) => {
                Ok(found.ways.iter().map(|way| closed(sheet, way.closed)).collect())
            }
            None => Err(missing("check", check.at())),
        },
        Target::Repair(repair) => match sheet.repairs.get(repair.at()) {
            Some(found) => {
                Ok(found.ways.iter().map(|way| closed(sheet, way.closed)).collect())
            }
            None => Err(missing("repair", repair.at())),
        },
    }
}

/// What it costs to strip these and to put them back.
pub(crate) fn there_and_back(
    sheet: &Sheet,
    economy: &Economy,
    off_now: ItemSet,
    needed: ItemSet,
) -> f64 {
    let off = off_now.union(needed);
    move_cost(sheet, economy, off_now, off).cost
        + move_cost(sheet, economy, off, off_now).cost
}

/// Chooses a way for each target: the least cost of stripping and refitting all that is not
/// off yet, with what it takes longer where nothing eases it; among equals the first ways.
///
/// # Errors
/// A target that the sheet lacks.
pub(crate) fn choose(
    sheet: &Sheet,
    economy: &Economy,
    off_now: ItemSet,
    targets: &[Target],
) -> Result<Chosen, StripError> {
    let eased = sheet.items.iter().any(|item| !item.eased_by.is_empty());
    let cost = |needed: ItemSet| {
        if eased {
            least_cost(sheet, economy, off_now, needed)
        } else {
            there_and_back(sheet, economy, off_now, needed)
        }
    };
    let mut sets: BTreeMap<ItemSet, Vec<usize>> =
        BTreeMap::from([(ItemSet::EMPTY, Vec::new())]);
    let mut all_compared = true;
    for &target in targets {
        let ways = ways_of(sheet, target)?;
        let mut next: BTreeMap<ItemSet, Vec<usize>> = BTreeMap::new();
        for (set, chosen) in &sets {
            for (place, way) in ways.iter().enumerate() {
                let longer: Vec<usize> = chosen.iter().copied().chain([place]).collect();
                let needed = set.union(way.minus(off_now));
                let slot = next.entry(needed).or_insert_with(|| longer.clone());
                *slot = longer.min(std::mem::take(slot));
            }
            if ways.is_empty() {
                next.insert(*set, chosen.iter().copied().chain([0]).collect());
            }
        }
        if next.len() > MOST_SETS {
            all_compared = false;
            let mut cheapest: Vec<_> =
                next.into_iter().map(|(set, ways)| (cost(set), set, ways)).collect();
            cheapest.sort_by(|one, two| one.0.total_cmp(&two.0).then(one.1.cmp(&two.1)));
            cheapest.truncate(MOST_SETS);
            next = cheapest.into_iter().map(|(_, set, ways)| (set, ways)).collect();
        }
        sets = next;
    }
    let priced: Vec<(f64, ItemSet, Vec<usize>)> =
        sets.into_iter().map(|(set, ways)| (cost(set), set, ways)).collect();
    let least = priced.iter().map(|(cost, ..)| *cost).fold(f64::INFINITY, f64::min);
    let equal =
        priced.into_iter().filter(|(cost, ..)| *cost <= least + TIE * least.max(1.0));
    let first = equal.min_by(|one, two| one.2.cmp(&two.2));
    let (_, needed, ways) = first.unwrap_or_default();
    Ok(Chosen { needed, ways, all_compared })
}
