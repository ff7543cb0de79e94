//! What comes off and goes back for an action, and what that costs.

use sheet::{ItemIx, ItemSet};

use super::deals::{Allows, Demand};
use super::state::bit;
use super::{Judge, JudgeError, JudgeMoves};

/// Items that the form with free moves takes: 2^12 sets at most.
const FREE_ITEMS_MAX: usize = 12;

impl Judge<'_> {
    /// Where the items may be when something is done, and what it costs to get there: one
    /// place with late moves, every place that serves with free ones.
    pub(super) fn positions(&self, off: ItemSet, demand: Demand) -> Vec<(ItemSet, f64)> {
        match self.ask.moves {
            JudgeMoves::Late => {
                let there = self.lead(off, demand);
                vec![(there, self.moving_cost(off, there))]
            }
            JudgeMoves::Free => {
                let Ok(from) = self.sets.binary_search(&off) else { return Vec::new() };
                self.sets
                    .iter()
                    .zip(&self.between[from])
                    .filter(|(there, _)| self.serves(**there, demand))
                    .map(|(there, cost)| (*there, *cost))
                    .collect()
            }
        }
    }

    /// R' = { i ∈ R ∪ cl(O) : what is asked of cl(i) holds }.
    pub(crate) fn lead(&self, off: ItemSet, demand: Demand) -> ItemSet {
        off.union(demand.off)
            .iter()
            .filter(|item| self.may_be_off(*item, demand))
            .collect()
    }

    fn may_be_off(&self, item: ItemIx, demand: Demand) -> bool {
        let closure = self.closures[item.at()];
        match demand.allows {
            Allows::Nothing => false,
            Allows::Covers => closure.iter().all(|one| self.sheet.items[one.at()].cover),
            Allows::Anything => closure.meet(demand.on).is_empty(),
        }
    }

    /// Whether something can be done with exactly these items off.
    fn serves(&self, off: ItemSet, demand: Demand) -> bool {
        demand.off.within(off) && off.iter().all(|item| self.may_be_off(item, demand))
    }

    pub(crate) fn moving_cost(&self, from: ItemSet, to: ItemSet) -> f64 {
        let strip: f64 = to.minus(from).iter().map(|item| self.strip_cost(item)).sum();
        let refit: f64 = from.minus(to).iter().map(|item| self.refit_cost(item)).sum();
        strip + refit
    }

    /// Everything refitted.
    pub(crate) fn to_put_back(&self, off: ItemSet) -> f64 {
        self.moving_cost(off, ItemSet::EMPTY)
    }

    /// Strip minutes, waiting and the mean of the snags.
    fn strip_cost(&self, item: ItemIx) -> f64 {
        let economy = &self.ask.economy;
        let item = &self.sheet.items[item.at()];
        let snags: f64 = item
            .snags
            .iter()
            .map(|snag| {
                economy.rust.snag_probability(snag.p)
                    * (economy.work(snag.minutes) + snag.parts)
            })
            .sum();
        economy.work(item.strip_min) + economy.waiting(item.wait_min) + snags
    }

    fn refit_cost(&self, item: ItemIx) -> f64 {
        let item = &self.sheet.items[item.at()];
        self.ask.economy.work(item.refit_min) + item.refit_parts
    }

    /// Every closed set of items, and the cheapest chain of single moves between any two
    /// (Floyd and Warshall's scheme).
    pub(super) fn lay_out_free_moves(&mut self) -> Result<(), JudgeError> {
        let items = self.sheet.items.len();
        if items > FREE_ITEMS_MAX {
            return Err(JudgeError::TooLarge {
                what: "items with free moves",
                limit: FREE_ITEMS_MAX,
            });
        }
        let closed =
            |set: &ItemSet| set.iter().all(|i| self.closures[i.at()].within(*set));
        let sets: Vec<ItemSet> = (0..bit(items)).map(ItemSet).filter(closed).collect();
        let step = |from: ItemSet, to: ItemSet| {
            let moved = from.minus(to).len() + to.minus(from).len();
            if moved > 1 { f64::INFINITY } else { self.moving_cost(from, to) }
        };
        let mut between: Vec<Vec<f64>> = sets
            .iter()
            .map(|from| sets.iter().map(|to| step(*from, *to)).collect())
            .collect();
        for via in 0..sets.len() {
            for from in 0..sets.len() {
                for to in 0..sets.len() {
                    let round = between[from][via] + between[via][to];
                    between[from][to] = between[from][to].min(round);
                }
            }
        }
        self.sets = sets;
        self.between = between;
        Ok(())
    }
}
