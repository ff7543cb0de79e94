//! One car: the next step first, then what is off, loose ends, the owner, what was done.

use app::bay::{Doables, NoteFirst, ShowAnswer, ShownEvent};
use maud::{Markup, html};

use super::{
    ends, frame, once, owner,
    said::{Said, Told, car_path, when},
    step, tap, tray,
};
use crate::shop::Kept;

/// Entries of the list that stand open; the others are folded away.
const LAST: usize = 6;

/// Kinds that the program writes of itself.
const QUIET: [&str; 6] =
    ["advised", "writer.joined", "job.set", "quoted", "withdrawn", "sheet.changed"];

/// What a car is called.
pub(super) fn name(shown: &ShowAnswer) -> &str {
    let plate = shown.plate.as_deref().filter(|plate| !plate.is_empty());
    plate.unwrap_or(if shown.vehicle.is_empty() { &shown.job } else { &shown.vehicle })
}

/// The header of every page of a car: back to the list, its name, its five views, and
/// whether the engine must stay off.
pub(super) fn top(shown: &ShowAnswer, here: &str) -> Markup {
    let path = car_path(&shown.job);
    let views = [
        ("", "Now"),
        ("tray", "Tray"),
        ("odds", "Odds"),
        ("options", "Options"),
        ("hand-over", "Hand over"),
    ];
    html! {
        nav aria-label="Back" { a.back href="/" { "‹ Cars" } }
        p.name { (Said(name(shown))) }
        nav.views aria-label="This car" {
            @for (view, words) in views {
                a href={ (path) @if !view.is_empty() { "/" (view) } }
                    aria-current=[(view == here).then_some("page")] { (words) }
            }
        }
        @if !shown.do_not_start.is_empty() {
            div.stop role="alert" {
                p { strong { "Do not start" } }
                ul { @for why in &shown.do_not_start { li { (Told(why)) } } }
            }
        }
    }
}

/// The page.
pub(crate) fn car(shown: &ShowAnswer, kept: Option<&Kept>, known: &Doables) -> Markup {
    let next = kept.and_then(|kept| kept.next.as_ref());
    let path = car_path(&shown.job);
    let on_hand = shown.state == "on-hand";
    let main = html! {
        h1.hidden { "Car " (Said(name(shown))) }
        @if on_hand { (last(shown, &path)) } @else {
            p.lead { (Said(pages::say::sentence(&shown.state.replace('-', " ")))) "." }
        }
        @if let Some(kept) = kept.filter(|kept| !kept.notes.is_empty()) {
            ul.notes aria-label="To note" { @for note in &kept.notes { li { (Told(note)) } } }
        }
        @if let Some(next) = next {
            (step::next(shown, next, known))
            (note_first(&path, &next.note_first))
        } @else if on_hand {
            (step::not_worked_out(&path))
        }
        @if on_hand { (tray::measures(shown, &path)) }
        (tray::off(shown, &path))
        (ends::loose(shown, &path))
        @if on_hand { (also_seen(shown, &path)) }
        (owner::owner(shown, &path))
        @if on_hand { (waits(&path)) }
        (done(shown, &path))
    };
    frame(name(shown), &top(shown, ""), &main)
}

/// The last entry, and one tap that takes it back.
fn last(shown: &ShowAnswer, path: &str) -> Markup {
    let Some(event) = shown.events.iter().find(|event| event.undo) else {
        return html! {};
    };
    html! {
        section.last aria-label="Last entry" {
            p.done { (Told(&event.what)) }
            (take_back(path, &event.event, "Undo", &event.what))
        }
    }
}

fn take_back(path: &str, event: &str, words: &str, what: &str) -> Markup {
    once(
        &format!("{path}/undo"),
        &html! {
            button name="event" value=(Said(event)) aria-label={ (words) ": " (Told(what)) } { (words) }
        },
    )
}

/// What is perishable, each one tap; what is noted already stands in one line.
fn note_first(path: &str, lines: &[NoteFirst]) -> Markup {
    let open: Vec<&NoteFirst> = lines.iter().filter(|line| line.open).collect();
    let noted = lines.iter().filter(|line| !line.open);
    let noted: Vec<String> = noted.map(|line| line.title.clone()).collect();
    if open.is_empty() {
        return html! {};
    }
    html! {
        section #first {
            h2 { "Before you touch anything" }
            @if !noted.is_empty() { p.done { (Said(noted.join("; "))) } }
            ul.rows {
                @for line in open {
                    li {
                        (once(&format!("{path}/did"), &html! {
                            input type="hidden" name="otherwise" value="noted";
                            label for={ "before-" (Said(&line.what)) } { (Said(&line.title)) }
                            span.trio {
                                (entry(&line.what))
                                (tap(&format!("before:{}=", line.what), "Noted"))
                                button.quiet name="what" formnovalidate
                                    value={ "before:" (Said(&line.what)) "=not-to-be-had" } {
                                    "Can't be had"
                                }
                            }
                        }))
                    }
                }
            }
        }
    }
}

/// The field beside a line; what is a number says so.
fn entry(what: &str) -> Markup {
    let (unit, number) = match what {
        "odometer" => ("km", true),
        "battery-rest" | "battery-cranking" | "battery-running" => ("V", true),
        "oil-level" | "fuel-level" => ("0 to 1", true),
        _ => ("words", false),
    };
    html! {
        input id={ "before-" (Said(what)) } name="say" placeholder=(unit) autocomplete="off" maxlength="400"
            inputmode=[number.then_some("decimal")] required[number];
    }
}

/// Something seen on the way: open it, tap how pressing it is.
fn also_seen(shown: &ShowAnswer, path: &str) -> Markup {
    html! {
        details.section {
            summary { "Also seen" }
            (once(&format!("{path}/did"), &html! {
                input type="hidden" name="otherwise" value="Not described yet";
                div.taps {
                    (tap("seen:unsafe=", "Unsafe to drive"))
                    (tap("seen:soon=", "Soon"))
                    (tap("seen:watch=", "Watch it"))
                }
                label { "What it is" textarea name="say" rows="2" maxlength="2000" {} }
                @if !shown.off.is_empty() {
                    label { "Behind which item, while it is off"
                        select name="at" {
                            option value="" { "none of them" }
                            @for item in &shown.off {
                                option value=(Said(&item.item)) { (Said(&item.title)) }
                            }
                        }
                    }
                }
                label { "Price of the part" input name="part" inputmode="decimal" autocomplete="off" maxlength="12"; }
                label { "Minutes now" input name="minutes" inputmode="decimal" autocomplete="off" maxlength="12"; }
            }))
        }
    }
}

fn waits(path: &str) -> Markup {
    let whom = [
        ("me", "Me"),
        ("owner", "The owner"),
        ("part", "A part"),
        ("lift", "The lift"),
        ("cooling", "Cooling down"),
        ("trial", "A trial"),
    ];
    html! {
        details.section {
            summary { "This car waits for" }
            (once(&format!("{path}/did"), &html! {
                div.taps { @for (word, words) in whom { (tap(&format!("waiting:{word}"), words)) } }
            }))
        }
    }
}

/// What was done: each with the mark across, newest first.
fn done(shown: &ShowAnswer, path: &str) -> Markup {
    let told = |event: &&ShownEvent| !QUIET.contains(&event.kind.as_str());
    let events: Vec<&ShownEvent> = shown.events.iter().filter(told).collect();
    let (open, folded) = events.split_at(events.len().min(LAST));
    html! {
        section {
            h2 { "Done" }
            @if let Some(complaint) = Some(&shown.complaint).filter(|text| !text.is_empty()) {
                p { "What you were told: " q { (Said(complaint)) } }
            }
            (event_list(open, path))
            @if !folded.is_empty() {
                details {
                    summary { "Earlier" }
                    (event_list(folded, path))
                }
            }
        }
    }
}

fn event_list(events: &[&ShownEvent], path: &str) -> Markup {
    html! {
        ul.history {
            @for event in events {
                @let counts = event.fate == "counts";
                li.gone[!counts] {
                    div {
                        p class=[counts.then_some("done")] {
                            @if counts { (Told(&event.what)) } @else {
                                s { (Told(&event.what)) } " " (Said(&event.fate))
                            }
                        }
                        p.small { (Said(when(&event.at))) ", " (Said(&event.who)) }
                    }
                    @if counts && event.kind != "job.opened" {
                        (take_back(path, &event.event, "Take back", &event.what))
                    }
                }
            }
        }
    }
}
