//! Loose ends and open duties: each with the tap that settles it, or accepted in writing.

use app::bay::{LooseEndLine, ShowAnswer};
use maud::{Markup, html};

use super::{
    once,
    said::{Said, Told},
    tap,
};

/// The open loose ends, and apart from them the duties.
pub(super) fn loose(shown: &ShowAnswer, path: &str) -> Markup {
    let (duties, ends): (Vec<&LooseEndLine>, Vec<&LooseEndLine>) =
        shown.loose_ends.iter().partition(|end| end.id.starts_with("duty:"));
    html! {
        @for (words, lines) in [("Loose ends", ends), ("Duties", duties)] {
            @if !lines.is_empty() {
                section {
                    h2 { (words) }
                    ul.rows { @for end in lines { (one(end, path, "")) } }
                }
            }
        }
    }
}

/// One loose end; `from` is the page that its taps lead back to.
pub(super) fn one(end: &LooseEndLine, path: &str, from: &str) -> Markup {
    let did = format!("{path}/did");
    let taps = taps(&end.id);
    let from =
        html! { @if !from.is_empty() { input type="hidden" name="from" value=(from); } };
    html! {
        li.open {
            p.bare { (Told(&end.what)) }
            div.ways {
                @if !taps.is_empty() {
                    (once(&did, &html! {
                        (from)
                        span.pair { @for (what, words) in &taps { (tap(what, words)) } }
                    }))
                }
                details {
                    summary { "Otherwise" }
                    (once(&did, &html! {
                        (from)
                        label { "How, in words" input name="say" autocomplete="off" maxlength="400"; }
                        span.pair {
                            button name="what" value={ "settle:" (Said(&end.id)) "=" } { "Settled" }
                            button name="what" value={ "accept:" (Said(&end.id)) "=" } { "Accepted in writing" }
                        }
                    }))
                }
            }
        }
    }
}

/// What settles a loose end with one tap, from its id: `KIND:WHAT` or `KIND:ITEM/ID:WORD`.
fn taps(id: &str) -> Vec<(String, &'static str)> {
    let Some((kind, rest)) = id.split_once(':') else { return Vec::new() };
    let (named, word) = rest.rsplit_once(':').unwrap_or((rest, ""));
    let of = |words: &[(&str, &'static str)]| {
        words
            .iter()
            .map(|(state, words)| (format!("{kind}:{named}={state}"), *words))
            .collect()
    };
    match (kind, word) {
        ("duty", _) => vec![(format!("duty:{rest}"), "Done")],
        ("seal", "not-found") => {
            of(&[("found", "Found"), ("never-fitted", "Never fitted")])
        }
        ("seal", "unaccounted") => {
            of(&[("found", "Old one out"), ("not-found", "Not found")])
        }
        ("seal", "damaged") => of(&[("renewed", "New one in")]),
        ("fastener", "missing") => of(&[("found", "Found"), ("replaced", "New one in")]),
        ("fastener", "broken") => of(&[("replaced", "New one in")]),
        ("fastener", "in-tray") => of(&[("back", "Back in")]),
        ("cap", _) => vec![(format!("cap:{rest}=removed"), "A cap off")],
        ("fluid", _) => vec![(format!("fluid:{rest}=in"), "Filled in")],
        ("also", _) => vec![
            (format!("answer:{rest}=do-now"), "Do it now"),
            (format!("answer:{rest}=done"), "Done"),
        ],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::taps;

    #[test]
    fn every_loose_end_that_an_entry_settles_has_its_tap() {
        let first = |id: &str| taps(id).first().map(|(what, _)| what.clone());
        assert_eq!(first("duty:leak-look-hot").unwrap(), "duty:leak-look-hot");
        assert_eq!(first("seal:pipe/ring:not-found").unwrap(), "seal:pipe/ring=found");
        assert_eq!(
            first("fastener:shield/bolt:broken").unwrap(),
            "fastener:shield/bolt=replaced"
        );
        assert_eq!(first("cap:oil-feed").unwrap(), "cap:oil-feed=removed");
        assert_eq!(first("fluid:engine-oil").unwrap(), "fluid:engine-oil=in");
        assert_eq!(first("also:abc").unwrap(), "answer:abc=do-now");
        assert_eq!(first("raised-by-hand"), None);
    }
}
