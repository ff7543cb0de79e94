//! The clock of the shell: pure code has none, so each verb asks here when it writes.

use std::sync::Arc;

/// A moment as the log keeps it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    /// RFC 3339.
    pub at: String,
    /// Time zone, an IANA name.
    pub zone: String,
}

/// Says what time it is.
pub type Clock = Arc<dyn Fn() -> Moment + Send + Sync>;

/// The system's clock, to the second.
#[must_use]
pub fn system_clock() -> Clock {
    Arc::new(|| {
        let now = jiff::ZonedDateTime::now();
        Moment {
            at: now.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string(),
            zone: now.time_zone().iana_name().unwrap_or("UTC").to_owned(),
        }
    })
}

/// A clock that always says the same, for tests.
#[must_use]
pub fn fixed_clock(at: &str, zone: &str) -> Clock {
    let moment = Moment { at: at.to_owned(), zone: zone.to_owned() };
    Arc::new(move || moment.clone())
}
