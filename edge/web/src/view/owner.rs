//! The owner: what is spent and agreed, how to reach them, and a new sum in two taps.

use app::bay::ShowAnswer;
use maud::{Markup, html};
use pages::say;

use super::{once, said::Said, tap};

/// The owner's line.
pub(super) fn owner(shown: &ShowAnswer, path: &str) -> Markup {
    let money = |sum: f64| say::whole_money(sum, &shown.currency);
    html! {
        section #owner {
            h2 { "The owner" }
            p {
                @if !shown.owner.is_empty() { (Said(&shown.owner)) ". " }
                "Spent " b { (money(shown.spent)) } ", "
                @match shown.authorised {
                    Some(sum) => { "agreed up to " b { (money(sum)) } "." }
                    None => b { "nothing is agreed yet." },
                }
            }
            @if shown.state == "on-hand" {
                a.button href={ (path) "/options" } { "What the owner can choose from" }
                details {
                    summary { "The owner said" }
                    (once(&format!("{path}/did"), &html! {
                        label { "Agreed, in all up to (" (Said(&shown.currency)) ")"
                            input name="say" inputmode="decimal" autocomplete="off" maxlength="12" required;
                        }
                        button name="what" value="authorised=" { "Agreed" }
                    }))
                    (once(&format!("{path}/did"), &html! {
                        (tap("declined:more", "Nothing more"))
                    }))
                }
            }
        }
    }
}
