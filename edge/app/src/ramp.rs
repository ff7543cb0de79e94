//! `ramp`: a coil's current rise from a recorded file, or rises before against rises after.

use logs::{Channel, LogError, Options, Recording, read_csv};
use measure::{
    RampAnswer, RampCompareAnswer, RampInput, RampSide, compare_ramps, judge_ramp,
};

use crate::{Problem, Source};

/// Names of a current's column where no unit says so.
const CURRENTS: [&str; 9] = [
    "current",
    "i",
    "amp",
    "amps",
    "ampere",
    "strom",
    "courant",
    "corriente",
    "corrente",
];

/// Names of a voltage's column where no unit says so.
const VOLTAGES: [&str; 8] =
    ["voltage", "v", "u", "volt", "volts", "spannung", "tension", "supply"];

/// What of a file is judged.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RampColumns {
    /// Supply across coil and wiring, V; `None`: a recorded voltage, if there is one.
    pub volts: Option<f64>,
    /// Column of the time; `None`: it is found.
    pub time: Option<String>,
    /// Column of the current; `None`: it is found.
    pub current: Option<String>,
}

/// Judges a recorded current rise.
///
/// # Errors
/// No file, no table, no such column, or too little in it.
pub fn ramp(source: &Source, columns: &RampColumns) -> Result<RampAnswer, Problem> {
    let options = Options { time: columns.time.clone(), ..Options::default() };
    let bytes = source.bytes(options.max_bytes)?;
    let named = |error: LogError| Problem::wrong("ramp", error).in_file(source);
    let read = read_csv(&bytes, &options).map_err(named)?;
    let current = match &columns.current {
        Some(asked) => read.channel(asked).map_err(named)?,
        None => found(&read).map_err(|problem| problem.in_file(source))?,
    };
    let mut remarks = read.remarks.clone();
    let current_a =
        in_unit(current, 'A', &mut remarks).map_err(|problem| problem.in_file(source))?;
    let voltage = voltage(&read, current).filter(|_| columns.volts.is_none());
    let voltage_v = match voltage {
        Some(channel) => Some(
            in_unit(channel, 'V', &mut remarks)
                .map_err(|problem| problem.in_file(source))?,
        ),
        None => None,
    };
    let input = RampInput {
        current: &current_a,
        volts: columns.volts,
        voltage: voltage_v.as_deref(),
        remarks,
    };
    judge_ramp(&input).map_err(|error| Problem::wrong("ramp", error).in_file(source))
}

/// Rises of one side and how they were recorded.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rises {
    /// Files with one rise each.
    pub sources: Vec<Source>,
    /// Supply across coil and wiring, V; `None`: a recorded voltage, if there is one.
    pub volts: Option<f64>,
    /// Temperature of the winding, °C.
    pub celsius: Option<f64>,
}

/// Least and greatest temperature of a winding that is believed, °C.
const WINDING_C: std::ops::RangeInclusive<f64> = -60.0..=250.0;
/// Most rises of a side: every one is kept for its picture.
const MOST_RISES: usize = 50;

/// Compares rises before with rises after.
///
/// # Errors
/// As [`ramp`] for any of the files; too many of them; a temperature that no winding has.
pub fn compare(
    before: &Rises,
    after: &Rises,
    columns: &RampColumns,
) -> Result<RampCompareAnswer, Problem> {
    let judged = |side: &Rises| -> Result<Vec<RampAnswer>, Problem> {
        if side.sources.len() > MOST_RISES {
            let what = format!("more than {MOST_RISES} rises on one side");
            return Err(Problem::wrong("ramp", what));
        }
        if let Some(c) = side.celsius.filter(|c| !WINDING_C.contains(c)) {
            let what = format!("{c} °C is no temperature of a winding");
            return Err(Problem::wrong("ramp", what));
        }
        let columns = RampColumns { volts: side.volts, ..columns.clone() };
        side.sources.iter().map(|source| ramp(source, &columns)).collect()
    };
    let (was, is) = (judged(before)?, judged(after)?);
    Ok(compare_ramps(
        RampSide { ramps: &was, celsius: before.celsius },
        RampSide { ramps: &is, celsius: after.celsius },
    ))
}

/// The column of the current: by its unit, by its name, or as the only one.
fn found(read: &Recording) -> Result<&Channel, Problem> {
    let channels = || read.channels.iter();
    let by_unit: Vec<&Channel> = channels().filter(|c| unit(c, 'A').is_some()).collect();
    let by_name: Vec<&Channel> = channels().filter(|c| is_named(c, &CURRENTS)).collect();
    let all: Vec<&Channel> = channels().collect();
    for some in [&by_unit, &by_name, &all] {
        match some.as_slice() {
            [] => {}
            [one] => return Ok(one),
            many => {
                let names: Vec<&str> = many.iter().map(|c| c.name.as_str()).collect();
                let what = format!(
                    "more than one column may be the current: {}",
                    names.join(", ")
                );
                return Err(Problem::wrong("ramp", what)
                    .maybe_hint(Some("name it with --current".into())));
            }
        }
    }
    Err(Problem::wrong("ramp", "there is no column beside the time"))
}

/// A recorded voltage, if just one column is one.
fn voltage<'a>(read: &'a Recording, current: &Channel) -> Option<&'a Channel> {
    let fits = |c: &&Channel| {
        c.name != current.name && (unit(c, 'V').is_some() || is_named(c, &VOLTAGES))
    };
    let mut some = read.channels.iter().filter(fits);
    some.next().filter(|_| some.next().is_none())
}

fn is_named(channel: &Channel, names: &[&str]) -> bool {
    let name = channel.name.to_lowercase();
    names.iter().any(|known| *known == name) || name.contains(names[0])
}

/// What one of a channel's values is in A or V: by its unit, else by the end of its name
/// (`i_mA`).
fn unit(channel: &Channel, base: char) -> Option<f64> {
    let of = |text: &str| {
        let text = text.trim();
        let prefix = text.strip_suffix(base)?;
        match prefix {
            "" => Some(1.0),
            "m" => Some(1e-3),
            "u" | "µ" | "μ" => Some(1e-6),
            "k" => Some(1e3),
            _ => None,
        }
    };
    let stated = channel.unit.as_deref().and_then(of);
    let tail = || channel.name.rsplit_once(['_', ' ']).and_then(|(_, tail)| of(tail));
    stated.or_else(tail)
}

/// The samples of a channel in A or V.
fn in_unit(
    channel: &Channel,
    base: char,
    remarks: &mut Vec<String>,
) -> Result<Vec<(f64, f64)>, Problem> {
    let factor = unit(channel, base);
    if let (None, Some(other)) = (factor, &channel.unit) {
        let what =
            format!("column `{}` is in {other}, not in {base} or m{base}", channel.name);
        return Err(Problem::wrong("ramp", what));
    }
    let read = match factor {
        Some(1.0) => format!("`{}` in {base}", channel.name),
        Some(factor) => format!("`{}` times {factor} to {base}", channel.name),
        None => format!("`{}` has no unit: taken as {base}", channel.name),
    };
    remarks.push(read);
    let factor = factor.unwrap_or(1.0);
    Ok(channel.samples.iter().map(|(t, value)| (*t, value * factor)).collect())
}
