//! What is off: each goes back with one tap at its torque, or honestly by feel.

use app::bay::ShowAnswer;
use maud::{Markup, html};

use super::{once, said::Said, step::count};

/// The items that are off.
pub(super) fn off(shown: &ShowAnswer, path: &str) -> Markup {
    if shown.off.is_empty() {
        return html! {};
    }
    html! {
        section #off {
            h2 { "Off now" }
            ul.rows {
                @for item in &shown.off {
                    li {
                        (once(&format!("{path}/did"), &html! {
                            span.what { (Said(&item.title)) (count(item.fasteners)) }
                            span.pair {
                                button name="what" value={ "on:" (Said(&item.item)) }
                                    aria-label={ "Back on at its torque: " (Said(&item.title)) } {
                                    "Back on, at torque"
                                }
                                button.quiet name="what" value={ "on:" (Said(&item.item)) "=by-feel" }
                                    aria-label={ "Back on by feel: " (Said(&item.title)) } { "By feel" }
                            }
                        }))
                    }
                }
            }
        }
    }
}
