//! Something else instead: every check, repair and proof of the sheet, one tap each. Nobody
//! is asked why.

use app::bay::{Doable, Doables, ShowAnswer};
use maud::{Markup, html};
use pages::say;

use super::{
    car::{name, top},
    frame, once,
    said::{Said, car_path},
    tap,
};

/// What can be tapped of a check, repair or proof.
type OfKind = fn(&Doable, &str) -> Markup;

/// The list, in the order of the sheet; kinds of which the sheet has none are left out.
pub(crate) fn others(shown: &ShowAnswer, known: &Doables) -> Markup {
    let path = car_path(&shown.job);
    let did = format!("{path}/did");
    let kinds: [(&str, &str, &[Doable], OfKind); 3] = [
        ("checks", "Checks", &known.checks, of_check),
        ("repairs", "Repairs", &known.repairs, of_repair),
        ("proofs", "Proofs", &known.proofs, of_proof),
    ];
    let kinds: Vec<_> =
        kinds.into_iter().filter(|(_, _, doables, _)| !doables.is_empty()).collect();
    let main = html! {
        h1 { "Something else" }
        @if !kinds.is_empty() {
            p.jump {
                @for (id, title, ..) in &kinds { a href={ "#" (id) } { (title) } " " }
                a href="#typed" { "Type it" }
            }
        }
        @for (id, title, doables, of) in &kinds {
            h2 id=(id) { (title) }
            @for doable in *doables { (of(doable, &did)) }
        }
        section #typed {
            h2 { "Anything else" }
            (once(&did, &html! {
                label { "A note" textarea name="say" rows="2" maxlength="2000" required {} }
                button name="what" value="note=" { "Note it" }
            }))
            (once(&did, &html! {
                label { "An entry as the command line takes it"
                    input name="what" autocomplete="off" autocapitalize="none" spellcheck="false" maxlength="400" required placeholder="seal:oil-feed/feed-washer=renewed";
                }
                button { "Enter it" }
            }))
        }
    };
    frame(&format!("Something else, {}", name(shown)), &top(shown, "else"), &main)
}

fn head(doable: &Doable) -> Markup {
    html! {
        h3 {
            (Said(&doable.title))
            @if doable.minutes > 0.0 { span.count { " " (say::minutes(doable.minutes)) } }
        }
    }
}

fn of_check(check: &Doable, did: &str) -> Markup {
    html! {
        section.doable {
            (head(check))
            (once(did, &html! {
                div.taps {
                    @for (id, words) in &check.outcomes {
                        (tap(&format!("check:{}={id}", check.id), words))
                    }
                    button.quiet name="what" value={ "check:" (Said(&check.id)) "=skip" } { "Couldn't tell" }
                }
            }))
        }
    }
}

fn of_repair(repair: &Doable, did: &str) -> Markup {
    let id = &repair.id;
    html! {
        section.doable {
            (head(repair))
            (once(did, &html! {
                div.taps {
                    (tap(&format!("repair:{id}"), "Done"))
                    button.quiet name="what" value={ "part:" (Said(id)) "=ordered" } { "Parts ordered" }
                    button.quiet name="what" value={ "part:" (Said(id)) "=came" } { "Parts came" }
                    button.quiet name="what" value={ "refused:repair:" (Said(id)) } { "Don't propose it" }
                }
            }))
        }
    }
}

fn of_proof(proof: &Doable, did: &str) -> Markup {
    let id = &proof.id;
    html! {
        section.doable {
            (head(proof))
            (once(did, &html! {
                div.taps {
                    (tap(&format!("proof:{id}=clear"), "It stays away"))
                    (tap(&format!("proof:{id}=shown"), "It shows again"))
                }
            }))
        }
    }
}
