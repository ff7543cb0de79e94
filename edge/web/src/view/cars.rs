//! Cars on hand: a plain list, one line each, and one big way to take a car in.

use app::bay::{CarOnHand, JobsAnswer};
use maud::{Markup, html};

use super::{
    frame,
    said::{Said, car_path, when},
};

/// The first page.
pub(crate) fn cars(answer: &JobsAnswer) -> Markup {
    let main = html! {
        h1 { "Cars on hand" }
        @if answer.cars.is_empty() {
            p.lead { "No car on hand." }
        } @else {
            ul.cars { @for car in &answer.cars { li { (line(car)) } } }
        }
        a.button.dark.big href="/new" { "New car" }
        @for remark in &answer.remarks { p.note { (Said(remark)) } }
    };
    frame("Cars on hand", &html! { p.brand { "Witmark" } }, &main)
}

fn line(car: &CarOnHand) -> Markup {
    let name = car.plate.as_deref().filter(|plate| !plate.is_empty());
    let vehicle = &car.vehicle;
    let loose = u32::try_from(car.loose_ends).unwrap_or(u32::MAX);
    html! {
        a href=(car_path(&car.job)) {
            span.plate { (Said(name.unwrap_or(if vehicle.is_empty() { &car.job } else { vehicle }))) }
            " "
            span.waits {
                "waits for " b { (Said(car.waits_for.as_deref().unwrap_or("nobody"))) }
                @if let Some(since) = &car.since { " since " (Said(when(since))) }
            }
            " "
            span.step { (Said(car.next.as_deref().unwrap_or("next step still to be worked out"))) }
            @if loose > 0 {
                " "
                span.loose { (pages::say::count(loose, "loose end", "loose ends")) }
            }
            @if !car.do_not_start.is_empty() { " " strong.stop { "do not start" } }
        }
    }
}
