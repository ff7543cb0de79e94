//! The owner's page: ways to go on, each with its price, its chance and its time.

use app::bay::{OptionsAnswer, OwnerChoice, ShowAnswer};
use maud::{Markup, html};
use pages::say;

use super::{
    car::{name, top},
    frame, once,
    said::{Said, Told, car_path},
    tap,
};

/// The options.
pub(crate) fn options(shown: &ShowAnswer, answer: &OptionsAnswer) -> Markup {
    let money = |sum: f64| say::whole_money(sum, &answer.currency);
    let main = html! {
        h1 { "For the owner to choose" }
        p {
            "Spent so far " b { (money(answer.spent)) } ". "
            @match answer.authorised {
                Some(sum) => { "Agreed up to " b { (money(sum)) } "." }
                None => "Nothing is agreed yet.",
            }
        }
        @if let Some(ring) = &answer.ring {
            blockquote { p { (Said(&ring.say)) } }
        }
        @for choice in &answer.options { (option(shown, answer, choice)) }
        @for remark in &answer.remarks { p.small { (Told(remark)) } }
        p.small { "Prices with all that was spent so far. Not above: in nine of ten cases." }
    };
    frame(&format!("Options, {}", name(shown)), &top(shown, "options"), &main)
}

fn option(shown: &ShowAnswer, answer: &OptionsAnswer, choice: &OwnerChoice) -> Markup {
    let limit = choice.not_above.ceil();
    let closes = matches!(choice.kind.as_str(), "close" | "pass-on");
    html! {
        section.option {
            h2 { (Said(&choice.title)) }
            dl.facts {
                div { dt { "Price" } dd { (say::usually(choice.price, choice.not_above, &answer.currency)) } }
                @if let Some(p) = choice.holds {
                    div { dt { "It holds" } dd { (say::chance(p)) } }
                }
                div { dt { "Ready" } dd { (ready(choice)) } }
                @if !choice.if_fails.is_empty() {
                    div { dt { "If not" } dd { (Said(&choice.if_fails)) "." } }
                }
            }
            @if shown.state == "on-hand" && !closes {
                (once(&format!("{}/did", car_path(&shown.job)), &html! {
                    (tap(
                        &format!("authorised={limit:.0},how=in person"),
                        &format!("Agreed, up to {}", say::whole_money(limit, &answer.currency)),
                    ))
                }))
            }
        }
    }
}

/// When it would be ready.
fn ready(choice: &OwnerChoice) -> String {
    let work = say::minutes(choice.ready_minutes);
    match choice.parts_h {
        Some(hours) if hours >= 1.0 => {
            let wait = say::minutes(hours * 60.0);
            format!("{work} of work, once the part is here (about {wait})")
        }
        Some(_) | None => format!("in about {work}"),
    }
}
