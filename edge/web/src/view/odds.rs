//! The second view: how likely each cause is, in words, in the order of the sheet.

use app::bay::{OddsWords, ShowAnswer};
use maud::{Markup, html};

use super::{
    car::{name, top},
    frame,
    said::Said,
};

/// A cause less likely than this is named in one line with the others.
const WORTH_A_LINE: f64 = 0.045;

/// The odds.
pub(crate) fn odds(shown: &ShowAnswer) -> Markup {
    let causes: Vec<&OddsWords> =
        shown.odds.iter().filter(|odds| odds.id != "fixed").collect();
    let (worth, hardly): (Vec<&OddsWords>, Vec<&OddsWords>) =
        causes.into_iter().partition(|odds| odds.p >= WORTH_A_LINE);
    let fixed = shown.odds.iter().find(|odds| odds.id == "fixed" && odds.p > 0.0);
    let hardly: Vec<String> = hardly.iter().map(|odds| odds.title.clone()).collect();
    let main = html! {
        h1 { "How likely" }
        @if shown.sheet.is_none() {
            p { "This job has no sheet, so there are no odds to give." }
        } @else {
            @if let Some(fixed) = fixed {
                p.lead { "It is fixed: " b { (Said(&fixed.words)) } "." }
            }
            dl.odds {
                @for odds in worth {
                    div { dt { (Said(&odds.title)) } dd { (Said(&odds.words)) } }
                }
            }
            @if !hardly.is_empty() {
                h2 { "Hardly" }
                p { (Said(hardly.join("; "))) "." }
            }
            p.small { "From the sheet's weights and from what was found so far. In the order of the sheet." }
        }
    };
    frame(&format!("Odds, {}", name(shown)), &top(shown, "odds"), &main)
}
