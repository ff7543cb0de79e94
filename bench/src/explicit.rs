//! The planner against a general-purpose solver on sheets written out as explicit processes.

use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use plan::judge::{JudgeError, Unfolded, unfold};
use plan::{Limits, Planner};
use serde::Deserialize;
use sheet::Sheet;

use crate::ask;
use crate::python::{self, EXPLICIT};
use crate::say::{note, say};
use crate::sheets::{Shape, Size, sheet_text};

/// Sizes of the table: suspects/items/checks/repairs/proofs.
const SIZES: &str = "2/2/2/2/1,3/3/2/3/1,4/4/3/3/1,4/4/3/4/1";
/// Each is solved so often, and the least time counts; the script does the same.
const REPEATS: usize = 3;
/// Both sides round sums of some hundreds of products.
const SAME: f64 = 1e-9;

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
    /// States of an explicit process at most; a sheet with more is left out.
    #[arg(long, default_value_t = 500_000)]
    states: usize,
}

/// What the script found.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Solved {
    by_policy: f64,
    rounds: usize,
    policy_s: f64,
    by_backward: f64,
    backward_s: f64,
}

/// A sheet solved by the planner and written out.
struct Case {
    cost: f64,
    took_s: f64,
    written_s: f64,
    states: usize,
    steps: usize,
}

/// Prints the table.
///
/// # Errors
/// A size that cannot be read, Python that cannot be had, or values that are not the same.
pub(crate) fn run(args: &Args) -> Result<(), String> {
    let mut worst = 0.0_f64;
    say(&format!(
        "{:<12} {:>6} {:>9} {:>9} {:>12} {:>12} {:>9} {:>9} {:>9} {:>7} {:>9} {:>9} {:>8}",
        "size",
        "sheets",
        "states",
        "actions",
        "ours",
        "library",
        "differ",
        "ours ms",
        "policy ms",
        "rounds",
        "backw. ms",
        "write ms",
        "ratio"
    ));
    for size in args.sizes.split(',') {
        let folder = python::folder()?;
        let cases = written(args, Size::read(size)?, folder.path())?;
        if cases.is_empty() {
            say(&format!(
                "{size:<12} {:>6}  no sheet has at most {} states",
                0, args.states
            ));
            continue;
        }
        python::run(EXPLICIT, folder.path())?;
        let answers = python::read(&folder.path().join("result.json"))?;
        let solved: Vec<Solved> =
            serde_json::from_str(&answers).map_err(|error| error.to_string())?;
        if solved.len() != cases.len() {
            return Err("the script did not solve every sheet".to_owned());
        }
        let apart = cases.iter().zip(&solved).map(|(case, solved)| apart(case, solved));
        let apart = apart.fold(0.0, f64::max);
        worst = worst.max(apart);
        say(&line(size, (&cases, &solved), apart));
    }
    if worst > SAME {
        return Err(format!("the values differ by {worst:.1e}, more than {SAME:.0e}"));
    }
    Ok(())
}

/// Suspects/items/checks/repairs/proofs.
/// Solves and writes out the sheets of a size; leaves out those of too many states.
fn written(args: &Args, size: Size, folder: &Path) -> Result<Vec<Case>, String> {
    let mut cases = Vec::new();
    for seed in 0..args.seeds {
        let text = sheet_text(args.shape, seed, size);
        let sheet = sheet::read(&text).sheet.ok_or("a made sheet has mistakes")?;
        let began = Instant::now();
        let process = match unfold(&sheet, &ask::of_judge(&sheet, args.states)?) {
            Ok(process) => process,
            Err(JudgeError::TooLarge { what, limit }) => {
                note(&format!("seed {seed}: more than {limit} {what}, left out"));
                continue;
            }
            Err(error) => return Err(error.to_string()),
        };
        let written_s = began.elapsed().as_secs_f64();
        let (cost, took_s) = planned(&Arc::new(sheet))?;
        files(folder, cases.len(), &process)?;
        let (states, steps) = (process.ranks.len(), process.from.len());
        cases.push(Case { cost, took_s, written_s, states, steps });
    }
    let names: Vec<String> = (0..cases.len()).map(|case| case.to_string()).collect();
    let names = serde_json::to_string(&names).map_err(|error| error.to_string())?;
    python::write(&folder.join("cases.json"), names.as_bytes())?;
    Ok(cases)
}

/// The least cost and how long it took until it was proven, on one thread.
fn planned(sheet: &Arc<Sheet>) -> Result<(f64, f64), String> {
    let (nodes, bytes) = (usize::MAX, usize::MAX);
    let limits = Limits { gap: 0.0, nodes, bytes, step_only: false };
    let asked = ask::of_planner(sheet, limits)?;
    let (mut cost, mut best) = (f64::NAN, f64::INFINITY);
    for _ in 0..REPEATS {
        let began = Instant::now();
        let mut planner =
            Planner::new(Arc::clone(sheet), &asked).map_err(|error| error.to_string())?;
        planner.improve(&|| true);
        best = best.min(began.elapsed().as_secs_f64());
        let (low, high) = planner.bounds();
        if high - low > SAME * high.max(1.0) {
            return Err(format!("the planner proved {low} to {high} only"));
        }
        cost = high;
    }
    Ok((cost, best))
}

/// One file an array, little end first.
fn files(folder: &Path, case: usize, process: &Unfolded) -> Result<(), String> {
    let file = |name: &str, bytes: Vec<u8>| {
        python::write(&folder.join(format!("{case}.{name}")), &bytes)
    };
    let small = |numbers: &[usize]| -> Result<Vec<u8>, String> {
        let mut bytes = Vec::with_capacity(4 * numbers.len());
        for number in numbers {
            let number = u32::try_from(*number).map_err(|_| "too many states")?;
            bytes.extend(number.to_le_bytes());
        }
        Ok(bytes)
    };
    let real = |numbers: &[f64]| numbers.iter().flat_map(|x| x.to_le_bytes()).collect();
    file("ranks", process.ranks.iter().flat_map(|rank| rank.to_le_bytes()).collect())?;
    file("from", small(&process.from)?)?;
    file("costs", real(&process.costs))?;
    file("starts", small(&process.starts)?)?;
    file("to", small(&process.to)?)?;
    file("chances", real(&process.chances))
}

/// The largest relative difference of our value and the library's two.
fn apart(case: &Case, solved: &Solved) -> f64 {
    let apart = |value: f64| (value - case.cost).abs() / case.cost.abs().max(1.0);
    let (policy, backward) = (apart(solved.by_policy), apart(solved.by_backward));
    if policy.is_nan() || backward.is_nan() {
        f64::INFINITY
    } else {
        policy.max(backward)
    }
}

/// Means over the sheets; the ratio is of the times together, the library's faster way taken.
fn line(size: &str, (cases, solved): (&[Case], &[Solved]), apart: f64) -> String {
    let count = u32::try_from(cases.len()).map_or(1.0, f64::from);
    let mean = |of: &dyn Fn(&Case) -> f64| cases.iter().map(of).sum::<f64>() / count;
    let theirs = |of: &dyn Fn(&Solved) -> f64| solved.iter().map(of).sum::<f64>() / count;
    let ours_s = mean(&|case| case.took_s);
    let policy_s = theirs(&|solved| solved.policy_s);
    let backward_s = theirs(&|solved| solved.backward_s);
    let most = |of: &dyn Fn(&Case) -> usize| cases.iter().map(of).max().unwrap_or(0);
    format!(
        "{size:<12} {:>6} {:>9} {:>9} {:>12.4} {:>12.4} {apart:>9.1e} {:>9.3} {:>9.2} {:>7} \
         {:>9.2} {:>9.1} {:>8.1}",
        cases.len(),
        most(&|case| case.states),
        most(&|case| case.steps),
        mean(&|case| case.cost),
        theirs(&|solved| solved.by_policy),
        1e3 * ours_s,
        1e3 * policy_s,
        solved.iter().map(|solved| solved.rounds).max().unwrap_or(0),
        1e3 * backward_s,
        1e3 * mean(&|case| case.written_s),
        policy_s.min(backward_s) / ours_s,
    )
}
