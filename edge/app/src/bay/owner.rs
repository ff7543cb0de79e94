//! The owner's rule: no step that could pass the authorised sum is begun before ringing.

use schemars::JsonSchema;
use serde::Serialize;

/// Why the owner is rung first, and what to say.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Ring {
    /// Spent so far, money.
    pub spent: f64,
    /// The step with getting there, money.
    pub step: f64,
    /// Putting back what would be off then, money.
    pub put_back: f64,
    /// All three, money.
    pub sum: f64,
    /// What the owner agreed to, money.
    pub authorised: f64,
    /// The sentence to say.
    pub say: String,
}

/// Money below which two sums are the same.
const PENNY: f64 = 1e-6;

/// The sum of spent, step and putting back, where it passes what is authorised.
///
/// ```
/// // A repairer's own example: 180 spent, a step of 40, 55 to put back, 250 agreed.
/// assert_eq!(app::bay::owner_rule(180.0, 40.0, 55.0, 250.0), Some(275.0));
/// assert_eq!(app::bay::owner_rule(180.0, 40.0, 30.0, 250.0), None);
/// ```
#[must_use]
pub fn owner_rule(spent: f64, step: f64, put_back: f64, authorised: f64) -> Option<f64> {
    let sum = spent + step + put_back;
    (sum > authorised + PENNY).then_some(sum)
}

/// The ring that a step needs, if it needs one.
pub(crate) fn ring(
    title: &str,
    (spent, step, put_back): (f64, f64, f64),
    authorised: f64,
    currency: &str,
) -> Option<Ring> {
    let sum = owner_rule(spent, step, put_back, authorised)?;
    let money = |amount: f64| pages::say::whole_money(amount, currency);
    let say = format!(
        "{} is spent so far. The next step, \u{201c}{title}\u{201d}, takes {}; putting the vehicle \
         back from there {}. That would be {} in all, and {} is agreed. May we go on, and up to \
         which sum?",
        money(spent),
        money(step),
        money(put_back),
        money(sum),
        money(authorised)
    );
    Some(Ring { spent, step, put_back, sum, authorised, say })
}
