//! A small sheet, a store in memory, and a vehicle that was taken in.

use app::Problem;
use app::bay::{Bay, DidAnswer, Happened, NewJob, Owner, Thinking, fixed_clock};
use sheet::EconomyOverrides;
use store::MemoryStore;

/// One money unit a minute. The tray takes 55 minutes to refit, nothing to strip.
pub(crate) const SHEET: &str = r#"
[sheet]
format = 1
id = "small"
title = "Small"
version = 1
codes = ["P0299"]

[economy]
labour_per_hour = 60.0
comeback = 5000.0
pass_on = 4000.0

[recurrence]
seen = 2
over_km = 400.0

[unlisted]
weight = 1.0

[[suspect]]
id = "one"
title = "Cause one"
weight = 6.0
root = ["why-look"]

[[suspect]]
id = "two"
title = "Cause two"
weight = 3.0

[[item]]
id = "tray"
title = "Tray"
refit_min = 55.0
strip_min = 0.0
  [[item.fastener]]
  id = "tray-bolt"
  count = 4
  kind = "bolt"
  thread = "M6"
  class = "8.8"
  length_mm = 20.0
  head_mm = 10.0
  torque_nm = 9.0
  [[item.seal]]
  id = "tray-ring"
  count = 1
  reuse = "never"
  [[item.measure]]
  id = "gap"
  title = "Gap behind the tray"
  quantity = "length"
  unit = "mm"
  least = 0.1
  most = 0.3
  urgency = "unsafe"
  [[item.measure]]
  id = "coil"
  title = "Coil behind the tray"
  quantity = "resistance"
  unit = "ohm"
  most = 7.0
  answers = "ohm-look"

[[item]]
id = "belt"
title = "Belt"
strip_min = 9.0
refit_min = 11.0

[[item]]
id = "pipe"
title = "Pipe"
behind = ["belt"]
strip_min = 1.0
refit_min = 1.0
  [[item.fluid]]
  id = "oil"
  litres = 0.2

[[check]]
id = "long-look"
title = "Look for long"
minutes = 180.0
outcomes = ["seen", "not"]
  [check.given]
  fine = { seen = 0.5, not = 0.5 }

[[check]]
id = "inner-look"
title = "Look behind the tray"
minutes = 40.0
off = ["tray"]
outcomes = ["first", "second"]
  [check.given]
  fine = { first = 0.5, second = 0.5 }
  one = { first = 0.9, second = 0.1 }
  two = { first = 0.1, second = 0.9 }

[[check]]
id = "why-look"
title = "Why did it fail?"
minutes = 200.0
outcomes = ["known", "unknown"]
  [check.given]
  fine = { known = 0.5, unknown = 0.5 }

[[check]]
id = "ohm-look"
title = "Measure the coil"
minutes = 300.0
outcomes = ["low", "high"]
  [check.given]
  fine = { low = 0.9, high = 0.1 }
  two = { low = 0.2, high = 0.8 }
  [check.reading]
  quantity = "resistance"
  unit = "ohm"
  bands = [{ outcome = "low", below = 7.0 }, { outcome = "high", from = 7.0 }]

[[repair]]
id = "renew-one"
title = "Renew one"
minutes = 300.0
parts = 100.0
off = ["tray"]
fixes = { one = 0.7 }

[[repair]]
id = "renew-two"
title = "Renew two"
minutes = 300.0
parts = 100.0
fixes = { two = 0.9 }

[[proof]]
id = "drive"
title = "Drive 30 km"
minutes = 30.0
km = 30.0

[[duty]]
id = "leak-look"
title = "Look for leaks"
minutes = 4.0
because = ["item:pipe"]
before = "hand-over"
"#;

/// A client's reference, invented.
pub(crate) const TAP: &str = "0123456789abcdef0123456789abcdef";

/// A bay with an empty store and a clock that stands.
pub(crate) fn bay() -> Bay {
    let store = MemoryStore::new().unwrap();
    let clock = fixed_clock("2026-03-09T08:05:00+01:00", "Etc/GMT-1");
    Bay::with(Box::new(store), "Jorun", clock).thinking(Thinking {
        budget_ms: 60_000,
        gap: 0.0,
        nodes: 20_000,
    })
}

/// What a job is opened with.
pub(crate) fn new_job() -> NewJob {
    NewJob {
        sheet: Some(SHEET.to_owned()),
        plate: "QX 4417 Z".to_owned(),
        vehicle: "Four-cylinder van".to_owned(),
        owner: Owner {
            name: "Mara Quillfeder".to_owned(),
            phone: "000 555 0142".to_owned(),
        },
        complaint: "Lamp on, weak uphill".to_owned(),
        codes: vec!["p0299".to_owned()],
        odometer_km: Some(120_000.0),
        ..NewJob::default()
    }
}

/// A bay with that job in it, and its id.
pub(crate) fn opened(new: &NewJob) -> (Bay, String) {
    let mut bay = bay();
    let job = bay.new_job(new).unwrap().job;
    (bay, job)
}

/// A bay with a job that has the usual money rules and this sum agreed.
pub(crate) fn agreed(sum: f64) -> (Bay, String) {
    opened(&NewJob { authorised: Some(sum), ..new_job() })
}

/// A job at 66 an hour.
pub(crate) fn at_66_an_hour() -> (Bay, String) {
    let economy =
        EconomyOverrides { labour_per_hour: Some(66.0), ..EconomyOverrides::default() };
    opened(&NewJob { economy, ..new_job() })
}

/// What was typed.
pub(crate) fn happened(text: &str) -> Happened {
    read(text).unwrap()
}

fn read(text: &str) -> Result<Happened, Problem> {
    let mut no_file = |name: &str| Err(Problem::wrong("not-found", name));
    Happened::parse(text, &mut no_file)
}

/// Enters things as they are typed.
pub(crate) fn did(
    bay: &mut Bay,
    job: &str,
    texts: &[&str],
) -> Result<DidAnswer, Problem> {
    let things = texts.iter().map(|text| read(text)).collect::<Result<Vec<_>, _>>()?;
    bay.did(job, &things, None)
}

/// Probability of a cause in an answer.
pub(crate) fn p_of(answer: &DidAnswer, id: &str) -> f64 {
    answer.odds.iter().find(|odds| odds.id == id).unwrap().p
}

/// Two figures that should be the same but for rounding.
pub(crate) fn same(left: f64, right: f64) {
    assert!((left - right).abs() <= 1e-9 * right.abs().max(1.0), "{left} is not {right}");
}
