//! Money and minutes of the plan as distributions, with snags and comebacks as events.

use strip::move_cost;

use crate::answer::Figures;
use crate::policy::{Policy, Step};
use crate::problem::{Effect, Kind, Problem};

/// What is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measure {
    /// All that the plan minimises.
    Cost,
    /// The quote: labour, waiting, consumables, parts, snags.
    Bill,
    /// Work and waiting.
    Minutes,
}

/// Values are kept one by one up to this many, then binned.
const MOST_VALUES: usize = 1_000_000;
/// How many bins then.
const BINS: usize = 4096;
/// After this many values made in all, every step is binned: the quote must not take longer
/// than the plan.
const MOST_WORK: usize = 20_000_000;
/// Values closer than this are one value (rounding of sums in another order).
const SAME: f64 = 1e-9;

/// A distribution: values rising, with their probabilities.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Spread {
    points: Vec<(f64, f64)>,
    binned: bool,
}

impl Spread {
    fn sure(value: f64) -> Self {
        Self { points: vec![(value, 1.0)], binned: false }
    }

    /// Mixes spreads with weights, each shifted first.
    fn mix(parts: &[(f64, f64, &Self)]) -> Self {
        let binned = parts.iter().any(|(_, _, part)| part.binned);
        let mut points: Vec<(f64, f64)> = parts
            .iter()
            .flat_map(|(p, shift, part)| {
                part.points.iter().map(move |(v, q)| (v + shift, p * q))
            })
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { points: merge(points), binned }
    }

    /// Adds an independent event: `amount` with probability `p`.
    fn with_event(&self, p: f64, amount: f64) -> Self {
        if p <= 0.0 || amount == 0.0 {
            return self.clone();
        }
        Self::mix(&[(1.0 - p, 0.0, self), (p, amount, self)])
    }

    fn capped(self, most: usize) -> Self {
        if self.points.len() <= most {
            return self;
        }
        let (first, last) = (self.points[0].0, self.points[self.points.len() - 1].0);
        let width = (last - first) / 4096.0;
        let mut points: Vec<(f64, f64)> = Vec::with_capacity(BINS);
        let mut edge = first + width;
        let (mut mass, mut moment) = (0.0, 0.0);
        for (value, p) in self.points {
            while value >= edge && edge < last {
                flush(&mut points, &mut mass, &mut moment);
                edge = (edge + width).max(value.min(last));
            }
            mass += p;
            moment += p * value;
        }
        flush(&mut points, &mut mass, &mut moment);
        Self { points, binned: true }
    }

    /// The least value v with P(≤ v) ≥ q − 1e-12.
    fn quantile(&self, q: f64) -> f64 {
        let mut sum = 0.0;
        for (value, p) in &self.points {
            sum += p;
            if sum >= q - 1e-12 {
                return *value;
            }
        }
        self.points.last().map_or(0.0, |(value, _)| *value)
    }

    /// P(value > limit).
    pub(crate) fn above(&self, limit: f64) -> f64 {
        let over = self.points.iter().filter(|(value, _)| *value > limit + SAME);
        over.map(|(_, p)| p).sum::<f64>().clamp(0.0, 1.0)
    }

    /// Mean and quantiles.
    pub(crate) fn figures(&self) -> Figures {
        Figures {
            mean: self.points.iter().map(|(value, p)| value * p).sum(),
            p10: self.quantile(0.1),
            p50: self.quantile(0.5),
            p90: self.quantile(0.9),
            binned: self.binned,
        }
    }
}

fn flush(points: &mut Vec<(f64, f64)>, mass: &mut f64, moment: &mut f64) {
    if *mass > 0.0 {
        points.push((*moment / *mass, *mass));
    }
    (*mass, *moment) = (0.0, 0.0);
}

fn merge(points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let mut merged: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for (value, p) in points {
        match merged.last_mut() {
            Some(last) if value - last.0 <= SAME * last.0.abs().max(1.0) => last.1 += p,
            _ => merged.push((value, p)),
        }
    }
    merged
}

/// The distribution of `measure` over the plan from `root` on.
pub(crate) fn spread(
    problem: &Problem,
    policy: &Policy,
    root: usize,
    measure: Measure,
) -> Spread {
    let mut done: Vec<Spread> = Vec::with_capacity(root + 1);
    let wanted = policy.reach(root);
    let mut work = 0_usize;
    for (at, reached) in wanted.iter().enumerate() {
        if *reached <= 0.0 {
            done.push(Spread::default());
            continue;
        }
        let step = &policy.steps[at];
        let mut sum = after(problem, step, &done, measure);
        for (p, amount) in events(problem, step, measure) {
            sum = sum.with_event(p, amount);
        }
        work += sum.points.len();
        let most = if work > MOST_WORK { BINS } else { MOST_VALUES };
        done.push(sum.capped(most));
    }
    done.pop().unwrap_or_default()
}

/// What is sure at a step, shifted onto what follows its outcomes.
fn after(problem: &Problem, step: &Step, later: &[Spread], measure: Measure) -> Spread {
    let sure = sure(problem, step, measure);
    if step.kids.is_empty() {
        return Spread::sure(sure);
    }
    let total: f64 = step.kids.iter().map(|kid| kid.p).sum();
    let parts: Vec<(f64, f64, &Spread)> = step
        .kids
        .iter()
        .map(|kid| {
            let extra =
                if kid.outcome == 1 { if_shown(problem, step, measure) } else { 0.0 };
            (kid.p / total, sure + extra, &later[kid.step])
        })
        .collect();
    Spread::mix(&parts)
}

fn if_shown(problem: &Problem, step: &Step, measure: Measure) -> f64 {
    let extra = match step.act.map(|place| &problem.acts[place].effect) {
        Some(Effect::Show { if_shown, .. } | Effect::Drive { if_shown, .. }) => *if_shown,
        Some(Effect::Look { .. } | Effect::PutRight { .. }) | None => 0.0,
    };
    if measure == Measure::Cost { extra } else { 0.0 }
}

fn sure(problem: &Problem, step: &Step, measure: Measure) -> f64 {
    let trip = move_cost(&problem.sheet, &problem.economy, step.from, step.to);
    let act = step.act.map(|place| &problem.acts[place]);
    if measure == Measure::Minutes {
        return trip.labour_min
            + trip.wait_min
            + act.map_or(0.0, |act| act.work_min + act.wait_min);
    }
    let economy = &problem.economy;
    let moved =
        economy.work(trip.labour_min) + economy.waiting(trip.wait_min) + trip.refit_parts;
    let end = if act.is_none() && step.end == Kind::PassOn && measure == Measure::Cost {
        economy.pass_on
    } else {
        0.0
    };
    moved + act.map_or(0.0, |act| act.pay) + end
}

/// What may happen at a step: probability and amount.
fn events(problem: &Problem, step: &Step, measure: Measure) -> Vec<(f64, f64)> {
    let trip = move_cost(&problem.sheet, &problem.economy, step.from, step.to);
    let mut events: Vec<(f64, f64)> = trip
        .snags
        .iter()
        .map(|snag| match measure {
            Measure::Minutes => (snag.p, snag.minutes),
            Measure::Cost | Measure::Bill => {
                (snag.p, problem.economy.work(snag.minutes) + snag.parts)
            }
        })
        .collect();
    if measure != Measure::Cost {
        return events;
    }
    let comeback = problem.economy.comeback;
    match step.act.map(|place| &problem.acts[place]) {
        None if step.end == Kind::Close => events.push((step.state.unfixed(), comeback)),
        Some(act) if act.kind == Kind::Repair => {
            events.push((
                step.state.extra(problem, act) / comeback.max(f64::MIN_POSITIVE),
                comeback,
            ));
        }
        Some(_) | None => {}
    }
    events
}
