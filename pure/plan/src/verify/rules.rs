//! The game that bounds are proven in: the judge's rules, and the same among some causes
//! alone, where it can only be cheaper.

use rustc_hash::FxHashMap;
use sheet::{ItemSet, Sheet};

use super::Refusal;
use super::known::Known;
use crate::judge::{
    Demand, Judge, JudgeAsk, JudgeKind, NEGLIGIBLE, Opening, State, bit, may,
};

/// The circle of all causes.
pub(crate) const WHOLE: usize = 0;

/// An action in one of its ways, with its numbers laid out by cause.
#[derive(Debug)]
pub(crate) struct Act {
    pub(crate) kind: JudgeKind,
    pub(crate) place: usize,
    pub(crate) demand: Demand,
    pub(crate) pay: f64,
    /// By outcome: how likely by cause, a fixed vehicle last; empty for repairs and drives.
    pub(crate) rows: Vec<Vec<f64>>,
    /// By cause: what it puts right; empty where it puts nothing right.
    pub(crate) fixes: Vec<f64>,
    pub(crate) again: f64,
    pub(crate) if_shown: f64,
    pub(crate) falsely: f64,
}

/// Some causes, and what matters while it is known that the fault is one of them.
#[derive(Debug)]
pub(crate) struct Circle {
    pub(crate) causes: Vec<usize>,
    /// Acts that tell the causes apart or put one right; proofs.
    acts: Vec<usize>,
    /// Repairs that only open proofs (again), the cheapest first, one way each.
    idle: Vec<usize>,
    items: ItemSet,
    checks: u128,
    repairs: u128,
    drives: bool,
}

/// A state among the causes of a circle.
#[derive(Debug, Clone)]
pub(crate) struct Standing {
    pub(crate) circle: usize,
    pub(crate) state: State,
}

/// An act from a state: what is paid at once, and what may be seen.
#[derive(Debug)]
pub(crate) struct Move {
    pub(crate) act: usize,
    pub(crate) paid: f64,
    pub(crate) seen: Vec<(f64, f64, State)>,
}

/// A state as a circle has it.
#[derive(Debug)]
pub(crate) struct Inside {
    /// Probability that the cause is one of the circle's.
    pub(crate) share: f64,
    /// Refitting what does not matter there.
    pub(crate) refit: f64,
    pub(crate) standing: Standing,
}

/// The rules, what follows from them, and tables that are filled as states are met.
pub(crate) struct Rules<'a> {
    pub(crate) judge: Judge<'a>,
    start: State,
    pub(crate) acts: Vec<Act>,
    /// Whether there is any proof that could be opened.
    proofs: bool,
    circles: Vec<Circle>,
    by_causes: FxHashMap<Vec<usize>, usize>,
    known: Known,
}

impl<'a> Rules<'a> {
    /// The rules of what is asked.
    ///
    /// # Errors
    /// [`Refusal::Question`]: it cannot be judged.
    pub(crate) fn new(sheet: &'a Sheet, ask: &'a JudgeAsk) -> Result<Self, Refusal> {
        let (judge, start) = Judge::at_first(sheet, ask)?;
        let acts = acts(&judge);
        let known = Known::new(sheet.causes(), &acts);
        let mut rules = Self {
            judge,
            start,
            proofs: acts.iter().any(|act| act.kind == JudgeKind::Proof),
            acts,
            circles: Vec::new(),
            by_causes: FxHashMap::default(),
            known,
        };
        rules.circles.push(Circle {
            causes: (0..sheet.causes()).collect(),
            acts: (0..rules.acts.len()).collect(),
            idle: Vec::new(),
            items: ItemSet(u128::MAX),
            checks: u128::MAX,
            repairs: u128::MAX,
            drives: true,
        });
        Ok(rules)
    }

    /// The state that is asked about.
    pub(crate) fn start(&self) -> Standing {
        Standing { circle: WHOLE, state: self.start.clone() }
    }

    pub(crate) fn circle(&self, circle: usize) -> &Circle {
        &self.circles[circle]
    }

    /// The cheaper end: close or pass on.
    pub(crate) fn stop(&self, state: &State) -> f64 {
        let economy = &self.judge.ask.economy;
        let unfixed: f64 = state.present.iter().sum();
        self.judge.to_put_back(state.off)
            + (economy.comeback * unfixed).min(economy.pass_on)
    }

    /// Every act from a state that any plan could be the cheaper for.
    pub(crate) fn moves(&self, at: &Standing) -> Vec<Move> {
        let Standing { circle, state } = at;
        let circle = &self.circles[*circle];
        let mut moves = Vec::new();
        for &act in &circle.acts {
            if may(state, self.acts[act].kind, self.acts[act].place)
                && self.matters(&self.acts[act], state)
            {
                moves.push(self.play(act, circle, state));
            }
        }
        let opens = state.proofs != 0 || !state.proofs_open();
        let undone = |act: &&usize| state.repairs & bit(self.acts[**act].place) == 0;
        if opens && let Some(&act) = circle.idle.iter().find(undone) {
            let mut next = state.clone();
            next.repairs |= bit(self.acts[act].place);
            next.open_proofs();
            let seen = vec![(1.0, 0.0, next)];
            moves.push(Move { act, paid: self.acts[act].pay, seen });
        }
        moves
    }

    /// Whether an act tells anything, puts anything right or opens proofs. One that does not
    /// can be left out of any plan, which is no dearer then: what it has come off or go back
    /// is not needed earlier than for the next act.
    fn matters(&self, act: &Act, state: &State) -> bool {
        let cures =
            act.fixes.iter().zip(&state.present).any(|(share, odds)| share * odds > 0.0);
        let told = state.opening != Opening::ByShare;
        let closed = self.proofs && (state.proofs != 0 || told && !state.proofs_open());
        match act.kind {
            JudgeKind::Close | JudgeKind::PassOn => false,
            JudgeKind::Check => {
                cures
                    || told && closed && !act.fixes.is_empty()
                    || act.rows.iter().any(|row| differs(row, state))
            }
            JudgeKind::Repair => cures || closed,
            JudgeKind::Proof => true,
        }
    }

    fn play(&self, act: usize, circle: &Circle, state: &State) -> Move {
        let entry = &self.acts[act];
        let off = self.judge.lead(state.off, entry.demand);
        let paid = self.judge.moving_cost(state.off, off) + entry.pay;
        let there = State { off, ..state.clone() };
        let mut seen = self.judge.seen(there, (entry.kind, entry.place));
        for (_, _, next) in &mut seen {
            next.checks &= circle.checks;
        }
        Move { act, paid, seen }
    }

    /// The number of a circle of causes, rising and of this sheet.
    pub(crate) fn among(&mut self, causes: &[usize]) -> Option<usize> {
        if let Some(known) = self.by_causes.get(causes) {
            return Some(*known);
        }
        let rising = causes.windows(2).all(|pair| pair[0] < pair[1]);
        let all = self.start.present.len();
        if !rising || causes.last().is_none_or(|last| *last >= all) {
            return None;
        }
        let circle = self.circles.len();
        self.circles.push(self.made(causes));
        self.by_causes.insert(causes.to_vec(), circle);
        Some(circle)
    }

    fn made(&self, causes: &[usize]) -> Circle {
        let fine = self.start.present.len();
        let mut circle = Circle {
            causes: causes.to_vec(),
            acts: Vec::new(),
            idle: Vec::new(),
            items: ItemSet::EMPTY,
            checks: 0,
            repairs: 0,
            drives: false,
        };
        for (at, act) in self.acts.iter().enumerate() {
            let cures =
                !act.fixes.is_empty() && causes.iter().any(|c| act.fixes[*c] > 0.0);
            let tells = act.rows.iter().any(|row| {
                causes.iter().any(|c| row[*c].to_bits() != row[fine].to_bits())
            });
            let counts = match act.kind {
                JudgeKind::Close | JudgeKind::PassOn => false,
                JudgeKind::Check => {
                    cures || tells || self.proofs && !act.fixes.is_empty()
                }
                JudgeKind::Repair => cures,
                JudgeKind::Proof => true,
            };
            if counts {
                circle.acts.push(at);
                circle.items = circle.items.union(act.demand.off);
                match act.kind {
                    JudgeKind::Check => circle.checks |= bit(act.place),
                    JudgeKind::Repair => circle.repairs |= bit(act.place),
                    JudgeKind::Proof => circle.drives |= act.rows.is_empty(),
                    JudgeKind::Close | JudgeKind::PassOn => {}
                }
            } else if act.kind == JudgeKind::Repair
                && self.proofs
                && self.start.repairs & bit(act.place) == 0
                && !circle.idle.iter().any(|idle| self.acts[*idle].place == act.place)
            {
                circle.idle.push(at);
            }
        }
        let pay = |act: &usize| self.acts[*act].pay;
        circle.idle.sort_by(|a, b| pay(a).total_cmp(&pay(b)).then(a.cmp(b)));
        circle
    }

    /// A state once it is told that the cause, fixed by now or not, is one of a circle's;
    /// `None` where that is too unlikely to count.
    pub(crate) fn inside(&self, circle: usize, state: &State) -> Option<Inside> {
        let entry = &self.circles[circle];
        let share: f64 =
            entry.causes.iter().map(|c| state.present[*c] + state.held[*c]).sum();
        if share <= NEGLIGIBLE {
            return None;
        }
        let kept = |odds: &[f64]| {
            let mut kept = vec![0.0; odds.len()];
            entry.causes.iter().for_each(|c| kept[*c] = odds[*c] / share);
            kept
        };
        let held = kept(&state.held);
        let off = state.off.meet(entry.items);
        let open = match state.opening {
            // However little is fixed, what is seen may make it likelier.
            Opening::ByShare => state.fixed > 0.0,
            Opening::Told { open } => open,
        };
        let state_inside = State {
            checks: state.checks & entry.checks,
            repairs: state.repairs & entry.repairs,
            proofs: state.proofs,
            off,
            present: kept(&state.present),
            fixed: held.iter().sum(),
            held,
            count: state.count.filter(|_| entry.drives),
            opening: Opening::Told { open },
        };
        let refit = self.judge.to_put_back(state.off.minus(off));
        Some(Inside { share, refit, standing: Standing { circle, state: state_inside } })
    }

    /// The verifier's own bound: what no plan from here goes below, were the cause known.
    ///
    /// # Errors
    /// [`Refusal::TooLarge`]: its tables outgrow what the verifier holds.
    pub(crate) fn leaf(&mut self, state: &State) -> Result<f64, Refusal> {
        let Self { judge, acts, known, .. } = self;
        known.bound((judge, acts.as_slice()), state)
    }
}

/// Whether a row differs between what is possible.
fn differs(row: &[f64], state: &State) -> bool {
    let odds = state.present.iter().chain([&state.fixed]);
    let mut possible =
        row.iter().zip(odds).filter(|(_, odds)| **odds > 0.0).map(|(p, _)| p.to_bits());
    let first = possible.next();
    possible.any(|p| Some(p) != first)
}

/// The actions in their ways; a later way that asks the same of the items is the same act.
fn acts(judge: &Judge<'_>) -> Vec<Act> {
    let mut acts: Vec<Act> = Vec::new();
    for deal in &judge.deals {
        let first = acts.len();
        let sheet = judge.sheet;
        for demand in &deal.ways {
            if acts[first..].iter().any(|earlier| earlier.demand == *demand) {
                continue;
            }
            let mut act = Act {
                kind: deal.kind,
                place: deal.place,
                demand: *demand,
                pay: deal.pay,
                rows: Vec::new(),
                fixes: Vec::new(),
                again: 0.0,
                if_shown: 0.0,
                falsely: 0.0,
            };
            match deal.kind {
                JudgeKind::Close | JudgeKind::PassOn => {}
                JudgeKind::Check => {
                    let check = &sheet.checks[deal.place];
                    act.rows = (0..check.outcomes.len())
                        .map(|outcome| with_fine(judge.says(deal.place, outcome)))
                        .collect();
                    act.fixes.clone_from(&check.fixes);
                }
                JudgeKind::Repair => {
                    let repair = &sheet.repairs[deal.place];
                    act.fixes.clone_from(&repair.fixes);
                    act.again = repair.again;
                }
                JudgeKind::Proof => {
                    let proof = &sheet.proofs[deal.place];
                    (act.if_shown, act.falsely) = (proof.if_shown, proof.shows_falsely);
                    if !matches!(proof.kind, sheet::ProofKind::Exposure(_)) {
                        let shown = with_fine(judge.shows(proof, None));
                        let clear = shown.iter().map(|p| 1.0 - p).collect();
                        act.rows = vec![shown, clear];
                    }
                }
            }
            if act.fixes.iter().all(|share| *share <= 0.0) {
                act.fixes.clear();
            }
            acts.push(act);
        }
    }
    acts
}

fn with_fine((mut by_cause, fine): (Vec<f64>, f64)) -> Vec<f64> {
    by_cause.push(fine);
    by_cause
}
