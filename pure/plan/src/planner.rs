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
    /// What was learnt of the states that follow: advice comes at once.
    Bounds,
}

/// Memory that what is taken along may fill while nobody waits, bytes: what is thought about
/// ahead needs room.
fn kept_bytes(limits: Limits) -> usize {
    limits.bytes.div_euclid(4)
}

/// Memory that it may fill with that, bytes: what follows needs room too.
fn filled_bytes(limits: Limits) -> usize {
    3 * kept_bytes(limits)
}

/// The plan of one job at one point, improved for as long as the caller likes.
#[derive(Debug)]
pub struct Planner {
    sheet: Arc<Sheet>,
    asked: Ask,
    problem: Arc<Problem>,
    search: Search,
    state: State,
    limits: Limits,
    /// Whether nothing was worked out since the job moved on.
    moved: bool,
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
        let (asked, limits) = (ask.ask.clone(), ask.limits);
        Ok(Self { sheet, asked, problem, search, state, limits, moved: false })
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
            && self.problem.knows(&now.odds);
        if !same {
            *self = Self::new(Arc::clone(sheet), ask)?;
            return Ok(Kept::Nothing);
        }
        let off = self.search.trips.place(&self.problem, now.off);
        self.state = State::at_first(&self.problem, &now.odds, off);
        self.limits = ask.limits;
        self.search.limits = self.more();
        self.search.per_walk = PER_WALK.0;
        if self.search.bytes() > filled_bytes(self.limits) {
            self.rest();
        }
        self.moved = true;
        Ok(Kept::Bounds)
    }

    /// What may be met beside what was met before.
    fn more(&self) -> Limits {
        let nodes = self.limits.nodes.saturating_add(self.search.size());
        Limits { nodes, ..self.limits }
    }

    /// Betters the plan alone: for advice at once, before it is proven.
    pub fn sketch(&mut self, keep_on: &dyn Fn() -> bool) {
        self.search.sketch(&self.state, keep_on);
    }

    /// Betters the plan until it is proven, the limits are reached or `keep_on` says no.
    pub fn improve(&mut self, keep_on: &dyn Fn() -> bool) {
        if std::mem::take(&mut self.moved) {
            self.search.first_walks(&self.state, keep_on);
        }
        self.search.improve(&self.state, keep_on);
    }

    /// Forgets what helps least, as far as it fills more than is taken along.
    pub fn rest(&mut self) {
        self.search.keep_from(&self.state, kept_bytes(self.limits));
    }

    /// Works on what the advised step leads to, each state as long as `keep_on` agrees: it is
    /// given how many were worked on before. The way there comes first, then the outcomes, the
    /// likeliest first. What is learnt stays small enough to be kept when the job moves on.
    pub fn think_ahead(&mut self, keep_on: &dyn Fn(usize) -> bool) {
        let at = self.search.node(&self.state);
        let Move::Act(place) = self.search.best_act(Some(at), &self.state) else {
            return;
        };
        let problem = Arc::clone(&self.problem);
        let to = self.search.trips.trip(&problem, self.state.off, place).to;
        self.rest();
        let mut outcomes = self.state.branches(&problem.acts[place], to);
        outcomes.sort_by(|a, b| b.p.total_cmp(&a.p));
        let there = State { off: to, ..self.state.clone() };
        let way = (to != self.state.off).then_some(there);
        let ahead: Vec<State> =
            way.into_iter().chain(outcomes.into_iter().map(|one| one.state)).collect();
        let share = ahead.len().max(1);
        let size = self.search.size();
        let used = self.search.needs();
        let room = filled_bytes(self.limits).saturating_sub(used);
        // What the advice rests on is not to be lost.
        self.search.forgets = false;
        for (nth, state) in ahead.iter().enumerate() {
            // Room is shared out.
            let part = |room: usize| room.div_euclid(share).saturating_mul(nth + 1);
            self.search.limits.nodes = size.saturating_add(part(self.limits.nodes));
            self.search.limits.bytes = used + part(room);
            self.search.improve(state, &|| keep_on(nth));
        }
        self.search.limits = self.more();
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
