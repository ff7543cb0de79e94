//! The plain judge: [`least_cost`] enumerates every policy of a small sheet, straight from
//! the meaning that design section 5 gives, to confirm the search.
//!
//! It shares no code with the search, with `strip` or with `weigh`. It passes over branches of
//! probability ≤ 1e-12, and over actions that one simple bound (`told`) makes dearer than an
//! action that is known; [`JudgeSkips::Nothing`] takes that bound away too. Slow, and easy to
//! check against the text.

mod ask;
mod deals;
mod moving;
mod state;
mod told;
mod unfold;

use rustc_hash::FxHashMap;
use sheet::{ItemIx, ItemSet, Proof, ProofKind, Sheet};
use weigh::Count;

pub use ask::{JudgeAnswer, JudgeAsk, JudgeError, JudgeKind, JudgeMoves, JudgeSkips};
pub(crate) use deals::{Deal, Demand};
use deals::{closures, deals};
pub(crate) use state::{Key, NEGLIGIBLE, Opening, State, bit, key, may};
use state::{after_clear, after_set, put_right, see, silent};
use told::{Told, told};
pub use unfold::{TRANSITIONS_MAX, Unfolded, unfold};

/// Choices within this share of max(1, least) are tied.
const TIE: f64 = 1e-9;
/// Steps in a row that the judge follows; small sheets stay far below.
const DEPTH_MAX: usize = 300;

/// One possible step and the least expected cost of all that begins with it.
#[derive(Debug, Clone, Copy)]
struct Choice {
    kind: JudgeKind,
    place: usize,
    way: usize,
    cost: f64,
}

/// How far an action may be followed.
#[derive(Debug, Clone, Copy)]
struct Reach {
    /// Steps in a row so far.
    depth: usize,
    /// What may still follow before it is dearer than an action that is known.
    spare: f64,
}

/// What is remembered of a state: V, or less than it.
#[derive(Debug, Clone, Copy)]
enum Found {
    Exactly(f64),
    AtLeast(f64),
}

/// The rules of a sheet, and what was found by them.
pub(crate) struct Judge<'a> {
    pub(crate) sheet: &'a Sheet,
    pub(crate) ask: &'a JudgeAsk,
    closures: Vec<ItemSet>,
    /// The actions that are there.
    pub(crate) deals: Vec<Deal>,
    /// With free moves: every closed set, and what it costs to get from one to another.
    sets: Vec<ItemSet>,
    between: Vec<Vec<f64>>,
    told: Vec<Told>,
    known: FxHashMap<Key, Found>,
}

/// The least expected total cost of any policy from the state that is asked about.
///
/// # Errors
/// [`JudgeError`]: what is off is not closed, the odds are another sheet's, no end is left,
/// or the sheet is too large for plain enumeration.
pub fn least_cost(sheet: &Sheet, ask: &JudgeAsk) -> Result<JudgeAnswer, JudgeError> {
    let (mut judge, state) = Judge::at_first(sheet, ask)?;
    let choices = judge.choices(&state, Reach { depth: 0, spare: f64::INFINITY })?;
    let least = least(&choices);
    let first = choices
        .iter()
        .filter(|choice| choice.cost.is_finite())
        .find(|choice| choice.cost <= least + TIE * least.max(1.0))
        .ok_or(JudgeError::NoEnd)?;
    let id = judge.id(first);
    Ok(JudgeAnswer {
        cost: least,
        first: (first.kind, id, first.way),
        states: judge.known.len(),
    })
}

fn least(choices: &[Choice]) -> f64 {
    choices.iter().map(|choice| choice.cost).fold(f64::INFINITY, f64::min)
}

impl<'a> Judge<'a> {
    /// The judge of what is asked, and the state that it begins from.
    pub(crate) fn at_first(
        sheet: &'a Sheet,
        ask: &'a JudgeAsk,
    ) -> Result<(Self, State), JudgeError> {
        let strange = ask.off.iter().any(|item| item.at() >= sheet.items.len());
        if strange
            || ask.odds.present.len() != sheet.causes()
            || ask.odds.fixed_from.len() != sheet.causes()
        {
            return Err(JudgeError::OtherSheet);
        }
        let closures = closures(&sheet.items);
        for item in ask.off.iter() {
            let missing = closures[item.at()].minus(ask.off);
            if let Some(missing) = missing.iter().next() {
                let id = |ix: ItemIx| sheet.items[ix.at()].id.clone();
                return Err(JudgeError::NotClosed {
                    item: id(item),
                    missing: id(missing),
                });
            }
        }
        let deals = deals(sheet, ask, &closures);
        let mut judge = Self {
            sheet,
            ask,
            told: told(sheet, ask, &deals),
            deals,
            closures,
            sets: Vec::new(),
            between: Vec::new(),
            known: FxHashMap::default(),
        };
        if ask.moves == JudgeMoves::Free {
            judge.lay_out_free_moves()?;
        }
        let state = State {
            checks: ask.odds.done.checks,
            repairs: ask.odds.done.repairs,
            proofs: ask.odds.done.proofs,
            off: ask.off,
            present: ask.odds.present.clone(),
            fixed: ask.odds.fixed(),
            held: ask.odds.fixed_from.clone(),
            count: ask.odds.count,
            opening: Opening::ByShare,
        };
        Ok((judge, state))
    }
}

impl Judge<'_> {
    fn id(&self, choice: &Choice) -> String {
        match choice.kind {
            JudgeKind::Close | JudgeKind::PassOn => choice.kind.word().to_owned(),
            JudgeKind::Check => self.sheet.checks[choice.place].id.clone(),
            JudgeKind::Repair => self.sheet.repairs[choice.place].id.clone(),
            JudgeKind::Proof => self.sheet.proofs[choice.place].id.clone(),
        }
    }

    /// V, the least expected cost from a state, where it is within reach; else something
    /// that is out of reach and not above V.
    fn value(&mut self, state: &State, reach: Reach) -> Result<f64, JudgeError> {
        let key = key(state);
        match self.known.get(&key) {
            Some(Found::Exactly(cost)) => return Ok(*cost),
            Some(Found::AtLeast(cost)) if *cost > reach.spare => return Ok(*cost),
            Some(Found::AtLeast(_)) | None => {}
        }
        if reach.depth > DEPTH_MAX {
            return Err(JudgeError::TooLarge {
                what: "steps in a row",
                limit: DEPTH_MAX,
            });
        }
        let limit = self.ask.limit_states;
        if self.known.len() >= limit {
            return Err(JudgeError::TooLarge { what: "states", limit });
        }
        let cost = least(&self.choices(state, reach)?);
        let found =
            if cost <= reach.spare { Found::Exactly(cost) } else { Found::AtLeast(cost) };
        self.known.insert(key, found);
        Ok(cost)
    }

    /// The ways to end the job here that were not refused.
    fn ends(&self, state: &State) -> Vec<Choice> {
        let back = self.to_put_back(state.off);
        let unfixed: f64 = state.present.iter().sum();
        let ends = [
            (JudgeKind::Close, self.ask.economy.comeback * unfixed),
            (JudgeKind::PassOn, self.ask.economy.pass_on),
        ];
        ends.into_iter()
            .filter(|(kind, _)| !self.ask.without.contains(&(*kind, 0)))
            .map(|(kind, pay)| Choice { kind, place: 0, way: 0, cost: back + pay })
            .collect()
    }

    /// Every step from a state, ties' order first. A step that is dearer than the least, or
    /// out of reach, may have less than its cost but not less than the least or the reach.
    fn choices(
        &mut self,
        state: &State,
        reach: Reach,
    ) -> Result<Vec<Choice>, JudgeError> {
        let mut choices = self.ends(state);
        let mut best = least(&choices);
        let depth = reach.depth + 1;
        for at in 0..self.deals.len() {
            let (kind, place) = (self.deals[at].kind, self.deals[at].place);
            if !may(state, kind, place) {
                continue;
            }
            for way in 0..self.deals[at].ways.len() {
                for (off, moving) in self.positions(state.off, self.deals[at].ways[way]) {
                    let paid = moving + self.deals[at].pay;
                    let spare = match self.ask.skips {
                        JudgeSkips::Dearer => {
                            (best + TIE * best.max(1.0)).min(reach.spare)
                        }
                        JudgeSkips::Nothing => f64::INFINITY,
                    };
                    let reach = Reach { depth, spare: spare - paid };
                    let there = State { off, ..state.clone() };
                    let seen = self.seen(there, (kind, place));
                    let cost = paid + self.mean(&seen, reach)?;
                    best = best.min(cost);
                    choices.push(Choice { kind, place, way, cost });
                }
            }
        }
        Ok(choices)
    }

    /// The mean over what may be seen: its probability, what it costs at once, and the state
    /// after it. Stops, with less than the mean, once that is out of reach.
    fn mean(
        &mut self,
        seen: &[(f64, f64, State)],
        reach: Reach,
    ) -> Result<f64, JudgeError> {
        let mut parts: Vec<f64> = seen
            .iter()
            .map(
                |(p, pay, next)| {
                    if *p > NEGLIGIBLE { p * (pay + self.floor(next)) } else { 0.0 }
                },
            )
            .collect();
        for (at, (p, pay, next)) in seen.iter().enumerate() {
            let total: f64 = parts.iter().sum();
            if total > reach.spare {
                return Ok(total);
            }
            if *p > NEGLIGIBLE {
                let spare = (reach.spare - (total - parts[at])) / p - pay;
                let depth = reach.depth;
                parts[at] = p * (pay + self.value(next, Reach { depth, spare })?);
            }
        }
        Ok(parts.iter().sum())
    }

    /// What may be seen of an action that is paid for, items already in place: how likely it
    /// is, what it costs at once, and the state after it.
    pub(crate) fn seen(
        &self,
        state: State,
        (kind, place): (JudgeKind, usize),
    ) -> Vec<(f64, f64, State)> {
        match kind {
            JudgeKind::Close | JudgeKind::PassOn => Vec::new(),
            JudgeKind::Check => self.check(state, place),
            JudgeKind::Repair => self.repair(state, place),
            JudgeKind::Proof => self.prove(state, place),
        }
    }

    fn check(&self, mut state: State, place: usize) -> Vec<(f64, f64, State)> {
        let check = &self.sheet.checks[place];
        state.checks |= bit(place);
        for gone in check.spoils.iter().chain(&check.alike) {
            state.checks |= bit(gone.at());
        }
        let fixes = check.fixes.iter().any(|share| *share > 0.0);
        (0..check.outcomes.len())
            .map(|outcome| {
                let (by_cause, fine) = self.says(place, outcome);
                let (p, mut next) = see(&state, &by_cause, fine);
                let moved = put_right(&mut next, &check.fixes);
                if moved > 0.0 || fixes && next.opening != Opening::ByShare {
                    next.open_proofs();
                }
                (p, 0.0, next)
            })
            .collect()
    }

    /// P(o|s) of every cause and P(o|fine), with the share of the time that the fault is
    /// present where the check needs it.
    pub(crate) fn says(&self, check: usize, outcome: usize) -> (Vec<f64>, f64) {
        let check = &self.sheet.checks[check];
        let fine = check.fine[outcome];
        let active = if check.needs_fault { self.ask.economy.active } else { 1.0 };
        let by_cause =
            check.given.iter().map(|row| active * row[outcome] + (1.0 - active) * fine);
        (by_cause.collect(), fine)
    }

    fn repair(&self, mut state: State, place: usize) -> Vec<(f64, f64, State)> {
        let repair = &self.sheet.repairs[place];
        state.repairs |= bit(place);
        state.open_proofs();
        for spoiled in &repair.spoils {
            state.checks |= bit(spoiled.at());
        }
        let moved = put_right(&mut state, &repair.fixes);
        let returns = self.ask.economy.comeback * repair.again * moved;
        vec![(1.0, returns, state)]
    }

    fn prove(&self, mut state: State, place: usize) -> Vec<(f64, f64, State)> {
        let proof = &self.sheet.proofs[place];
        let (shows, falsely) = self.shows(proof, state.count);
        let silent: Vec<f64> = shows.iter().map(|p| 1.0 - p).collect();
        state.proofs |= bit(place);
        let (p_shown, mut after_shown) = see(&state, &shows, falsely);
        after_shown.count = after_set(state.count, proof);
        let (p_clear, mut after_silence) = see(&state, &silent, 1.0 - falsely);
        after_silence.count = after_clear(state.count, proof);
        vec![(p_shown, proof.if_shown, after_shown), (p_clear, 0.0, after_silence)]
    }

    /// How likely a proof shows, by cause and although fixed.
    pub(crate) fn shows(&self, proof: &Proof, count: Option<Count>) -> (Vec<f64>, f64) {
        match &proof.kind {
            ProofKind::Shows(by_cause) => (by_cause.clone(), proof.shows_falsely),
            ProofKind::Exposure(exposure) => {
                let silent = count.map_or(1.0, |count| silent(&count, exposure.amount));
                (vec![1.0 - silent; self.sheet.causes()], proof.shows_falsely)
            }
            ProofKind::Repeat { check, clear } => {
                let mut shows = vec![0.0; self.sheet.causes()];
                let mut falsely = 0.0;
                for outcome in (0..clear.len()).filter(|outcome| !clear[*outcome]) {
                    let (by_cause, fine) = self.says(check.at(), outcome);
                    shows.iter_mut().zip(by_cause).for_each(|(sum, p)| *sum += p);
                    falsely += fine;
                }
                // Rows that sum to 1 may do so a rounding away.
                for p in &mut shows {
                    *p = p.min(1.0);
                }
                (shows, falsely.min(1.0))
            }
        }
    }
}
