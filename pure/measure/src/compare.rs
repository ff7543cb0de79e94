//! Before against after: the effect with its interval first, then the word. Only steps
//! that are like each other are set against each other.

use schemars::JsonSchema;
use serde::Serialize;

use crate::alike::{Kind, groups};
use crate::answer::StepMetrics;
use crate::chance::quantile;
use crate::estimate::{COVER, Estimate};
use crate::reading::count_f64;
use crate::recording::RecordingAnswer;
use crate::robust::mean;

/// Ways of dealing the steps to before and after below which no change is called: of N
/// ways an exact two-sided test reaches 2/N, and 2/40 is 0.05. Three against three have
/// 20, four against four 70.
const WAYS: f64 = 40.0;

/// Most steps on each side that are ever asked for.
const MOST: u32 = 1_000;

/// Share of the value before that still counts as the same where no margin is given.
const SAME: f64 = 0.15;

/// `compare/1`: what changed between two recordings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CompareAnswer {
    /// What is compared.
    pub metric: &'static str,
    /// Mean before, with its interval.
    pub before: Estimate,
    /// Mean after, with its interval.
    pub after: Estimate,
    /// After less before, with its 95 % interval (Welch, within like steps).
    pub effect: Estimate,
    /// The difference that still counts as the same.
    pub margin: f64,
    /// Changed, same or not decided.
    pub verdict: Change,
    /// About how many more steps on each side would decide; null where decided or where
    /// no number of steps does.
    pub more_steps: Option<u32>,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// Standard error of the effect.
    #[serde(skip)]
    pub u: f64,
    /// Its degrees of freedom (Welch).
    #[serde(skip)]
    pub dof: Option<f64>,
    /// Like steps that were set against each other.
    pub like: Vec<LikeSteps>,
    /// Steps before that have no like after, and the other way round; not used.
    pub unlike: (usize, usize),
    /// The other metrics in the same way, each by its own margin of 15 %.
    pub others: Vec<OtherMetric>,
}

/// Steps alike in direction, size and conditions, on both sides.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LikeSteps {
    /// What they share, in words.
    pub what: String,
    /// Steps before and after.
    pub steps: (usize, usize),
    /// After less before; null where unclear.
    pub effect: Option<f64>,
}

/// Another metric before and after.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OtherMetric {
    /// Which.
    pub metric: &'static str,
    /// After less before, with its 95 % interval.
    pub effect: Estimate,
    /// Changed, same or not decided.
    pub verdict: Change,
}

/// What a comparison says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Change {
    /// The interval leaves zero out.
    Changed,
    /// The 90 % interval lies within the margin (two one-sided tests).
    Same,
    /// Neither.
    NotDecided,
}

/// Compares the time constants of the single steps of two recordings; `margin_s` is the
/// difference that still counts as the same, `None`: 15 % of the value before.
pub fn compare(
    before: &RecordingAnswer,
    after: &RecordingAnswer,
    margin_s: Option<f64>,
) -> CompareAnswer {
    let tau = |step: &StepMetrics| step.time_constant_s;
    let pairs = paired(before, after, &tau);
    let mut answer = compare_like(&pairs.values(), margin_s);
    answer.like = pairs.told();
    answer.unlike = pairs.unlike;
    if pairs.like.is_empty() {
        by_bounds(before, after, &mut answer);
    }
    if pairs.like.is_empty() && pairs.unlike.0 > 0 && pairs.unlike.1 > 0 {
        answer.remarks.push(format!(
            "the steps are not alike, so they are not pooled: before {}; after {}; record \
             the same steps in the same conditions",
            pairs.words.0, pairs.words.1
        ));
    } else if pairs.unlike != (0, 0) {
        answer.remarks.push(format!(
            "left out because the other side has no step like them: {} before, {} after",
            pairs.unlike.0, pairs.unlike.1
        ));
    }
    answer.others = others(before, after);
    answer
}

fn others(before: &RecordingAnswer, after: &RecordingAnswer) -> Vec<OtherMetric> {
    type Of = fn(&StepMetrics) -> Option<f64>;
    let metrics: [(&'static str, Of); 4] = [
        ("dead_time_s", |s| s.dead_time_s),
        ("gain", |s| s.gain),
        ("steady_error", |s| s.steady_error),
        ("overshoot", |s| s.overshoot),
    ];
    metrics
        .into_iter()
        .map(|(metric, of)| {
            let answer = compare_like(&paired(before, after, &of).values(), None);
            OtherMetric { metric, effect: answer.effect, verdict: answer.verdict }
        })
        .collect()
}

/// A side without values but with a bound: what the bounds alone tell.
fn by_bounds(
    before: &RecordingAnswer,
    after: &RecordingAnswer,
    answer: &mut CompareAnswer,
) {
    let (was, is) = (before.time_constant_s, after.time_constant_s);
    (answer.before, answer.after) = (was, is);
    let apart = |above: Option<f64>, below: Option<f64>| {
        above.zip(below).map(|(above, below)| below - above).filter(|d| *d < 0.0)
    };
    let one_is_bound = was.value.is_none() != is.value.is_none();
    if let (true, Some(most)) = (one_is_bound, apart(was.low, is.high)) {
        answer.effect = Estimate { value: None, low: None, high: Some(most) };
        answer.verdict = Change::Changed;
    } else if let (true, Some(most)) = (one_is_bound, apart(is.low, was.high)) {
        answer.effect = Estimate { value: None, low: Some(-most), high: None };
        answer.verdict = Change::Changed;
    } else {
        return;
    }
    answer.remarks = vec![
        "one side is too quick for its log: the bound alone shows the change".to_owned(),
    ];
}

/// Like steps of both sides with one value each.
struct Paired {
    like: Vec<(String, Vec<f64>, Vec<f64>)>,
    unlike: (usize, usize),
    words: (String, String),
}

impl Paired {
    fn values(&self) -> Vec<(Vec<f64>, Vec<f64>)> {
        self.like
            .iter()
            .map(|(_, before, after)| (before.clone(), after.clone()))
            .collect()
    }

    fn told(&self) -> Vec<LikeSteps> {
        self.like
            .iter()
            .map(|(what, before, after)| LikeSteps {
                what: what.clone(),
                steps: (before.len(), after.len()),
                effect: mean(after).zip(mean(before)).map(|(a, b)| a - b),
            })
            .collect()
    }
}

fn paired(
    before: &RecordingAnswer,
    after: &RecordingAnswer,
    of: &dyn Fn(&StepMetrics) -> Option<f64>,
) -> Paired {
    let valued = |answer: &'_ RecordingAnswer| -> Vec<(StepMetrics, f64)> {
        let bare = |s: &StepMetrics| StepMetrics { samples: Vec::new(), ..s.clone() };
        answer.per_step.iter().filter_map(|s| Some((bare(s), of(s)?))).collect()
    };
    let (was, is) = (valued(before), valued(after));
    let kinds: Vec<Kind<'_>> =
        was.iter().chain(&is).map(|(s, _)| Kind::from(s)).collect();
    let mut paired = Paired {
        like: Vec::new(),
        unlike: (0, 0),
        words: (String::new(), String::new()),
    };
    for group in groups(&kinds) {
        let (old, new): (Vec<usize>, Vec<usize>) =
            group.iter().partition(|at| **at < was.len());
        let what = group.first().map_or_else(String::new, |at| kinds[*at].words());
        let values = |places: &[usize]| -> Vec<f64> {
            places
                .iter()
                .filter_map(|at| was.iter().chain(&is).nth(*at))
                .map(|s| s.1)
                .collect()
        };
        if old.is_empty() || new.is_empty() {
            paired.unlike.0 += old.len();
            paired.unlike.1 += new.len();
            let words =
                if new.is_empty() { &mut paired.words.0 } else { &mut paired.words.1 };
            if words.is_empty() {
                *words = what;
            }
        } else {
            paired.like.push((what, values(&old), values(&new)));
        }
    }
    paired
}

/// Compares two sets of single values of one kind; `margin` in their unit.
pub fn compare_values(before: &[f64], after: &[f64], margin: f64) -> CompareAnswer {
    compare_like(&[(before.to_vec(), after.to_vec())], Some(margin))
}

/// Compares kind by kind and puts the differences together.
pub(crate) fn compare_like(
    like: &[(Vec<f64>, Vec<f64>)],
    margin: Option<f64>,
) -> CompareAnswer {
    let before: Vec<f64> = like.iter().flat_map(|(before, _)| before).copied().collect();
    let after: Vec<f64> = like.iter().flat_map(|(_, after)| after).copied().collect();
    let margin = margin.unwrap_or(SAME * mean(&before).unwrap_or(0.0).abs());
    let mut answer = CompareAnswer {
        metric: "time_constant_s",
        before: Estimate::of_mean(&before).unwrap_or_default(),
        after: Estimate::of_mean(&after).unwrap_or_default(),
        effect: Estimate::default(),
        margin,
        verdict: Change::NotDecided,
        more_steps: None,
        remarks: Vec::new(),
        u: 0.0,
        dof: None,
        like: Vec::new(),
        unlike: (0, 0),
        others: Vec::new(),
    };
    let Some(welch) = Welch::of(like) else {
        answer.remarks.push(
            "at least two like steps with a value are needed on each side".to_owned(),
        );
        return answer;
    };
    (answer.u, answer.dof) = (welch.u, welch.dof);
    answer.effect = Estimate::of_u(welch.difference, welch.u, welch.dof);
    if welch.inside(margin) {
        answer.verdict = Change::Same;
    } else if welch.leaves_zero() && welch.ways(0.0) >= WAYS {
        answer.verdict = Change::Changed;
    } else {
        answer.more_steps = welch.more(margin);
        if welch.ways(0.0) < WAYS {
            answer.remarks.push(format!(
                "{} steps before and {} after: so few could lie apart by chance, four \
                 against four are the fewest that can show a change",
                before.len(),
                after.len()
            ));
        }
    }
    answer
}

/// Difference of means within like steps, with Welch's standard error and degrees of
/// freedom; of several kinds each weighs n₁n₂/(n₁ + n₂).
#[derive(Debug, Clone)]
struct Welch {
    difference: f64,
    u: f64,
    dof: Option<f64>,
    counts: Vec<(f64, f64)>,
}

impl Welch {
    fn of(like: &[(Vec<f64>, Vec<f64>)]) -> Option<Self> {
        let used: Vec<&(Vec<f64>, Vec<f64>)> =
            like.iter().filter(|(a, b)| !a.is_empty() && !b.is_empty()).collect();
        let squares = |values: &[f64]| -> f64 {
            let middle = mean(values).unwrap_or(0.0);
            values.iter().map(|v| (v - middle).powi(2)).sum()
        };
        let free = |n: usize| count_f64(n) - 1.0;
        let (mut a, mut b) = ((0.0, 0.0), (0.0, 0.0));
        for (before, after) in &used {
            a = (a.0 + squares(before), a.1 + free(before.len()));
            b = (b.0 + squares(after), b.1 + free(after.len()));
        }
        if a.1 + b.1 <= 0.0 || used.iter().map(|(a, _)| a.len()).sum::<usize>() < 2 {
            return None;
        }
        if used.iter().map(|(_, b)| b.len()).sum::<usize>() < 2 {
            return None;
        }
        // A side that cannot show its own scatter is taken to scatter like the other.
        let shared = (a.0 + b.0) / (a.1 + b.1);
        let of = |(sum, free): (f64, f64)| if free > 0.0 { sum / free } else { shared };
        let (scatter_a, scatter_b) = (of(a), of(b));
        let counts: Vec<(f64, f64)> =
            used.iter().map(|(a, b)| (count_f64(a.len()), count_f64(b.len()))).collect();
        let weight = |(a, b): (f64, f64)| a * b / (a + b);
        let whole: f64 = counts.iter().map(|c| weight(*c)).sum();
        let mut difference = 0.0;
        let (mut part_a, mut part_b) = (0.0, 0.0);
        for ((before, after), count) in used.iter().zip(&counts) {
            let share = weight(*count) / whole;
            difference += share * (mean(after)? - mean(before)?);
            part_a += share * share * scatter_a / count.0;
            part_b += share * share * scatter_b / count.1;
        }
        let freedom = |part: f64, free: f64| {
            if free > 0.0 { part * part / free } else { part * part / (a.1 + b.1) }
        };
        let dof =
            (part_a + part_b).powi(2) / (freedom(part_a, a.1) + freedom(part_b, b.1));
        let u = (part_a + part_b).sqrt();
        Some(Self { difference, u, dof: dof.is_finite().then_some(dof), counts })
    }

    fn leaves_zero(&self) -> bool {
        self.difference.abs() > quantile(f64::midpoint(1.0, COVER), self.dof) * self.u
    }

    fn inside(&self, margin: f64) -> bool {
        self.difference.abs() + quantile(COVER, self.dof) * self.u < margin
    }

    /// Ways of dealing the steps of each kind, with some more on each side of all.
    fn ways(&self, more: f64) -> f64 {
        let kinds = count_f64(self.counts.len());
        let of = |(a, b): &(f64, f64)| {
            let (a, b) = ((a + more / kinds).floor(), (b + more / kinds).floor());
            let most = u32::try_from(cast(a.min(b))).unwrap_or(0);
            (1..=most.min(20))
                .map(|i| (a + b + 1.0 - f64::from(i)) / f64::from(i))
                .product::<f64>()
        };
        self.counts.iter().map(of).product()
    }

    /// Steps more on each side until one verdict is reached if nothing else changes.
    fn more(&self, margin: f64) -> Option<u32> {
        let now: f64 = self.counts.iter().map(|(a, b)| a.min(*b)).sum();
        (1..=MOST).find(|more| {
            let n = now + f64::from(*more);
            let then = Self {
                u: self.u * (now / n).sqrt(),
                dof: self.dof.map(|dof| dof * n / now),
                ..self.clone()
            };
            let decided = then.leaves_zero() && self.ways(f64::from(*more)) >= WAYS;
            decided || then.inside(margin)
        })
    }
}

#[expect(clippy::cast_possible_truncation, reason = "small counts")]
fn cast(n: f64) -> i64 {
    n as i64
}
