//! The next step: what comes off, cautions, then how, then the outcomes to tap.

use app::bay::{Doables, NextAnswer, ShowAnswer, StepNow};
use maud::{Markup, html};
use pages::say;

use super::{
    once,
    said::{Said, Told, car_path},
    tap,
};

/// Where nothing is advised yet, because something else than a tap here changed the job.
pub(super) fn not_worked_out(path: &str) -> Markup {
    html! {
        section #step {
            h2 { "Next step" }
            form method="post" action={ (path) "/next" } data-now {
                button.dark.big { "Work it out" }
            }
        }
    }
}

/// The step, or why there is none.
pub(super) fn next(shown: &ShowAnswer, next: &NextAnswer, known: &Doables) -> Markup {
    let path = car_path(&shown.job);
    let to_note = next.note_first.iter().filter(|line| line.open).count();
    let to_note = u32::try_from(to_note).unwrap_or(u32::MAX);
    html! {
        section #step {
            @if to_note > 0 {
                a.first href="#first" {
                    "Before you touch anything: " b { (to_note) " to note" }
                }
            }
            @match &next.step {
                None => (none(next, &path)),
                Some(step) if step.kind == "ring-owner" => (ring(shown, next, step, &path)),
                Some(step) if matches!(step.kind.as_str(), "close" | "pass-on") => {
                    (end(next, step, &path))
                }
                Some(step) => (doing(next, step, &path, known)),
            }
        }
    }
}

fn none(next: &NextAnswer, path: &str) -> Markup {
    html! {
        h2 { "Next step" }
        @for remark in &next.remarks { p { (Told(say::sentence(remark))) "." } }
        a.button href={ (path) "/else" } { "Enter something" }
    }
}

/// Ring the owner: the sentence to say, and what may come of it.
fn ring(shown: &ShowAnswer, next: &NextAnswer, step: &StepNow, path: &str) -> Markup {
    html! {
        p.eyebrow { "Next step" }
        h2.title { (Said(&step.title)) }
        @if let Some(after) = &next.after_ring { p.figures { "before: " (Said(after)) } }
        @if !shown.phone.is_empty() {
            a.button.dark.big href={ "tel:" (Said(dialled(&shown.phone))) } {
                "Ring " (Said(if shown.owner.is_empty() { &shown.phone } else { &shown.owner }))
            }
        }
        @if let Some(ring) = &next.ring { blockquote { p { (Said(&ring.say)) } } }
        (once(&format!("{path}/did"), &html! {
            label { "Agreed, in all up to (" (Said(&next.currency)) ")"
                input name="say" inputmode="decimal" autocomplete="off" maxlength="12" required;
            }
            button name="what" value="authorised=" { "Agreed" }
        }))
        (once(&format!("{path}/did"), &html! {
            div.taps {
                (tap("declined:more", "Nothing more"))
                (tap("waiting:owner", "Could not be reached"))
            }
        }))
        (otherwise(path))
    }
}

/// The digits of a telephone number, as a `tel:` link takes them (RFC 3966).
fn dialled(phone: &str) -> String {
    phone.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect()
}

fn end(next: &NextAnswer, step: &StepNow, path: &str) -> Markup {
    html! {
        p.eyebrow { "Next step" }
        h2.title { (Said(&step.title)) }
        (lists(step, path))
        a.button.dark.big href={ (path) "/hand-over" } {
            @if step.kind == "close" { "Hand over" } @else { "Pass it on" }
        }
        (otherwise(path))
        (why(next, step))
    }
}

fn doing(next: &NextAnswer, step: &StepNow, path: &str, known: &Doables) -> Markup {
    let what = |outcome: &str| match step.kind.as_str() {
        "repair" => format!("repair:{}", step.id),
        kind => format!("{kind}:{}={outcome}", step.id),
    };
    html! {
        p.eyebrow { "Next step" }
        h2.title { (Said(&step.title)) }
        p.figures { (figures(next, step)) }
        @if !step.needs.is_empty() {
            p { "You need: " (Said(say::and(&named(&step.needs)))) "." }
        }
        (first_of_all(next))
        (lists(step, path))
        (cautions(step))
        @if !step.how.is_empty() {
            div.how { @for line in &step.how { p { (Said(line)) } } }
        }
        (once(&format!("{path}/did"), &html! {
            div.outcomes role="group" aria-label="What came of it" {
                @for outcome in &step.outcomes {
                    button name="what" value=(Said(what(&outcome.id))) {
                        (Said(&outcome.title))
                        @if let Some(then) = &outcome.then {
                            small { "then: " (Said(then)) }
                        }
                    }
                }
            }
            @if step.kind == "check" {
                button.quiet name="what" value={ "check:" (Said(&step.id)) "=skip" } { "Couldn't tell" }
            }
        }))
        (otherwise(path))
        @if step.kind == "check" { (reading(step, path, known)) }
        (why(next, step))
    }
}

/// A link, one tap; there every outcome is one tap more.
fn otherwise(path: &str) -> Markup {
    html! { a.button.quiet href={ (path) "/else" } { "Something else instead" } }
}

fn named(words: &[String]) -> Vec<String> {
    words.iter().map(|word| word.replace('-', " ")).collect()
}

/// What can hurt, in one block, before anything is said about how.
fn cautions(step: &StepNow) -> Markup {
    html! {
        @if !step.cautions.is_empty() {
            ul.cautions aria-label="Cautions" {
                @for caution in &step.cautions {
                    li.caution {
                        @match caution.text.split_once(": ") {
                            Some((what, then)) => { b { (Said(what)) ":" } " " (Said(then)) }
                            None => b { (Said(&caution.text)) },
                        }
                        @if caution.licensed { " " b { "For a licensed person." } }
                    }
                }
            }
        }
    }
}

/// Minutes and money in one line.
fn figures(next: &NextAnswer, step: &StepNow) -> String {
    let mut parts = vec![say::minutes(step.minutes)];
    if step.move_minutes > 0.05 {
        parts.push(format!("{} to get there", say::minutes(step.move_minutes)));
    }
    let money = step.act_money + step.move_money;
    if money > 0.0 {
        parts.push(format!("about {}", say::whole_money(money, &next.currency)));
    }
    parts.join(", ")
}

/// What this step makes impossible later, and what to answer before a part is renewed.
fn first_of_all(next: &NextAnswer) -> Markup {
    html! {
        @if !next.spoils.is_empty() {
            p.strong { "Do first, or let it go for good: " (Said(next.spoils.join("; "))) "." }
        }
        @if !next.root.is_empty() {
            p.strong {
                "First answer why it failed: "
                (Said(next.root.iter().map(|root| root.title.as_str()).collect::<Vec<_>>().join("; ")))
                "."
            }
        }
    }
}

/// What comes off and what goes back first, each one tap, or all at once.
fn lists(step: &StepNow, path: &str) -> Markup {
    let fasteners: u32 = step.strip.iter().map(|item| item.fasteners).sum();
    html! {
        @if !step.strip.is_empty() {
            h3 {
                "Comes off first"
                @if fasteners > 0 {
                    span.count { " " (say::count(fasteners, "fastener", "fasteners")) }
                }
            }
            ul.rows {
                @for item in &step.strip {
                    li.row {
                        (once(&format!("{path}/did"), &html! {
                            span { (Said(&item.title)) (count(item.fasteners)) }
                            button name="what" value={ "off:" (Said(&item.item)) }
                                aria-label={ "Off: " (Said(&item.title)) } { "Off" }
                        }))
                    }
                }
            }
            @if step.strip.len() > 1 {
                (once(&format!("{path}/did"), &html! {
                    @for item in &step.strip {
                        input type="hidden" name="what" value={ "off:" (Said(&item.item)) };
                    }
                    button { "All off" }
                }))
            }
        }
        @if !step.refit.is_empty() {
            h3 { "Goes back first" }
            ul.rows {
                @for item in &step.refit {
                    li.row {
                        (once(&format!("{path}/did"), &html! {
                            span { (Said(&item.title)) (count(item.fasteners)) }
                            button name="what" value={ "on:" (Said(&item.item)) }
                                aria-label={ "Back on: " (Said(&item.title)) } { "Back on" }
                        }))
                    }
                }
            }
        }
    }
}

/// How many fasteners hold it.
pub(super) fn count(fasteners: u32) -> Markup {
    html! { @if fasteners > 0 { span.count { " " (fasteners) "×" } } }
}

/// A measured check takes its reading too.
fn reading(step: &StepNow, path: &str, known: &Doables) -> Markup {
    let Some(unit) = known.check(&step.id).and_then(|check| check.unit.as_ref()) else {
        return html! {};
    };
    html! {
        details {
            summary { "Enter the reading" }
            (once(&format!("{path}/did"), &html! {
                label { "Value with its unit"
                    input name="say" autocomplete="off" maxlength="80" required placeholder={ "such as 7.9 " (Said(unit)) };
                }
                button name="what" value={ "check:" (Said(&step.id)) "@" } { "Enter it" }
            }))
        }
    }
}

/// Why this, and how good the advice is.
fn why(next: &NextAnswer, step: &StepNow) -> Markup {
    let better = next.proven.zip(next.expected_cost.zip(next.lower_bound));
    html! {
        details.why {
            summary { "Why this" }
            @if !step.why.is_empty() { p { (Told(say::sentence(&step.why))) "." } }
            @match better {
                Some((true, _)) => p { "No better plan exists on this sheet's numbers." },
                Some((false, (cost, bound))) if cost > 0.0 => {
                    p { "Could be up to " (say::trimmed((100.0 * (cost - bound) / cost).ceil(), 0)) " % better." }
                }
                Some(_) | None => {}
            }
            @for remark in &next.remarks { p.small { (Told(remark)) } }
        }
    }
}
