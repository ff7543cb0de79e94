//! The planner on seeded sheets.

use std::sync::Arc;
use std::time::{Duration, Instant};

use plan::{Ask, Inputs, Limits, PlanAsk, Planner};
use sheet::{ItemSet, Sheet};

use crate::sheets::{Shape, Size, sheet_text};

/// Sizes of the table: suspects/items/checks/repairs/proofs.
const SIZES: &str = "4/4/3/4/1,6/6/5/6/1,8/8/6/8/1,10/8/6/10/1,12/10/8/12/1,16/14/12/16/2,\
                     20/20/16/20/2";
/// A state of the search with its acts and outcomes takes about this much.
const BYTES_PER_STATE: usize = 600;

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
}

/// What was seen of one sheet.
struct Seen {
    first_ms: f64,
    /// Cost of the first advice and of the last.
    first: f64,
    last: f64,
    /// Relative gap after each time.
    gaps: Vec<f64>,
    states: usize,
}

/// Prints the table.
///
/// # Errors
/// A size or time that cannot be read.
pub(crate) fn run(args: &Args) -> Result<(), String> {
    let seconds = numbers(&args.seconds)?;
    let heads: Vec<String> =
        seconds.iter().map(|s| format!("{:>22}", format!("gap {s} s"))).collect();
    say(&format!(
        "{:<16} {:>9} {:>7}  {}  {:>8} {:>9}",
        "size",
        "first ms",
        "first +",
        heads.concat(),
        "proven",
        "states"
    ));
    for size in args.sizes.split(',') {
        let parsed = size_of(size)?;
        let mut all = Vec::new();
        for seed in 0..args.seeds {
            let text = sheet_text(args.shape, seed, parsed);
            let sheet = sheet::read(&text).sheet.ok_or("a made sheet has mistakes")?;
            let seen = measure(sheet, &seconds, args.memory_mb)?;
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

fn measure(sheet: Sheet, seconds: &[f64], memory_mb: usize) -> Result<Seen, String> {
    let nodes = memory_mb.saturating_mul(1 << 20).div_euclid(BYTES_PER_STATE);
    let ask = asked(&sheet, nodes)?;
    let sheet = Arc::new(sheet);
    let started = Instant::now();
    let mut planner = Planner::new(sheet, &ask).map_err(|problem| problem.to_string())?;
    let first = planner.answer(&ask, &|| true).expected_cost;
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
    let last = planner.bounds().1;
    Ok(Seen { first_ms, first, last, gaps, states: planner.size() })
}

fn asked(sheet: &Sheet, nodes: usize) -> Result<PlanAsk, String> {
    let economy = sheet.economy.clone();
    let odds = weigh::weigh(sheet, &economy, sheet.recurrence.as_ref(), &[])
        .map_err(|problem| format!("{problem:?}"))?;
    let inputs = Inputs {
        done: Vec::new(),
        without: Vec::new(),
        off: Vec::new(),
        has: None,
        currency: economy.currency.clone(),
        labour_per_hour: economy.labour_per_hour,
        bay_per_hour: economy.bay_per_hour,
        comeback: economy.comeback,
        pass_on: economy.pass_on,
        rust: economy.rust.word().to_owned(),
        active: economy.active,
        seen: None,
        over: None,
        over_unit: None,
        ends: None,
        limit: None,
        gap: 0.0,
        budget_ms: 0,
        nodes: None,
        memory_mb: 0,
    };
    let recurrence = sheet.recurrence;
    let (off, has, without) = (ItemSet::EMPTY, None, Vec::new());
    Ok(PlanAsk {
        ask: Ask { economy, recurrence, odds, off, has, without },
        limit: None,
        language: "en".to_owned(),
        limits: Limits { gap: 0.0, nodes },
        tree: None,
        stats: true,
        inputs,
    })
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
    let proven = gaps.iter().filter(|gaps| gaps[times - 1] <= 0.0).count();
    let mut first: Vec<f64> = seen.iter().map(|seen| seen.first_ms).collect();
    first.sort_by(f64::total_cmp);
    let dearer: f64 =
        seen.iter().map(|seen| 100.0 * (seen.first / seen.last - 1.0)).sum();
    let count = u32::try_from(seen.len()).map_or(1.0, f64::from);
    let states = seen.iter().map(|seen| seen.states).max().unwrap_or(0);
    format!(
        "{name:<16} {:>9.1} {:>5.1} %  {columns}  {:>8} {states:>9}",
        median(&first),
        dearer / count,
        format!("{proven}/{}", seen.len()),
    )
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

fn size_of(text: &str) -> Result<Size, String> {
    let parts: Result<Vec<usize>, String> = text
        .split('/')
        .map(|part| part.trim().parse().map_err(|_| format!("`{part}` is no number")))
        .collect();
    match parts?[..] {
        [suspects, items, checks, repairs, proofs] if suspects > 0 && items > 0 => {
            Ok(Size { suspects, items, checks, repairs, proofs })
        }
        _ => Err(format!("`{text}`: suspects/items/checks/repairs/proofs, as 8/8/6/8/1")),
    }
}

#[expect(clippy::print_stdout, reason = "the table is what the command is for")]
fn say(line: &str) {
    println!("{line}");
}
