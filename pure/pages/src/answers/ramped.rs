//! `ramp/1`: what a coil's current rise says of the coil and of its plunger.

use measure::{Estimate, RampAnswer, RampVerdict};

use crate::{Block, Page, RampPicture, pair, ramp_picture, say};

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
