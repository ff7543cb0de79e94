//! `recording`: how an actual value follows its command; `compare`: before against after.

use logs::{ByteSource, LogError, Options, Recording};
pub use measure::Frame;
use measure::{
    CompareAnswer, Conditions, RecordingAnswer, RecordingMeta,
    compare as compare_answers, exposure, judge_recording_in, only_rates,
};

use crate::{Problem, Source};

/// Larger files keep no column but those judged, bytes.
const LARGE: u64 = 64 << 20;

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

/// What of a recording lies in conditions like those of a stored frame, and how a command
/// is followed where columns are named.
///
/// # Errors
/// As [`recording`], or a condition that was not recorded.
pub fn like(
    source: &Source,
    time: Option<&str>,
    columns: Option<&Columns>,
    frame: &Frame,
) -> Result<RecordingAnswer, Problem> {
    let read = read(source, time, None)?;
    let found = exposure(&Conditions::find(&read), frame)
        .map_err(|error| Problem::wrong("recording", error).in_file(source))?;
    let mut answer = match columns {
        Some(columns) => judged(&read, source, columns)?,
        None => only_rates(RecordingMeta::from(&read)),
    };
    answer.like = Some(found);
    Ok(answer)
}

/// Judges one recording.
///
/// # Errors
/// No file, no table, no such column, or too little in it.
pub fn recording(source: &Source, columns: &Columns) -> Result<RecordingAnswer, Problem> {
    judged(&read(source, columns.time.as_deref(), Some(columns))?, source, columns)
}

fn judged(
    read: &Recording,
    source: &Source,
    columns: &Columns,
) -> Result<RecordingAnswer, Problem> {
    let named = |error: LogError| wrong(source, &error);
    let command = read.channel(&columns.command).map_err(named)?;
    let actual = read.channel(&columns.actual).map_err(named)?;
    let conditions = Conditions::find(read);
    let mut about = RecordingMeta::from(read);
    for channel in [command, actual] {
        let odd = read.findings.iter().filter(|one| one.name == channel.name);
        let odd = odd.flat_map(|one| &one.found);
        about.remarks.extend(odd.map(|what| format!("`{}` {what}", channel.name)));
    }
    judge_recording_in(command, actual, about, &conditions)
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

/// Reads a file; of one that is larger than [`LARGE`] only what is judged is kept.
fn read(
    source: &Source,
    time: Option<&str>,
    judged: Option<&Columns>,
) -> Result<Recording, Problem> {
    let mut options = Options { time: time.map(str::to_owned), ..Options::default() };
    let bytes = source.by_place(options.max_bytes)?;
    if let Some(columns) = judged.filter(|_| bytes.size() > LARGE) {
        options.keep = Some(vec![columns.command.clone(), columns.actual.clone()]);
    }
    let mut read = logs::read(&bytes, &options).map_err(|error| wrong(source, &error))?;
    if options.keep.is_some() {
        read.remarks.push(
            "the file is large: conditions of the steps (engine speed, load) were left out"
                .to_owned(),
        );
    }
    Ok(read)
}

fn wrong(source: &Source, error: &LogError) -> Problem {
    Problem::wrong("recording", error).in_file(source)
}
