//! What is off: each goes back with one tap at its torque, or honestly by feel; and the tray with
//! its cells.

use app::bay::{Hole, ItemName, ItemOf, PhotoOf, ShowAnswer, TrayAnswer};
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
                        (snags(item, path))
                    }
                }
            }
        }
    }
}

/// A photo of each item that is off, with its cells where they are marked; a tap on the photo
/// marks the next one.
fn photos(tray: &TrayAnswer, path: &str) -> Markup {
    let off = || tray.items.iter().filter(|item| item.off);
    html! {
        @if off().next().is_some() {
            section #photos {
                h2 { "Where each one sat" }
                @for item in off() {
                    @let photo = tray.photos.iter().find(|photo| photo.item == item.item);
                    @if let Some(photo) = photo { (pictured(item, photo, path)) }
                    label.button.quiet {
                        @if photo.is_some() { "Another photo: " } @else { "Photo: " }
                        (Said(&item.title))
                        input.hidden type="file" accept="image/*" capture="environment"
                            data-photo={ (path) "/photo?item=" (Said(&item.item)) };
                    }
                }
            }
        }
    }
}

/// A photo with its cells, and the form that keeps new marks; the script brings it to light.
fn pictured(item: &ItemOf, photo: &PhotoOf, path: &str) -> Markup {
    let [width, height] = [photo.width, photo.height].map(f64::from);
    let radius = width / 20.0;
    let cells = item.kinds.iter().flat_map(|kind| {
        let holes = kind.cells.iter().zip(1_u32..);
        holes.map(move |(cell, hole)| format!("{}:{}/{hole}", cell.cell, kind.fastener))
    });
    let cells: Vec<String> = cells.collect();
    html! {
        figure.marked {
            figcaption { (Said(&photo.title)) }
            svg viewBox={ "0 0 " (width) " " (height) } role="img" tabindex="0" data-cells=(Said(cells.join(" ")))
                data-radius=(radius) aria-label={ "Photo of " (Said(&photo.title)) (told(photo)) ". Arrow keys move the cross, Enter marks." } {
                image href={ (path) "/photo/" (Said(&photo.event)) } width=(width) height=(height) {}
                @for hole in &photo.holes {
                    g class=[(hole.state == Hole::Back).then_some("back")] {
                        circle cx=(hole.x * width) cy=(hole.y * height) r=(radius) {}
                        text x=(hole.x * width) y=(hole.y * height) font-size=(radius * 1.2) { (hole.cell) }
                    }
                }
            }
            @if photo.holes.is_empty() {
                p.small { "Tap where the first one sat: " (Said(cells.first().map_or("", |cell| cell.split(':').next().unwrap_or_default()))) "." }
            }
            (once(&format!("{path}/did"), &html! {
                span.pair hidden data-marks {
                    input type="hidden" name="from" value="tray";
                    input type="hidden" name="say" value="";
                    button name="what" value={ "holes:" (Said(&photo.event)) "=" } { "Keep the marks" }
                    button.quiet type="button" data-again { "Start again" }
                }
            }))
        }
    }
}

/// The cells of a photo in words.
fn told(photo: &PhotoOf) -> String {
    let cells: Vec<String> =
        photo.holes.iter().map(|hole| hole.cell.to_string()).collect();
    if cells.is_empty() {
        ", nothing marked".to_owned()
    } else {
        format!(", cells {} marked", pages::say::and(&cells))
    }
}

/// What is to be measured while it is to hand: the value, in the sheet's unit or another.
pub(super) fn measures(shown: &ShowAnswer, path: &str) -> Markup {
    html! {
        @if !shown.measures.is_empty() {
            section #measures {
                h2 { "Measure on the way" }
                ul.rows {
                    @for line in &shown.measures {
                        @let field = format!("measure-{}-{}", line.item, line.measure);
                        li {
                            (once(&format!("{path}/did"), &html! {
                                label for=(Said(&field)) {
                                    (Said(&line.title)) ": " (Said(&line.limits))
                                    small { (Said(&line.at)) ", " (pages::say::measured_when(&line.when)) }
                                    @if !line.how.is_empty() { small { (Said(&line.how)) } }
                                    @if line.gap { small { "Between two, as a feeler gauge tells: 0.20..0.25" } }
                                }
                                span.trio {
                                    input id=(Said(&field)) name="say" inputmode="decimal" autocomplete="off"
                                        maxlength="80" required placeholder=(Said(&line.unit));
                                    button name="what"
                                        value={ "measure:" (Said(&line.item)) "/" (Said(&line.measure)) "@" }
                                        aria-label={ "Measured: " (Said(&line.title)) } { "Measured" }
                                }
                            }))
                        }
                    }
                }
            }
        }
    }
}

/// What was measured, with its verdict.
fn measured(tray: &TrayAnswer) -> Markup {
    let read = || tray.measures.iter().filter(|line| line.read.is_some());
    html! {
        @if read().next().is_some() {
            h2 { "Measured" }
            ul {
                @for line in read() {
                    @let row = line.row();
                    li { (Said(&row.what)) ": " (Said(&row.read)) " (" (Said(&row.limits)) ")" }
                }
            }
        }
    }
}

/// What went wrong as it came off, with the minutes that it took, where they are known.
fn snags(item: &ItemName, path: &str) -> Markup {
    if item.snags.is_empty() {
        return html! {};
    }
    html! {
        details {
            summary { "Snag met" }
            (once(&format!("{path}/did"), &html! {
                label { "Minutes it took, if you know"
                    input name="say" inputmode="decimal" autocomplete="off" maxlength="12";
                }
                @for (snag, place) in item.snags.iter().zip(1_u32..) {
                    button name="what" value={ "snag:" (Said(&item.item)) "/" (place) "=min=" }
                        aria-label={ "Snag at " (Said(&item.title)) ": " (Said(snag)) } { (Said(snag)) }
                }
            }))
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
            }
            @if !tray.look_alikes.is_empty() {
                h2 { "Easily mixed up" }
                ul { @for line in &tray.look_alikes { li { (Told(line)) } } }
            }
        }
        (photos(tray, &car_path(&shown.job)))
        (measures(shown, &car_path(&shown.job)))
        (off(shown, &car_path(&shown.job)))
        (measured(tray))
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
