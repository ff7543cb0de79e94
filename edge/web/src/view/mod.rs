//! Pages as HTML: the frame around all of them, and the pages that say what went wrong.

mod car;
mod cars;
mod ends;
mod hand_over;
mod new_car;
mod odds;
mod options;
mod others;
mod owner;
mod said;
mod step;
mod tray;

use app::Problem;
use maud::{DOCTYPE, Markup, html};

pub(crate) use car::car;
pub(crate) use cars::cars;
pub(crate) use hand_over::hand_over;
pub(crate) use new_car::new_car;
pub(crate) use odds::odds;
pub(crate) use options::options;
pub(crate) use others::others;
pub(crate) use said::car_path;
pub(crate) use tray::tray as tray_page;

use crate::reference;
use said::{Said, Told};

/// The frame of a page; `top` stands in the header, `main` below it.
fn frame(title: &str, top: &Markup, main: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (Said(title)) " · Witmark" }
                link rel="icon" href="/assets/marked.svg" type="image/svg+xml";
                link rel="stylesheet" href="/assets/app.css";
                script src="/assets/app.js" defer {}
            }
            body {
                a.skip href="#main" { "To the page" }
                header { (top) }
                div #live role="status" aria-live="polite" {}
                main #main tabindex="-1" { (main) }
                footer { p { (Said(pages::DEFERS)) } }
            }
        }
    }
}

/// The header of a page that leads back somewhere.
fn back_to(path: &str, words: &str) -> Markup {
    html! { nav aria-label="Back" { a.back href=(path) { "‹ " (Said(words)) } } }
}

/// A form that is sent once: each rendering has a reference of its own.
fn once(to: &str, inside: &Markup) -> Markup {
    // Without random numbers the field stays empty, and the tap is refused with the reason.
    let reference = reference::fresh().unwrap_or_default();
    html! {
        form method="post" action=(Said(to)) {
            input type="hidden" name="ref" value=(reference);
            (inside)
        }
    }
}

/// A button that says what happened.
fn tap(what: &str, words: &str) -> Markup {
    html! { button name="what" value=(Said(what)) { (Said(words)) } }
}

/// What went wrong, and a way back.
pub(crate) fn trouble(problem: &Problem, back: Option<&str>) -> Markup {
    // These hints speak of the command line; the page itself has the buttons.
    let quiet = ["loose-end", "loose-ends", "closed", "no-job"];
    let hint =
        problem.hint.as_deref().filter(|_| !quiet.contains(&problem.kind.as_str()));
    let (to, words) = match back {
        Some(back) if problem.kind != "no-job" => (back, "Back"),
        Some(_) | None => ("/", "Cars on hand"),
    };
    let title = match problem.kind.as_str() {
        "no-job" => "No such car",
        "conflict" => "This page was used already",
        "loose-end" | "loose-ends" => "Not yet",
        _ => "That did not go through",
    };
    let main = html! {
        h1 { (title) }
        @if problem.kind == "conflict" {
            p { "One entry was recorded from it, and this one was not. Go back: the page shows how the car stands now. If the first entry was wrong, take it back there." }
        } @else {
            p.lead { (Told(pages::say::sentence(&problem.to_string()))) "." }
            @if let Some(hint) = hint { p { (Told(pages::say::sentence(hint))) "." } }
        }
        a.button.dark href=(to) { (words) }
    };
    frame(title, &back_to("/", "Cars on hand"), &main)
}

/// No such page.
pub(crate) fn nothing_here() -> Markup {
    let main = html! {
        h1 { "Nothing here" }
        p { "There is no page of that name." }
        a.button.dark href="/" { "Cars on hand" }
    };
    frame("Nothing here", &back_to("/", "Cars on hand"), &main)
}

/// The door stays shut.
pub(crate) fn refused(why: &str) -> Markup {
    let main = html! { h1 { "Not let in" } p { (why) } };
    frame("Not let in", &html! {}, &main)
}
