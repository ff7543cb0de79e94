//! `torque/1`: what a bolt gets, and what that rests on.

use fasten::{GENERAL_VALUE, TorqueAnswer};

use crate::{
    Page, pair,
    say::{self, Shown},
};

/// A computed torque; `what` names the fastener: `M8, 8.8`.
#[must_use]
pub fn torque_page(
    answer: &TorqueAnswer,
    what: &str,
    (language, shown): (&str, Shown),
) -> Page {
    let mut page = Page::new(what, language);
    page.lead(format!("{}: {GENERAL_VALUE}.", say::torque(answer.torque_nm, shown)));
    let other = match shown {
        Shown::Metric => Shown::Us,
        Shown::Us => Shown::Metric,
    };
    let [low, high] = answer.preload_window_kn;
    let window = if (high - low).abs() < 0.005 {
        String::new()
    } else {
        format!("{} to {} kN over the friction given", kilonewton(low), kilonewton(high))
    };
    let share = |share: f64| format!("{} %", say::trimmed(share * 100.0, 0));
    let pulls = match answer.pulls_first {
        Some(true) => "the thread in the part, before the bolt breaks",
        Some(false) => "the bolt, before the thread in the part",
        None => "",
    };
    page.facts(vec![
        pair("The same", say::torque(answer.torque_nm, other)),
        pair("Preload", format!("{} kN", kilonewton(answer.preload_kn))),
        pair("Preload window", window),
        pair(
            "Stress area",
            format!("{} mm²", say::significant(answer.stress_area_mm2, 4)),
        ),
        pair(
            "Where it goes",
            format!(
                "{} stretches the bolt, {} is lost in the thread, {} under the head",
                share(answer.shares.pitch),
                share(answer.shares.thread),
                share(answer.shares.head)
            ),
        ),
        pair("Gives way first", pulls),
        pair("Method", &answer.method),
    ]);
    page.remarks(&answer.remarks);
    page
}

fn kilonewton(force_kn: f64) -> String {
    say::significant(force_kn, 3)
}
