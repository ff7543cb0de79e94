//! The demo: one invented van, from its fault code to its follow-up, as it went.
//!
//! Workshop, owner, plate, van, money and readings are invented. The job runs through the
//! same verbs as any other; what the program refuses here it refuses everywhere.

mod chapters;
mod ending;
mod recordings;
mod told;

use std::{
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicI64, Ordering},
    },
};

use store::{SqliteStore, Store};

use super::{Bay, Clock, Moment, Problem, Thinking, Workshop, trouble};
use crate::library;
use told::Telling;

/// Sheet of the story.
const SHEET: &str = "boost-vane-diesel";

/// First minute of the story: 9 March 2026, 08:05 UTC+1, as seconds since 1970.
const BEGINS_S: i64 = 1_773_039_900;

/// What the story left behind.
#[derive(Debug)]
pub struct Story {
    /// How it went, line by line.
    pub lines: Vec<String>,
    /// The job.
    pub job: String,
    /// The store with it.
    pub bay: Bay,
    /// How sure it was after the short drive.
    pub p_after_drive: f64,
    /// How sure it is after the follow-up.
    pub p_at_end: f64,
}

/// A clock that goes on by whole minutes when it is told to.
#[derive(Debug, Clone, Default)]
struct StoryClock {
    minutes: Arc<AtomicI64>,
}

impl StoryClock {
    fn pass(&self, minutes: i64) {
        self.minutes.fetch_add(minutes, Ordering::SeqCst);
    }

    fn clock(&self) -> Clock {
        let minutes = Arc::clone(&self.minutes);
        Arc::new(move || {
            let seconds = BEGINS_S + 60 * minutes.load(Ordering::SeqCst);
            let local = jiff::Timestamp::from_second(seconds + 3600).unwrap_or_default();
            let text = local.to_string();
            Moment {
                at: format!("{}+01:00", text.trim_end_matches('Z')),
                zone: "Etc/GMT-1".to_owned(),
            }
        })
    }
}

/// Runs the story on a fresh store in that file; all else as [`run`].
///
/// # Errors
/// As [`run`].
pub fn run_in(store: &Path, folder: &Path) -> Result<Story, Problem> {
    let store = SqliteStore::open(store).map_err(|error| trouble(&error))?;
    run(Box::new(store), folder)
}

/// Runs the story on a fresh store; recordings and papers are written into `folder`.
///
/// # Errors
/// Where the store or the folder fails.
pub fn run(store: Box<dyn Store>, folder: &Path) -> Result<Story, Problem> {
    let text = library::text(SHEET).ok_or_else(|| {
        Problem::could_not("sheet", "the sheet of the demo is not there")
    })?;
    let clock = StoryClock::default();
    let bay = Bay::with(store, "Jorun", clock.clock())
        .thinking(Thinking { budget_ms: 120_000, gap: 0.05, nodes: 2_000 })
        .workshop(Workshop {
            name: "Brackwater Lane Workshop".to_owned(),
            lines: vec![
                "7 Brackwater Lane, Ostmarsh".to_owned(),
                "000 555 0117".to_owned(),
            ],
        });
    let mut telling = Telling::new(bay, clock, folder, text);
    telling.taken_in()?;
    telling.looked_at()?;
    telling.recorded_before()?;
    telling.asked_the_owner()?;
    telling.stripped_and_cleaned()?;
    telling.seal_not_found()?;
    telling.back_together()?;
    telling.recorded_after()?;
    telling.driven()?;
    telling.handed_over()?;
    telling.followed_up()?;
    telling.next_van()?;
    Ok(telling.end())
}
