//! A sheet made ready for the search: actions in tie order with flat tables of numbers.

use std::fmt;
use std::sync::Arc;

use sheet::{Economy, ItemSet, ProofKind, Recurrence, Sheet, Way};
use weigh::{Odds, bit, shows};

/// Branches of at most this probability are not expanded (design section 5).
pub(crate) const NEGLIGIBLE: f64 = 1e-12;

/// What kind of action, in the order that breaks ties.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Hand over (or back, where nothing was fixed).
    Close,
    /// Stop and pass the job to a specialist.
    PassOn,
    /// A check.
    Check,
    /// A repair.
    Repair,
    /// A proof.
    Proof,
}

impl Kind {
    /// The word in JSON; also the id of close and pass-on.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Close => "close",
            Self::PassOn => "pass-on",
            Self::Check => "check",
            Self::Repair => "repair",
            Self::Proof => "proof",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.word())
    }
}

/// How far the vehicle must be put together for an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Built {
    /// As the way and `on` say.
    AsNeeded,
    /// Nothing but covers off.
    Assembled,
    /// Everything refitted, covers too.
    Whole,
}

/// What an action does to the odds; rows by live cause with the fixed vehicle last.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Effect {
    /// `rows[outcome][cause]`, then `fixes`.
    Look { rows: Vec<Vec<f64>> },
    /// Puts right.
    PutRight { again: f64 },
    /// Shows with this probability by cause.
    Show { shows: Vec<f64>, if_shown: f64 },
    /// Shows by the count of the job.
    Drive { exposure: f64, falsely: f64, if_shown: f64 },
}

impl Effect {
    /// How many outcomes it has.
    pub(crate) fn outcomes(&self) -> usize {
        match self {
            Self::Look { rows } => rows.len(),
            Self::PutRight { .. } => 1,
            Self::Show { .. } | Self::Drive { .. } => 2,
        }
    }
}

/// An action in one of its ways.
#[derive(Debug, Clone)]
pub(crate) struct Act {
    pub(crate) kind: Kind,
    /// Place in the sheet's list of its kind.
    pub(crate) place: usize,
    pub(crate) way: usize,
    pub(crate) closed: ItemSet,
    pub(crate) on: ItemSet,
    pub(crate) built: Built,
    pub(crate) work_min: f64,
    pub(crate) wait_min: f64,
    /// Work, waiting, and consumables of a look or proof or parts of a repair.
    pub(crate) pay: f64,
    pub(crate) effect: Effect,
    /// By live cause; empty where it puts nothing right.
    pub(crate) fixes: Vec<f64>,
    /// The live causes that it puts right, with their shares.
    pub(crate) cures: Vec<(usize, f64)>,
    pub(crate) spoils: u128,
    /// Repairs that come first: of those that put nothing right in a group the cheapest do.
    pub(crate) only_after: u128,
    /// A look that puts something right outside a group: it opens the proofs again.
    pub(crate) reopens: bool,
}

/// The whole problem from the present state on.
#[derive(Debug)]
pub(crate) struct Problem {
    pub(crate) sheet: Arc<Sheet>,
    pub(crate) economy: Economy,
    /// Checks, repairs, proofs in their ways, in tie order.
    pub(crate) acts: Vec<Act>,
    /// Places of the repairs that put anything right.
    pub(crate) repairs: Vec<usize>,
    /// Places of the proofs.
    pub(crate) proofs: Vec<usize>,
    /// Live cause → cause of the sheet.
    pub(crate) cause_of: Vec<usize>,
    /// Whether driving is counted at all.
    pub(crate) counts: bool,
    /// Checks and repairs that were done when this was made: they are not there.
    gone: (u128, u128),
}

/// What the planner is asked about.
#[derive(Debug, Clone)]
pub struct Ask {
    /// Money rules that hold.
    pub economy: Economy,
    /// How often the fault set, where known.
    pub recurrence: Option<Recurrence>,
    /// Odds now, from [`weigh::weigh`].
    pub odds: Odds,
    /// What is off now; closed under `behind`.
    pub off: ItemSet,
    /// Equipment of the workshop; `None`: all there.
    pub has: Option<Vec<String>>,
    /// Actions that were refused.
    pub without: Vec<(Kind, usize)>,
}

impl Problem {
    /// Compiles the actions that are there: equipment at hand, not refused, a count for
    /// drives. Causes of odds 0 are left out: nothing brings them back.
    pub(crate) fn new(sheet: &Arc<Sheet>, ask: &Ask) -> Self {
        let live = |cause: &usize| ask.odds.present[*cause] > 0.0;
        let cause_of: Vec<usize> = (0..sheet.causes()).filter(live).collect();
        let counts = ask.odds.count.is_some();
        let mut problem = Self {
            sheet: Arc::clone(sheet),
            economy: ask.economy.clone(),
            acts: Vec::new(),
            repairs: Vec::new(),
            proofs: Vec::new(),
            cause_of,
            counts,
            gone: (ask.odds.done.checks, ask.odds.done.repairs),
        };
        let there = |kind: Kind, place: usize, needs: &[String]| {
            let equipped =
                ask.has.as_ref().is_none_or(|has| needs.iter().all(|n| has.contains(n)));
            equipped && !ask.without.contains(&(kind, place))
        };
        for (place, check) in sheet.checks.iter().enumerate() {
            if there(Kind::Check, place, &check.needs)
                && ask.odds.done.checks & bit(place) == 0
            {
                problem.add_check(place);
            }
        }
        for (place, repair) in sheet.repairs.iter().enumerate() {
            if there(Kind::Repair, place, &repair.needs)
                && ask.odds.done.repairs & bit(place) == 0
            {
                problem.add_repair(place);
            }
        }
        for (place, proof) in sheet.proofs.iter().enumerate() {
            let countless = matches!(proof.kind, ProofKind::Exposure(_)) && !counts;
            if there(Kind::Proof, place, &proof.needs) && !countless {
                problem.add_proof(place);
            }
        }
        problem.repairs = places(&problem.acts, |act| {
            act.kind == Kind::Repair && !act.fixes.is_empty()
        });
        problem.proofs = places(&problem.acts, |act| act.kind == Kind::Proof);
        problem
    }

    /// The problem of these live causes alone. Acts that tell nothing about them and put none
    /// right are left out, but for repairs while there are proofs, which they open (again):
    /// these cost no trip, and the cheapest come first.
    pub(crate) fn among(&self, causes: &[usize]) -> Self {
        let fixed = self.causes();
        let keep = |row: &[f64]| -> Vec<f64> {
            causes.iter().copied().chain([fixed]).map(|c| row[c]).collect()
        };
        let differ = |row: &[f64]| row.iter().any(|p| p.to_bits() != row[0].to_bits());
        let mut acts: Vec<Act> = Vec::new();
        for act in &self.acts {
            let fixes: Vec<f64> =
                causes.iter().filter_map(|c| act.fixes.get(*c).copied()).collect();
            let fixes = if fixes.iter().any(|q| *q > 0.0) { fixes } else { Vec::new() };
            let elsewhere = !act.fixes.is_empty() && fixes.is_empty();
            let reopens = act.kind == Kind::Check && (act.reopens || elsewhere);
            let effect = match &act.effect {
                Effect::Look { rows } => {
                    let rows: Vec<Vec<f64>> = rows.iter().map(|row| keep(row)).collect();
                    let opens = reopens && !self.proofs.is_empty();
                    if fixes.is_empty() && !opens && !rows.iter().any(|row| differ(row)) {
                        continue;
                    }
                    Effect::Look { rows }
                }
                Effect::PutRight { again } => Effect::PutRight { again: *again },
                Effect::Show { shows, if_shown } => {
                    Effect::Show { shows: keep(shows), if_shown: *if_shown }
                }
                Effect::Drive { exposure, falsely, if_shown } => Effect::Drive {
                    exposure: *exposure,
                    falsely: *falsely,
                    if_shown: *if_shown,
                },
            };
            let idle = act.kind == Kind::Repair && fixes.is_empty();
            let known = acts.iter().any(|a| (a.kind, a.place) == (act.kind, act.place));
            if idle && (known || self.proofs.is_empty()) {
                continue;
            }
            let cures = cures(&fixes);
            let mut act = Act { effect, fixes, cures, reopens, ..act.clone() };
            if idle {
                (act.closed, act.on) = (ItemSet::EMPTY, ItemSet::EMPTY);
                (act.built, act.spoils) = (Built::AsNeeded, 0);
            }
            acts.push(act);
        }
        let mut idle: Vec<usize> =
            places(&acts, |act| act.kind == Kind::Repair && act.fixes.is_empty());
        idle.sort_by(|a, b| acts[*a].pay.total_cmp(&acts[*b].pay).then(a.cmp(b)));
        let mut before = 0;
        for place in idle {
            acts[place].only_after = before;
            before |= bit(acts[place].place);
        }
        Self {
            sheet: Arc::clone(&self.sheet),
            economy: self.economy.clone(),
            repairs: places(&acts, |act| {
                act.kind == Kind::Repair && !act.fixes.is_empty()
            }),
            proofs: places(&acts, |act| act.kind == Kind::Proof),
            acts,
            cause_of: causes.iter().map(|c| self.cause_of[*c]).collect(),
            counts: self.counts,
            gone: self.gone,
        }
    }

    /// Whether all causes that these odds hold possible are live here, and all that is still
    /// to be had there is to be had here.
    pub(crate) fn knows(&self, odds: &Odds) -> bool {
        let live = |cause: usize| self.cause_of.contains(&cause);
        let possible = odds.present.iter().enumerate().filter(|(_, p)| **p > 0.0);
        let undone = |done: u128, was: u128| was & !done == 0;
        possible.map(|(cause, _)| cause).all(live)
            && undone(odds.done.checks, self.gone.0)
            && undone(odds.done.repairs, self.gone.1)
    }

    /// How many live causes.
    pub(crate) fn causes(&self) -> usize {
        self.cause_of.len()
    }

    fn live(&self, by_cause: &[f64]) -> Vec<f64> {
        self.cause_of.iter().map(|cause| by_cause[*cause]).collect()
    }

    fn fixes(&self, by_cause: &[f64]) -> Vec<f64> {
        let live = self.live(by_cause);
        if live.iter().any(|share| *share > 0.0) { live } else { Vec::new() }
    }

    fn add_check(&mut self, place: usize) {
        let sheet = Arc::clone(&self.sheet);
        let check = &sheet.checks[place];
        let active = self.economy.active;
        let rows = (0..check.outcomes.len())
            .map(|outcome| {
                let causes = self
                    .cause_of
                    .iter()
                    .map(|cause| check.chance(*cause, outcome, active));
                causes.chain([check.fine[outcome]]).collect()
            })
            .collect();
        let act = Act {
            kind: Kind::Check,
            place,
            way: 0,
            closed: ItemSet::EMPTY,
            on: check.on,
            built: if check.assembled { Built::Assembled } else { Built::AsNeeded },
            work_min: check.minutes,
            wait_min: check.wait_min,
            pay: self.price(check.minutes, check.wait_min, check.cost),
            effect: Effect::Look { rows },
            fixes: self.fixes(&check.fixes),
            cures: Vec::new(),
            spoils: check
                .spoils
                .iter()
                .chain(&check.alike)
                .fold(0, |mask, check| mask | bit(check.at())),
            only_after: 0,
            reopens: false,
        };
        self.add_ways(&act, &check.ways);
    }

    fn add_repair(&mut self, place: usize) {
        let sheet = Arc::clone(&self.sheet);
        let repair = &sheet.repairs[place];
        let act = Act {
            kind: Kind::Repair,
            place,
            way: 0,
            closed: ItemSet::EMPTY,
            on: repair.on,
            built: if repair.assembled { Built::Assembled } else { Built::AsNeeded },
            work_min: repair.minutes,
            wait_min: repair.wait_min,
            pay: self.price(repair.minutes, repair.wait_min, repair.parts_price),
            effect: Effect::PutRight { again: repair.again },
            fixes: self.fixes(&repair.fixes),
            cures: Vec::new(),
            spoils: repair.spoils.iter().fold(0, |mask, check| mask | bit(check.at())),
            only_after: 0,
            reopens: false,
        };
        self.add_ways(&act, &repair.ways);
    }

    fn add_proof(&mut self, place: usize) {
        let sheet = Arc::clone(&self.sheet);
        let proof = &sheet.proofs[place];
        let whole = [Way { named: Vec::new(), closed: ItemSet::EMPTY }];
        let (built, on, ways) = match &proof.kind {
            ProofKind::Exposure(_) | ProofKind::Shows(_) => {
                (Built::Whole, ItemSet::EMPTY, whole.as_slice())
            }
            ProofKind::Repeat { check, .. } => {
                let check = &sheet.checks[check.at()];
                let built =
                    if check.assembled { Built::Assembled } else { Built::AsNeeded };
                (built, check.on, check.ways.as_slice())
            }
        };
        let if_shown = proof.if_shown;
        let effect = match &proof.kind {
            ProofKind::Exposure(exposure) => Effect::Drive {
                exposure: exposure.amount,
                falsely: proof.shows_falsely,
                if_shown,
            },
            ProofKind::Shows(_) | ProofKind::Repeat { .. } => {
                let (by_cause, falsely) = shows(&self.sheet, &self.economy, proof);
                let shows = self.live(&by_cause).into_iter().chain([falsely]).collect();
                Effect::Show { shows, if_shown }
            }
        };
        let act = Act {
            kind: Kind::Proof,
            place,
            way: 0,
            closed: ItemSet::EMPTY,
            on,
            built,
            work_min: proof.minutes,
            wait_min: proof.wait_min,
            pay: self.price(proof.minutes, proof.wait_min, proof.cost),
            effect,
            fixes: Vec::new(),
            cures: Vec::new(),
            spoils: 0,
            only_after: 0,
            reopens: false,
        };
        self.add_ways(&act, ways);
    }

    fn price(&self, work_min: f64, wait_min: f64, money: f64) -> f64 {
        self.economy.work(work_min) + self.economy.waiting(wait_min) + money
    }

    /// One act a way; a later way that opens the same items is the same act.
    fn add_ways(&mut self, act: &Act, ways: &[Way]) {
        let first = self.acts.len();
        for (way, entry) in ways.iter().enumerate() {
            if self.acts[first..].iter().all(|earlier| earlier.closed != entry.closed) {
                let cures = cures(&act.fixes);
                self.acts.push(Act { way, closed: entry.closed, cures, ..act.clone() });
            }
        }
    }
}

fn places(acts: &[Act], wanted: fn(&Act) -> bool) -> Vec<usize> {
    acts.iter()
        .enumerate()
        .filter(|(_, act)| wanted(act))
        .map(|(place, _)| place)
        .collect()
}

fn cures(fixes: &[f64]) -> Vec<(usize, f64)> {
    fixes.iter().copied().enumerate().filter(|(_, share)| *share > 0.0).collect()
}
