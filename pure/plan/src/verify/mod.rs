//! Proves an advice anew from its certificate, for a reader who does not trust the search.
//!
//! [`verify`] shares no code with the search: it plays by the judge's rules of the game, finds
//! every action by itself and takes nothing from the certificate but which actions the plan
//! takes, where a bound is carried on, and the numbers that are claimed, each of which it
//! works out again. Why what it accepts is a bound is said in ARCHITECTURE.md.

mod claims;
mod known;
mod low;
mod refusal;
mod rules;
mod upper;

use sheet::Sheet;

use crate::answer::SheetRef;
use crate::judge::JudgeAsk;

pub use claims::{Carried, Certificate, Node, Part, Step, VerifyAnswer};
pub use refusal::{Claim, Refusal};
pub(crate) use rules::{Rules, Standing, WHOLE};
pub(crate) use upper::cost as plan_cost;

/// Rounding: a bound that is worked out again may miss what is claimed by this share of
/// max(1, claim). A node adds up some hundred products, each right to 1e-16.
pub(crate) const ROUNDING: f64 = 1e-12;
/// Odds that differ by less than this, all causes together, are one state: no plan's cost
/// differs by more than this share of the dearest plan that there is.
pub(crate) const SAME_ODDS: f64 = 1e-12;
/// An expected cost that is worked out again may differ from the claim by this share of
/// max(1, claim): the difference at which two costs tie (design section 5).
pub(crate) const TIE: f64 = 1e-9;

/// Works out again what a certificate claims about the advice that was asked for.
///
/// # Errors
/// [`Refusal`]: the first claim that does not hold, and where it stands.
pub fn verify(
    sheet: &Sheet,
    ask: &JudgeAsk,
    certificate: &Certificate,
) -> Result<VerifyAnswer, Refusal> {
    let mut rules = Rules::new(sheet, ask)?;
    let Certificate { expected_cost, lower_bound, steps, nodes } = certificate;
    for (claim, value) in
        [(Claim::ExpectedCost, *expected_cost), (Claim::LowerBound, *lower_bound)]
    {
        if !value.is_finite() || value < 0.0 {
            return Err(Refusal::NotANumber { claim });
        }
    }
    let cost = upper::cost(&rules, steps)?;
    if (cost - expected_cost).abs() > TIE * expected_cost.max(1.0) {
        return Err(Refusal::OtherCost { claimed: *expected_cost, found: cost });
    }
    let low = low::bound(&mut rules, nodes)?;
    if *lower_bound > low + ROUNDING * low.abs().max(1.0) {
        let claim = Claim::LowerBound;
        return Err(Refusal::Overstated { claim, claimed: *lower_bound, found: low });
    }
    let gap = (expected_cost - lower_bound) / expected_cost.max(1e-9);
    let proven = expected_cost - lower_bound <= TIE * expected_cost.max(1.0);
    let remarks = if proven {
        vec!["No better plan exists on this sheet's numbers.".to_owned()]
    } else {
        vec![format!("A better plan could be up to {:.1} % cheaper.", 100.0 * gap)]
    };
    Ok(VerifyAnswer {
        sheet: SheetRef {
            id: sheet.id.clone(),
            version: sheet.version,
            hash: crate::advise::hex(&sheet.hash),
        },
        expected_cost: *expected_cost,
        lower_bound: *lower_bound,
        gap,
        proven,
        nodes: nodes.len(),
        steps: steps.len(),
        remarks,
    })
}
