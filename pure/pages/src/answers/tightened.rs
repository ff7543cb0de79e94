//! `torque/1`: what a bolt gets, what that rests on, and in which order several get it.

use fasten::{GENERAL_VALUE, MAKER, PatternAnswer, TorqueAnswer};

use crate::{
    Block, Page, Pair, Table, Words, draw, pair,
    say::{self, Shown},
};

/// A torque; `what` names the fastener: `M8, 8.8`.
#[must_use]
pub fn torque_page(
    answer: &TorqueAnswer,
    what: &str,
    (language, shown): (&str, Shown),
) -> Page {
    let mut page = Page::new(what, language);
    page.lead(lead(answer, shown));
    if answer.renew {
        page.stop("New bolts: a stretch bolt is never used again.");
    }
    let mut facts = torque_facts(answer, shown);
    facts.extend(strength_facts(answer));
    facts.extend(tool_facts(answer, shown));
    facts.push(pair("Method", answer.torque_nm.map_or("", |_| &answer.method)));
    page.facts(facts);
    guess(&mut page, answer);
    page.remarks(&answer.remarks);
    if let Some(pattern) = &answer.pattern {
        several(&mut page, pattern, shown);
    }
    page
}

/// The one sentence that matters most.
fn lead(answer: &TorqueAnswer, shown: Shown) -> String {
    let torque = |torque_nm: f64| say::torque(torque_nm, shown);
    match (answer.torque_nm, answer.thread_limit_nm, &answer.no_torque_because) {
        (Some(torque_nm), Some(limit_nm), _) => format!(
            "At most {}, since the thread in the part is weaker than the bolt, which would \
             bear {}: {GENERAL_VALUE}.",
            torque(limit_nm),
            torque(torque_nm)
        ),
        (Some(torque_nm), None, _) if answer.source.as_deref() == Some(MAKER) => {
            let then = said(answer.then_deg, |degrees| {
                format!(", then turn {}°", say::trimmed(degrees, 1))
            });
            format!("{}{then}: the maker's value.", torque(torque_nm))
        }
        (Some(torque_nm), None, _) => format!("{}: {GENERAL_VALUE}.", torque(torque_nm)),
        (None, _, Some(reason)) => format!("No torque: {reason}."),
        (None, _, None) => "No torque: take the maker's value.".to_owned(),
    }
}

fn torque_facts(answer: &TorqueAnswer, shown: Shown) -> Vec<Pair> {
    let other = match shown {
        Shown::Metric => Shown::Us,
        Shown::Us => Shown::Metric,
    };
    let window = answer.preload_window_kn.filter(|[low, high]| high - low >= 0.005);
    let share = |share: f64| format!("{} %", say::trimmed(share * 100.0, 0));
    vec![
        pair(
            "The same",
            said(answer.torque_nm, |torque_nm| say::torque(torque_nm, other)),
        ),
        pair("Preload", said(answer.preload_kn, kilonewton)),
        pair(
            "Preload window",
            said(window, |[low, high]| {
                let low = say::significant(low, 3);
                format!("{low} to {} over the friction given", kilonewton(high))
            }),
        ),
        pair("Preload at least", said(answer.least_kn, kilonewton)),
        pair(
            "Where it goes",
            said(answer.shares, |shares| {
                format!(
                    "{} stretches the bolt, {} is lost in the thread, {} under the head",
                    share(shares.pitch),
                    share(shares.thread),
                    share(shares.head)
                )
            }),
        ),
        pair("Nut factor K", said(answer.nut_factor, |k| say::trimmed(k, 3))),
    ]
}

fn strength_facts(answer: &TorqueAnswer) -> Vec<Pair> {
    let pulls = match answer.pulls_first {
        Some(true) => "the thread in the part, before the bolt breaks",
        Some(false) => "the bolt, before the thread in the part",
        None => "",
    };
    let bears = match (answer.proof_kn, answer.break_kn) {
        (Some(proof_kn), Some(break_kn)) => format!(
            "proof load {}, breaks at {}",
            kilonewton(proof_kn),
            kilonewton(break_kn)
        ),
        (None, Some(break_kn)) => format!("breaks at {}", kilonewton(break_kn)),
        (_, None) => String::new(),
    };
    vec![
        pair(
            "Stress area",
            said(answer.stress_area_mm2, |area| {
                format!("{} mm²", say::significant(area, 4))
            }),
        ),
        pair("The bolt", bears),
        pair(
            "The thread in the part",
            said(answer.strip_kn, |kn| format!("strips at {}", kilonewton(kn))),
        ),
        pair("Gives way first", pulls),
        pair(
            "To be engaged",
            said(answer.needed_mm, |mm| format!("{} or more", say::length(mm))),
        ),
        pair(
            "Pressure under head",
            said(answer.head_pressure_mpa, |mpa| {
                format!("{} N/mm²", say::significant(mpa, 3))
            }),
        ),
    ]
}

fn tool_facts(answer: &TorqueAnswer, shown: Shown) -> Vec<Pair> {
    vec![
        pair(
            "Set on the wrench",
            said(answer.set_nm, |set_nm| {
                format!("{}, for the lever of the crow-foot", say::torque(set_nm, shown))
            }),
        ),
        pair(
            "Take the wrench",
            said(answer.wrench.as_ref(), |choice| {
                format!(
                    "{}; it may be off by {} N·m",
                    choice.scale,
                    say::significant(choice.deviation_nm, 2)
                )
            }),
        ),
        pair(
            "Or by angle",
            said(answer.turn.as_ref(), |turn| {
                format!(
                    "{}, then turn {}°",
                    say::torque(turn.snug_nm, shown),
                    say::trimmed(turn.degrees, 0)
                )
            }),
        ),
        pair(
            "Friction measured",
            said(answer.friction_found.as_ref(), |found| {
                let parts = match (found.thread, found.head) {
                    (Some(thread), Some(head)) => format!(
                        "; {} in the thread, {} under the head",
                        say::trimmed(thread, 3),
                        say::trimmed(head, 3)
                    ),
                    _ => String::new(),
                };
                format!(
                    "{} in all (nut factor {}){parts}",
                    say::trimmed(found.total, 3),
                    say::trimmed(found.nut_factor, 3)
                )
            }),
        ),
    ]
}

fn guess(page: &mut Page, answer: &TorqueAnswer) {
    let Some(guess) = &answer.guess else { return };
    if guess.is_empty() {
        return;
    }
    page.subheading("A guess, not an answer: this head may belong to");
    let mut table = Table::new(&["Thread", "Head"]);
    for one in guess {
        table.row(vec![Words::from(&one.thread), Words::from(one.heads.join(", "))]);
    }
    page.table(table);
}

/// The passes over several bolts and their drawing.
fn several(page: &mut Page, pattern: &PatternAnswer, shown: Shown) {
    page.heading("In which order");
    let torque = |torque_nm: Option<f64>| {
        Words::from(said(torque_nm, |torque_nm| say::torque(torque_nm, shown)))
    };
    let first = pattern.tighten.first().map(|pass| &pass.order);
    let mut table = Table::new(&[">Pass", "Torque", "Set", "Of the full", "Order"]);
    for (at, pass) in pattern.tighten.iter().enumerate() {
        let order = if Some(&pass.order) == first {
            "by the numbers"
        } else {
            "once around, until none turns"
        };
        table.row(vec![
            Words::from((at + 1).to_string()),
            torque(pass.torque_nm),
            torque(pass.set_nm),
            Words::from(format!("{} %", say::trimmed(pass.share * 100.0, 1))),
            order.into(),
        ]);
    }
    page.table(table);
    if pattern.bolts > 1 {
        page.paragraphs(
            "The numbers say when each is tightened. Loosen from the highest down to 1.",
        );
    }
    page.blocks.push(Block::Drawing(draw::pattern_drawing(pattern)));
}

/// A value in words, nothing where there is none.
fn said<T>(value: Option<T>, words: impl FnOnce(T) -> String) -> String {
    value.map_or_else(String::new, words)
}

fn kilonewton(force_kn: f64) -> String {
    format!("{} kN", say::significant(force_kn, 3))
}
