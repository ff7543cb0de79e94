//! The planner on seeded sheets.

use std::process::Command;
use std::sync::Arc;
use std::time::{Duration, Instant};

use clap::ValueEnum as _;
use clap::builder::PossibleValue;
use plan::{Limits, PlanAsk, Planner};
use serde::{Deserialize, Serialize};
use sheet::Sheet;

use crate::ask;
use crate::own::peak_mb;
use crate::say::say;
use crate::sheets::{Shape, Size, sheet_text};

/// Sizes of the table: suspects/items/checks/repairs/proofs.
const SIZES: &str = "4/4/3/4/1,6/6/5/6/1,8/8/6/8/1,10/8/6/10/1,12/10/8/12/1,16/14/12/16/2,\
                     20/20/16/20/2";
/// Time for the first advice.
const FIRST: Duration = Duration::from_millis(40);
/// Time for the advice after a fact, and for that which it is held against.
const AGAIN: [Duration; 2] = [Duration::from_millis(60), Duration::from_secs(2)];

/// What to measure.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Shape of the sheets.
    #[arg(long, value_enum, default_value = "plain")]
    shape: Shape,
    /// Sizes as suspects/items/checks/repairs/proofs, with commas between.
    #[arg(long, default_value = SIZES)]
    sizes: String,
    /// Sheets of each size.
    #[arg(long, default_value_t = 10)]
    seeds: u64,
    /// Seconds after which the gap is read, rising, with commas between.
    #[arg(long, default_value = "0.1,1,5")]
    seconds: String,
    /// Memory, MiB.
    #[arg(long, default_value_t = 512)]
    memory_mb: usize,
    /// Print a line a sheet.
    #[arg(long)]
    each: bool,
    /// Measure the sheet of this seed and tell how it went: what the table asks of a process
    /// of its own, so that memory is that of one sheet.
    #[arg(long, hide = true)]
    one: Option<u64>,
}

/// What was seen of one sheet.
#[derive(Debug, Serialize, Deserialize)]
struct Seen {
    first_ms: f64,
    /// Cost of the plain greedy policy, of looking one step ahead of it, of the first advice
    /// and of the last.
    greedy: f64,
    ahead: f64,
    first: f64,
    last: f64,
    /// Relative gap after each time.
    gaps: Vec<f64>,
    /// Seconds until the search ended by itself or by its time.
    took: f64,
    /// Whether the plan that is told then is proven.
    proven: bool,
    states: usize,
    /// Most memory of the process, MB.
    peak_mb: Option<f64>,
    /// Milliseconds until the advice after the likeliest outcome of the advised check, and how
    /// much dearer it is than with more time, as a share; `None`: another step is advised.
    again: Option<(f64, f64)>,
}

/// Prints the table.
///
/// # Errors
/// A size or time that cannot be read.
pub(crate) fn run(args: &Args) -> Result<(), String> {
    let seconds = numbers(&args.seconds)?;
    if let Some(seed) = args.one {
        let seen = measure(seed, args, &seconds)?;
        say(&serde_json::to_string(&seen).map_err(|error| error.to_string())?);
        return Ok(());
    }
    let heads: Vec<String> =
        seconds.iter().map(|s| format!("{:>22}", format!("gap {s} s"))).collect();
    say(&format!(
        "{:<16} {:>9} {:>8} {:>9} {:>20}  {}  {:>8} {:>8} {:>9} {:>5} {:>9} {:>20}",
        "size",
        "greedy +",
        "ahead +",
        "first ms",
        "first +",
        heads.concat(),
        "took s",
        "proven",
        "states",
        "MB",
        "again ms",
        "again +"
    ));
    for size in args.sizes.split(',') {
        let mut all = Vec::new();
        for seed in 0..args.seeds {
            let seen = by_itself(seed, size, args)?;
            if args.each {
                say(&line(
                    &format!("{size} #{seed}"),
                    std::slice::from_ref(&seen.gaps),
                    &[&seen],
                ));
            }
            all.push(seen);
        }
        let gaps: Vec<Vec<f64>> = all.iter().map(|seen| seen.gaps.clone()).collect();
        say(&line(size, &gaps, &all.iter().collect::<Vec<_>>()));
    }
    Ok(())
}

/// Measures a sheet in a process of its own.
fn by_itself(seed: u64, size: &str, args: &Args) -> Result<Seen, String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    let shape = args.shape.to_possible_value();
    let shape = shape.as_ref().map_or("plain", PossibleValue::get_name);
    let done = Command::new(program)
        .args(["planner", "--one", &seed.to_string(), "--sizes", size])
        .args(["--shape", shape, "--seconds", &args.seconds])
        .args(["--memory-mb", &args.memory_mb.to_string()])
        .output()
        .map_err(|error| error.to_string())?;
    if !done.status.success() {
        return Err(String::from_utf8_lossy(&done.stderr).into_owned());
    }
    serde_json::from_slice(&done.stdout).map_err(|error| error.to_string())
}

fn measure(seed: u64, args: &Args, seconds: &[f64]) -> Result<Seen, String> {
    let text = sheet_text(args.shape, seed, Size::read(&args.sizes)?);
    let sheet: Sheet = sheet::read(&text).sheet.ok_or("a made sheet has mistakes")?;
    let bytes = args.memory_mb.saturating_mul(1 << 20);
    let limits = Limits { gap: 0.0, nodes: usize::MAX, bytes, step_only: false };
    let ask = ask::of_planner(&sheet, limits)?;
    let sheet = Arc::new(sheet);
    let started = Instant::now();
    let mut planner =
        Planner::new(Arc::clone(&sheet), &ask).map_err(|problem| problem.to_string())?;
    let greedy = planner.bounds().1;
    let ahead = planner.answer(&ask, &|| false).expected_cost;
    planner.sketch(&|| started.elapsed() < FIRST);
    let first = planner.answer(&ask, &|| false).expected_cost;
    let first_ms = started.elapsed().as_secs_f64() * 1000.0;
    let started = Instant::now();
    let mut gaps = Vec::new();
    for until in seconds {
        let until = Duration::from_secs_f64(*until);
        planner.improve(&|| started.elapsed() < until);
        let (low, high) = planner.bounds();
        let gap = (high - low) / high.max(1e-9);
        gaps.push(if gap <= 1e-9 { 0.0 } else { gap });
    }
    let took = started.elapsed().as_secs_f64();
    let told = planner.answer(&ask, &|| false);
    let (last, proven) = (told.expected_cost, told.proven);
    let (states, peak_mb) = (planner.size(), peak_mb());
    let after = ask::after(&sheet, &told.next, &ask);
    let again = after.map(|after| again(&mut planner, &sheet, &after)).transpose()?;
    Ok(Seen {
        first_ms,
        greedy,
        ahead,
        first,
        last,
        gaps,
        took,
        proven,
        states,
        peak_mb,
        again,
    })
}

/// Milliseconds until the advice after a fact, and how much dearer it is than with more time.
fn again(
    planner: &mut Planner,
    sheet: &Arc<Sheet>,
    after: &PlanAsk,
) -> Result<(f64, f64), String> {
    let started = Instant::now();
    planner.move_on(sheet, after).map_err(|problem| problem.to_string())?;
    let mut advice = AGAIN.map(|until| {
        planner.improve(&|| started.elapsed() < until);
        let cost = planner.answer(after, &|| false).expected_cost;
        (cost, started.elapsed().as_secs_f64() * 1000.0)
    });
    // With more time a plan is never dearer but by rounding.
    advice[1].0 = advice[1].0.min(advice[0].0);
    Ok((advice[0].1, advice[0].0 / advice[1].0 - 1.0))
}

fn line(name: &str, gaps: &[Vec<f64>], seen: &[&Seen]) -> String {
    let times = gaps.first().map_or(0, Vec::len);
    let columns: Vec<String> = (0..times)
        .map(|at| {
            let mut column: Vec<f64> = gaps.iter().map(|gaps| 100.0 * gaps[at]).collect();
            column.sort_by(f64::total_cmp);
            let (middle, worst) = (median(&column), column[column.len() - 1]);
            format!("{:>22}", format!("{middle:.2} %, worst {worst:.1} %"))
        })
        .collect();
    let columns = columns.concat();
    let proven = seen.iter().filter(|seen| seen.proven).count();
    let mut first: Vec<f64> = seen.iter().map(|seen| seen.first_ms).collect();
    first.sort_by(f64::total_cmp);
    let count = u32::try_from(seen.len()).map_or(1.0, f64::from);
    let dearer = |of: &dyn Fn(&Seen) -> f64| {
        let parts = seen.iter().map(|seen| 100.0 * (of(seen) / seen.last - 1.0));
        (parts.clone().sum::<f64>() / count, parts.fold(0.0, f64::max))
    };
    let (greedy, _) = dearer(&|seen| seen.greedy);
    let (ahead, _) = dearer(&|seen| seen.ahead);
    let (mean, worst) = dearer(&|seen| seen.first);
    let mut took: Vec<f64> = seen.iter().map(|seen| seen.took).collect();
    took.sort_by(f64::total_cmp);
    let again = again_column(&seen.iter().filter_map(|s| s.again).collect::<Vec<_>>());
    let states = seen.iter().map(|seen| seen.states).max().unwrap_or(0);
    let peaks = seen.iter().filter_map(|seen| seen.peak_mb);
    let peak = peaks.reduce(f64::max);
    let peak = peak.map_or_else(|| "-".to_owned(), |peak| format!("{peak:.0}"));
    format!(
        "{name:<16} {greedy:>7.1} % {ahead:>6.1} % {:>9.1} {:>20}  {columns}  {:>8.2} {:>8} {states:>9} {peak:>5} {again}",
        median(&first),
        format!("{mean:.1} %, worst {worst:.1} %"),
        median(&took),
        format!("{proven}/{}", seen.len()),
    )
}

fn again_column(again: &[(f64, f64)]) -> String {
    if again.is_empty() {
        return format!("{:>9} {:>20}", "-", "-");
    }
    let mut times: Vec<f64> = again.iter().map(|(ms, _)| *ms).collect();
    times.sort_by(f64::total_cmp);
    let dearer = again.iter().map(|(_, dearer)| 100.0 * dearer);
    let count = u32::try_from(again.len()).map_or(1.0, f64::from);
    let (mean, worst) = (dearer.clone().sum::<f64>() / count, dearer.fold(0.0, f64::max));
    let dearer = format!("{mean:.1} %, worst {worst:.1} %");
    format!("{:>9.1} {dearer:>20}", median(&times))
}

/// The middle of values that rise.
fn median(rising: &[f64]) -> f64 {
    let half = rising.len().div_euclid(2);
    if rising.len().rem_euclid(2) == 1 {
        rising[half]
    } else {
        0.5 * (rising[half - 1] + rising[half])
    }
}

fn numbers(text: &str) -> Result<Vec<f64>, String> {
    text.split(',')
        .map(|part| part.trim().parse().map_err(|_| format!("`{part}` is no number")))
        .collect()
}
