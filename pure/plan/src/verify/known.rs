//! The verifier's own bound: what remains to be paid were the cause known, but not whether a
//! repair held.
//!
//! Least cost is concave in the odds, so V(b, f) ≥ Σ (b[s] + f[s])·V[s](φ[s]) for any split of
//! f among the causes, V[s](φ) being the least cost where the cause is known to be s and is
//! fixed by now with probability φ. V[s] is bounded by a game that allows more: looks and
//! proofs again and again, at any time; after [`FORESIGHT`] of them in a row the next tells
//! s from a fixed vehicle for certain. Its least cost is a lower envelope of lines in φ.

use std::rc::Rc;

use rustc_hash::FxHashMap;
use sheet::ItemSet;

use super::Refusal;
use super::rules::Act;
use crate::judge::{Judge, JudgeKind, State, bit};

/// Looks in a row that are taken at what they tell.
const FORESIGHT: u8 = 2;
/// Causes with more actions that put them right are bounded by the cheapest of these.
const FIXERS_MAX: usize = 10;
/// Envelopes that are held at most: some 500 MB.
const ENVELOPES_MAX: usize = 2_000_000;

/// A cost by whether the cause is there or fixed; linear in between.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Line {
    there: f64,
    fixed: f64,
}

impl Line {
    fn at(self, share_fixed: f64) -> f64 {
        self.there + (self.fixed - self.there) * share_fixed
    }
}

type Lines = Rc<[Line]>;

/// What bears on one cause.
#[derive(Debug)]
struct Means {
    /// Actions that put it right, as (kind, place), with their acts.
    fixers: Vec<(JudgeKind, usize, Vec<usize>)>,
    /// Acts that tell it from a fixed vehicle and don't put it right.
    looks: Vec<usize>,
}

/// A known cause: what is off, which of its fixers are left, and looks still taken as they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Spot {
    cause: usize,
    off: ItemSet,
    left: u32,
    looks: u8,
}

/// What a look may say: how likely with the cause there and fixed, and what it then costs.
#[derive(Debug, Clone, Copy)]
struct Says {
    there: f64,
    fixed: f64,
    pay: f64,
}

/// Envelopes, filled as states are met.
#[derive(Debug)]
pub(crate) struct Known {
    means: Vec<Means>,
    envelopes: FxHashMap<Spot, Lines>,
    certain: FxHashMap<Spot, f64>,
    /// Of every cause, by what is off and which fixers are done.
    places: FxHashMap<(ItemSet, u128, u128), Rc<[Lines]>>,
    fixing_checks: u128,
    trips: FxHashMap<(ItemSet, usize), (ItemSet, f64)>,
}

type Game<'g, 'a> = (&'g Judge<'a>, &'g [Act]);

impl Known {
    pub(crate) fn new(causes: usize, acts: &[Act]) -> Self {
        let fixing = |act: &&Act| act.kind == JudgeKind::Check && !act.fixes.is_empty();
        Self {
            means: (0..causes).map(|cause| means(cause, causes, acts)).collect(),
            envelopes: FxHashMap::default(),
            certain: FxHashMap::default(),
            places: FxHashMap::default(),
            fixing_checks: acts
                .iter()
                .filter(fixing)
                .fold(0, |set, a| set | bit(a.place)),
            trips: FxHashMap::default(),
        }
    }

    /// No plan from this state costs less.
    pub(crate) fn bound(
        &mut self,
        game: Game<'_, '_>,
        state: &State,
    ) -> Result<f64, Refusal> {
        let all = self.lines_of_all(game, state)?;
        let possible = || {
            state.present.iter().copied().zip(all.iter()).filter(|(odds, _)| *odds > 0.0)
        };
        let unfixed: f64 = possible().map(|(odds, _)| odds).sum();
        let fixed = state.fixed;
        if unfixed <= 0.0 {
            return Ok(fixed * game.0.to_put_back(state.off));
        }
        // f is split among the causes; beside each it costs what its lines say, concave in the
        // share: so it goes where it costs most, piece by piece.
        let mut bound: f64 =
            possible().map(|(odds, lines)| odds * least(lines, 0.0)).sum();
        let mut pieces: Vec<(f64, f64)> =
            possible().flat_map(|(odds, lines)| pieces(odds, lines)).collect();
        pieces.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut left = fixed;
        for (cost, share) in pieces {
            bound += cost * share.min(left);
            left -= share.min(left);
        }
        Ok(bound)
    }

    fn lines_of_all(
        &mut self,
        game: Game<'_, '_>,
        state: &State,
    ) -> Result<Rc<[Lines]>, Refusal> {
        let key = (state.off, state.checks & self.fixing_checks, state.repairs);
        if let Some(known) = self.places.get(&key) {
            return Ok(Rc::clone(known));
        }
        let mut all = Vec::with_capacity(self.means.len());
        for cause in 0..self.means.len() {
            let left = self.left(cause, state);
            let spot = Spot { cause, off: state.off, left, looks: FORESIGHT };
            all.push(self.lines(game, spot)?);
        }
        let all: Rc<[Lines]> = all.into();
        self.places.insert(key, Rc::clone(&all));
        Ok(all)
    }

    /// The fixers of a cause that are still to be had.
    fn left(&self, cause: usize, state: &State) -> u32 {
        let fixers = self.means[cause].fixers.iter().take(FIXERS_MAX).enumerate();
        fixers.fold(0, |set, (at, (kind, place, _))| {
            let done =
                if *kind == JudgeKind::Check { state.checks } else { state.repairs };
            if done & bit(*place) == 0 { set | 1 << at } else { set }
        })
    }

    /// The envelope of a known cause.
    fn lines(&mut self, game: Game<'_, '_>, spot: Spot) -> Result<Lines, Refusal> {
        if let Some(known) = self.envelopes.get(&spot) {
            return Ok(Rc::clone(known));
        }
        if self.envelopes.len() >= ENVELOPES_MAX {
            return Err(Refusal::TooLarge);
        }
        let (judge, acts) = game;
        let economy = &judge.ask.economy;
        let refit = judge.to_put_back(spot.off);
        let mut lines = vec![
            Line { there: refit + economy.comeback, fixed: refit },
            Line { there: refit + economy.pass_on, fixed: refit + economy.pass_on },
        ];
        if self.means[spot.cause].fixers.len() > FIXERS_MAX {
            let fixers = self.means[spot.cause].fixers.iter();
            let pays = fixers.flat_map(|(_, _, acts)| acts).map(|act| acts[*act].pay);
            let cheapest = pays.fold(f64::INFINITY, f64::min);
            lines.push(Line { there: refit + cheapest, fixed: refit });
        } else {
            self.look(game, spot, &mut lines)?;
            self.put_right(game, spot, &mut lines)?;
        }
        let lines: Lines = envelope(lines).into();
        self.envelopes.insert(spot, Rc::clone(&lines));
        Ok(lines)
    }

    /// Looks and proofs, each followed by the best for what it says.
    fn look(
        &mut self,
        game: Game<'_, '_>,
        spot: Spot,
        lines: &mut Vec<Line>,
    ) -> Result<(), Refusal> {
        let looks = self.means[spot.cause].looks.clone();
        for at in looks {
            let act = &game.1[at];
            let (to, moving) = self.trip(game, spot.off, at);
            let paid = moving + act.pay;
            let fine = act.rows.first().map_or(0, |row| row.len() - 1);
            let says: Vec<Says> = act
                .rows
                .iter()
                .enumerate()
                .map(|(outcome, row)| Says {
                    there: row[spot.cause],
                    fixed: row[fine],
                    pay: if outcome == 0 { act.if_shown } else { 0.0 },
                })
                .collect();
            if spot.looks == 0 || says.is_empty() {
                // It tells for certain. A drive may cost nothing more with the cause there.
                let extra = |p: fn(&Says) -> f64| -> f64 {
                    says.iter().map(|said| p(said) * said.pay).sum()
                };
                let falsely =
                    if says.is_empty() { act.falsely * act.if_shown } else { 0.0 };
                lines.push(Line {
                    there: paid
                        + extra(|said| said.there)
                        + self.certain(game, Spot { off: to, ..spot })?,
                    fixed: paid
                        + extra(|said| said.fixed)
                        + falsely
                        + game.0.to_put_back(to),
                });
                continue;
            }
            let then =
                self.lines(game, Spot { off: to, looks: spot.looks - 1, ..spot })?;
            lines.extend(after_look(paid, &says, &then, 0.0));
        }
        Ok(())
    }

    /// Acts that put the cause right; a check tells first.
    fn put_right(
        &mut self,
        game: Game<'_, '_>,
        spot: Spot,
        lines: &mut Vec<Line>,
    ) -> Result<(), Refusal> {
        let fixers = self.means[spot.cause].fixers.len();
        for nth in (0..fixers).filter(|nth| spot.left >> nth & 1 == 1) {
            let of_it = self.means[spot.cause].fixers[nth].2.clone();
            for at in of_it {
                let act = &game.1[at];
                let (to, moving) = self.trip(game, spot.off, at);
                let paid = moving + act.pay;
                let share = act.fixes[spot.cause];
                let left = spot.left & !(1 << nth);
                let then = self.lines(game, Spot { off: to, left, ..spot })?;
                if act.kind == JudgeKind::Repair {
                    let again = game.0.ask.economy.comeback * act.again * share;
                    lines.extend(then.iter().map(|line| Line {
                        there: paid + again + line.at(share),
                        fixed: paid + line.fixed,
                    }));
                } else if spot.looks == 0 {
                    lines.push(Line {
                        there: paid + least(&then, share),
                        fixed: paid + game.0.to_put_back(to),
                    });
                } else {
                    let says: Vec<Says> = act
                        .rows
                        .iter()
                        .map(|row| Says {
                            there: row[spot.cause],
                            fixed: row[row.len() - 1],
                            pay: 0.0,
                        })
                        .collect();
                    lines.extend(after_look(paid, &says, &then, share));
                }
            }
        }
        Ok(())
    }

    /// Least cost where the cause is there for certain: nothing is left to look for until
    /// something was put right.
    fn certain(&mut self, game: Game<'_, '_>, spot: Spot) -> Result<f64, Refusal> {
        if let Some(known) = self.certain.get(&spot) {
            return Ok(*known);
        }
        let economy = &game.0.ask.economy;
        let end = game.0.to_put_back(spot.off) + economy.comeback.min(economy.pass_on);
        let mut lines = vec![Line { there: end, fixed: end }];
        self.put_right(game, spot, &mut lines)?;
        let best = least(&lines, 0.0);
        self.certain.insert(spot, best);
        Ok(best)
    }

    fn trip(&mut self, game: Game<'_, '_>, off: ItemSet, act: usize) -> (ItemSet, f64) {
        *self.trips.entry((off, act)).or_insert_with(|| {
            let to = game.0.lead(off, game.1[act].demand);
            (to, game.0.moving_cost(off, to))
        })
    }
}

fn means(cause: usize, fine: usize, acts: &[Act]) -> Means {
    let mut means = Means { fixers: Vec::new(), looks: Vec::new() };
    for (at, act) in acts.iter().enumerate() {
        if act.fixes.get(cause).is_some_and(|share| *share > 0.0) {
            let same = |have: &&mut (JudgeKind, usize, Vec<usize>)| {
                (have.0, have.1) == (act.kind, act.place)
            };
            match means.fixers.iter_mut().find(same) {
                Some((_, _, acts)) => acts.push(at),
                None => means.fixers.push((act.kind, act.place, vec![at])),
            }
            continue;
        }
        let drive = act.kind == JudgeKind::Proof && act.rows.is_empty();
        let tells = |row: &Vec<f64>| row[cause].to_bits() != row[fine].to_bits();
        if drive || act.rows.iter().any(tells) {
            means.looks.push(at);
        }
    }
    means
}

/// The envelope of paying, then following the best line for each thing said; `share` of the
/// cause is put right in between.
fn after_look(paid: f64, says: &[Says], then: &[Line], share: f64) -> Vec<Line> {
    let mut sums = vec![Line { there: paid, fixed: paid }];
    for said in says {
        let weighed = envelope(
            then.iter()
                .map(|line| Line {
                    there: said.there * (said.pay + line.at(share)),
                    fixed: said.fixed * (said.pay + line.fixed),
                })
                .collect(),
        );
        let pairs = sums.iter().flat_map(|sum| {
            weighed.iter().map(|line| Line {
                there: sum.there + line.there,
                fixed: sum.fixed + line.fixed,
            })
        });
        sums = envelope(pairs.collect());
    }
    sums
}

/// What a fixed share beside a cause of these odds costs, and how much of it costs that, along
/// its lines.
fn pieces(odds: f64, lines: &[Line]) -> Vec<(f64, f64)> {
    let mut from = 0.0;
    let mut pieces = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let to = lines.get(at + 1).map_or(f64::INFINITY, |next| {
            odds * (next.there - line.there) / (line.fixed - next.fixed)
        });
        pieces.push((line.fixed, to - from));
        from = to;
    }
    pieces
}

fn least(lines: &[Line], share_fixed: f64) -> f64 {
    lines.iter().map(|line| line.at(share_fixed)).fold(f64::INFINITY, f64::min)
}

/// The lines that are least anywhere on 0 ≤ φ ≤ 1, falling in `fixed`. A line that is left
/// out by mistake would raise the bound: only one that others lie below at every φ goes.
fn envelope(mut lines: Vec<Line>) -> Vec<Line> {
    lines.sort_by(|a, b| a.there.total_cmp(&b.there).then(a.fixed.total_cmp(&b.fixed)));
    let mut kept: Vec<Line> = Vec::new();
    for line in lines {
        if kept.last().is_some_and(|last| last.fixed <= line.fixed) {
            continue;
        }
        while let [.., before, last] = kept[..] {
            let rise = line.there - before.there;
            let meet = rise / (rise + before.fixed - line.fixed);
            // Where `before` and `line` meet, `last` is lowest against them.
            if last.at(meet) < line.at(meet) {
                break;
            }
            kept.pop();
        }
        kept.push(line);
    }
    kept
}
