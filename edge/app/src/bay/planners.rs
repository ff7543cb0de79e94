//! Planners that were in use: what one learnt for a car is kept for its next step.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use plan::{PlanAnswer, PlanAsk, PlanError, Planner};
use sheet::Sheet;

/// Most planners that are kept: each may hold its whole memory.
const MOST_KEPT: usize = 2;
/// Time for a planner that has thought about the car before, milliseconds.
const AGAIN_MS: u64 = 100;

/// Planners by job, the latest last.
#[derive(Debug, Default)]
pub(crate) struct Planners(Mutex<Vec<(String, Planner)>>);

impl Planners {
    /// The plan of a job from where it stands, within a time budget from now on.
    ///
    /// # Errors
    /// What is off is not closed under `behind`.
    pub(crate) fn plan(
        &self,
        (job, sheet): (&str, &Sheet),
        ask: &PlanAsk,
        budget_ms: u64,
    ) -> Result<PlanAnswer, PlanError> {
        let start = Instant::now();
        let sheet = Arc::new(sheet.clone());
        // A planner that a panic left behind is as good as none: it only holds bounds.
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let known = kept.iter().position(|(of, _)| of == job).map(|at| kept.remove(at));
        let (mut planner, again) = match known {
            Some((_, mut planner)) => {
                let again = planner.move_on(&sheet, ask)?;
                (planner, again)
            }
            None => (Planner::new(sheet, ask)?, false),
        };
        let budget = if again { budget_ms.min(AGAIN_MS) } else { budget_ms };
        let keep_on = || start.elapsed() < Duration::from_millis(budget);
        planner.improve(&keep_on);
        let answer = planner.answer(ask, &keep_on);
        kept.push((job.to_owned(), planner));
        let surplus = kept.len().saturating_sub(MOST_KEPT);
        kept.drain(..surplus);
        Ok(answer)
    }
}
