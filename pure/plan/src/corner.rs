//! Lower bounds from knowing the cause: full information, but not whether a repair held.
//!
//! The least cost V is concave in the odds, so `V(b, f) ≥ Σ (b[s] + f[s])·V[s](φ[s])` for any
//! split of f among the causes, where `V[s](φ)` is the least cost when the cause is known to
//! be s and already fixed with probability φ = f[s]/(b[s] + f[s]). The best split is taken: as
//! every term is piecewise linear and concave in f[s], f goes where it raises the bound most.
//! `V[s]` is itself bounded from below by a problem in which looks may be repeated and, after
//! a few that tell what they tell, a look tells s from a fixed vehicle perfectly; that one is
//! solved exactly: a lower envelope of lines in
//! φ for each set of items off and of repairs still to be had.

use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::num::NonZeroU32;
use std::sync::Arc;

use rustc_hash::FxHasher;
use weigh::{Done, bit};

use crate::graph::{GROWTH, make_room};
use crate::lines::{Beside, Line, Told, beside, envelope, least, over_outcomes};
use crate::problem::{Effect, Kind, Problem};
use crate::state::{OffIx, State, Trips};

/// What can be done about one cause.
#[derive(Debug, Default)]
struct Means {
    /// Places in the problem's acts that put it right, with their group.
    repairs: Vec<(usize, u32)>,
    /// Places of looks and proofs that tell it from a fixed vehicle.
    looks: Vec<usize>,
    /// Group of a (kind, place) pair is its place here.
    groups: Vec<(Kind, usize)>,
}

/// More groups than this are bounded by their cheapest member instead of one by one.
const MOST_GROUPS: usize = 10;

/// So many looks in a row are taken at what they really tell; the next tells perfectly.
const FORESIGHT: u8 = 2;

/// Tables worked out at full foresight, each over all acts; later ones take the first look as
/// telling perfectly.
const FULL_FORESIGHT: usize = 60_000;
/// Tables worked out at all, likewise; later ones know only the cheapest act that puts the
/// cause right. What can be off grows with the product of the ways in: without an end the
/// tables of a large sheet would cost more than the search.
const MOST_WORK: usize = 300_000;

/// A known cause, what is off, the groups that are left, and looks that are still taken at
/// what they really tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Known {
    cause: usize,
    off: OffIx,
    left: u32,
    looks: u8,
}

type Memo<K, V> = HashMap<K, V, BuildHasherDefault<FxHasher>>;

/// Lines of every cause for one set of items off and repairs done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place(NonZeroU32);

impl Place {
    fn of(at: usize) -> Self {
        Self(NonZeroU32::MIN.saturating_add(self::at(at)))
    }

    fn at(self) -> usize {
        self.0.get() as usize - 1
    }
}

/// Tables of the bound, filled as states are met.
#[derive(Debug)]
pub(crate) struct Corners {
    means: Vec<Means>,
    lines: Memo<Known, Arc<[Line]>>,
    known: Memo<Known, f64>,
    index: Memo<(OffIx, u128, u128), Place>,
    /// Places that acts lead to, by place, then by act.
    after: Vec<Option<Place>>,
    acts: usize,
    /// What each cause costs where nothing is fixed, by place, then by cause.
    alone: Vec<f64>,
    /// What a fixed share beside a cause adds, by place, the most first.
    beside: Vec<Beside>,
    /// Where `beside` begins for each place, and where the last one ends.
    begins: Vec<u32>,
    fixing_checks: u128,
}

impl Corners {
    pub(crate) fn new(problem: &Problem) -> Self {
        let means =
            (0..problem.causes()).map(|cause| Means::of(problem, cause)).collect();
        let fixing =
            problem.acts.iter().filter(|a| a.kind == Kind::Check && !a.fixes.is_empty());
        Self {
            means,
            lines: Memo::default(),
            known: Memo::default(),
            index: Memo::default(),
            after: Vec::new(),
            acts: problem.acts.len(),
            alone: Vec::new(),
            beside: Vec::new(),
            begins: vec![0],
            fixing_checks: fixing.fold(0, |mask, act| mask | bit(act.place)),
        }
    }

    /// Memory taken, bytes, as far as it grows with the search.
    pub(crate) fn bytes(&self) -> usize {
        self.maps() + self.tables()
    }

    /// Memory that the next states may take, bytes: maps double, tables grow.
    pub(crate) fn growth(&self) -> usize {
        self.maps() + self.tables().div_ceil(GROWTH)
    }

    fn maps(&self) -> usize {
        // A line's entry has its key, its pointer, and some three lines behind it.
        let entry = size_of::<(Known, Arc<[Line]>)>() + 4 * size_of::<Line>();
        self.lines.capacity() * entry
            + self.known.capacity() * size_of::<(Known, f64)>()
            + self.index.capacity() * size_of::<((OffIx, u128, u128), Place)>()
    }

    fn tables(&self) -> usize {
        self.alone.capacity() * size_of::<f64>()
            + self.beside.capacity() * size_of::<Beside>()
            + self.begins.capacity() * size_of::<u32>()
            + self.after.capacity() * size_of::<Option<Place>>()
    }

    /// The lines that hold where this is off and done.
    fn place(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        (off, checks, repairs): (OffIx, u128, u128),
    ) -> Place {
        let key = (off, checks & self.fixing_checks, repairs);
        if let Some(place) = self.index.get(&key) {
            return *place;
        }
        let done = Done { checks, repairs, ..Done::default() };
        let place = Place::of(self.begins.len() - 1);
        make_room(&mut self.after, self.acts);
        self.after.resize(self.after.len() + self.acts, None);
        make_room(&mut self.alone, problem.causes());
        for cause in 0..problem.causes() {
            let left = self.means[cause].left(done);
            let known = Known { cause, off, left, looks: FORESIGHT };
            let lines = self.lines(problem, trips, known);
            self.alone.push(lines.first().map_or(0.0, |line| line.present));
            make_room(&mut self.beside, lines.len());
            self.beside.extend(beside(at(cause), &lines));
        }
        let first = self.begins.last().map_or(0, |first| *first as usize);
        self.beside[first..].sort_by(|a, b| b.adds.total_cmp(&a.adds));
        self.begins.push(at(self.beside.len()));
        self.index.insert(key, place);
        place
    }

    /// The lines that hold in a state.
    pub(crate) fn spot(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        state: &State,
    ) -> Place {
        self.place(problem, trips, (state.off, state.done.checks, state.done.repairs))
    }

    /// The lines that hold in a state that an act leads to from another place.
    pub(crate) fn spot_after(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        (from, act): (Place, usize),
        state: &State,
    ) -> Place {
        let way = from.at() * self.acts + act;
        if let Some(place) = self.after[way] {
            return place;
        }
        let place = self.spot(problem, trips, state);
        self.after[way] = Some(place);
        place
    }

    /// A cost that no policy from this state can go below; its lines are at hand.
    pub(crate) fn at(&self, trips: &Trips, place: Place, state: &State) -> f64 {
        let Some((fixed, present)) = state.odds.split_last() else { return 0.0 };
        let place = place.at();
        let alone = &self.alone[place * present.len()..];
        let mut bound: f64 = present.iter().zip(alone).map(|(b, cost)| b * cost).sum();
        let mut left = *fixed;
        let beside = self.begins[place] as usize..self.begins[place + 1] as usize;
        for Beside { adds, until, cause } in &self.beside[beside] {
            let odds = present[*cause as usize];
            if left <= 0.0 {
                return bound;
            }
            if odds > 0.0 {
                let share = left.min(odds * until);
                bound += share * adds;
                left -= share;
            }
        }
        // No cause is possible.
        bound + left * trips.refit_all(state.off)
    }

    /// The lower envelope for a known cause.
    fn lines(&mut self, problem: &Problem, trips: &mut Trips, at: Known) -> Arc<[Line]> {
        let work = self.lines.len() * problem.acts.len();
        let looks = if work < FULL_FORESIGHT { at.looks } else { 0 };
        let at = Known { looks, ..at };
        if let Some(lines) = self.lines.get(&at) {
            return Arc::clone(lines);
        }
        let refit = trips.refit_all(at.off);
        let pass_on = refit + problem.economy.pass_on;
        let mut lines = vec![
            Line { present: refit + problem.economy.comeback, fixed: refit },
            Line { present: pass_on, fixed: pass_on },
        ];
        let crowded = work >= MOST_WORK;
        if crowded || self.means[at.cause].groups.len() > MOST_GROUPS {
            let cheapest = self.cheapest(problem, at.cause);
            lines.push(Line { present: refit + cheapest, fixed: refit });
        } else {
            self.looked_at(problem, trips, at, &mut lines);
            self.repaired(problem, trips, at, &mut lines);
        }
        let lines: Arc<[Line]> = envelope(lines).into();
        if !crowded {
            self.lines.insert(at, Arc::clone(&lines));
        }
        lines
    }

    /// A look, then the best for what it told.
    fn looked_at(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        at: Known,
        lines: &mut Vec<Line>,
    ) {
        let fixed = problem.causes();
        for place in self.means[at.cause].looks.clone() {
            let act = &problem.acts[place];
            let trip = trips.trip(problem, at.off, place);
            let paid = trip.cost + act.pay;
            let told: Vec<Told> = match &act.effect {
                Effect::Look { rows } if at.looks > 0 => rows
                    .iter()
                    .map(|row| Told::plain(row[at.cause], row[fixed]))
                    .collect(),
                Effect::Show { shows, if_shown } if at.looks > 0 => {
                    let (there, gone) = (shows[at.cause], shows[fixed]);
                    let shown = Told { extra: *if_shown, ..Told::plain(there, gone) };
                    vec![shown, Told::plain(1.0 - there, 1.0 - gone)]
                }
                Effect::Look { .. }
                | Effect::Show { .. }
                | Effect::Drive { .. }
                | Effect::PutRight { .. } => {
                    lines.push(self.perfect_look(problem, trips, (at, place)));
                    continue;
                }
            };
            let after = Known { off: trip.to, looks: at.looks - 1, ..at };
            let then = self.lines(problem, trips, after);
            lines.extend(over_outcomes(paid, &told, &then));
        }
    }

    /// A look that tells perfectly.
    fn perfect_look(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        (at, place): (Known, usize),
    ) -> Line {
        let act = &problem.acts[place];
        let trip = trips.trip(problem, at.off, place);
        let (when_present, when_fixed) = match &act.effect {
            Effect::Show { shows, if_shown } => {
                (if_shown * shows[at.cause], if_shown * shows[problem.causes()])
            }
            Effect::Drive { falsely, if_shown, .. } => (0.0, if_shown * falsely),
            Effect::Look { .. } | Effect::PutRight { .. } => (0.0, 0.0),
        };
        let paid = trip.cost + act.pay;
        let known = self.known(problem, trips, Known { off: trip.to, ..at });
        Line {
            present: paid + when_present + known,
            fixed: paid + when_fixed + trips.refit_all(trip.to),
        }
    }

    /// An act that puts the cause right; a check tells first, a repair does not.
    fn repaired(
        &mut self,
        problem: &Problem,
        trips: &mut Trips,
        at: Known,
        lines: &mut Vec<Line>,
    ) {
        let fixed = problem.causes();
        for (place, group) in self.means[at.cause].repairs.clone() {
            if at.left & (1 << group) == 0 {
                continue;
            }
            let act = &problem.acts[place];
            let trip = trips.trip(problem, at.off, place);
            let paid = trip.cost + act.pay;
            let share = act.fixes[at.cause];
            let after = Known { off: trip.to, left: at.left & !(1 << group), ..at };
            let then = self.lines(problem, trips, after);
            match &act.effect {
                Effect::PutRight { again } => {
                    let promise = share * again * problem.economy.comeback;
                    lines.extend(then.iter().map(|line| Line {
                        present: paid + promise + line.at(share),
                        fixed: paid + line.fixed,
                    }));
                }
                Effect::Look { rows } if at.looks > 0 => {
                    let told: Vec<Told> = rows
                        .iter()
                        .map(|row| Told {
                            share,
                            ..Told::plain(row[at.cause], row[fixed])
                        })
                        .collect();
                    lines.extend(over_outcomes(paid, &told, &then));
                }
                Effect::Look { .. } | Effect::Show { .. } | Effect::Drive { .. } => {
                    lines.push(Line {
                        present: paid + least(&then, share),
                        fixed: paid + trips.refit_all(trip.to),
                    });
                }
            }
        }
    }

    /// Least cost when the cause is known to be present: looking tells nothing new.
    fn known(&mut self, problem: &Problem, trips: &mut Trips, at: Known) -> f64 {
        if let Some(known) = self.known.get(&at) {
            return *known;
        }
        let refit = trips.refit_all(at.off);
        let stop = refit + problem.economy.comeback.min(problem.economy.pass_on);
        let mut lines = vec![Line { present: stop, fixed: refit }];
        self.repaired(problem, trips, at, &mut lines);
        let known = least(&lines, 0.0);
        self.known.insert(at, known);
        known
    }

    /// The cheapest act that puts the cause right, trips apart.
    fn cheapest(&self, problem: &Problem, cause: usize) -> f64 {
        let pays =
            self.means[cause].repairs.iter().map(|(place, _)| problem.acts[*place].pay);
        pays.fold(f64::INFINITY, f64::min)
    }
}

impl Means {
    fn of(problem: &Problem, cause: usize) -> Self {
        let mut means = Self::default();
        let fixed = problem.causes();
        for (place, act) in problem.acts.iter().enumerate() {
            if act.fixes.get(cause).is_some_and(|share| *share > 0.0) {
                let group = (act.kind, act.place);
                let known = means.groups.iter().position(|have| *have == group);
                let at = known.unwrap_or(means.groups.len());
                if known.is_none() {
                    means.groups.push(group);
                }
                means.repairs.push((place, u32::try_from(at).unwrap_or(u32::MAX)));
                continue;
            }
            let tells = match &act.effect {
                Effect::Look { rows } => {
                    rows.iter().any(|row| row[cause].to_bits() != row[fixed].to_bits())
                }
                Effect::Show { shows, .. } => {
                    shows[cause].to_bits() != shows[fixed].to_bits()
                }
                Effect::Drive { .. } => true,
                Effect::PutRight { .. } => false,
            };
            if tells {
                means.looks.push(place);
            }
        }
        means
    }

    /// The groups still to be had.
    fn left(&self, done: Done) -> u32 {
        self.groups.iter().enumerate().fold(0, |mask, (at, (kind, place))| {
            let gone = match kind {
                Kind::Check => done.checks & bit(*place) != 0,
                Kind::Repair => done.repairs & bit(*place) != 0,
                Kind::Close | Kind::PassOn | Kind::Proof => false,
            };
            if gone || at > MOST_GROUPS { mask } else { mask | 1 << at }
        })
    }
}

fn at(place: usize) -> u32 {
    u32::try_from(place).unwrap_or(u32::MAX)
}
