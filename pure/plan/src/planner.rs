//! A planner that goes on: advice at once, better with time, and what was learnt is kept when
//! the job moves on.

use std::sync::Arc;

use sheet::Sheet;

use crate::advise::{PlanAsk, PlanError, Worked, answer, closed_off};
use crate::answer::PlanAnswer;
use crate::graph::Bounds;
use crate::problem::{Ask, Problem};
use crate::search::{Limits, Search};
use crate::state::State;
use crate::tail::Move;
use crate::walk::PER_WALK;

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

/// Most states that are taken along when the job moves on: what follows needs room too.
fn kept_nodes(limits: Limits) -> usize {
    limits.nodes.div_euclid(2)
}

/// Most memory that is taken along, bytes.
fn kept_bytes(limits: Limits) -> usize {
    limits.bytes.div_euclid(4)
}

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
            && self.search.size() <= kept_nodes(ask.limits)
            && self.search.bytes() <= kept_bytes(ask.limits);
        if !same {
            *self = Self::new(Arc::clone(sheet), ask)?;
            return Ok(Kept::Nothing);
        }
        let off = self.search.trips.place(&self.problem, now.off);
        self.state = State::at_first(&self.problem, &now.odds, off);
        self.search.limits = ask.limits;
        self.search.per_walk = PER_WALK.0;
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

    /// Works on what the outcomes of the advised step lead to, the likeliest first, each as long
    /// as `keep_on` agrees: it is given how many were worked on before. What is learnt stays
    /// small enough to be kept when the job moves on.
    pub fn think_ahead(&mut self, keep_on: &dyn Fn(usize) -> bool) {
        let at = self.search.node(&self.state);
        let Move::Act(place) = self.search.best_act(Some(at), &self.state) else {
            return;
        };
        let problem = Arc::clone(&self.problem);
        let to = self.search.trips.trip(&problem, self.state.off, place).to;
        let mut ahead = self.state.branches(&problem.acts[place], to);
        ahead.sort_by(|a, b| b.p.total_cmp(&a.p));
        let whole = self.search.limits;
        let share = ahead.len().max(1);
        let (size, bytes) = (self.search.size(), self.search.bytes());
        // What the advice rests on is not to be lost.
        self.search.forgets = false;
        for (nth, branch) in ahead.iter().enumerate() {
            // Room is shared out.
            let part = |most: usize, used: usize| {
                used + most.saturating_sub(used).div_euclid(share) * (nth + 1)
            };
            self.search.limits.nodes = part(kept_nodes(whole), size);
            self.search.limits.bytes = part(kept_bytes(whole), bytes);
            self.search.improve(&branch.state, &|| keep_on(nth));
        }
        self.search.limits = whole;
        self.search.forgets = true;
    }

    /// Lower bound and cost of the best known plan, money.
    pub fn bounds(&mut self) -> (f64, f64) {
        let Bounds { low, high } = self.search.bounds(&self.state);
        (low, high)
    }

    /// How many states were met.
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
