//! Writes the certificate of an advice: the plan as steps, and the proof that none costs less.
//!
//! The search says where to look; what is written is worked out by the verifier's rules alone
//! and holds whatever the search believes.

mod proof;
mod steps;

use std::fmt;
use std::sync::Arc;

use sheet::Sheet;

use crate::advise::{PlanAsk, PlanError, Worked, answer, closed_off};
use crate::answer::PlanAnswer;
use crate::judge::{JudgeAsk, JudgeKind, JudgeMoves, JudgeSkips};
use crate::problem::{Ask, Kind, Problem};
use crate::search::Search;
use crate::state::State;
use crate::verify::{Certificate, Refusal, Rules, plan_cost, verify};

/// Why there is no certificate.
#[derive(Debug, Clone, PartialEq)]
pub enum CertificateError {
    /// There is no plan.
    Plan(PlanError),
    /// The proof would have more nodes than allowed.
    TooLarge {
        /// The most that was allowed.
        nodes: usize,
    },
    /// The verifier does not confirm what the search found.
    Refused(Refusal),
}

impl fmt::Display for CertificateError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Plan(error) => error.fmt(out),
            Self::TooLarge { nodes } => write!(
                out,
                "the certificate would have more than {nodes} nodes: ask for less with a gap, \
                 as in --gap 0.05, or leave out what is not needed of the sheet"
            ),
            Self::Refused(refusal) => refusal.fmt(out),
        }
    }
}

impl std::error::Error for CertificateError {}

impl From<Refusal> for CertificateError {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

/// The plan as [`crate::plan`] has it, and a certificate of it with at most so many nodes,
/// which [`verify`] has confirmed.
///
/// # Errors
/// [`CertificateError`]: there is no plan, or no certificate of that size.
pub fn plan_with_certificate(
    sheet: &Sheet,
    ask: &PlanAsk,
    nodes: usize,
    keep_on: &dyn Fn() -> bool,
) -> Result<(PlanAnswer, Certificate), CertificateError> {
    closed_off(sheet, ask.ask.off).map_err(CertificateError::Plan)?;
    let problem = Arc::new(Problem::new(&Arc::new(sheet.clone()), &ask.ask));
    let mut search = Search::new(Arc::clone(&problem), ask.limits);
    let off = search.trips.place(&problem, ask.ask.off);
    let state = State::at_first(&problem, &ask.ask.odds, off);
    search.improve(&state, keep_on);
    let mut worked = Worked::out(&mut search, &state, keep_on);
    let answer = answer(&problem, ask, &mut worked);
    let (policy, root) = worked.plan();
    let steps = steps::steps(&problem, policy, root);

    let question = question(&ask.ask);
    let mut rules = Rules::new(sheet, &question)?;
    let expected_cost = plan_cost(&rules, &steps)?;
    let (lower_bound, nodes) = proof::proof(
        &mut rules,
        &mut search,
        (answer.lower_bound, answer.proven, nodes),
    )?;
    let lower_bound = lower_bound.min(expected_cost).max(0.0);
    let certificate = Certificate { expected_cost, lower_bound, steps, nodes };
    let _ = verify(sheet, &question, &certificate)?;
    Ok((answer, certificate))
}

/// The same question to the judge and to the verifier.
#[must_use]
pub fn question(ask: &Ask) -> JudgeAsk {
    let kind = |kind: Kind| match kind {
        Kind::Close => JudgeKind::Close,
        Kind::PassOn => JudgeKind::PassOn,
        Kind::Check => JudgeKind::Check,
        Kind::Repair => JudgeKind::Repair,
        Kind::Proof => JudgeKind::Proof,
    };
    JudgeAsk {
        economy: ask.economy.clone(),
        odds: ask.odds.clone(),
        off: ask.off,
        has: ask.has.clone(),
        without: ask.without.iter().map(|(of, place)| (kind(*of), *place)).collect(),
        limit_states: 0,
        moves: JudgeMoves::Late,
        skips: JudgeSkips::Dearer,
    }
}
