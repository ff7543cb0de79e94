//! A long recording read and judged, against the time in which a general-purpose library only
//! reads the same file.

use std::fs::File;
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use logs::{ByteSource, Options, Recording, read};
use measure::{RecordingMeta, judge_recording};
use serde::{Deserialize, Serialize};

use crate::dice::Dice;
use crate::own::{cpu_s, peak_mb};
use crate::python::{self, RECORDINGS};
use crate::say::{note, say};

/// Each is read so often, and the least time counts; the script does the same.
const REPEATS: usize = 3;
/// Sums of ten million numbers in another order.
const SAME: f64 = 1e-9;
/// Rows from one step of the command to the next.
const HELD: u64 = 2_000;
/// Rows a second.
const PER_S: f64 = 100.0;
/// Dead time and time constant of the answer, s.
const ANSWER: (f64, f64) = (0.2, 0.25);
/// The columns judged.
const COLUMNS: [&str; 2] = ["commanded", "actual"];

/// What to measure.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Rows of the recording, six columns each.
    #[arg(long, default_value_t = 10_000_000)]
    rows: u64,
    /// Read without judging.
    #[arg(long)]
    read_only: bool,
    /// Threads that read; 0: as many as the machine has.
    #[arg(long, default_value_t = 0)]
    threads: usize,
    /// Read this file and tell how it went: what the table asks of a process of its own.
    #[arg(long, hide = true)]
    one: Option<PathBuf>,
}

/// How one file went.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Ours {
    read_s: f64,
    s: f64,
    cpu_s: Option<f64>,
    peak_mb: Option<f64>,
    rows: usize,
    sum: f64,
}

/// What the script found.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Theirs {
    s: f64,
    cpu_s: f64,
    rows: usize,
    sum: f64,
}

/// What the script found of both files.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Both {
    csv: Theirs,
    parquet: Theirs,
    peak_mb: f64,
}

/// Prints the table.
///
/// # Errors
/// A file that can't be written or read, Python that can't be had, or values that differ.
pub(crate) fn run(args: &Args) -> Result<(), String> {
    if let Some(file) = &args.one {
        let ours = one(file, args)?;
        say(&serde_json::to_string(&ours).map_err(|error| error.to_string())?);
        return Ok(());
    }
    let folder = python::folder()?;
    let csv = folder.path().join("log.csv");
    note(&format!("Writing a recording of {} rows.", args.rows));
    written(&csv, args.rows).map_err(|error| format!("{}: {error}", csv.display()))?;
    python::run(RECORDINGS, folder.path())?;
    let text = python::read(&folder.path().join("result.json"))?;
    let theirs: Both = serde_json::from_str(&text).map_err(|error| error.to_string())?;
    say(&format!(
        "{:<8} {:>6} {:>9} {:>7} {:>7} {:>8} {:>8} {:>8} {:>6} {:>10} {:>8} {:>8}",
        "file",
        "MB",
        "rows",
        "ours s",
        "read s",
        "ours cpu",
        "lib. s",
        "lib. cpu",
        "ratio",
        "cpu ratio",
        "ours MB",
        "lib. MB"
    ));
    let mut worst = 0.0_f64;
    for (name, theirs, peak) in
        [("csv", theirs.csv, Some(theirs.peak_mb)), ("parquet", theirs.parquet, None)]
    {
        let file = folder.path().join(format!("log.{name}"));
        let ours = least(&file, args)?;
        if ours.rows != theirs.rows {
            return Err(format!(
                "{name}: {} rows were read, not {}",
                ours.rows, theirs.rows
            ));
        }
        worst = worst.max((ours.sum - theirs.sum).abs() / theirs.sum.abs().max(1.0));
        say(&line(name, &file, (ours, theirs, peak)));
    }
    if worst > SAME {
        return Err(format!("the values differ by {worst:.1e}, more than {SAME:.0e}"));
    }
    Ok(())
}

fn line(
    name: &str,
    file: &Path,
    (ours, theirs, peak): (Ours, Theirs, Option<f64>),
) -> String {
    let shown = |number: Option<f64>, digits: usize| {
        number.map_or_else(|| "-".to_owned(), |number| format!("{number:.digits$}"))
    };
    let megabytes = std::fs::metadata(file).ok().map(|meta| megabytes(meta.len()));
    format!(
        "{name:<8} {:>6} {:>9} {:>7.2} {:>7.2} {:>8} {:>8.2} {:>8.2} {:>6.2} {:>10} {:>8} {:>8}",
        shown(megabytes, 0),
        ours.rows,
        ours.s,
        ours.read_s,
        shown(ours.cpu_s, 2),
        theirs.s,
        theirs.cpu_s,
        ours.s / theirs.s,
        shown(ours.cpu_s.map(|cpu_s| cpu_s / theirs.cpu_s), 2),
        shown(ours.peak_mb, 0),
        shown(peak, 0),
    )
}

#[expect(clippy::cast_precision_loss, reason = "shown in whole megabytes")]
fn megabytes(bytes: u64) -> f64 {
    bytes as f64 / 1e6
}

/// A recording like one of a bench: a command in steps, its answer with lag and noise, engine
/// speed, pressure and temperature.
fn written(path: &Path, rows: u64) -> io::Result<()> {
    let mut out = BufWriter::with_capacity(1 << 20, File::create(path)?);
    writeln!(
        out,
        "time_s,commanded [%],actual [%],speed [1/min],pressure [kPa],oil [C]"
    )?;
    let mut dice = Dice(7);
    let (mut answer, mut oil) = (20.0, 60.0);
    let keeps = (-1.0 / (PER_S * ANSWER.1)).exp();
    for row in 0..rows {
        let steps = |row: u64| {
            if row.checked_div(HELD).is_some_and(|n| n % 2 == 0) { 20 } else { 60 }
        };
        let late = row.saturating_sub(20);
        answer = f64::from(steps(late)) + (answer - f64::from(steps(late))) * keeps;
        // The sum of three even numbers is near enough to noise.
        let mut noise =
            |size: f64| size * ((0..3).map(|_| dice.share(0, 1_000)).sum::<f64>() - 1.5);
        let (shown, speed) = (answer + noise(0.6), 850.0 + noise(40.0));
        let pressure = 101.0 + noise(2.0);
        oil = (oil + noise(0.02)).clamp(40.0, 110.0);
        let (s, part) = (row.checked_div(100).unwrap_or(0), row % 100);
        writeln!(
            out,
            "{s}.{part:02},{},{shown:.2},{speed:.1},{pressure:.2},{oil:.1}",
            steps(row)
        )?;
    }
    out.flush()
}

/// The quickest of some readings, each by a process of its own.
fn least(file: &Path, args: &Args) -> Result<Ours, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let mut best: Option<Ours> = None;
    for _ in 0..REPEATS {
        let mut command = Command::new(&program);
        command.arg("recordings").arg("--one").arg(file);
        command.args(["--threads", &args.threads.to_string()]);
        command.args(args.read_only.then_some("--read-only"));
        let done = command.output().map_err(|error| error.to_string())?;
        if !done.status.success() {
            return Err(String::from_utf8_lossy(&done.stderr).into_owned());
        }
        let ours: Ours =
            serde_json::from_slice(&done.stdout).map_err(|error| error.to_string())?;
        if best.is_none_or(|best| ours.s < best.s) {
            best = Some(ours);
        }
    }
    best.ok_or_else(|| "nothing was read".to_owned())
}

fn one(file: &Path, args: &Args) -> Result<Ours, String> {
    let began = Instant::now();
    let source =
        OnDisk::open(file).map_err(|error| format!("{}: {error}", file.display()))?;
    let keep = Some(COLUMNS.map(str::to_owned).to_vec());
    let mut options = Options { keep, max_bytes: usize::MAX, ..Options::default() };
    if args.threads > 0 {
        options.threads = args.threads;
    }
    let log = read(&source, &options).map_err(|error| error.to_string())?;
    let read_s = began.elapsed().as_secs_f64();
    if !args.read_only {
        judged(&log)?;
    }
    let s = began.elapsed().as_secs_f64();
    let (cpu_s, peak_mb) = (cpu_s(), peak_mb());
    let actual = log.channel(COLUMNS[1]).map_err(|error| error.to_string())?;
    let sum = actual.samples.iter().map(|sample| sample.1).sum();
    Ok(Ours { read_s, s, cpu_s, peak_mb, rows: log.rows, sum })
}

/// The judgement, which must find the made time constant.
fn judged(log: &Recording) -> Result<(), String> {
    let [command, actual] = COLUMNS.map(|name| log.channel(name));
    let (command, actual) =
        (command.map_err(|e| e.to_string())?, actual.map_err(|e| e.to_string())?);
    let answer = judge_recording(command, actual, RecordingMeta::default())
        .map_err(|error| error.to_string())?;
    match answer.time_constant_s.value {
        Some(tau) if (tau - ANSWER.1).abs() < 0.05 * ANSWER.1 => Ok(()),
        found => Err(format!("the time constant is {found:?}, not {} s", ANSWER.1)),
    }
}

/// A file that is read by place.
struct OnDisk {
    file: Mutex<File>,
    size: u64,
}

impl OnDisk {
    fn open(path: &Path) -> io::Result<Self> {
        let file = File::open(path)?;
        let size = file.metadata()?.len();
        Ok(Self { file: Mutex::new(file), size })
    }
}

impl ByteSource for OnDisk {
    fn size(&self) -> u64 {
        self.size
    }

    fn read_at(&self, at: u64, into: &mut [u8]) -> io::Result<usize> {
        let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(at))?;
        file.read(into)
    }
}
