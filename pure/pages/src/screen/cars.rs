//! Cars on hand: a plain list, those that wait for me first.

use crate::{Page, Table, Words, say};

/// Whom or what a car waits for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WaitsFor {
    /// The repairer.
    Me,
    /// The owner's answer.
    Owner,
    /// A part.
    Part,
    /// The lift.
    Lift,
    /// Something hot.
    Cooling,
    /// A trial at the owner's.
    Trial,
}

impl WaitsFor {
    /// How it is said.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Me => "me",
            Self::Owner => "owner",
            Self::Part => "part",
            Self::Lift => "lift",
            Self::Cooling => "cooling",
            Self::Trial => "trial",
        }
    }
}

/// One car on hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CarLine {
    /// The job that it belongs to.
    pub job: String,
    /// The plate.
    pub plate: String,
    /// The vehicle in words.
    pub vehicle: String,
    /// Whom or what it waits for; none: it is gone.
    pub waits_for: Option<WaitsFor>,
    /// Since when, as it is to be read.
    pub since: String,
    /// The next step in about five words.
    pub next: String,
    /// How many loose ends.
    pub loose_ends: u32,
}

/// The list; the order is the caller's.
#[must_use]
pub fn cars_page(cars: &[CarLine], language: &str) -> Page {
    let mut page = Page::new("Cars on hand", language);
    if cars.is_empty() {
        page.paragraphs("No car on hand. Take one in with `new`.");
    }
    let mut table =
        Table::new(&["Plate", "Vehicle", "Waits for", "Since", "Next", "Loose ends"]);
    for car in cars {
        let loose = match car.loose_ends {
            0 => String::new(),
            some => say::count(some, "loose end", "loose ends"),
        };
        table.row(vec![
            Words::from(&car.plate),
            Words::from(&car.vehicle),
            Words::from(car.waits_for.map_or("gone", |waits| waits.words())),
            Words::from(&car.since),
            Words::from(five_words(&car.next)),
            Words::from(loose),
        ]);
    }
    page.table(table);
    page
}

/// The first five words of a title, and a mark where there were more.
#[must_use]
pub fn five_words(title: &str) -> String {
    let words: Vec<&str> = title.split_whitespace().collect();
    match words.get(..5) {
        Some(five) if words.len() > 5 => format!("{} …", five.join(" ")),
        _ => words.join(" "),
    }
}
