//! How much of a budget is spent.

use super::Budget;

/// Counts work against a budget.
pub(super) struct Meter<'a> {
    budget: &'a Budget<'a>,
    used: u64,
    over: bool,
}

impl<'a> Meter<'a> {
    /// Nothing spent yet.
    pub(super) fn new(budget: &'a Budget<'a>) -> Self {
        Self { budget, used: 0, over: false }
    }

    /// Spends some; whether the work may go on.
    pub(super) fn spend(&mut self, count: u64) -> bool {
        self.used = self.used.saturating_add(count);
        self.over =
            self.over || self.used > self.budget.nodes || !(self.budget.keep_on)();
        !self.over
    }

    /// Whether the work may go on.
    pub(super) fn goes_on(&self) -> bool {
        !self.over
    }

    /// What was spent.
    pub(super) fn used(&self) -> u64 {
        self.used
    }
}
