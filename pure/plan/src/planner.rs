//! A planner that goes on: advice at once, better with time, and what was learnt is kept when
//! the job moves on.

use std::sync::Arc;

use sheet::Sheet;

use crate::advise::{PlanAsk, PlanError, Worked, answer, closed_off};
use crate::answer::PlanAnswer;
use crate::graph::Bounds;
use crate::problem::{Ask, Problem};
use crate::search::Search;
use crate::state::State;

/// What a planner has kept for another point of its job.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kept {
    /// Nothing: it starts anew.
    Nothing,
    /// Bounds of states that may be met again; this point itself is hardly known.
    Bounds,
    /// Much work on this very point.
    Work,
}

/// So many visits to a state are much work: its advice does not turn with a few more.
const MUCH: u32 = 500;

/// The plan of one job at one point, improved for as long as the caller likes.
#[derive(Debug)]
pub struct Planner {
    sheet: Arc<Sheet>,
    asked: Ask,
    problem: Arc<Problem>,
    search: Search,
    state: State,
}

impl Planner {
    /// A planner for what is asked.
    ///
    /// # Errors
    /// [`PlanError`]: what is off is not closed under `behind`.
    pub fn new(sheet: Arc<Sheet>, ask: &PlanAsk) -> Result<Self, PlanError> {
        closed_off(&sheet, ask.ask.off)?;
        let problem = Arc::new(Problem::new(&sheet, &ask.ask));
        let mut search = Search::new(Arc::clone(&problem), ask.limits);
        let off = search.trips.place(&problem, ask.ask.off);
        let state = State::at_first(&problem, &ask.ask.odds, off);
        Ok(Self { sheet, asked: ask.ask.clone(), problem, search, state })
    }

    /// Goes on from another point of the same job. What was learnt is kept where the sheet,
    /// the money rules, the equipment and what was refused are the same and no cause that was
    /// ruled out is back; else it starts anew.
    ///
    /// # Errors
    /// [`PlanError`]: what is off is not closed under `behind`.
    pub fn move_on(
        &mut self,
        sheet: &Arc<Sheet>,
        ask: &PlanAsk,
    ) -> Result<Kept, PlanError> {
        closed_off(sheet, ask.ask.off)?;
        let (was, now) = (&self.asked, &ask.ask);
        let same = self.sheet.hash == sheet.hash
            && (&was.economy, &was.has, &was.without)
                == (&now.economy, &now.has, &now.without)
            && was.odds.count.is_some() == now.odds.count.is_some()
            && self.problem.knows(&now.odds)
            && self.search.size() < ask.limits.nodes.div_euclid(2)
            && self.search.bytes() < ask.limits.bytes.div_euclid(4);
        if !same {
            *self = Self::new(Arc::clone(sheet), ask)?;
            return Ok(Kept::Nothing);
        }
        let off = self.search.trips.place(&self.problem, now.off);
        self.state = State::at_first(&self.problem, &now.odds, off);
        self.search.limits = ask.limits;
        let visits = self.search.visits(&self.state);
        Ok(if visits >= MUCH { Kept::Work } else { Kept::Bounds })
    }

    /// Betters the plan alone: for advice at once, before it is proven.
    pub fn sketch(&mut self, keep_on: &dyn Fn() -> bool) {
        self.search.sketch(&self.state, keep_on);
    }

    /// Betters the plan until it is proven, the limits are reached or `keep_on` says no.
    pub fn improve(&mut self, keep_on: &dyn Fn() -> bool) {
        self.search.improve(&self.state, keep_on);
    }

    /// Lower bound and cost of the best known plan, money.
    pub fn bounds(&mut self) -> (f64, f64) {
        let Bounds { low, high } = self.search.bounds(&self.state);
        (low, high)
    }

    /// How many states are kept.
    #[must_use]
    pub fn size(&self) -> usize {
        self.search.size()
    }

    /// The best known plan as it is told. `keep_on` is asked while ties are settled.
    pub fn answer(&mut self, ask: &PlanAsk, keep_on: &dyn Fn() -> bool) -> PlanAnswer {
        let problem = Arc::clone(&self.problem);
        let mut worked = Worked::out(&mut self.search, &self.state, keep_on);
        answer(&problem, ask, &mut worked)
    }
}
