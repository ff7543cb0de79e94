//! `recording/1` and `compare/1`: how something follows its command, before and after.

use measure::compare::Change;
use measure::{CompareAnswer, Estimate, LikeExposure, RecordingAnswer};

use super::estimate;
use crate::{
    Band, Block, Overlay, Page, StepTrace, Table, Traces, Words, coverage_map, overlay,
    pair, say,
};

/// How something follows its command.
#[must_use]
pub fn recording_page(answer: &RecordingAnswer, language: &str) -> Page {
    let mut page = Page::new("Recording", language);
    if let Some(like) = &answer.like {
        exposure(&mut page, like);
    }
    // Only asked for its conditions: nothing was judged and nothing is said of steps.
    let judged = answer.like.is_none() || answer.steps > 0 || !answer.per_step.is_empty();
    if judged {
        metrics(&mut page, answer);
    }
    log(&mut page, answer);
    page.remarks(&answer.remarks);
    page
}

/// What was driven in like conditions.
fn exposure(page: &mut Page, like: &LikeExposure) {
    let amount = |min: f64, km: Option<f64>| match km {
        Some(km) => format!("{} km, {}", say::significant(km, 3), say::minutes(min)),
        None => say::minutes(min),
    };
    page.lead(format!("{} in like conditions.", amount(like.min, like.km)));
    let mut asked = Vec::new();
    if let Some(rpm) = like.rpm {
        asked.push(format!("{} ± 375 /min", say::significant(rpm, 4)));
    }
    if let Some(load) = like.load {
        asked.push(format!("load {} ± 20 %", say::significant(load, 3)));
    }
    if let Some(warm) = like.warm {
        asked.push(if warm { "warm".to_owned() } else { "cold".to_owned() });
    }
    let warm_ups = like.warm_ups.map_or_else(String::new, |n| n.to_string());
    page.facts(vec![
        pair("Conditions", asked.join(", ")),
        pair("Recorded in all", amount(like.of_min, like.of_km)),
        pair("Warm-up cycles", warm_ups),
    ]);
    if !like.cells.is_empty() {
        page.blocks.push(Block::Drawing(coverage_map(like)));
    }
}

fn metrics(page: &mut Page, answer: &RecordingAnswer) {
    let steps = u32::try_from(answer.steps).unwrap_or(u32::MAX);
    page.lead(match answer.steps {
        0 => "No step of the command found.".to_owned(),
        _ => format!("{} of the command.", say::count(steps, "step", "steps")),
    });
    page.facts(vec![
        pair("Dead time", estimate(&answer.dead_time_s, "s")),
        pair("Time constant", estimate(&answer.time_constant_s, "s")),
        pair("Gain", estimate(&answer.gain, "")),
        pair("Fastest move", estimate(&answer.slew_per_s, "a second")),
        pair("Steady error", estimate(&answer.steady_error, "")),
        pair("Between the ways up and down", estimate(&answer.hysteresis, "")),
        pair("Beyond where it settles", overshoot(answer)),
    ]);
    if !answer.per_step.is_empty() {
        let panel = step_traces(answer, "Every step");
        page.blocks.push(drawn("Each step over the others", vec![panel], band(answer)));
    }
    sides(page, answer);
}

/// Up and down, like steps, and a change on the way, where there are such.
fn sides(page: &mut Page, answer: &RecordingAnswer) {
    let mut table = Table::new(&["Steps", ">How many", ">Dead time", ">Time constant"]);
    let mut row = |what: &str, n: usize, dead: &Estimate, tau: &Estimate| {
        table.row(vec![
            Words::from(what),
            Words::from(n.to_string()),
            Words::from(estimate(dead, "s")),
            Words::from(estimate(tau, "s")),
        ]);
    };
    let both = [("up", &answer.up), ("down", &answer.down)];
    for (what, side) in both.iter().filter_map(|(w, s)| Some((w, s.as_ref()?))) {
        row(what, side.steps, &side.dead_time_s, &side.time_constant_s);
    }
    // Up and down alone were told of already.
    if answer.alike.len() > 2 {
        for like in &answer.alike {
            row(&like.what, like.steps, &like.dead_time_s, &like.time_constant_s);
        }
    }
    if answer.up.is_some() || answer.down.is_some() {
        page.table(table);
    }
    if let Some(change) = &answer.change {
        page.lead(format!(
            "It changed on the way, between {} s and {} s: {} from {} to {}.",
            say::significant(change.between_s.0, 4),
            say::significant(change.between_s.1, 4),
            plain(change.metric),
            estimate(&change.before, "s"),
            estimate(&change.after, "s")
        ));
    }
}

fn log(page: &mut Page, answer: &RecordingAnswer) {
    page.heading("The log");
    page.facts(vec![
        pair("Rows", format!("{} used of {}", answer.kept, answer.rows)),
        pair("Length", say::minutes(answer.duration_s / 60.0)),
    ]);
    let mut table = Table::new(&["Signal", "Unit", ">Fresh samples", ">Every"]);
    for channel in &answer.channels {
        let every = channel
            .median_interval_s
            .map_or_else(String::new, |s| format!("{} s", say::significant(s, 3)));
        table.row(vec![
            Words::from(&channel.name),
            Words::from(channel.unit.as_deref().unwrap_or_default()),
            Words::from(channel.fresh.to_string()),
            Words::from(every),
        ]);
    }
    page.table(table);
}

/// What changed between two recordings; with both at hand their steps are drawn.
#[must_use]
pub fn compare_page(
    answer: &CompareAnswer,
    recordings: Option<(&RecordingAnswer, &RecordingAnswer)>,
    language: &str,
) -> Page {
    let mut page = Page::new("Before and after", language);
    page.lead(match answer.verdict {
        Change::Changed => "Changed.",
        Change::Same => "The same within the margin.",
        Change::NotDecided => "Not decided.",
    });
    let more = answer.more_steps.map_or_else(String::new, |steps| {
        format!("about {} on each side", say::count(steps, "more step", "more steps"))
    });
    page.facts(vec![
        pair("What is compared", plain(answer.metric)),
        pair("Difference", estimate(&answer.effect, "")),
        pair("Before", estimate(&answer.before, "")),
        pair("After", estimate(&answer.after, "")),
        pair("Counts as the same within", say::significant(answer.margin, 3)),
        pair("Would decide it", more),
    ]);
    compared(&mut page, answer);
    if let Some((before, after)) = recordings {
        let panels = vec![step_traces(before, "Before"), step_traces(after, "After")];
        page.blocks.push(drawn("Each step over the others", panels, None));
    }
    page.remarks(&answer.remarks);
    page
}

/// The other metrics, and which steps were set against which.
fn compared(page: &mut Page, answer: &CompareAnswer) {
    let said = |verdict: Change| match verdict {
        Change::Changed => "changed",
        Change::Same => "the same",
        Change::NotDecided => "not decided",
    };
    let mut table = Table::new(&["Also", ">Difference", "Verdict"]);
    for other in answer.others.iter().filter(|other| other.effect.value.is_some()) {
        table.row(vec![
            Words::from(plain(other.metric)),
            Words::from(estimate(&other.effect, "")),
            Words::from(said(other.verdict)),
        ]);
    }
    if answer.others.iter().any(|other| other.effect.value.is_some()) {
        page.table(table);
    }
    if answer.like.len() > 1 {
        let mut table = Table::new(&["Like steps", ">Before", ">After", ">Difference"]);
        for like in &answer.like {
            table.row(vec![
                Words::from(like.what.as_str()),
                Words::from(like.steps.0.to_string()),
                Words::from(like.steps.1.to_string()),
                Words::from(
                    like.effect.map_or_else(String::new, |e| say::significant(e, 3)),
                ),
            ]);
        }
        page.table(table);
    }
}

/// `time_constant_s` as it is said.
fn plain(metric: &str) -> String {
    let (name, unit) = match (metric.strip_suffix("_per_s"), metric.strip_suffix("_s")) {
        (Some(name), _) => (name, ", a second"),
        (None, Some(name)) => (name, ", seconds"),
        (None, None) => (metric, ""),
    };
    format!("{}{unit}", name.replace('_', " "))
}

/// The steps of a recording on one scale: 0 where the value stood before the step, 1 a
/// full move by the commanded change.
#[must_use]
pub fn step_traces(answer: &RecordingAnswer, title: &str) -> Traces {
    let steps = answer
        .per_step
        .iter()
        .filter_map(|step| {
            let change = step.to - step.from;
            let before: Vec<f64> = step
                .samples
                .iter()
                .filter(|(t, _)| *t <= 0.0)
                .map(|(_, value)| *value)
                .collect();
            let count = u32::try_from(before.len()).ok().filter(|count| *count > 0)?;
            let stood = before.iter().sum::<f64>() / f64::from(count);
            (change.abs() > 0.0).then(|| StepTrace {
                points: step
                    .samples
                    .iter()
                    .map(|(t, value)| (*t, (value - stood) / change))
                    .collect(),
            })
        })
        .collect();
    let note = match answer.time_constant_s.value {
        Some(_) => format!("time constant {}", estimate(&answer.time_constant_s, "s")),
        None => String::new(),
    };
    Traces { title: title.to_owned(), note, steps }
}

/// Where the curve of first order lies that fits all steps: between the quickest and the
/// slowest that the intervals allow.
fn band(answer: &RecordingAnswer) -> Option<Band> {
    let (dead, tau) = (&answer.dead_time_s, &answer.time_constant_s);
    let (gain, _) = (answer.gain.value?, tau.value?);
    let ends = [(dead.low?, tau.low?), (dead.high?, tau.high?)];
    let end = ends[1].0 + 5.0 * ends[1].1;
    let at = |(dead, tau): (f64, f64), t: f64| {
        if t > dead && tau > 0.0 { gain * (1.0 - (-(t - dead) / tau).exp()) } else { 0.0 }
    };
    let edge = (0..=120_u8).map(|i| {
        let t = end * f64::from(i) / 120.0;
        let (quick, slow) = (at(ends[0], t), at(ends[1], t));
        (t, quick.min(slow), quick.max(slow))
    });
    Some(Band { edge: edge.collect() })
}

fn overshoot(answer: &RecordingAnswer) -> String {
    let percent = |share: f64| 100.0 * share;
    let of = answer.overshoot;
    let scaled = Estimate {
        value: of.value.map(percent),
        low: of.low.map(percent),
        high: of.high.map(percent),
    };
    if of.value.is_none() && of.low.is_none() && of.high.is_none() {
        return String::new();
    }
    estimate(&scaled, "% of the move")
}

fn drawn(title: &str, panels: Vec<Traces>, band: Option<Band>) -> Block {
    let unit = "share of the commanded step".to_owned();
    Block::Drawing(overlay(&Overlay { title: title.to_owned(), unit, panels, band }))
}
