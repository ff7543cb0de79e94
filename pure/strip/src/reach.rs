//! Which items are off once an action is reached, and what getting there costs.

use sheet::{Economy, ItemIx, ItemSet, Sheet};

/// The items off after moving for an action (design section 5, *Moving*).
///
/// From `off_now` (R), with a way closed under `behind` (cl(O)) and the items that must be
/// on (N): R' = { i ∈ R ∪ cl(O) : cl(i) ∩ N = ∅ }; where the action wants the vehicle
/// `assembled`, of these only the items whose whole closure is covers. Everything refitted,
/// as close, pass-on and drives ask for, is [`ItemSet::EMPTY`].
#[must_use]
pub fn move_to(
    sheet: &Sheet,
    off_now: ItemSet,
    way_closed: ItemSet,
    on: ItemSet,
    assembled: bool,
) -> ItemSet {
    let covers: ItemSet = if assembled { covers(sheet) } else { ItemSet(u128::MAX) };
    off_now
        .union(way_closed)
        .iter()
        .filter(|&item| {
            let closure = closure(sheet, item);
            closure.meet(on).is_empty() && closure.within(covers)
        })
        .collect()
}

/// The items marked as covers.
#[must_use]
pub fn covers(sheet: &Sheet) -> ItemSet {
    let marked = sheet.items.iter().enumerate().filter(|(_, item)| item.cover);
    marked.map(|(place, _)| ItemIx::from(place)).collect()
}

/// `items` with all that lies in front of them (cl).
#[must_use]
pub fn closed(sheet: &Sheet, items: ItemSet) -> ItemSet {
    items.iter().fold(items, |set, item| set.union(closure(sheet, item)))
}

/// An item of another sheet has nothing in front of it.
fn closure(sheet: &Sheet, item: ItemIx) -> ItemSet {
    sheet.items.get(item.at()).map_or(ItemSet::one(item), |found| found.closure)
}

/// A snag that may happen on a move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SnagChance {
    /// The item.
    pub item: ItemIx,
    /// Its probability, rust counted in.
    pub p: f64,
    /// Minutes of work that it costs.
    pub minutes: f64,
    /// Money for parts that it costs.
    pub parts: f64,
}

/// What a move costs: means in `cost` and `minutes`, and the parts that they are made of.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MoveCost {
    /// Mean money: labour, waiting, single-use parts and the mean of the snags.
    pub cost: f64,
    /// Mean minutes: labour, waiting and the mean of the snags.
    pub minutes: f64,
    /// Minutes of work, without snags.
    pub labour_min: f64,
    /// Minutes of waiting.
    pub wait_min: f64,
    /// Money for single-use parts at refitting, without snags.
    pub refit_parts: f64,
    /// Snags with a chance above 0, in sheet order.
    pub snags: Vec<SnagChance>,
}

/// The cost of going from the items `from` off to the items `to` off: each of `to`∖`from`
/// its strip minutes, waiting and snags; each of `from`∖`to` its refit minutes and parts.
///
/// Moving about (position, tool) is not in it: see [`crate::order`].
#[must_use]
pub fn move_cost(
    sheet: &Sheet,
    economy: &Economy,
    from: ItemSet,
    to: ItemSet,
) -> MoveCost {
    let mut sum = MoveCost::default();
    let stripped = to.minus(from);
    for (ix, item) in
        stripped.iter().filter_map(|ix| Some((ix, sheet.items.get(ix.at())?)))
    {
        sum.labour_min += item.strip_min;
        sum.wait_min += item.wait_min;
        let chances = item.snags.iter().map(|snag| SnagChance {
            item: ix,
            p: economy.rust.snag_probability(snag.p),
            minutes: snag.minutes,
            parts: snag.parts,
        });
        sum.snags.extend(chances.filter(|snag| snag.p > 0.0));
    }
    for item in from.minus(to).iter().filter_map(|ix| sheet.items.get(ix.at())) {
        sum.labour_min += item.refit_min;
        sum.refit_parts += item.refit_parts;
    }
    let snag_minutes: f64 = sum.snags.iter().map(|snag| snag.p * snag.minutes).sum();
    let snag_parts: f64 = sum.snags.iter().map(|snag| snag.p * snag.parts).sum();
    sum.minutes = sum.labour_min + sum.wait_min + snag_minutes;
    sum.cost = economy.work(sum.labour_min + snag_minutes)
        + economy.waiting(sum.wait_min)
        + sum.refit_parts
        + snag_parts;
    sum
}
