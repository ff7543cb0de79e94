//! `strip`: what comes off to reach something, in which order, and the way back; and the bare
//! order of an instance of the sequential ordering problem.

use std::time::{Duration, Instant};

use schemars::JsonSchema;
use serde::Serialize;
use sheet::{CheckIx, EconomyOverrides, MOST_BYTES, RepairIx, Sheet};
use strip::order::{Budget, InstanceError, read_instance, solve};
use strip::{StripAnswer, StripAsk, StripError, Target};

use crate::document::Answer;
use crate::plan::items;
use crate::sheet_file::{Loaded, find_id, load};
use crate::{Problem, Problems, Source, settings};

/// Time for the search of the order: with reading and printing within 10 s.
const MOST_TIME: Duration = Duration::from_secs(8);
/// Time for an instance: with reading and printing within a minute.
const INSTANCE_TIME: Duration = Duration::from_secs(50);

/// What `strip` was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct StripInput {
    /// The sheet.
    pub sheet: Source,
    /// The workshop's settings.
    pub workshop: Option<Source>,
    /// What to get at, as typed.
    pub reach: Vec<String>,
    /// Ids of the items off, in the order they came off.
    pub off: Vec<String>,
    /// Money rules over the sheet's and the workshop's.
    pub economy: EconomyOverrides,
    /// Language of titles.
    pub language: String,
}

/// The way in and out, with the currency of its money.
#[derive(Debug, Clone, PartialEq)]
pub struct Stripped {
    /// The answer.
    pub answer: StripAnswer,
    /// ISO 4217 code.
    pub currency: String,
}

/// Finds the way in and out. The clock of the search starts here.
///
/// # Errors
/// A sheet, target or item that is wrong; nothing to get at and nothing to put back.
pub fn strip(input: &StripInput) -> Result<Stripped, Problems> {
    if input.reach.is_empty() && input.off.is_empty() {
        return Err(Problem::usage("nothing to get at and nothing to put back")
            .hint("give --reach check:ID, repair:ID or item:ID, or --off")
            .into());
    }
    let Loaded { sheet, .. } = load(&input.sheet)?;
    let workshop = settings::workshop(input.workshop.as_ref())?;
    let economy = settings::economy(&sheet, &[&workshop.economy, &input.economy])?;
    let reach = input.reach.iter().map(|text| target(&sheet, text));
    let start = Instant::now();
    let budget =
        Budget { nodes: Budget::USUAL.nodes, keep_on: &|| start.elapsed() < MOST_TIME };
    let currency = economy.currency.clone();
    let ask = StripAsk {
        reach: reach.collect::<Result<_, _>>()?,
        off: items(&sheet, &input.off)?,
        repairs: Vec::new(),
        economy,
        language: input.language.clone(),
        budget: &budget,
    };
    let answer = strip::strip(&sheet, &ask)
        .map_err(|error| Problem::wrong(kind(&error), error))?;
    Ok(Stripped { answer, currency })
}

/// `order/1`: the order of an instance (TSPLIB 95, class SOP).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct OrderAnswer {
    /// Its name.
    pub name: String,
    /// How many nodes.
    pub nodes: usize,
    /// The nodes first to last, numbered from 1.
    pub order: Vec<usize>,
    /// Length of the path.
    pub length: i64,
    /// No path is shorter.
    pub lower_bound: i64,
    /// Whether no path is shorter than this one.
    pub proven: bool,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl Answer for OrderAnswer {
    const NAME: &'static str = "order/1";
}

/// Whether a file is an instance by its name (`.sop`), not a sheet.
pub fn is_instance(source: &Source) -> bool {
    match source {
        Source::File(path) => {
            path.extension().is_some_and(|is| is.eq_ignore_ascii_case("sop"))
        }
        Source::StandardInput => false,
    }
}

/// Orders an instance. The clock of the search starts here.
///
/// # Errors
/// A file that is not there or no instance.
pub fn order(source: &Source) -> Result<OrderAnswer, Problems> {
    let start = Instant::now();
    let text = source.text(MOST_BYTES)?;
    let instance = read_instance(&text).map_err(|error| wrong(source, &error))?;
    let keep_on = || start.elapsed() < INSTANCE_TIME;
    let found = solve(&instance.problem, &Budget { nodes: u64::MAX, keep_on: &keep_on });
    let mut remarks = Vec::new();
    if !found.proven {
        remarks.push(format!(
            "time ran out: the shortest path has a length from {} to {}",
            found.lower_bound, found.cost
        ));
    }
    Ok(OrderAnswer {
        name: instance.name,
        nodes: instance.problem.len(),
        order: found.nodes.iter().map(|node| node + 1).collect(),
        length: found.cost,
        lower_bound: found.lower_bound,
        proven: found.proven,
        remarks,
    })
}

fn wrong(source: &Source, error: &InstanceError) -> Problem {
    let mut problem = Problem::wrong("instance", error).in_file(source);
    if let Some(place) = &mut problem.place {
        place.line = error.line().and_then(|line| u32::try_from(line).ok());
    }
    problem
}

fn kind(error: &StripError) -> &'static str {
    match error {
        StripError::NotOnSheet(_) => "unknown-id",
        StripError::NotClosed { .. } => "off-not-closed",
        StripError::RefitCircle(_) | StripError::BehindCircle(_) => "circle",
    }
}

/// Reads `check:ID`, `repair:ID` or `item:ID`.
///
/// # Errors
/// What is none of them, or not on the sheet.
pub fn target(sheet: &Sheet, text: &str) -> Result<Target, Problem> {
    match text.trim().split_once(':') {
        Some(("check", id)) => {
            let ids = sheet.checks.iter().map(|check| check.id.as_str());
            Ok(Target::Check(CheckIx::from(find_id("check", id, ids)?)))
        }
        Some(("repair", id)) => {
            let ids = sheet.repairs.iter().map(|repair| repair.id.as_str());
            Ok(Target::Repair(RepairIx::from(find_id("repair", id, ids)?)))
        }
        Some(("item", id)) => {
            let ids = sheet.items.iter().map(|item| item.id.as_str());
            Ok(Target::Item(find_id("item", id, ids)?.into()))
        }
        _ => {
            let shown: String = text.chars().take(60).collect();
            Err(Problem::wrong("reach", format!("`{shown}` is nothing to get at"))
                .hint("write check:ID, repair:ID or item:ID"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{StripInput, is_instance, order, strip};
    use crate::{Exit, Source};

    fn input(reach: &[&str]) -> StripInput {
        StripInput {
            sheet: Source::from(std::path::PathBuf::from("boost-vane-diesel")),
            workshop: None,
            reach: reach.iter().map(|text| (*text).to_owned()).collect(),
            off: Vec::new(),
            economy: sheet::EconomyOverrides::default(),
            language: "en".to_owned(),
        }
    }

    #[test]
    fn what_is_not_there_is_named_and_nothing_is_usage() {
        assert_eq!(strip(&input(&[])).unwrap_err().exit(), Exit::Usage);
        assert_eq!(strip(&input(&["proof:x"])).unwrap_err().list()[0].kind, "reach");
        assert_eq!(
            strip(&input(&["item:nowhere"])).unwrap_err().list()[0].kind,
            "unknown-id"
        );
    }

    #[test]
    fn an_instance_is_ordered_and_a_wrong_one_says_where() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("three.SOP");
        let head = "NAME: three\nTYPE: SOP\nEDGE_WEIGHT_SECTION\n3\n";
        std::fs::write(&path, format!("{head}0 5 9\n-1 0 2\n-1 -1 0\nEOF\n")).unwrap();
        let source = Source::from(path.clone());
        assert!(is_instance(&source));
        let answer = order(&source).unwrap();
        assert_eq!(
            (answer.order, answer.length, answer.proven),
            (vec![1, 2, 3], 7, true)
        );
        std::fs::write(&path, format!("{head}0 x\n")).unwrap();
        let problems = order(&source).unwrap_err();
        let problem = &problems.list()[0];
        assert_eq!(problem.place.as_ref().unwrap().line, Some(5));
    }

    #[test]
    fn the_way_out_puts_back_all_that_comes_off() {
        let answer = strip(&input(&["repair:exchange-turbo"])).unwrap().answer;
        assert!(!answer.strip.is_empty() && answer.proven);
        assert_eq!(answer.strip.len(), answer.refit.len());
    }
}
