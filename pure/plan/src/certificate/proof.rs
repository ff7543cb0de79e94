//! The proof that no plan costs less: from the present state, each state that the verifier's
//! own bound does not settle is carried on as far as is needed.

use rustc_hash::FxHashMap;
use weigh::Done;

use super::CertificateError;
use crate::groups::{self, Group};
use crate::judge::{self, Key, NEGLIGIBLE, Opening};
use crate::search::{Allowance, Search};
use crate::state::{Proving, State};
use crate::verify::{Carried, Node, Part, ROUNDING, Rules, Standing, WHOLE};

/// Expansions of the search for a hint, one try after the other.
const EFFORTS: [u32; 4] = [0, 32, 1_024, 8_192];
/// So many more tries, as large as the last, where what is needed is there to be found.
const SURE: usize = 64;
/// States that the search may still make for hints where the plan is not proven: the bound
/// may then fall short of what the search has found, and is written as it is.
const MORE: usize = 300_000;
/// How near to what is needed telling groups apart must come before it is worth more work.
const NEAR: f64 = 0.97;
/// States in a row that are carried on.
const DEPTH_MAX: usize = 400;

/// How a state's bound is proven.
#[derive(Debug)]
enum How {
    /// By the verifier alone.
    Alone,
    /// Acts with the entry that each outcome rests on.
    Acts(Vec<(usize, Vec<Rests>)>),
    /// Circles of causes with the entry that each rests on.
    Circles(Vec<(usize, Rests)>),
}

/// What a bound rests on: an entry, or `None` for the verifier's own bound.
type Rests = Option<usize>;

/// A state that the verifier does not settle by itself.
#[derive(Debug)]
struct Entry {
    least: f64,
    /// The most that was tried to be shown of it.
    tried: f64,
    how: How,
}

struct Writer<'w, 'a> {
    rules: &'w mut Rules<'a>,
    search: &'w mut Search,
    /// How the causes of a circle are told apart, by circle.
    apart: FxHashMap<usize, Vec<usize>>,
    /// Circles that the search has as its own groups, and groups made for hints.
    own: FxHashMap<usize, usize>,
    made: FxHashMap<usize, Group>,
    entries: Vec<Entry>,
    index: FxHashMap<(usize, bool, Key), usize>,
    most: usize,
    /// States of the search from which on less is asked of it.
    tired_at: usize,
}

/// An outcome to be carried on: how much it weighs, the verifier's own bound, what the search
/// believes.
#[derive(Debug, Clone, Copy)]
struct Hint {
    weight: f64,
    own: f64,
    low: f64,
}

/// A lower bound of the present state near `low`, and the nodes that prove it.
pub(super) fn proof(
    rules: &mut Rules<'_>,
    search: &mut Search,
    (low, proven, most): (f64, bool, usize),
) -> Result<(f64, Vec<Node>), CertificateError> {
    let start = rules.start();
    let size = search.size();
    let mut writer = Writer {
        rules,
        search,
        apart: FxHashMap::default(),
        own: FxHashMap::default(),
        made: FxHashMap::default(),
        entries: Vec::new(),
        index: FxHashMap::default(),
        most,
        tired_at: if proven { usize::MAX } else { size.saturating_add(MORE) },
    };
    writer.tell_apart(&start);
    let (rests, least) = writer.prove(&start, low, 0)?;
    Ok((least, rests.map_or_else(Vec::new, |root| writer.nodes(root))))
}

impl Writer<'_, '_> {
    /// Takes over the groups of the search, and makes smaller ones within each.
    fn tell_apart(&mut self, start: &Standing) {
        let live = self.search.problem.cause_of.clone();
        let state = self.searched(start);
        let mut circles = Vec::new();
        for (nth, members) in self.search.group_members().into_iter().enumerate() {
            let causes: Vec<usize> = members.iter().map(|c| live[*c]).collect();
            let Some(circle) = self.rules.among(&causes) else { continue };
            self.own.insert(circle, nth);
            circles.push(circle);
            if members.len() < 2 {
                continue;
            }
            let mut within = state.clone();
            for cause in (0..live.len()).filter(|c| !members.contains(c)) {
                within.odds[cause] = 0.0;
                within.held[cause] = 0.0;
            }
            let largest = members.len().div_ceil(2);
            let mut parts = Vec::new();
            for group in groups::parted(self.search, &within, (largest, &|| true)) {
                let causes: Vec<usize> =
                    group.members().iter().map(|c| live[*c]).collect();
                if let Some(part) = self.rules.among(&causes) {
                    self.made.insert(part, group);
                    parts.push(part);
                }
            }
            self.apart.insert(circle, parts);
        }
        self.apart.insert(WHOLE, circles);
    }

    /// A bound of a state that comes up to `need` where it can.
    fn prove(
        &mut self,
        standing: &Standing,
        need: f64,
        depth: usize,
    ) -> Result<(Rests, f64), CertificateError> {
        let own = self.rules.leaf(&standing.state)?;
        let need = need.min(self.rules.stop(&standing.state));
        if reaches(own, need) || depth > DEPTH_MAX {
            return Ok((None, own));
        }
        let open = standing.state.opening == Opening::Told { open: true };
        let key = (standing.circle, open, judge::key(&standing.state));
        let known = self.index.get(&key).copied();
        let at = known.unwrap_or(self.entries.len());
        if known.is_none() {
            if at >= self.most {
                return Err(CertificateError::TooLarge { nodes: self.most });
            }
            self.index.insert(key, at);
            let tried = f64::NEG_INFINITY;
            self.entries.push(Entry { least: own, tried, how: How::Alone });
        }
        if !reaches(self.entries[at].tried, need) {
            self.entries[at].tried = need;
            if let Some((least, how)) = self.by_circles(standing, need, depth)? {
                self.keep(at, least, how);
            }
            if !reaches(self.entries[at].least, need) {
                let (least, how) = self.by_acts(standing, need, depth)?;
                self.keep(at, least, how);
            }
        }
        let entry = &self.entries[at];
        Ok(match entry.how {
            How::Alone => (None, own),
            How::Acts(_) | How::Circles(_) => (Some(at), entry.least),
        })
    }

    fn keep(&mut self, at: usize, least: f64, how: How) {
        let entry = &mut self.entries[at];
        if least > entry.least {
            (entry.least, entry.how) = (least, how);
        }
    }

    fn by_acts(
        &mut self,
        standing: &Standing,
        need: f64,
        depth: usize,
    ) -> Result<(f64, How), CertificateError> {
        let circle = standing.circle;
        let mut least = self.rules.stop(&standing.state);
        let mut acts = Vec::new();
        for step in self.rules.moves(standing) {
            // Where one act is cheaper than what is needed, no other need be dearer.
            let need = need.min(least);
            let mut paid = step.paid;
            let mut hints = Vec::new();
            let mut kids = Vec::new();
            for (nth, (weight, pay, state)) in step.seen.iter().enumerate() {
                if *weight > NEGLIGIBLE {
                    let own = self.rules.leaf(state)?;
                    paid += weight * pay;
                    hints.push(Hint { weight: *weight, own, low: own });
                    kids.push((nth, Standing { circle, state: state.clone() }));
                }
            }
            let mut cost = paid + mean(&hints);
            if !reaches(cost, need) {
                for effort in self.efforts() {
                    self.ask(&mut hints, kids.iter().map(|(_, kid)| kid), effort);
                    if reaches(paid + mean(&hints), need) {
                        break;
                    }
                }
                // Of a proven plan every act is as dear as is needed.
                let mut more = if self.tired_at == usize::MAX { SURE } else { 0 };
                while more > 0
                    && !reaches(paid + mean(&hints), need)
                    && self.search.has_room()
                {
                    let effort = EFFORTS[EFFORTS.len() - 1];
                    self.ask(&mut hints, kids.iter().map(|(_, kid)| kid), effort);
                    more -= 1;
                }
                let needs = needs(&hints, need - paid);
                let mut rests = vec![None; step.seen.len()];
                cost = paid;
                for (((nth, kid), hint), need) in kids.into_iter().zip(&hints).zip(needs)
                {
                    let (on, least) = self.prove(&kid, need, depth + 1)?;
                    rests[nth] = on;
                    cost += hint.weight * least;
                }
                if rests.iter().any(Option::is_some) {
                    acts.push((step.act, rests));
                }
            }
            least = least.min(cost);
        }
        Ok((least, How::Acts(acts)))
    }

    fn by_circles(
        &mut self,
        standing: &Standing,
        need: f64,
        depth: usize,
    ) -> Result<Option<(f64, How)>, CertificateError> {
        let Some(apart) = self.apart.get(&standing.circle).cloned() else {
            return Ok(None);
        };
        let (mut told, mut paid) = (0.0, 0.0);
        let mut hints = Vec::new();
        let mut kids = Vec::new();
        for circle in apart {
            let Some(inside) = self.rules.inside(circle, &standing.state) else {
                continue;
            };
            let own = self.rules.leaf(&inside.standing.state)?;
            told += inside.share;
            paid += inside.share * inside.refit;
            hints.push(Hint { weight: inside.share, own, low: own });
            kids.push(inside.standing);
        }
        if kids.is_empty() {
            return Ok(None);
        }
        let refit = self.rules.judge.to_put_back(standing.state.off);
        paid += (1.0 - told).max(0.0) * refit;
        for effort in self.efforts() {
            if reaches(paid + mean(&hints), need) {
                break;
            }
            self.ask(&mut hints, kids.iter(), effort);
            if paid + mean(&hints) < NEAR * need {
                break;
            }
        }
        if !reaches(paid + mean(&hints), need) {
            return Ok(None);
        }
        let needs = needs(&hints, need - paid);
        let mut least = paid;
        let mut circles = Vec::new();
        for ((kid, hint), need) in kids.into_iter().zip(&hints).zip(needs) {
            let circle = kid.circle;
            let (on, low) = self.prove(&kid, need, depth + 1)?;
            circles.push((circle, on));
            least += hint.weight * low;
        }
        Ok(Some((least, How::Circles(circles))))
    }

    /// What may be asked of the search for a hint.
    fn efforts(&self) -> impl Iterator<Item = u32> + use<> {
        let tired = self.search.size() > self.tired_at;
        EFFORTS.into_iter().filter(move |effort| !tired || *effort == 0)
    }

    /// Raises hints by what the search knows after so many expansions.
    fn ask<'k>(
        &mut self,
        hints: &mut [Hint],
        kids: impl Iterator<Item = &'k Standing>,
        effort: u32,
    ) {
        for (hint, kid) in hints.iter_mut().zip(kids) {
            let state = self.searched(kid);
            let low = if kid.circle == WHOLE {
                let allowed = Allowance { expansions: effort, keep_on: &|| true };
                Some(self.search.low(&state, allowed))
            } else if let Some(nth) = self.own.get(&kid.circle) {
                self.search.low_within(*nth, &state, effort)
            } else {
                let trips = &self.search.trips;
                let group = self.made.get_mut(&kid.circle);
                group.and_then(|group| group.low(trips, &state, effort))
            };
            hint.low = hint.low.max(low.unwrap_or(0.0));
        }
    }

    /// A state as the search has it.
    fn searched(&mut self, standing: &Standing) -> State {
        let state = &standing.state;
        let problem = std::sync::Arc::clone(&self.search.problem);
        let live = |odds: &[f64]| problem.cause_of.iter().map(|c| odds[*c]).collect();
        let held: Vec<f64> = live(&state.held);
        let mut odds: Vec<f64> = live(&state.present);
        odds.push(held.iter().sum());
        State {
            off: self.search.trips.place(&problem, state.off),
            done: Done {
                checks: state.checks,
                repairs: state.repairs,
                proofs: state.proofs,
            },
            count: state.count,
            odds,
            held,
            proving: match state.opening {
                Opening::ByShare => Proving::ByShare,
                Opening::Told { open: true } => Proving::Open,
                Opening::Told { open: false } => Proving::NotYet,
            },
        }
    }

    /// The entries that the root rests on as nodes, each before those that it rests on.
    fn nodes(&self, root: usize) -> Vec<Node> {
        let order = self.order(root);
        let mut number = vec![0; self.entries.len()];
        for (nth, at) in (1..).zip(&order) {
            number[*at] = nth;
        }
        let to = |rests: &Rests| rests.map_or(0, |at| number[at]);
        let node = |at: &usize| {
            let entry = &self.entries[*at];
            let mut node = Node(entry.least, Vec::new(), Vec::new());
            match &entry.how {
                How::Alone => {}
                How::Acts(acts) => node.1.extend(acts.iter().map(|(act, rests)| {
                    let act = u32::try_from(*act).unwrap_or(u32::MAX);
                    Carried([act].into_iter().chain(rests.iter().map(to)).collect())
                })),
                How::Circles(circles) => {
                    node.2.extend(circles.iter().map(|(circle, rests)| {
                        Part(self.rules.circle(*circle).causes.clone(), to(rests))
                    }));
                }
            }
            node
        };
        order.iter().map(node).collect()
    }

    /// Entries in the reverse of the order in which a depth-first walk leaves them.
    fn order(&self, root: usize) -> Vec<usize> {
        let mut met = vec![false; self.entries.len()];
        let mut left = Vec::new();
        let mut path = vec![(root, self.entries[root].rests())];
        met[root] = true;
        while let Some((at, waiting)) = path.last_mut() {
            if let Some(next) = waiting.pop() {
                if !std::mem::replace(&mut met[next], true) {
                    path.push((next, self.entries[next].rests()));
                }
            } else {
                left.push(*at);
                path.pop();
            }
        }
        left.reverse();
        left
    }
}

impl Entry {
    /// The entries that it rests on.
    fn rests(&self) -> Vec<usize> {
        match &self.how {
            How::Alone => Vec::new(),
            How::Acts(acts) => {
                acts.iter().flat_map(|(_, rests)| rests).filter_map(|on| *on).collect()
            }
            How::Circles(circles) => circles.iter().filter_map(|(_, on)| *on).collect(),
        }
    }
}

/// Whether a bound comes up to what is needed, rounding apart.
fn reaches(bound: f64, need: f64) -> bool {
    bound >= need - ROUNDING * need.abs().max(1.0)
}

fn mean(hints: &[Hint]) -> f64 {
    hints.iter().map(|hint| hint.weight * hint.low).sum()
}

/// What to ask of each outcome so that their mean comes up to `need`. What the hints have to
/// spare is spent on outcomes that the verifier's own bound then settles, the cheapest first.
fn needs(hints: &[Hint], need: f64) -> Vec<f64> {
    let mut spare = mean(hints) - need;
    let mut needs: Vec<f64> = hints.iter().map(|hint| hint.low).collect();
    let room = |hint: &Hint| hint.weight * (hint.low - hint.own);
    let mut order: Vec<usize> = (0..hints.len()).collect();
    order.sort_by(|a, b| room(&hints[*a]).total_cmp(&room(&hints[*b])).then(a.cmp(b)));
    let mut rest = 0.0;
    for at in order {
        if room(&hints[at]) <= spare {
            spare -= room(&hints[at]);
            needs[at] = hints[at].own;
        } else {
            rest += hints[at].weight;
        }
    }
    if spare > 0.0 && rest > 0.0 {
        for (need, hint) in needs.iter_mut().zip(hints) {
            if *need > hint.own {
                *need -= spare / rest;
            }
        }
    }
    needs
}
