//! Planners that were in use: what one learnt for a car is kept for its next step.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use plan::{Kept, PlanAnswer, PlanAsk, PlanError, Planner};
use sheet::Sheet;

/// Most planners that are kept, of which one at a time may fill its memory.
const MOST_KEPT: usize = 2;
/// Time where the job went on from a point that was thought about, milliseconds: with what the
/// store and the page take, the repairer waits for a tenth of a second.
const AGAIN_MS: u64 = 60;

/// Time for each outcome of a step that is thought about while nobody asks, milliseconds.
const AHEAD_MS: u64 = 1500;

/// Share of the cost that another step must save for the advice to change while nothing new
/// is entered.
const WORTH_A_CHANGE: f64 = 0.02;

/// Answers that are remembered.
const TOLD: usize = 64;

/// Planners in use, behind a lock.
#[derive(Debug, Default)]
pub(crate) struct Planners(Mutex<InUse>);

/// Planners that were in use, and what was told.
#[derive(Debug, Default)]
struct InUse {
    /// By job, the latest last.
    planners: Vec<(String, Planner)>,
    told: Told,
}

/// Answers that were told, the latest last.
#[derive(Debug, Default)]
struct Told(VecDeque<PlanAnswer>);

impl Told {
    /// What is told to a question: its step stays what it was when the same was asked before,
    /// or the page would change under the repairer's hands, unless a step was found since that
    /// saves enough. What has become surer about the step is told.
    fn steady(&mut self, found: PlanAnswer) -> PlanAnswer {
        let same = |told: &PlanAnswer| {
            (&told.sheet, &told.inputs, &told.odds)
                == (&found.sheet, &found.inputs, &found.odds)
        };
        let stays = |told: &PlanAnswer| {
            let step =
                |kind: &str, id: &str| told.next.kind == kind && told.next.id == id;
            let cost = found.choices.iter().find(|c| step(&c.kind, &c.id));
            let dearest = found.expected_cost * (1.0 + WORTH_A_CHANGE);
            !step(&found.next.kind, &found.next.id)
                && cost.is_some_and(|choice| choice.expected_cost <= dearest)
        };
        let before = self.0.iter().position(same).and_then(|at| self.0.remove(at));
        let tell = before.filter(stays).unwrap_or(found);
        self.0.push_back(tell.clone());
        let surplus = self.0.len().saturating_sub(TOLD);
        self.0.drain(..surplus);
        tell
    }
}

impl Planners {
    /// The plan of a job from where it stands, within a time budget from now on. Asked the
    /// same again, the step is the same unless another saves enough; with a tree, it is the
    /// best that is known.
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
        let mut in_use = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let InUse { planners: all, told } = &mut *in_use;
        let known = all.iter().position(|(of, _)| of == job).map(|at| all.remove(at));
        let (mut planner, kept) = match known {
            Some((_, mut planner)) => {
                let kept = planner.move_on(&sheet, ask)?;
                (planner, kept)
            }
            None => (Planner::new(sheet, ask)?, Kept::Nothing),
        };
        let budget = match kept {
            Kept::Bounds => budget_ms.min(AGAIN_MS),
            Kept::Nothing => budget_ms,
        };
        let keep_on = || start.elapsed() < Duration::from_millis(budget);
        planner.improve(&keep_on);
        let answer = planner.answer(ask, &keep_on);
        all.push((job.to_owned(), planner));
        let surplus = all.len().saturating_sub(MOST_KEPT);
        all.drain(..surplus);
        Ok(if answer.tree.is_some() { answer } else { told.steady(answer) })
    }

    /// Works on what may come out of a job's advised step, as long as `keep_on` says so; the
    /// planners of other jobs rest.
    pub(crate) fn think_ahead(&self, job: &str, keep_on: &dyn Fn() -> bool) {
        let mut in_use = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let all = &mut in_use.planners;
        all.iter_mut().filter(|(of, _)| of != job).for_each(|(_, other)| other.rest());
        let Some((_, planner)) = all.iter_mut().find(|(of, _)| of == job) else { return };
        let start = Instant::now();
        let until = |nth: usize| {
            Duration::from_millis(AHEAD_MS)
                .saturating_mul(u32::try_from(nth).unwrap_or(u32::MAX).saturating_add(1))
        };
        planner.think_ahead(&|nth| keep_on() && start.elapsed() < until(nth));
    }
}
