//! `judge/1` and a bench test: what a measurement says, and how sure that is.

use measure::{BenchAnswer, JudgeAnswer, Verdict};

use crate::{Page, pair, say};

/// Twice the standard uncertainty: the usual 95 % (GUM, 6.3.3).
const COVERAGE: f64 = 2.0;

/// A judged reading.
#[must_use]
pub fn judge_page(answer: &JudgeAnswer, language: &str) -> Page {
    let mut page = Page::new("Reading", language);
    if let Some(verdict) = answer.verdict {
        page.lead(match verdict {
            Verdict::In => "Within the limits.",
            Verdict::Out => "Outside the limits.",
            Verdict::NotSure => "Not sure: this measurement can't tell.",
        });
    }
    let spread = answer.u * COVERAGE;
    let value = if spread > 0.0 {
        format!(
            "{} {}, give or take {}",
            say::significant(answer.value, 4),
            answer.unit,
            say::significant(spread, 2)
        )
    } else {
        format!("{} {}", say::significant(answer.value, 4), answer.unit)
    };
    page.facts(vec![
        pair("Value", value),
        pair("Within the limits", answer.p_within.map_or_else(String::new, say::chance)),
        pair("Would count as within", accepted(answer)),
        pair(
            "Resistance of the connection",
            answer.connection_ohm.map_or_else(String::new, |ohm| {
                format!("{} mΩ", say::significant(1000.0 * ohm, 3))
            }),
        ),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// The limits drawn in by the uncertainty of the reading.
fn accepted(answer: &JudgeAnswer) -> String {
    let Some(accepts) = answer.accepts.filter(|_| answer.u > 0.0) else {
        return String::new();
    };
    let said = |value: f64| format!("{} {}", say::significant(value, 4), answer.unit);
    match (accepts.low, accepts.high) {
        (Some(low), Some(high)) => format!("{} to {}", said(low), said(high)),
        (Some(low), None) => format!("from {}", said(low)),
        (None, Some(high)) => format!("up to {}", said(high)),
        (None, None) => String::new(),
    }
}

/// A bench test of a coil.
#[must_use]
pub fn bench_page(answer: &BenchAnswer, language: &str) -> Page {
    let mut page = Page::new("Bench test", language);
    page.cautions(["hot", "eyes"]);
    let stuck = answer.stuck_share.map_or_else(String::new, |share| {
        format!(
            "{}; at 95 in 100 sure: from {} to {}",
            percent(share.value),
            percent(share.low),
            percent(share.high)
        )
    });
    let hold = answer
        .hold_s
        .map_or_else(String::new, |s| format!("at most {} s", say::significant(s, 2)));
    page.facts(vec![
        pair("Current", format!("{} A", say::significant(answer.current_a, 3))),
        pair("Power", format!("{} W", say::significant(answer.power_w, 3))),
        pair("May be held", hold),
        pair("Strokes that stick", stuck),
    ]);
    page.remarks(&answer.remarks);
    page
}

fn percent(share: f64) -> String {
    format!("{} %", say::trimmed(share * 100.0, 1))
}
