//! What was spent: minutes and money of the things that were done.

use schemars::JsonSchema;
use serde::Serialize;
use sheet::Economy;

/// Longest duration that is believed, minutes (about ten weeks): beyond it a slip of the
/// finger would drown the bill.
pub(super) const MAX_MINUTES: f64 = 100_000.0;

/// Greatest single amount that is believed, in the job's currency.
pub(super) const MAX_AMOUNT: f64 = 1e9;

/// Minutes and money spent so far. Like a bill: no comeback, no pass-on, no `if_shown`.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Spent {
    /// Minutes of work, snags apart.
    pub labour_minutes: f64,
    /// Minutes of waiting.
    pub waiting_minutes: f64,
    /// Minutes that snags took.
    pub snag_minutes: f64,
    /// Money for consumables: of checks and proofs, and fluids filled in.
    pub consumables: f64,
    /// Money for parts of repairs.
    pub parts: f64,
    /// Money for single-use parts at refits.
    pub refit_parts: f64,
    /// Money for parts that snags took.
    pub snag_parts: f64,
    /// Money for things also seen that were done.
    pub extras: f64,
}

impl Spent {
    /// The bill at these prices.
    #[must_use]
    pub fn priced(&self, economy: &Economy) -> Bill {
        let labour = economy.work(self.labour_minutes);
        let waiting = economy.waiting(self.waiting_minutes);
        let snags = economy.work(self.snag_minutes) + self.snag_parts;
        let Self { consumables, parts, refit_parts, extras, .. } = *self;
        let total = labour + waiting + consumables + parts + refit_parts + snags + extras;
        Bill { labour, waiting, consumables, parts, refit_parts, snags, extras, total }
    }
}

/// A bill in the job's currency, unrounded.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, JsonSchema)]
pub struct Bill {
    /// Work.
    pub labour: f64,
    /// Waiting.
    pub waiting: f64,
    /// Consumables.
    pub consumables: f64,
    /// Parts of repairs.
    pub parts: f64,
    /// Single-use parts at refits.
    pub refit_parts: f64,
    /// Snags, work and parts.
    pub snags: f64,
    /// Things also seen that were done.
    pub extras: f64,
    /// All of it.
    pub total: f64,
}

/// Whether these minutes can be believed.
#[must_use]
pub(super) fn believable_minutes(minutes: f64) -> bool {
    (0.0..=MAX_MINUTES).contains(&minutes)
}

/// Whether this amount can be believed.
#[must_use]
pub(super) fn believable_amount(amount: f64) -> bool {
    (0.0..=MAX_AMOUNT).contains(&amount)
}
