//! What is off: each goes back with one tap at its torque, or honestly by feel; and the tray with
//! its cells.

use app::bay::{ShowAnswer, TrayAnswer};
use maud::{Markup, PreEscaped, html};
use pages::{Drawing, Shown, strip_map, tray_drawing};

use super::{
    car::{name, top},
    frame, once,
    said::{Said, Told, car_path},
    step::count,
};

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

/// The tray and the map of what lies behind what.
pub(crate) fn tray(shown: &ShowAnswer, tray: &TrayAnswer) -> Markup {
    let main = html! {
        h1 { "Tray" }
        @if tray.items.is_empty() {
            p.lead { "Nothing came off yet." }
        } @else {
            @let open = tray.drawn(true, Shown::Metric);
            @if open.is_empty() { p.lead { "All is back." } } @else {
                (drawing(&tray_drawing("In the tray", &open)))
                p.small { "Grey and striped: back in its hole. Dashed with ?: missing. Crossed out: broken." }
            }
            @if !tray.look_alikes.is_empty() {
                h2 { "Easily mixed up" }
                ul { @for line in &tray.look_alikes { li { (Told(line)) } } }
            }
        }
        (off(shown, &car_path(&shown.job)))
        @if !tray.map.is_empty() {
            h2 { "What lies behind what" }
            (drawing(&strip_map("What lies behind what", &tray.mapped())))
        }
    };
    frame(&format!("Tray, {}", name(shown)), &top(shown, "tray"), &main)
}

/// A drawing in the page; the renderer has escaped every text in it.
fn drawing(drawing: &Drawing) -> Markup {
    html! { div.drawing { (PreEscaped(report::svg(drawing))) } }
}
