//! Odds after answers against exact inference, on single faults of a published network.

use std::time::Instant;

use job::Fact;
use serde::Deserialize;
use sheet::{CheckIx, OutcomeIx, Sheet};

use crate::dice::Dice;
use crate::python::{self, FAULTS, POSTERIORS};
use crate::say::say;

/// Both sides multiply and divide some dozens of numbers.
const SAME: f64 = 1e-10;
/// Each side weighs all answers so often beforehand that it is warm.
const WARM: usize = 20;

/// What to measure.
#[derive(Debug, clap::Args)]
pub(crate) struct Args {
    /// Sequences of answers.
    #[arg(long, default_value_t = 500)]
    sequences: usize,
    /// Seed of the sequences.
    #[arg(long, default_value_t = 1)]
    seed: u64,
}

/// What `faults.py` says of the network.
#[derive(Debug, Deserialize)]
struct Model {
    nodes: usize,
}

/// What `posteriors.py` found.
#[derive(Debug, Deserialize)]
struct Weighed {
    odds: Vec<Vec<f64>>,
    seconds: f64,
}

/// Prints the table.
///
/// # Errors
/// Python cannot be had, the sheet has mistakes, or odds that are not the same.
pub(crate) fn run(args: &Args) -> Result<(), String> {
    let folder = python::folder()?;
    let file = |name: &str| folder.path().join(name);
    python::run(FAULTS, folder.path())?;
    let wrong = |error: serde_json::Error| error.to_string();
    let model: Model =
        serde_json::from_str(&python::read(&file("model.json"))?).map_err(wrong)?;
    let read = sheet::read(&python::read(&file("sheet.toml"))?);
    let sheet = read.sheet.ok_or_else(|| format!("the sheet: {:?}", read.remarks))?;

    let mut dice = Dice(args.seed);
    let sequences: Vec<Vec<(usize, usize)>> =
        (0..args.sequences).map(|_| answers(&sheet, &mut dice)).collect();
    let text = serde_json::to_string(&sequences).map_err(wrong)?;
    python::write(&file("sequences.json"), text.as_bytes())?;
    weighed(&sheet, &sequences[..WARM.min(sequences.len())])?;
    let began = Instant::now();
    let ours = weighed(&sheet, &sequences)?;
    let ours_s = began.elapsed().as_secs_f64();
    python::run(POSTERIORS, folder.path())?;
    let theirs: Weighed =
        serde_json::from_str(&python::read(&file("result.json"))?).map_err(wrong)?;

    if theirs.odds.len() != ours.len() {
        return Err("the script did not weigh every answer".to_owned());
    }
    let apart = apart(&ours, &theirs.odds);
    let updates = ours.len().max(1);
    let each =
        |seconds: f64| 1e6 * seconds / u32::try_from(updates).map_or(1.0, f64::from);
    say(&format!(
        "{:<10} {:>6} {:>7} {:>7} {:>10} {:>8} {:>9} {:>9} {:>11} {:>8}",
        "network",
        "nodes",
        "causes",
        "checks",
        "sequences",
        "updates",
        "differ",
        "ours us",
        "library us",
        "ratio"
    ));
    say(&format!(
        "{:<10} {:>6} {:>7} {:>7} {:>10} {:>8} {apart:>9.1e} {:>9.2} {:>11.1} {:>8.0}",
        "win95pts",
        model.nodes,
        sheet.suspects.len(),
        sheet.checks.len(),
        sequences.len(),
        ours.len(),
        each(ours_s),
        each(theirs.seconds),
        theirs.seconds / ours_s
    ));
    if apart > SAME {
        return Err(format!("the odds differ by {apart:.1e}, more than {SAME:.0e}"));
    }
    Ok(())
}

/// Answers to some checks in some order, as one cause would give them.
fn answers(sheet: &Sheet, dice: &mut Dice) -> Vec<(usize, usize)> {
    let weights: Vec<f64> = sheet.suspects.iter().map(|one| one.weight).collect();
    let cause = drawn(&weights, dice);
    let mut open: Vec<usize> = (0..sheet.checks.len()).collect();
    let count = 1 + dice.below(open.len());
    (0..count)
        .map(|_| {
            let check = open.swap_remove(dice.below(open.len()));
            (check, drawn(&sheet.checks[check].given[cause], dice))
        })
        .collect()
}

/// A place with a chance in proportion to its weight, never one of weight 0.
fn drawn(weights: &[f64], dice: &mut Dice) -> usize {
    let total: f64 = weights.iter().sum();
    let mut left = total * dice.share(0, 999_999) / 1000.0;
    for (place, weight) in weights.iter().enumerate() {
        if left < *weight {
            return place;
        }
        left -= weight;
    }
    weights.iter().rposition(|weight| *weight > 0.0).unwrap_or(0)
}

/// The odds after every answer of every sequence, `unlisted` left out: it has no weight.
fn weighed(
    sheet: &Sheet,
    sequences: &[Vec<(usize, usize)>],
) -> Result<Vec<Vec<f64>>, String> {
    let mut odds = Vec::new();
    for sequence in sequences {
        let mut facts = Vec::new();
        for (check, outcome) in sequence {
            facts.push(Fact::Check {
                check: CheckIx::from(*check),
                outcome: OutcomeIx::from(*outcome),
            });
            let recurrence = sheet.recurrence.as_ref();
            let now = weigh::weigh(sheet, &sheet.economy, recurrence, &facts)
                .map_err(|error| error.to_string())?;
            odds.push(now.present);
        }
    }
    Ok(odds)
}

/// The largest difference of any cause after any answer.
fn apart(ours: &[Vec<f64>], theirs: &[Vec<f64>]) -> f64 {
    let one = |(ours, theirs): (&Vec<f64>, &Vec<f64>)| {
        let (unlisted, named) =
            ours.split_last().map_or((0.0, &ours[..]), |(u, n)| (*u, n));
        if named.len() != theirs.len() {
            return f64::INFINITY;
        }
        let each = named.iter().zip(theirs).map(|(a, b)| (a - b).abs());
        let most = each.fold(unlisted, f64::max);
        let known = named.iter().chain(theirs).all(|p| p.is_finite());
        if known { most } else { f64::INFINITY }
    };
    ours.iter().zip(theirs).map(one).fold(0.0, f64::max)
}
