//! Readings and recordings of a check, judged into weights of its outcomes; measures of an item
//! judged by their limits.

use std::collections::BTreeMap;

use job::body::{CheckResult, Measured, Taken, Urgency, Verdict};
use logs::{Channel, Options, Recording, read_csv};
use measure::{
    Accuracy, Conditions, Estimate, JudgeInput, Leads, Limits, Material, PartTemperature,
    RecordingAnswer, RecordingMeta, judge, judge_recording_in,
};
use sheet::{Band, Check, Item, Measure, ReadingBands};
use units::Unit;

use super::Problem;

/// Columns that a recording is looked for where none are named.
const COMMAND: [&str; 3] = ["commanded", "command", "target"];
/// See [`COMMAND`].
const ACTUAL: [&str; 2] = ["actual", "measured"];

/// A reading of a measured check.
pub(crate) fn reading(
    check: &Check,
    measured: &Measured,
    remarks: &mut Vec<String>,
) -> Result<BTreeMap<String, f64>, Problem> {
    let wrong =
        |what: &str| Problem::wrong("reading", format!("check `{}`: {what}", check.id));
    let Some(bands) = &check.reading else {
        let outcomes: Vec<&str> =
            check.outcomes.iter().map(|(id, _)| id.as_str()).collect();
        return Err(wrong("it is not a measured one")
            .hint(format!("give its outcome: {}", outcomes.join(", "))));
    };
    let input = asked(measured, Some(bands)).map_err(|what| wrong(&what))?;
    let unit = input.unit;
    if bands.material.is_some() && measured.part_c.is_none() {
        remarks.push(format!(
            "the temperature of the part is not given: read as at {} °C",
            reference_c(bands)
        ));
    }
    let answer = judge(&input).map_err(|error| wrong(&error.to_string()))?;
    let to = Unit::parse(&bands.unit).map_err(|error| wrong(&error.to_string()))?;
    let weights = answer.band_weights((unit, to), &edges(&bands.bands));
    let weights = weights.map_err(|error| wrong(&error.to_string()))?;
    remarks.extend(answer.remarks);
    Ok(by_outcome(check, &bands.bands, &weights))
}

/// Temperature that the bands are given for, °C.
fn reference_c(bands: &ReadingBands) -> f64 {
    bands.reference_c.unwrap_or(20.0)
}

/// What the judge is asked of a measured value, before any limits; a winding is brought to the
/// temperature that its bands are given for.
fn asked(
    measured: &Measured,
    bands: Option<&ReadingBands>,
) -> Result<JudgeInput, String> {
    let unit = Unit::parse(&measured.unit).map_err(|error| error.to_string())?;
    let mut input = JudgeInput::of(measured.value, unit);
    input.between = measured.below.map(|below| (measured.value, below));
    if !measured.repeats.is_empty() || input.between.is_some() {
        input.value = None;
        input.repeats.clone_from(&measured.repeats);
    }
    let accuracy = measured.accuracy.as_deref();
    let accuracy = accuracy.map(|text| Accuracy::parse(text, unit)).transpose();
    input.accuracy = accuracy.map_err(|error| error.to_string())?;
    input.digit = measured.digit;
    input.range = measured.range;
    input.leads = measured.leads.map(|value| Leads { value, u: None });
    if let Some(bands) = bands
        && let (Some(name), Some(part_c)) = (bands.material.as_deref(), measured.part_c)
    {
        let material = Material::parse(name).map_err(|error| error.to_string())?;
        input.temperature = Some(PartTemperature {
            material,
            part_c,
            part_half_width_k: None,
            reference_c: reference_c(bands),
        });
    }
    Ok(input)
}

/// A measure of an item judged by its limits, with what it says of the check that it answers.
pub(crate) fn taken(
    (item, measure): (&Item, &Measure),
    check: Option<&Check>,
    measured: &Measured,
    remarks: &mut Vec<String>,
) -> Result<Taken, Problem> {
    let wrong = |what: &str| {
        Problem::wrong("reading", format!("measure `{}`: {what}", measure.id))
    };
    // The limits are given for the same temperature as the bands of the check.
    let bands = check.and_then(|check| check.reading.as_ref());
    let mut input = asked(measured, bands).map_err(|what| wrong(&what))?;
    let own = Unit::parse(&measure.unit).map_err(|error| wrong(&error.to_string()))?;
    let side = |limit: Option<f64>| {
        limit.map(|limit| own.convert(limit, input.unit)).transpose().map_err(|error| {
            wrong(&error.to_string()).hint(format!("a value in {}", measure.unit))
        })
    };
    let limits = Limits::new(side(measure.least)?, side(measure.most)?);
    input.limits = Some(limits.map_err(|error| wrong(&error.to_string()))?);
    let answer = judge(&input).map_err(|error| wrong(&error.to_string()))?;
    let weights = match check {
        Some(check) => reading(check, measured, remarks)?,
        None => BTreeMap::new(),
    };
    for remark in answer.remarks {
        if !remarks.contains(&remark) {
            remarks.push(remark);
        }
    }
    let verdict = match answer.verdict {
        Some(measure::Verdict::In) => Verdict::In,
        Some(measure::Verdict::Out) => Verdict::Out,
        Some(measure::Verdict::NotSure) | None => Verdict::NotSure,
    };
    let urgency = match measure.urgency.as_str() {
        "unsafe" => Urgency::Unsafe,
        "watch" => Urgency::Watch,
        _ => Urgency::Soon,
    };
    Ok(Taken {
        item: item.id.clone(),
        measure: measure.id.clone(),
        verdict,
        p_within: answer.p_within.unwrap_or(0.5),
        urgency: (verdict == Verdict::Out).then_some(urgency),
        check: check.map(|check| check.id.clone()),
        weights,
    })
}

fn edges(bands: &[Band]) -> Vec<(Option<f64>, Option<f64>)> {
    bands.iter().map(|band| (band.from, band.below)).collect()
}

/// Two bands may name one outcome: their weights add.
fn by_outcome(check: &Check, bands: &[Band], weights: &[f64]) -> BTreeMap<String, f64> {
    let mut sums = BTreeMap::new();
    for (band, weight) in bands.iter().zip(weights) {
        if let Some((id, _)) = check.outcomes.get(band.outcome.at()) {
            *sums.entry(id.clone()).or_insert(0.0) += weight;
        }
    }
    sums
}

/// A recording judged, whatever it was made for.
pub(crate) fn recorded(
    bytes: &[u8],
    columns: &BTreeMap<String, String>,
) -> Result<RecordingAnswer, Problem> {
    let wrong = |what: String| Problem::wrong("recording", what);
    let options = Options { time: columns.get("time").cloned(), ..Options::default() };
    let recording =
        read_csv(bytes, &options).map_err(|error| wrong(error.to_string()))?;
    let command = channel(&recording, columns.get("command"), &COMMAND, "command")?;
    let actual = channel(&recording, columns.get("actual"), &ACTUAL, "actual")?;
    let conditions = Conditions::find(&recording);
    judge_recording_in(command, actual, RecordingMeta::from(&recording), &conditions)
        .map_err(|error| wrong(error.to_string()))
}

fn channel<'r>(
    recording: &'r Recording,
    named: Option<&String>,
    usual: &[&str],
    word: &str,
) -> Result<&'r Channel, Problem> {
    if let Some(name) = named {
        return recording
            .channel(name)
            .map_err(|error| Problem::wrong("recording", error.to_string()));
    }
    let names: Vec<&str> = recording.channels.iter().map(|c| c.name.as_str()).collect();
    usual.iter().find_map(|name| recording.channel(name).ok()).ok_or_else(|| {
        Problem::wrong("recording", format!("which column is the {word} value?"))
            .hint(format!("add ,{word}=COLUMN; there are: {}", names.join(", ")))
    })
}

/// What a recording says of a check that is judged from one; `None`: it carries nothing.
pub(crate) fn of_recording(
    check: &Check,
    answer: &RecordingAnswer,
    blob: &str,
) -> Option<CheckResult> {
    let bands = check.recording.as_ref()?;
    let estimate = metric(answer, &bands.metric)?;
    let weights = estimate.band_weights(&edges(&bands.bands))?;
    Some(CheckResult::Recording {
        blob: blob.to_owned(),
        metric: bands.metric.clone(),
        value: estimate.value,
        low: estimate.low,
        high: estimate.high,
        weights: by_outcome(check, &bands.bands, &weights),
    })
}

/// A metric of `recording/1` by its name.
fn metric<'a>(answer: &'a RecordingAnswer, name: &str) -> Option<&'a Estimate> {
    Some(match name {
        "dead_time_s" => &answer.dead_time_s,
        "time_constant_s" => &answer.time_constant_s,
        "gain" => &answer.gain,
        "slew_per_s" => &answer.slew_per_s,
        "steady_error" => &answer.steady_error,
        "hysteresis" => &answer.hysteresis,
        "overshoot" => &answer.overshoot,
        _ => return None,
    })
}

/// A metric in words: `time constant 1.4 (1.32 to 1.47) s`.
pub(crate) fn metric_words(result: &CheckResult) -> String {
    let CheckResult::Recording { metric, value, low, high, .. } = result else {
        return String::new();
    };
    let (name, unit) =
        metric.strip_suffix("_s").map_or((metric.as_str(), ""), |name| (name, " s"));
    let name = name.replace('_', " ");
    let say = |value: f64| pages::say::significant(value, 3);
    match (value, low, high) {
        (Some(value), Some(low), Some(high)) => {
            format!("{name} {}{unit} ({} to {})", say(*value), say(*low), say(*high))
        }
        (Some(value), ..) => format!("{name} {}{unit}", say(*value)),
        (None, Some(low), _) => format!("{name} at least {}{unit}", say(*low)),
        (None, None, Some(high)) => format!("{name} at most {}{unit}", say(*high)),
        (None, None, None) => format!("{name} not carried by this log"),
    }
}
