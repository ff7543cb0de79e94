//! The hand-over: what still blocks it, then how sure it is and what to sign off.

use app::bay::ShowAnswer;
use maud::{Markup, html};
use pages::say;

use super::{
    car::{name, top},
    ends, frame, once,
    said::{Said, car_path},
};

/// The page.
pub(crate) fn hand_over(shown: &ShowAnswer) -> Markup {
    let path = car_path(&shown.job);
    let blocking: Vec<_> =
        shown.loose_ends.iter().filter(|end| end.blocks != "nothing").collect();
    let free = blocking.is_empty() && shown.off.is_empty();
    let main = html! {
        h1 { "Hand over" }
        @if shown.state != "on-hand" {
            p.lead { (Said(say::sentence(&shown.state.replace('-', " ")))) " already." }
        } @else if !free {
            p.lead { "Not yet. This is still open:" }
            @if !shown.off.is_empty() {
                h2 { "Off" }
                ul.rows { @for item in &shown.off { li.open { p.bare { (Said(&item.title)) " is off" } } } }
                a.button href={ (path) "#off" } { "Put it back" }
            }
            @if !blocking.is_empty() {
                h2 { "Loose ends" }
                ul.rows { @for end in blocking { (ends::one(end, &path, "hand-over")) } }
            }
        } @else {
            p.lead { (sure(shown)) }
            p { "Spent " b { (say::money(shown.spent, &shown.currency)) } "." }
            (once(&format!("{path}/hand-over"), &html! {
                label { "Odometer, km" input name="odometer" inputmode="decimal" autocomplete="off" maxlength="12"; }
                label { "Charged, where it differs" input name="charged" inputmode="decimal" autocomplete="off" maxlength="12"; }
                label { "Trial that the owner agreed to" textarea name="trial" rows="2" maxlength="2000" {} }
                button.dark.big { "Hand over" }
            }))
            h2 { "Or pass it on" }
            (once(&format!("{path}/pass-on"), &html! {
                label { "To whom, and why" input name="to" autocomplete="off" maxlength="400" required; }
                label { "Charged, where it differs" input name="charged" inputmode="decimal" autocomplete="off" maxlength="12"; }
                button { "Pass it on" }
            }))
        }
    };
    frame(&format!("Hand over, {}", name(shown)), &top(shown, "hand-over"), &main)
}

fn sure(shown: &ShowAnswer) -> String {
    if shown.p_fixed > 0.0 {
        format!("{} that it is fixed.", say::sentence(&say::chance(shown.p_fixed)))
    } else {
        "Nothing was repaired: it goes back as it came, the code stays stored.".to_owned()
    }
}
