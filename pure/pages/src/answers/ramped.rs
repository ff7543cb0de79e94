//! `ramp/1` and `ramp-compare/1`: what a coil's current rise says of the coil and of its
//! plunger, and what changed between rises before and after the work.

use measure::compare::Change;
use measure::{
    Estimate, RampAnswer, RampCompareAnswer, RampMetric, RampShown, RampVerdict,
};

use crate::{
    Block, Page, RampPicture, RampsPicture, Table, Words, pair, ramp_picture,
    ramps_picture, say,
};

/// A judged current rise.
#[must_use]
pub fn ramp_page(answer: &RampAnswer, language: &str) -> Page {
    let mut page = Page::new("Coil current", language);
    page.lead(match answer.verdict {
        RampVerdict::PulledIn => "The plunger moves and strikes its stop.",
        RampVerdict::Moved => "The plunger moves; no stop is seen.",
        RampVerdict::NoMotion => "No motion of the plunger is seen.",
        RampVerdict::NotJudged => "Not judged: this recording can't tell.",
    });
    let shown = &answer.shown;
    let with = |value: Option<f64>, unit: &str| {
        value.map_or_else(String::new, |v| format!("{} {unit}", say::significant(v, 4)))
    };
    let milli = |value: Option<f64>| value.map(|v| v * 1e3);
    page.facts(vec![
        pair("Motion begins after", milliseconds(&answer.motion_s)),
        pair("Strikes after", milliseconds(&answer.contact_s)),
        pair("Resistance of coil and wiring", with(answer.resistance_ohm, "ohm")),
        pair("Settled current", with(shown.final_a, "A")),
        pair("Time constant before motion", with(milli(answer.time_constant_s), "ms")),
        pair("Inductance before motion", with(milli(shown.before_h), "mH")),
        pair("Inductance at the end", with(milli(shown.after_h), "mH")),
        pair("Flux linkage at the end", with(milli(shown.flux_wb), "mWb")),
        pair("Samples", answer.samples.to_string()),
    ]);
    page.blocks.push(Block::Drawing(ramp_picture(&RampPicture {
        points: shown.points.clone(),
        final_a: shown.final_a,
        motion: spread(&answer.motion_s),
        contact: spread(&answer.contact_s),
        bounces_s: shown.bounces_s.clone(),
    })));
    page.remarks(&answer.remarks);
    page
}

/// Rises before against rises after.
#[must_use]
pub fn ramp_compare_page(answer: &RampCompareAnswer, language: &str) -> Page {
    let mut page = Page::new("Coil current before and after", language);
    let contact = answer.metrics.iter().find(|metric| metric.metric == "contact_s");
    page.lead(contact.map_or_else(String::new, struck));
    page.facts(vec![
        pair("Before", seen(&answer.before)),
        pair("After", seen(&answer.after)),
        pair(
            "Would decide it",
            contact.and_then(|metric| metric.more_ramps).map_or_else(
                String::new,
                |more| {
                    format!(
                        "about {} on each side",
                        say::count(more, "more rise", "more rises")
                    )
                },
            ),
        ),
    ]);
    let mut table = Table::new(&["", ">Before", ">After", ">Difference", "Verdict"]);
    for metric in &answer.metrics {
        let (name, factor) = match metric.metric {
            "contact_s" => ("Strikes after, ms", 1e3),
            "motion_s" => ("Motion begins after, ms", 1e3),
            "resistance_ohm" => ("Resistance, ohm", 1.0),
            _ => ("Inductance before motion, mH", 1e3),
        };
        let said = |of: &Estimate| Words::from(scaled(of, factor));
        let verdict = match metric.verdict {
            Change::Changed => "changed",
            Change::Same => "the same",
            Change::NotDecided => "not decided",
        };
        table.row(vec![
            Words::from(name),
            said(&metric.before),
            said(&metric.after),
            said(&metric.effect),
            Words::from(verdict),
        ]);
    }
    page.table(table);
    let points = |side: &[RampShown]| side.iter().map(|s| s.points.clone()).collect();
    page.blocks.push(Block::Drawing(ramps_picture(&RampsPicture {
        before: points(&answer.shown.0),
        after: points(&answer.shown.1),
        contact: contact.map_or([None; 2], |m| [m.before.value, m.after.value]),
    })));
    page.remarks(&answer.remarks);
    page
}

/// What became of the stroke, in words.
fn struck(metric: &RampMetric) -> String {
    let by = |s: f64| format!("{} ms", say::significant(s.abs() * 1e3, 3));
    match (metric.verdict, metric.effect.value) {
        (Change::Changed, Some(effect)) if effect < 0.0 => {
            format!("The plunger strikes {} sooner.", by(effect))
        }
        (Change::Changed, Some(effect)) => {
            format!("The plunger strikes {} later.", by(effect))
        }
        (Change::Same, _) => {
            "The plunger strikes when it did, within the margin.".to_owned()
        }
        _ => "When the plunger strikes: not decided.".to_owned(),
    }
}

/// What was seen of the plunger, verdict by verdict.
fn seen(verdicts: &[RampVerdict]) -> String {
    let of = [
        (RampVerdict::PulledIn, "strikes"),
        (RampVerdict::Moved, "moves, no stop seen"),
        (RampVerdict::NoMotion, "no motion seen"),
        (RampVerdict::NotJudged, "not judged"),
    ];
    let said = of.into_iter().filter_map(|(verdict, word)| {
        let count = verdicts.iter().filter(|seen| **seen == verdict).count();
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        (count > 0).then(|| format!("{}: {word}", say::count(count, "rise", "rises")))
    });
    said.collect::<Vec<_>>().join("; ")
}

/// A value with its interval, times a factor; empty where there is none.
fn scaled(of: &Estimate, factor: f64) -> String {
    let Some(value) = of.value else { return String::new() };
    let value = say::significant(value * factor, 4);
    match (of.low, of.high) {
        (Some(low), Some(high)) => {
            let end = |end: f64| say::significant(end * factor, 3);
            format!("{value} ({} to {})", end(low), end(high))
        }
        _ => value,
    }
}

/// Value, low, high in s; `None` where nothing is known.
fn spread(of: &Estimate) -> Option<(Option<f64>, f64, f64)> {
    Some((of.value, of.low?, of.high?))
}

/// A time with its interval in ms; empty where it was not judged.
fn milliseconds(of: &Estimate) -> String {
    let say = |s: f64| say::significant(s * 1e3, 3);
    match (of.value, of.low, of.high) {
        (Some(value), Some(low), Some(high)) => {
            format!(
                "{} ms ({} to {})",
                say::significant(value * 1e3, 4),
                say(low),
                say(high)
            )
        }
        (None, Some(low), Some(high)) if low > 0.0 => {
            format!("between {} and {} ms", say(low), say(high))
        }
        (None, _, Some(high)) => format!("at most {} ms", say(high)),
        _ => String::new(),
    }
}
