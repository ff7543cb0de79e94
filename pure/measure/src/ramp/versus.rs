//! `ramp-compare/1`: rises of a coil's current before and after the work.
//!
//! Times are set against each other only where the drive was alike: the supply and the warm
//! winding both shift them, and by how much depends on the plunger's own mechanics. What the
//! drive does not touch is compared in any case: the resistance (of copper at 20 °C, where the
//! temperatures are given) and the inductance before motion.

use schemars::JsonSchema;
use serde::Serialize;

use super::answer::{RampAnswer, RampShown, RampVerdict};
use crate::compare::{Change, compare_like};
use crate::estimate::Estimate;
use crate::material::Material;
use crate::robust::mean;

/// Relative differences of the drive up to which times are compared: of the supply, and of
/// the resistance (4 % is copper 10 K warmer, IEC 60028). Ours: the flux that moves the plunger
/// is reached later by about as much.
const ALIKE: (f64, f64) = (0.02, 0.04);

/// Temperature that resistances are brought to, °C.
const REFERENCE_C: f64 = 20.0;

/// Fewest ramps on each side that can show a change: four against four can be dealt in 70
/// ways, three against three in 20.
const FEWEST: usize = 4;

/// Ramps of one side.
#[derive(Debug, Clone, Copy)]
pub struct RampSide<'a> {
    /// Each as it was judged.
    pub ramps: &'a [RampAnswer],
    /// Temperature of the winding, °C, where it is known.
    pub celsius: Option<f64>,
}

/// `ramp-compare/1`: what changed between ramps before and after.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RampCompareAnswer {
    /// What was seen of the plunger in each ramp before.
    pub before: Vec<RampVerdict>,
    /// What was seen of it in each ramp after.
    pub after: Vec<RampVerdict>,
    /// When the plunger strikes and begins to move, the resistance, the inductance before
    /// motion.
    pub metrics: Vec<RampMetric>,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// What a page draws, before and after.
    #[serde(skip)]
    pub shown: (Vec<RampShown>, Vec<RampShown>),
}

/// One number before and after.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RampMetric {
    /// Which: `contact_s`, `motion_s`, `resistance_ohm` or `inductance_h`.
    pub metric: &'static str,
    /// Mean before: of one ramp with its own interval, of several with that of their mean.
    pub before: Estimate,
    /// Mean after.
    pub after: Estimate,
    /// After less before, with its 95 % interval; of one ramp on each side how well these two
    /// were measured, of several how surely the means differ (Welch).
    pub effect: Estimate,
    /// The difference that still counts as the same: 15 % of the value before.
    pub margin: f64,
    /// Changed, same or not decided.
    pub verdict: Change,
    /// About how many more ramps on each side would decide; null where decided or where no
    /// number does.
    pub more_ramps: Option<u32>,
}

/// Compares ramps before and after. Without a ramp on one side nothing is compared, with a
/// remark.
pub fn compare_ramps(before: RampSide<'_>, after: RampSide<'_>) -> RampCompareAnswer {
    let verdicts = |side: RampSide<'_>| side.ramps.iter().map(|r| r.verdict).collect();
    let shown = |side: RampSide<'_>| side.ramps.iter().map(|r| r.shown.clone()).collect();
    let mut answer = RampCompareAnswer {
        before: verdicts(before),
        after: verdicts(after),
        metrics: Vec::new(),
        remarks: Vec::new(),
        shown: (shown(before), shown(after)),
    };
    let drive = unlike_drive(before, after);
    let at_reference = before.celsius.zip(after.celsius);
    let factors = at_reference.map_or((1.0, 1.0), |(before, after)| {
        let to = |c| Material::Copper.resistance_ratio(c, REFERENCE_C);
        (to(before), to(after))
    });
    let mut add = |metric, of: &dyn Fn(&RampAnswer) -> Estimate, (was, is)| {
        let side = |side: RampSide<'_>, factor| -> Vec<Estimate> {
            side.ramps.iter().map(|ramp| times(of(ramp), factor)).collect()
        };
        answer.metrics.push(metric_of(metric, &side(before, was), &side(after, is)));
    };
    add("contact_s", &|ramp| ramp.contact_s, (1.0, 1.0));
    add("motion_s", &|ramp| ramp.motion_s, (1.0, 1.0));
    add("resistance_ohm", &|ramp| exactly(ramp.resistance_ohm), factors);
    add("inductance_h", &|ramp| exactly(ramp.shown.before_h), (1.0, 1.0));
    for (side, when) in [(before, "before"), (after, "after")] {
        let still =
            side.ramps.iter().filter(|ramp| ramp.contact_s.value.is_none()).count();
        if still > 0 {
            let of = side.ramps.len();
            answer
                .remarks
                .push(format!("{still} of {of} {when} show no stop: left out of it"));
        }
    }
    if let Some(why) = drive {
        for metric in &mut answer.metrics[..2] {
            metric.effect = Estimate::default();
            metric.verdict = Change::NotDecided;
            metric.more_ramps = None;
        }
        answer.remarks.push(why);
    }
    answer.remarks.push(match at_reference {
        Some(_) => format!("resistance of copper at {REFERENCE_C} °C"),
        None => {
            "resistance as recorded: copper has 0.39 % more for each kelvin, name both \
                 temperatures to compare it at 20 °C"
                .to_owned()
        }
    });
    let (was, is) = (before.ramps.len(), after.ramps.len());
    if was.min(is) < FEWEST {
        answer.remarks.push(format!(
            "{was} before and {is} after: so few could lie apart by chance, record {FEWEST} \
             rises on each side to show a change"
        ));
    }
    answer
}

/// Why times are not set against each other, if the drive was not alike.
fn unlike_drive(before: RampSide<'_>, after: RampSide<'_>) -> Option<String> {
    let mean_of = |side: RampSide<'_>, of: fn(&RampAnswer) -> Option<f64>| {
        mean(&side.ramps.iter().filter_map(of).collect::<Vec<f64>>())
    };
    let both = |of| mean_of(before, of).zip(mean_of(after, of));
    let apart = |was: f64, is: f64| (is / was - 1.0).abs();
    let every = |side: RampSide<'_>| side.ramps.iter().all(|r| r.shown.volts.is_some());
    let Some((was, is)) =
        both(|ramp| ramp.shown.volts).filter(|_| every(before) && every(after))
    else {
        return Some(
            "times not compared: a higher supply pulls in sooner, and it is not known of \
             all rises"
                .to_owned(),
        );
    };
    if apart(was, is) > ALIKE.0 {
        return Some(format!(
            "times not compared: the supply was {was:.2} V before and {is:.2} V after, and a \
             higher one pulls in sooner; record at the same supply"
        ));
    }
    if let Some((was, is)) = both(|ramp| ramp.resistance_ohm) {
        return (apart(was, is) > ALIKE.1).then(|| {
            format!(
                "times not compared: the resistance was {was:.3} ohm before and {is:.3} ohm \
                 after, and a warm winding pulls in later (copper 10 K warmer has 4 % more); \
                 record at the same temperature, else look at the wiring"
            )
        });
    }
    let warmer = |(was, is): (f64, f64)| Material::Copper.resistance_ratio(was, is);
    let alike = before.celsius.zip(after.celsius).map(warmer);
    alike.is_none_or(|ratio| apart(1.0, ratio) > ALIKE.1).then(|| {
        "times not compared: a warm winding pulls in later, and neither the resistance nor the \
         temperature shows that it was as warm on both sides"
            .to_owned()
    })
}

fn metric_of(
    metric: &'static str,
    before: &[Estimate],
    after: &[Estimate],
) -> RampMetric {
    let values = |side: &[Estimate]| -> Vec<f64> {
        side.iter().filter_map(|one| one.value).collect()
    };
    let compared = compare_like(&[(values(before), values(after))], None);
    let of = |side: &[Estimate], several| match side {
        [one] => *one,
        _ => several,
    };
    let (was, is) = (of(before, compared.before), of(after, compared.after));
    let effect = match (before, after) {
        ([_], [_]) => difference(was, is),
        _ => compared.effect,
    };
    RampMetric {
        metric,
        before: was,
        after: is,
        effect,
        margin: compared.margin,
        verdict: compared.verdict,
        more_ramps: compared.more_steps,
    }
}

/// After less before; the half-widths of their intervals add as squares, each side apart.
fn difference(was: Estimate, is: Estimate) -> Estimate {
    let Some((before, after)) = was.value.zip(is.value) else {
        return Estimate::default();
    };
    let value = after - before;
    let reach = |up: Option<f64>, down: Option<f64>| {
        up.zip(down).map(|(up, down)| (up - after).hypot(before - down))
    };
    Estimate {
        value: Some(value),
        low: reach(is.low, was.high).map(|reach| value - reach),
        high: reach(is.high, was.low).map(|reach| value + reach),
    }
}

fn exactly(value: Option<f64>) -> Estimate {
    Estimate { value, low: None, high: None }
}

fn times(of: Estimate, factor: f64) -> Estimate {
    let scaled = |value: Option<f64>| value.map(|v| v * factor);
    Estimate { value: scaled(of.value), low: scaled(of.low), high: scaled(of.high) }
}
