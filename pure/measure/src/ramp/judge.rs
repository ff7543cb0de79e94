//! From samples to the answer: what rules a judgement out first, then what is seen.

use super::FEWEST_SAMPLES;
use super::answer::{RampAnswer, RampError, RampShown, RampVerdict};
use super::chop::chopped;
use super::dips::{Dip, Falls, falls};
use super::early::{Early, early};
use super::kink::{Contact, contact};
use super::plateau::{Cut, Plateau, plateau};
use super::trace::{Trace, prepare, quantile};
use crate::estimate::Estimate;
use crate::robust::median;

/// The first dip with this share of the deepest is the stroke; what follows it is bounce.
const STROKE: f64 = 0.4;

/// Time constants of the coil at rest that a recording must hold to say that nothing moved,
/// where the rise is one exponential, and where it is not: a plunger that moves slowly shows
/// late.
const LONG_ENOUGH: (f64, f64) = (5.0, 12.0);

/// Growth of the inductance below which a fall without a bend may be hum.
const GROWTH: f64 = 1.1;

/// A recorded rise.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RampInput<'a> {
    /// Current: time in s, A.
    pub current: &'a [(f64, f64)],
    /// Supply across coil and wiring, V, where it is known and steady.
    pub volts: Option<f64>,
    /// Recorded voltage across the coil: time in s, V.
    pub voltage: Option<&'a [(f64, f64)]>,
    /// Remarks made on reading.
    pub remarks: Vec<String>,
}

/// Judges a coil's current rise.
///
/// # Errors
/// [`RampError`] where nothing at all can be judged; what single metrics lack is null in
/// the answer, with a remark.
pub fn judge_ramp(input: &RampInput<'_>) -> Result<RampAnswer, RampError> {
    let mut samples: Vec<(f64, f64)> = input
        .current
        .iter()
        .copied()
        .filter(|s| s.0.is_finite() && s.1.is_finite())
        .collect();
    samples.dedup_by(|later, earlier| later.0 <= earlier.0);
    if samples.len() < FEWEST_SAMPLES {
        return Err(RampError::TooFew(samples.len()));
    }
    if input.volts.is_some_and(|v| !(v.is_finite() && v > 0.0)) {
        return Err(RampError::Volts);
    }
    let mut answer = RampAnswer {
        samples: samples.len(),
        resistance_ohm: None,
        time_constant_s: None,
        motion_s: Estimate::default(),
        contact_s: Estimate::default(),
        verdict: RampVerdict::NotJudged,
        remarks: input.remarks.clone(),
        shown: RampShown { points: samples.clone(), ..RampShown::default() },
    };
    let Some(trace) = prepare(&samples) else {
        answer.remarks.push(
            "no rise of the current from zero is in it: record from before the switch-on"
                .to_owned(),
        );
        return Ok(answer);
    };
    answer.shown.points = trace.before.iter().chain(&trace.samples).copied().collect();
    beginnings(&trace, &mut answer);
    let values: Vec<f64> = trace.samples.iter().map(|s| s.1).collect();
    let top = quantile(&values, 0.98);
    let falls = falls(&trace.samples, top, &trace.noise);
    let (_, end_s) = span(&trace);
    let raw: Vec<(f64, f64)> = samples
        .iter()
        .copied()
        .filter(|s| (0.0..=end_s).contains(&(s.0 - trace.start_s)))
        .collect();
    let supply: Option<Vec<(f64, f64)>> = input.voltage.map(|v| {
        v.iter()
            .copied()
            .filter(|s| (0.0..=end_s).contains(&(s.0 - trace.start_s)))
            .collect()
    });
    if let Some(chopper) = chopped(&raw, &falls, supply.as_deref()) {
        let rate = chopper
            .hz
            .map_or(String::new(), |hz| format!(", about {} times a second", round(hz)));
        answer.remarks.push(format!(
            "the drive is chopped or ripples{rate}: record with the coil on a steady supply"
        ));
        return Ok(answer);
    }
    let volts = steady_volts(input, supply.as_deref(), &mut answer);
    judge_trace(&trace, &falls, volts, &mut answer);
    Ok(answer)
}

/// Two figures of a number.
fn round(value: f64) -> f64 {
    let unit = 10.0_f64.powf(value.abs().max(1e-300).log10().floor() - 1.0);
    (value / unit).round() * unit
}

fn span(trace: &Trace) -> (f64, f64) {
    let at = |s: Option<&(f64, f64)>| s.map_or(0.0, |s| s.0);
    (at(trace.samples.first()), at(trace.samples.last()))
}

/// What is said of how the file begins.
fn beginnings(trace: &Trace, answer: &mut RampAnswer) {
    let remarks = &mut answer.remarks;
    if trace.sign < 0.0 {
        remarks.push("the current is recorded the wrong way round: turned".to_owned());
    }
    match trace.zero_a {
        Some(zero) => remarks.push(format!(
            "switched on {:.2} ms into the file, times count from there; zero of the probe \
             {:.4} A taken off",
            1e3 * trace.start_s,
            zero
        )),
        None if trace.begins_at > 0.03 => remarks.push(format!(
            "the file begins at {:.0} % of the current: times count from its first sample, \
             and the zero of the probe is taken as right",
            100.0 * trace.begins_at
        )),
        None => {}
    }
    if trace.grouped > 1 {
        remarks.push(format!("{} samples at a time are averaged", trace.grouped));
    }
    if trace.switched_off {
        remarks.push("the drive ends within the file: judged up to there".to_owned());
    }
    let (_, end_s) = span(trace);
    if end_s > 5.0 {
        remarks.push(format!(
            "the rise lasts {end_s:.0} s by the file: is its time in milliseconds?"
        ));
    }
}

/// The voltage at the end of the rise: recorded, else as stated.
fn steady_volts(
    input: &RampInput<'_>,
    supply: Option<&[(f64, f64)]>,
    answer: &mut RampAnswer,
) -> Option<f64> {
    let recorded = supply.and_then(|supply| {
        let late = supply.get(supply.len() - supply.len().div_ceil(10)..)?;
        median(&late.iter().map(|s| s.1.abs()).collect::<Vec<_>>())
    });
    let volts = input.volts.or(recorded).filter(|v| *v > 0.0);
    if volts.is_none() {
        answer.remarks.push(
            "resistance not judged: the supply is unknown, name it with --volts"
                .to_owned(),
        );
    }
    answer.shown.volts = volts;
    volts
}

fn judge_trace(
    trace: &Trace,
    falls: &Falls,
    volts: Option<f64>,
    answer: &mut RampAnswer,
) {
    let stroke = stroke(falls);
    let found = stroke.map(|dip| (dip, contact(trace, dip)));
    let from = found.map_or((0.0, 0.0), |(dip, _)| (dip.low_s, dip.low_a));
    let end = plateau(trace, from);
    let steady = end.filter(|e| e.settled && e.cut == Cut::No && falls.open_s.is_none());
    let final_a = steady.map(|e| e.final_a);
    answer.shown.final_a = final_a;
    let early = early(trace, final_a, stroke);
    let (_, end_s) = span(trace);
    match found {
        Some((_, contact)) if !contact.sharp && still(trace, final_a, early) => {
            answer.remarks.push(
                "the current swings, but the inductance does not grow: hum on the probe \
                 hides what the plunger does"
                    .to_owned(),
            );
        }
        Some(found) => moved(falls, found, early, answer),
        None if falls.open_s.is_some() => answer.remarks.push(
            "the current falls at the end of the file and does not rise again: cut short"
                .to_owned(),
        ),
        None => {
            let needed = if early.single { LONG_ENOUGH.0 } else { LONG_ENOUGH.1 };
            let long = early.tau_s.is_some_and(|tau| end_s >= needed * tau);
            match end.map(|e| e.cut) {
                Some(Cut::No) if steady.is_some() && long => {
                    answer.verdict = RampVerdict::NoMotion;
                    answer.time_constant_s = early.tau_s;
                    answer.remarks.push(format!(
                        "no motion is seen within {:.0} ms; a short or very quick stroke may \
                         leave no trace",
                        1e3 * end_s
                    ));
                }
                Some(Cut::No) | None => answer.remarks.push(
                    "the rise is cut short before the current settles: record longer"
                        .to_owned(),
                ),
                Some(Cut::Range | Cut::Limit) => {}
            }
        }
    }
    let seen = answer.verdict != RampVerdict::NotJudged;
    ends(steady.filter(|_| seen), end, volts, answer);
    if seen {
        inductances(trace, volts, final_a, answer);
    }
}

/// Whether the coil's inductance is at the end what it was at the beginning.
fn still(trace: &Trace, final_a: Option<f64>, early: Early) -> bool {
    let both = final_a.zip(early.tau_s);
    both.is_some_and(|(last, tau)| charge(trace, last) < GROWTH * tau * last)
}

/// The dip of the stroke: the first that is not small beside the deepest.
fn stroke(falls: &Falls) -> Option<&Dip> {
    let deepest = falls.deepest()?.depth_a();
    falls.dips.iter().find(|dip| dip.depth_a() >= STROKE * deepest)
}

/// Resistance from the settled end, or why there is none.
fn ends(
    steady: Option<Plateau>,
    end: Option<Plateau>,
    volts: Option<f64>,
    answer: &mut RampAnswer,
) {
    let remarks = &mut answer.remarks;
    match (steady, end.map(|e| e.cut)) {
        (Some(end), _) => {
            answer.resistance_ohm = volts.map(|v| v / end.final_a);
            if volts.is_some() {
                remarks.push(format!(
                    "resistance {} by the scatter of the current, and what the supply and \
                     the probe are off; it holds at the temperature of this recording",
                    give_or_take(200.0 * end.u_a / end.final_a)
                ));
            }
        }
        (None, Some(Cut::Range)) => remarks.push(
            "the top is cut off by the range of the probe: take a wider one; resistance not \
             judged"
                .to_owned(),
        ),
        (None, Some(Cut::Limit)) => remarks.push(
            "the top is held by a current limit of the supply or driver: resistance not judged"
                .to_owned(),
        ),
        (None, _) => remarks.push(
            "resistance not judged: the current is not settled at the end".to_owned(),
        ),
    }
}

/// Per cent in words.
fn give_or_take(percent: f64) -> String {
    if percent < 0.1 { "within 0.1 %".to_owned() } else { format!("± {percent:.1} %") }
}

/// What a dip says: motion always, contact where its end is sharp.
fn moved(
    falls: &Falls,
    (dip, contact): (&Dip, Contact),
    early: Early,
    answer: &mut RampAnswer,
) {
    answer.time_constant_s = early.tau_s;
    answer.motion_s = early.motion;
    if !contact.sharp {
        answer.verdict = RampVerdict::Moved;
        answer.remarks.push(
            "the current dips without a sharp bend: the plunger moves, no stop is seen"
                .to_owned(),
        );
        return;
    }
    answer.verdict = RampVerdict::PulledIn;
    let low = contact.low_s.max(0.0);
    answer.contact_s = Estimate::new(contact.at_s, low, contact.high_s);
    let later: Vec<f64> =
        falls.dips.iter().map(|d| d.low_s).filter(|at| *at > dip.low_s).collect();
    if !later.is_empty() {
        let times: Vec<String> =
            later.iter().map(|at| format!("{:.2}", 1e3 * at)).collect();
        answer.remarks.push(format!(
            "it bounces: the current dips again at {} ms",
            times.join(", ")
        ));
    }
    answer.shown.bounces_s = later;
}

/// Inductance before motion and flux linkage at the end, where R is known.
fn inductances(
    trace: &Trace,
    volts: Option<f64>,
    final_a: Option<f64>,
    answer: &mut RampAnswer,
) {
    let (Some(ohm), Some(_), Some(final_a)) = (answer.resistance_ohm, volts, final_a)
    else {
        return;
    };
    let charge = charge(trace, final_a);
    let flux = ohm * charge;
    answer.shown.flux_wb = Some(flux);
    answer.shown.after_h = Some(flux / final_a);
    answer.shown.before_h = answer.time_constant_s.map(|tau| tau * ohm);
}

/// Flux linkage at the end over resistance, A s: λ/R = ∫ (I − i) dt with the
/// settled current I, from the switch-on
/// with no current.
fn charge(trace: &Trace, final_a: f64) -> f64 {
    let before = trace.samples.first().map_or(0.0, |s| (final_a - 0.5 * s.1) * s.0);
    let pairs = trace.samples.windows(2);
    let after = pairs.map(|pair| {
        let middle = f64::midpoint(pair[0].1, pair[1].1);
        (final_a - middle) * (pair[1].0 - pair[0].0)
    });
    before + after.sum::<f64>()
}
