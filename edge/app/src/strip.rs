//! `strip`: what comes off to reach something, in which order, and the way back.

use std::time::{Duration, Instant};

use sheet::{CheckIx, EconomyOverrides, RepairIx, Sheet};
use strip::order::Budget;
use strip::{StripAnswer, StripAsk, StripError, Target};

use crate::plan::items;
use crate::sheet_file::{Loaded, find_id, load};
use crate::{Problem, Problems, Source, settings};

/// Time for the search of the order.
const MOST_TIME: Duration = Duration::from_secs(10);

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
    use super::{StripInput, strip};
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
    fn the_way_out_puts_back_all_that_comes_off() {
        let answer = strip(&input(&["repair:exchange-turbo"])).unwrap().answer;
        assert!(!answer.strip.is_empty() && answer.proven);
        assert_eq!(answer.strip.len(), answer.refit.len());
    }
}
