//! `recording`: how an actual value follows its command; `compare`: before against after.

use logs::{LogError, Options, Recording, read_csv};
use measure::{
    CompareAnswer, RecordingAnswer, RecordingMeta, compare as compare_answers,
    judge_recording,
};

use crate::{Problem, Source};

/// Which columns of a recording are judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Time; `None`: it is found.
    pub time: Option<String>,
    /// What was commanded.
    pub command: String,
    /// What happened.
    pub actual: String,
}

/// Judges one recording.
///
/// # Errors
/// No file, no table, no such column, or too little in it.
pub fn recording(source: &Source, columns: &Columns) -> Result<RecordingAnswer, Problem> {
    let read = read(source, columns.time.as_deref())?;
    let named = |error: LogError| wrong(source, &error);
    let command = read.channel(&columns.command).map_err(named)?;
    let actual = read.channel(&columns.actual).map_err(named)?;
    judge_recording(command, actual, RecordingMeta::from(&read))
        .map_err(|error| Problem::wrong("recording", error).in_file(source))
}

/// Two recordings with what changed between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// What changed.
    pub answer: CompareAnswer,
    /// Before.
    pub before: RecordingAnswer,
    /// After.
    pub after: RecordingAnswer,
}

/// Compares two recordings of the same columns.
///
/// # Errors
/// As [`recording`].
pub fn compare(
    before: &Source,
    after: &Source,
    columns: &Columns,
    margin_s: Option<f64>,
) -> Result<Compared, Problem> {
    let (before, after) = (recording(before, columns)?, recording(after, columns)?);
    let answer = compare_answers(&before, &after, margin_s);
    Ok(Compared { answer, before, after })
}

fn read(source: &Source, time: Option<&str>) -> Result<Recording, Problem> {
    let options = Options { time: time.map(str::to_owned), ..Options::default() };
    let bytes = source.bytes(options.max_bytes)?;
    read_csv(&bytes, &options).map_err(|error| wrong(source, &error))
}

fn wrong(source: &Source, error: &LogError) -> Problem {
    Problem::wrong("recording", error).in_file(source)
}
