//! The conditions in which a recording was made: engine speed, load, warm-up state,
//! voltage. What was driven in conditions like those of a stored frame, and what each
//! step of a command was made in.

use std::collections::BTreeMap;
use std::fmt;

use logs::{Channel, Recording};
use units::parse_number;

use crate::answer::{Condition, LikeCell, LikeExposure};
use crate::robust::median;

/// Engine speeds within this are similar, 1/min (13 CCR 1968.2(c)).
const SIMILAR_RPM: f64 = 375.0;

/// Loads within this are similar, percentage points (13 CCR 1968.2(c)).
const SIMILAR_LOAD: f64 = 20.0;

/// Coolant from which an engine is warm, °C (*common practice*).
const WARM_C: f64 = 70.0;

/// Rise and least end of the coolant in a warm-up cycle, K and °C (13 CCR 1968.2(c)).
const WARM_UP: (f64, f64) = (22.2, 71.1);

/// A stretch without a sample longer than this is not driven through, s.
const LONGEST_GAP_S: f64 = 10.0;

/// Width of a cell of engine speed, 1/min, and of load, percentage points.
const CELL: (f64, f64) = (500.0, 20.0);

/// Channels of a recording that say in what conditions it was made.
#[derive(Debug, Clone, Copy, Default)]
pub struct Conditions<'a> {
    /// Engine speed, 1/min.
    pub rpm: Option<&'a Channel>,
    /// Load, per cent.
    pub load: Option<&'a Channel>,
    /// Coolant, °C.
    pub coolant: Option<&'a Channel>,
    /// Supply, V.
    pub voltage: Option<&'a Channel>,
    /// Speed of the vehicle, km/h.
    pub speed: Option<&'a Channel>,
}

/// Conditions in which a fault set, as its stored frame gives them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Frame {
    /// Engine speed, 1/min.
    pub rpm: Option<f64>,
    /// Load, per cent.
    pub load: Option<f64>,
    /// Warm or cold.
    pub warm: Option<bool>,
}

/// Why no conditions can be compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FrameError {
    /// A part that is none of those known.
    Part(String),
    /// Nothing asked.
    Nothing,
    /// A channel that the question needs and the recording does not have.
    NoChannel(&'static str),
}

impl Frame {
    /// Reads `rpm=1900,load=62,warm`; `warm` or `cold`, or the coolant as in `coolant=85`.
    ///
    /// # Errors
    /// [`FrameError::Part`] and [`FrameError::Nothing`].
    pub fn parse(text: &str) -> Result<Self, FrameError> {
        let mut frame = Self::default();
        for part in text.split(',').map(str::trim).filter(|part| !part.is_empty()) {
            let wrong = || FrameError::Part(part.chars().take(40).collect());
            let number = |text: &str| parse_number(text).map_err(|_| wrong());
            match part.split_once('=').map(|(name, value)| (name.trim(), value.trim())) {
                Some(("rpm", value)) => frame.rpm = Some(number(value)?),
                Some(("load", value)) => frame.load = Some(number(value)?),
                Some(("coolant", value)) => frame.warm = Some(number(value)? >= WARM_C),
                None if part == "warm" => frame.warm = Some(true),
                None if part == "cold" => frame.warm = Some(false),
                _ => return Err(wrong()),
            }
        }
        if frame == Self::default() { Err(FrameError::Nothing) } else { Ok(frame) }
    }

    /// True for conditions like these: engine speed within 375, load within 20 points, the
    /// same warm-up state. What is not known on either side does not count.
    ///
    /// ```
    /// use measure::Frame;
    /// let frame = Frame { rpm: Some(1427.0), load: Some(28.0), warm: Some(true) };
    /// assert!(frame.is_like(&Frame { rpm: Some(1802.0), ..frame }));
    /// assert!(!frame.is_like(&Frame { load: Some(48.1), ..frame }));
    /// ```
    pub fn is_like(&self, other: &Self) -> bool {
        // A frame gives load in counts of 100/255; the sum must not fail by rounding.
        let near = |a: Option<f64>, b: Option<f64>, within: f64| {
            a.zip(b).is_none_or(|(a, b)| (a - b).abs() <= within + 1e-9)
        };
        near(self.rpm, other.rpm, SIMILAR_RPM)
            && near(self.load, other.load, SIMILAR_LOAD)
            && self.warm.zip(other.warm).is_none_or(|(a, b)| a == b)
    }
}

impl<'a> Conditions<'a> {
    /// Finds the channels by their names and units.
    pub fn find(recording: &'a Recording) -> Self {
        let find = |fits: &dyn Fn(&str, &str) -> bool| {
            recording.channels.iter().find(|channel| {
                let unit = channel.unit.as_deref().unwrap_or_default().to_lowercase();
                !channel.samples.is_empty() && fits(&channel.name.to_lowercase(), &unit)
            })
        };
        let turns =
            |unit: &str| matches!(unit, "rpm" | "1/min" | "min-1" | "/min" | "u/min");
        Self {
            rpm: find(&|name, unit| {
                name.contains("rpm") || name.contains("engine speed") || turns(unit)
            }),
            load: find(&|name, _| name.contains("load")),
            coolant: find(&|name, _| name.contains("coolant")),
            voltage: find(&|name, unit| {
                unit == "v" && (name.contains("volt") || name.contains("battery"))
                    || name.contains("battery voltage")
            }),
            speed: find(&|name, unit| {
                let by_unit = matches!(unit, "km/h" | "kph" | "kmh");
                by_unit || name.contains("vehicle speed") || name == "speed"
            }),
        }
    }

    /// Conditions between two times, s: medians, or the last value before.
    pub(crate) fn during(&self, from: f64, to: f64) -> Vec<Condition> {
        let named = [
            ("engine-speed", self.rpm),
            ("load", self.load),
            ("coolant", self.coolant),
            ("voltage", self.voltage),
        ];
        let value = |channel: &Channel| {
            let (first, last) = (
                channel.samples.partition_point(|s| s.0 < from),
                channel.samples.partition_point(|s| s.0 <= to),
            );
            let within: Vec<f64> =
                channel.samples[first..last.max(first)].iter().map(|s| s.1).collect();
            median(&within).or_else(|| held(channel, from))
        };
        named
            .into_iter()
            .filter_map(|(name, channel)| {
                Some(Condition { name: name.to_owned(), value: value(channel?)? })
            })
            .collect()
    }

    /// The state at a time, s: each value as last read.
    fn at(&self, t: f64) -> Frame {
        let held = |channel: Option<&Channel>| channel.and_then(|c| held(c, t));
        Frame {
            rpm: held(self.rpm),
            load: held(self.load),
            warm: held(self.coolant).map(|c| c >= WARM_C),
        }
    }
}

/// What a recording holds in conditions like those of a frame.
///
/// # Errors
/// [`FrameError::NoChannel`] where the frame asks for what was not recorded.
pub fn exposure(
    conditions: &Conditions<'_>,
    frame: &Frame,
) -> Result<LikeExposure, FrameError> {
    let asked = [
        (frame.rpm.is_some(), conditions.rpm, "engine speed"),
        (frame.load.is_some(), conditions.load, "load"),
        (frame.warm.is_some(), conditions.coolant, "coolant temperature"),
    ];
    if let Some((_, _, what)) = asked.iter().find(|(asked, c, _)| *asked && c.is_none()) {
        return Err(FrameError::NoChannel(what));
    }
    let channels =
        [conditions.rpm, conditions.load, conditions.coolant, conditions.speed];
    let mut times: Vec<f64> =
        channels.iter().flatten().flat_map(|c| c.samples.iter().map(|s| s.0)).collect();
    times.sort_unstable_by(f64::total_cmp);
    times.dedup();
    let mut sums = Sums::default();
    for pair in times.windows(2) {
        let seconds = pair[1] - pair[0];
        let here = conditions.at(pair[0]);
        // Before every asked channel has spoken nobody knows the conditions.
        let known = [
            (frame.rpm.is_some(), here.rpm.is_some()),
            (frame.load.is_some(), here.load.is_some()),
            (frame.warm.is_some(), here.warm.is_some()),
        ]
        .iter()
        .all(|(asked, known)| !asked || *known);
        if seconds > LONGEST_GAP_S || !known {
            continue;
        }
        let km = conditions.speed.map_or(0.0, |speed| {
            f64::midpoint(between(speed, pair[0]), between(speed, pair[1])) * seconds
                / 3600.0
        });
        sums.add(seconds / 60.0, km, frame.is_like(&here), here);
    }
    let with_speed = |km: f64| conditions.speed.map(|_| km);
    Ok(LikeExposure {
        rpm: frame.rpm,
        load: frame.load,
        warm: frame.warm,
        min: sums.like.0,
        km: with_speed(sums.like.1),
        of_min: sums.all.0,
        of_km: with_speed(sums.all.1),
        warm_ups: conditions.coolant.map(warm_ups),
        cells: sums.cells(),
    })
}

#[derive(Default)]
struct Sums {
    like: (f64, f64),
    all: (f64, f64),
    /// Minutes by (cell of speed, cell of load, warm).
    cells: BTreeMap<(i32, Option<i32>, Option<bool>), f64>,
}

impl Sums {
    fn add(&mut self, min: f64, km: f64, like: bool, here: Frame) {
        self.all = (self.all.0 + min, self.all.1 + km);
        if like {
            self.like = (self.like.0 + min, self.like.1 + km);
        }
        if let Some(rpm) = here.rpm {
            let key = (cell(rpm, CELL.0), here.load.map(|l| cell(l, CELL.1)), here.warm);
            *self.cells.entry(key).or_insert(0.0) += min;
        }
    }

    fn cells(&self) -> Vec<LikeCell> {
        self.cells
            .iter()
            .map(|((rpm, load, warm), min)| LikeCell {
                rpm: f64::from(*rpm) * CELL.0,
                load: load.map(|load| f64::from(load) * CELL.1),
                warm: *warm,
                min: *min,
            })
            .collect()
    }
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to a thousand cells")]
fn cell(value: f64, width: f64) -> i32 {
    (value / width).floor().clamp(-1000.0, 1000.0) as i32
}

/// The value last read; `None` before the first.
fn held(channel: &Channel, t: f64) -> Option<f64> {
    let after = channel.samples.partition_point(|s| s.0 <= t);
    channel.samples.get(after.checked_sub(1)?).map(|s| s.1)
}

/// On the straight line between the samples, and held outside.
fn between(channel: &Channel, t: f64) -> f64 {
    let after = channel.samples.partition_point(|s| s.0 <= t);
    let (a, b) = (
        after.checked_sub(1).and_then(|i| channel.samples.get(i)),
        channel.samples.get(after),
    );
    match (a, b) {
        (Some(a), Some(b)) if b.0 - a.0 <= LONGEST_GAP_S => {
            a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0).max(1e-9)
        }
        (Some(only), _) | (None, Some(only)) => only.1,
        (None, None) => 0.0,
    }
}

/// Warm-up cycles: the coolant rises by 22.2 K from where it stood and reaches 71.1 °C;
/// once it has cooled down by as much it may count again.
fn warm_ups(coolant: &Channel) -> u32 {
    let (mut count, mut least, mut most, mut counted) =
        (0, f64::INFINITY, f64::NEG_INFINITY, false);
    for (_, c) in &coolant.samples {
        (least, most) = (least.min(*c), most.max(*c));
        if counted && most - c >= WARM_UP.0 {
            (counted, least, most) = (false, *c, *c);
        }
        // The sum of a count in tenths may fall short of 22.2 by rounding.
        if !counted && c - least >= WARM_UP.0 - 1e-9 && *c >= WARM_UP.1 {
            (counted, most) = (true, *c);
            count += 1;
        }
    }
    count
}

impl fmt::Display for FrameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Part(part) => write!(
                f,
                "`{part}` is no condition: write rpm=1900,load=62,warm (or cold, or coolant=85)"
            ),
            Self::Nothing => f.write_str("no conditions: write rpm=1900,load=62,warm"),
            Self::NoChannel(what) => write!(
                f,
                "the recording has no {what}: record it too, or leave it out of the conditions"
            ),
        }
    }
}

impl std::error::Error for FrameError {}
