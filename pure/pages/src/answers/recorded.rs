//! `recording/1` and `compare/1`: how something follows its command, before and after.

use measure::compare::Change;
use measure::{CompareAnswer, RecordingAnswer};

use super::estimate;
use crate::{Block, Overlay, Page, StepTrace, Table, Traces, Words, overlay, pair, say};

/// How something follows its command.
#[must_use]
pub fn recording_page(answer: &RecordingAnswer, language: &str) -> Page {
    let mut page = Page::new("Recording", language);
    let steps = u32::try_from(answer.steps).unwrap_or(u32::MAX);
    page.lead(match answer.steps {
        0 => "No step of the command found.".to_owned(),
        _ => format!("{} of the command.", say::count(steps, "step", "steps")),
    });
    page.facts(vec![
        pair("Dead time", estimate(&answer.dead_time_s, "s")),
        pair("Time constant", estimate(&answer.time_constant_s, "s")),
        pair("Gain", estimate(&answer.gain, "")),
        pair("Fastest move", estimate(&answer.slew_per_s, "a second")),
        pair("Steady error", estimate(&answer.steady_error, "")),
        pair("Between the ways up and down", estimate(&answer.hysteresis, "")),
    ]);
    if !answer.per_step.is_empty() {
        let panel = step_traces(answer, "Every step");
        page.blocks.push(drawn("Each step over the others", vec![panel]));
    }
    page.heading("The log");
    page.facts(vec![
        pair("Rows", format!("{} used of {}", answer.kept, answer.rows)),
        pair("Length", say::minutes(answer.duration_s / 60.0)),
    ]);
    let mut table = Table::new(&["Signal", "Unit", ">Fresh samples", ">Every"]);
    for channel in &answer.channels {
        let every = channel
            .median_interval_s
            .map_or_else(String::new, |s| format!("{} s", say::significant(s, 3)));
        table.row(vec![
            Words::from(&channel.name),
            Words::from(channel.unit.as_deref().unwrap_or_default()),
            Words::from(channel.fresh.to_string()),
            Words::from(every),
        ]);
    }
    page.table(table);
    page.remarks(&answer.remarks);
    page
}

/// What changed between two recordings; with both at hand their steps are drawn.
#[must_use]
pub fn compare_page(
    answer: &CompareAnswer,
    recordings: Option<(&RecordingAnswer, &RecordingAnswer)>,
    language: &str,
) -> Page {
    let mut page = Page::new("Before and after", language);
    page.lead(match answer.verdict {
        Change::Changed => "Changed.",
        Change::Same => "The same within the margin.",
        Change::NotDecided => "Not decided.",
    });
    let more = answer.more_steps.map_or_else(String::new, |steps| {
        format!("about {} on each side", say::count(steps, "more step", "more steps"))
    });
    page.facts(vec![
        pair("What is compared", plain(answer.metric)),
        pair("Difference", estimate(&answer.effect, "")),
        pair("Before", estimate(&answer.before, "")),
        pair("After", estimate(&answer.after, "")),
        pair("Counts as the same within", say::significant(answer.margin, 3)),
        pair("Would decide it", more),
    ]);
    if let Some((before, after)) = recordings {
        let panels = vec![step_traces(before, "Before"), step_traces(after, "After")];
        page.blocks.push(drawn("Each step over the others", panels));
    }
    page.remarks(&answer.remarks);
    page
}

/// `time_constant_s` as it is said.
fn plain(metric: &str) -> String {
    let (name, unit) = match (metric.strip_suffix("_per_s"), metric.strip_suffix("_s")) {
        (Some(name), _) => (name, ", a second"),
        (None, Some(name)) => (name, ", seconds"),
        (None, None) => (metric, ""),
    };
    format!("{}{unit}", name.replace('_', " "))
}

/// The steps of a recording on one scale: 0 where the value stood before the step, 1 a
/// full move by the commanded change.
#[must_use]
pub fn step_traces(answer: &RecordingAnswer, title: &str) -> Traces {
    let steps = answer
        .per_step
        .iter()
        .filter_map(|step| {
            let change = step.to - step.from;
            let before: Vec<f64> = step
                .samples
                .iter()
                .filter(|(t, _)| *t <= 0.0)
                .map(|(_, value)| *value)
                .collect();
            let count = u32::try_from(before.len()).ok().filter(|count| *count > 0)?;
            let stood = before.iter().sum::<f64>() / f64::from(count);
            (change.abs() > 0.0).then(|| StepTrace {
                points: step
                    .samples
                    .iter()
                    .map(|(t, value)| (*t, (value - stood) / change))
                    .collect(),
            })
        })
        .collect();
    let note = match answer.time_constant_s.value {
        Some(_) => format!("time constant {}", estimate(&answer.time_constant_s, "s")),
        None => String::new(),
    };
    Traces { title: title.to_owned(), note, steps }
}

fn drawn(title: &str, panels: Vec<Traces>) -> Block {
    let unit = "share of the commanded step".to_owned();
    Block::Drawing(overlay(&Overlay {
        title: title.to_owned(),
        unit,
        panels,
        band: None,
    }))
}
