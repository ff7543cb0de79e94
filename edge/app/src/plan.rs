//! `plan`: the next step of least expected total cost, from a sheet and what is known.

use std::time::{Duration, Instant};

use job::Fact;
use plan::{Ask, Inputs, Kind, Limits, PlanAnswer, PlanAsk, PlanError};
use sheet::{
    Economy, EconomyOverrides, Exposure, ItemIx, ItemSet, ProofKind, Recurrence, Sheet,
    Way, WindowEnd,
};
pub use sheet::{ExposureUnit, Rust};

use crate::sheet_file::{Loaded, find_id, load};
use crate::{Problem, Problems, Source, fact, settings};

/// Time for the search where none is named.
pub const USUAL_BUDGET_MS: u64 = 2000;
/// Memory for the search where none is named.
pub const USUAL_MEMORY_MB: u64 = 512;
/// Cautions whose work is for a licensed person.
pub const LICENSED: [&str; 3] = ["airbag", "high-voltage", "refrigerant"];

/// What `plan` was asked on the command line.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanInput {
    /// The sheet.
    pub sheet: Source,
    /// The workshop's settings.
    pub workshop: Option<Source>,
    /// Facts in order, as typed.
    pub done: Vec<String>,
    /// Actions refused, as typed.
    pub without: Vec<String>,
    /// Ids of the items off.
    pub off: Vec<String>,
    /// Equipment; `None`: the workshop's, or all there.
    pub has: Option<Vec<String>>,
    /// The bill must not pass this, money.
    pub limit: Option<f64>,
    /// Money rules over the sheet's and the workshop's.
    pub economy: EconomyOverrides,
    /// How often the fault set, over the sheet's.
    pub recurrence: RecurrenceOver,
    /// When the search ends.
    pub effort: Effort,
    /// Depth of the tree; `None`: no tree.
    pub tree: Option<usize>,
    /// Whether the search's work is told.
    pub stats: bool,
    /// Language of titles.
    pub language: String,
}

/// What is said of the count on the command line; what is not said stays the sheet's.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RecurrenceOver {
    /// Sets counted.
    pub seen: Option<u32>,
    /// The window.
    pub over: Option<Exposure>,
    /// Where the window ends.
    pub ends: Option<WindowEnd>,
}

/// When a search ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Relative gap that is good enough.
    pub gap: f64,
    /// Time, ms.
    pub budget_ms: u64,
    /// Most states that are met; `None`: as many as the time allows.
    pub nodes: Option<u64>,
    /// Memory, MiB: what helps least is forgotten where it is full.
    pub memory_mb: u64,
    /// Whether to end as soon as the best first step is proven, its cost or not.
    pub step_only: bool,
}

impl Default for Effort {
    fn default() -> Self {
        let (budget_ms, memory_mb) = (USUAL_BUDGET_MS, USUAL_MEMORY_MB);
        Self { gap: 0.0, budget_ms, nodes: None, memory_mb, step_only: false }
    }
}

impl Effort {
    fn limits(&self) -> Limits {
        let most = |count: u64| usize::try_from(count).unwrap_or(usize::MAX);
        Limits {
            gap: self.gap,
            nodes: most(self.nodes.unwrap_or(u64::MAX).max(1)),
            bytes: most(self.memory_mb.saturating_mul(1 << 20)),
            step_only: self.step_only,
        }
    }

    /// Whether there is time left; its clock starts here.
    pub(crate) fn clock(&self) -> impl Fn() -> bool + use<> {
        let (start, budget) = (Instant::now(), Duration::from_millis(self.budget_ms));
        move || start.elapsed() < budget
    }
}

/// Where a repair stands, as a plan needs it.
#[derive(Debug, Clone)]
pub struct Situation {
    /// Money rules that hold.
    pub economy: Economy,
    /// How often the fault set.
    pub recurrence: Option<Recurrence>,
    /// Facts in order.
    pub facts: Vec<Fact>,
    /// The same as typed.
    pub done: Vec<String>,
    /// Actions refused.
    pub refused: Vec<(Kind, usize)>,
    /// The same as typed.
    pub without: Vec<String>,
    /// Items off.
    pub off: ItemSet,
    /// Equipment; `None`: all there.
    pub has: Option<Vec<String>>,
    /// The bill must not pass this, money.
    pub limit: Option<f64>,
}

/// What is to be told beside the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// Language of titles.
    pub language: String,
    /// Depth of the tree; `None`: no tree.
    pub tree: Option<usize>,
    /// Whether the search's work is told.
    pub stats: bool,
}

/// A plan with the sheet that it is about.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The plan.
    pub answer: PlanAnswer,
    /// The sheet.
    pub sheet: Sheet,
    /// Language of titles.
    pub language: String,
}

/// Plans from a sheet and what is said on the command line.
///
/// # Errors
/// A sheet, fact, name or number that is wrong.
pub fn plan(input: &PlanInput) -> Result<Planned, Problems> {
    let (sheet, situation, remarks) = situation(input)?;
    let told =
        Told { language: input.language.clone(), tree: input.tree, stats: input.stats };
    let mut answer = advise(&sheet, situation, &input.effort, &told)?;
    answer.remarks.extend(remarks);
    Ok(Planned { answer, sheet, language: told.language })
}

/// What is said on the command line, with its sheet and with remarks on the facts.
pub(crate) fn situation(
    input: &PlanInput,
) -> Result<(Sheet, Situation, Vec<String>), Problems> {
    let Loaded { sheet, .. } = load(&input.sheet)?;
    let workshop = settings::workshop(input.workshop.as_ref())?;
    let economy = settings::economy(&sheet, &[&workshop.economy, &input.economy])?;
    let recurrence = recurrence(&sheet, input.recurrence)?;
    let (facts, remarks) = fact::facts(&sheet, &input.done)?;
    let situation = Situation {
        economy,
        recurrence,
        facts,
        done: input.done.clone(),
        refused: refused(&sheet, &input.without)?,
        without: input.without.clone(),
        off: items(&sheet, &input.off)?.into_iter().collect(),
        has: input.has.clone().or(workshop.has),
        limit: input.limit,
    };
    Ok((sheet, situation, remarks))
}

/// Plans from where a repair stands. The clock of the time budget starts here.
///
/// # Errors
/// Facts that can't stand together; items off that can't be off by themselves.
pub fn advise(
    sheet: &Sheet,
    situation: Situation,
    effort: &Effort,
    told: &Told,
) -> Result<PlanAnswer, Problems> {
    let ask = asked(sheet, situation, effort, told)?;
    plan::plan(sheet, &ask, &effort.clock()).map_err(|error| {
        let kind = match error {
            PlanError::OffNotClosed { .. } => "off-not-closed",
        };
        Problem::wrong(kind, error).into()
    })
}

/// What the planner is asked about where a repair stands.
pub(crate) fn asked(
    sheet: &Sheet,
    situation: Situation,
    effort: &Effort,
    told: &Told,
) -> Result<PlanAsk, Problem> {
    let recurrence = situation.recurrence.as_ref();
    let odds = weigh::weigh(sheet, &situation.economy, recurrence, &situation.facts)
        .map_err(|error| Problem::wrong("facts", error))?;
    Ok(PlanAsk {
        inputs: inputs(sheet, &situation, effort),
        ask: Ask {
            economy: situation.economy,
            recurrence: situation.recurrence,
            odds,
            off: situation.off,
            has: situation.has,
            without: situation.refused,
        },
        limit: situation.limit,
        language: told.language.clone(),
        limits: effort.limits(),
        tree: told.tree,
        tree_shared: true,
        stats: told.stats,
    })
}

fn inputs(sheet: &Sheet, situation: &Situation, effort: &Effort) -> Inputs {
    let Situation { economy, recurrence, .. } = situation;
    let ends = |recurrence: &Recurrence| match recurrence.ends {
        WindowEnd::Set => "set".to_owned(),
        WindowEnd::Now => "now".to_owned(),
    };
    Inputs {
        done: situation.done.clone(),
        without: situation.without.clone(),
        off: situation.off.iter().map(|item| sheet.items[item.at()].id.clone()).collect(),
        has: situation.has.clone(),
        seen: recurrence.map(|count| count.seen),
        over: recurrence.map(|count| count.over.amount),
        over_unit: recurrence.map(|count| count.over.unit.suffix().to_owned()),
        ends: recurrence.as_ref().map(ends),
        limit: situation.limit,
        gap: effort.gap,
        budget_ms: effort.budget_ms,
        nodes: effort.nodes,
        memory_mb: effort.memory_mb,
        ..Inputs::of(economy)
    }
}

/// The count that holds: the sheet's, with what was said over it.
///
/// # Errors
/// A count without its window, or one in another unit than the sheet's drives.
pub fn recurrence(
    sheet: &Sheet,
    over: RecurrenceOver,
) -> Result<Option<Recurrence>, Problem> {
    let RecurrenceOver { seen, over, ends } = over;
    let own = sheet.recurrence;
    let seen_now = seen.or(own.map(|count| count.seen));
    let over_now = over.or(own.map(|count| count.over));
    let ends_now = ends.or(own.map(|count| count.ends)).unwrap_or_default();
    let (Some(seen_now), Some(over_now)) = (seen_now, over_now) else {
        let missing = match (seen, over, ends) {
            (None, None, None) => return Ok(None),
            (_, None, _) => "--over-km, --over-min or --over-starts",
            (_, Some(_), _) => "--seen",
        };
        let what =
            "the sheet has no count of how often the fault set, and only a part is given";
        return Err(Problem::wrong("count", what).hint(format!("add {missing}")));
    };
    let other = sheet.proofs.iter().find_map(|proof| match proof.kind {
        ProofKind::Exposure(exposure) if exposure.unit != over_now.unit => {
            Some((&proof.id, exposure.unit))
        }
        ProofKind::Exposure(_) | ProofKind::Shows(_) | ProofKind::Repeat { .. } => None,
    });
    if let Some((proof, unit)) = other {
        let what = format!(
            "the count is over {}, but proof `{proof}` of this sheet is in {}",
            over_now.unit.suffix(),
            unit.suffix()
        );
        let hint = format!("give the window as --over-{}", unit.suffix());
        return Err(Problem::wrong("unit", what).hint(hint));
    }
    Ok(Some(Recurrence { seen: seen_now, over: over_now, ends: ends_now }))
}

/// The items of a list of ids, each once, in the order given.
///
/// # Errors
/// An id that the sheet does not have.
pub fn items(sheet: &Sheet, ids: &[String]) -> Result<Vec<ItemIx>, Problem> {
    let mut items = Vec::new();
    for id in ids {
        let all = sheet.items.iter().map(|item| item.id.as_str());
        let item = ItemIx::from(find_id("item", id, all)?);
        if !items.contains(&item) {
            items.push(item);
        }
    }
    Ok(items)
}

/// The actions that were refused: `KIND:ID`, or `licensed` for all that ask for a licensed
/// person.
///
/// # Errors
/// What is no action, and closing and passing on, which can't be refused.
pub fn refused(sheet: &Sheet, texts: &[String]) -> Result<Vec<(Kind, usize)>, Problem> {
    let mut all = Vec::new();
    for text in texts {
        match text.trim().split_once(':').unwrap_or((text.trim(), "")) {
            ("licensed", "") => all.extend(licensed(sheet)),
            ("close" | "pass-on", _) => {
                let what =
                    "handing over and passing on can't be refused: there must be an end";
                return Err(Problem::wrong("without", what)
                    .hint("refuse a check, a repair or a proof"));
            }
            ("check", id) => {
                let ids = sheet.checks.iter().map(|check| check.id.as_str());
                all.push((Kind::Check, find_id("check", id, ids)?));
            }
            ("repair", id) => {
                let ids = sheet.repairs.iter().map(|repair| repair.id.as_str());
                all.push((Kind::Repair, find_id("repair", id, ids)?));
            }
            ("proof", id) => {
                let ids = sheet.proofs.iter().map(|proof| proof.id.as_str());
                all.push((Kind::Proof, find_id("proof", id, ids)?));
            }
            _ => {
                let shown: String = text.chars().take(60).collect();
                return Err(Problem::wrong("without", format!("`{shown}` is no action"))
                    .hint("write check:ID, repair:ID or proof:ID, or `licensed`"));
            }
        }
    }
    Ok(all)
}

/// Actions that ask for a licensed person: by their own caution, or since every way to them
/// leads through an item with one.
fn licensed(sheet: &Sheet) -> Vec<(Kind, usize)> {
    let asks =
        |caution: &[String]| caution.iter().any(|word| LICENSED.contains(&word.as_str()));
    let through = |ways: &[Way]| {
        let closed =
            |way: &Way| way.closed.iter().any(|i| asks(&sheet.items[i.at()].caution));
        !ways.is_empty() && ways.iter().all(closed)
    };
    let checks = sheet.checks.iter().enumerate();
    let repairs = sheet.repairs.iter().enumerate();
    let proofs = sheet.proofs.iter().enumerate();
    checks
        .filter(|(_, check)| asks(&check.caution) || through(&check.ways))
        .map(|(at, _)| (Kind::Check, at))
        .chain(
            repairs
                .filter(|(_, repair)| asks(&repair.caution) || through(&repair.ways))
                .map(|(at, _)| (Kind::Repair, at)),
        )
        .chain(
            proofs
                .filter(|(_, proof)| asks(&proof.caution))
                .map(|(at, _)| (Kind::Proof, at)),
        )
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{Effort, RecurrenceOver, recurrence, refused};
    use plan::Kind;
    use sheet::{Exposure, ExposureUnit, Sheet, WindowEnd};

    fn sheet(more: &str) -> Sheet {
        let head = r#"
            [sheet]
            format = 1
            id = "ac"
            title = "Air conditioning"
            [economy]
            labour_per_hour = 60
            comeback = 100
            pass_on = 90
        "#;
        let rest = r#"
            [[suspect]]
            id = "leak"
            title = "Leak"
            weight = 1
            [[item]]
            id = "line"
            title = "Line"
            strip_min = 5
            refit_min = 5
            caution = ["refrigerant"]
            [[check]]
            id = "look"
            title = "Look"
            minutes = 3
            off = [["line"], []]
            outcomes = ["dry", "wet"]
              [check.given]
              fine = { dry = 0.9, wet = 0.1 }
              leak = { dry = 0.2, wet = 0.8 }
            [[repair]]
            id = "new-line"
            title = "New line"
            minutes = 20
            off = ["line"]
            fixes = { leak = 0.9 }
            [[proof]]
            id = "drive"
            title = "Drive"
            minutes = 30
            km = 30
        "#;
        let read = sheet::read(&format!("{head}{more}{rest}"));
        read.sheet.unwrap_or_else(|| panic!("{:?}", read.remarks))
    }

    const COUNT: &str = "[recurrence]\nseen = 2\nover_km = 400\n";

    #[test]
    fn what_is_not_said_of_the_count_stays_the_sheets() {
        let over = RecurrenceOver { seen: Some(5), ..RecurrenceOver::default() };
        let holds = recurrence(&sheet(COUNT), over).unwrap().unwrap();
        assert_eq!(
            (holds.seen, holds.over.unit, holds.ends),
            (5, ExposureUnit::Km, WindowEnd::Set)
        );
        assert_eq!(recurrence(&sheet(""), RecurrenceOver::default()), Ok(None));
        let missing = recurrence(&sheet(""), over).unwrap_err();
        assert!(missing.hint.unwrap().contains("--over-km"));
    }

    #[test]
    fn a_count_in_another_unit_than_the_drives_is_refused() {
        let starts = Exposure { amount: 20.0, unit: ExposureUnit::Starts };
        let over = RecurrenceOver { over: Some(starts), ..RecurrenceOver::default() };
        let problem = recurrence(&sheet(COUNT), over).unwrap_err();
        assert_eq!(problem.hint.unwrap(), "give the window as --over-km");
    }

    #[test]
    fn licensed_refuses_what_can_only_be_reached_past_a_licensed_item() {
        let sheet = sheet("");
        let refused = |text: &str| refused(&sheet, &[text.to_owned()]);
        assert_eq!(refused("licensed"), Ok(vec![(Kind::Repair, 0)]));
        assert_eq!(refused("check:look"), Ok(vec![(Kind::Check, 0)]));
        assert_eq!(refused("close").unwrap_err().kind, "without");
        assert_eq!(refused("pass-on:pass-on").unwrap_err().kind, "without");
    }

    #[test]
    fn memory_and_nodes_both_limit_the_search() {
        let memory = Effort { memory_mb: 6, ..Effort::default() };
        assert_eq!(memory.limits().bytes, 6 << 20);
        assert_eq!(memory.limits().nodes, usize::MAX);
        let nodes = Effort { nodes: Some(10), ..memory };
        assert_eq!(nodes.limits().nodes, 10);
        let none = Effort { nodes: Some(0), memory_mb: u64::MAX, ..memory };
        assert_eq!(none.limits().nodes, 1);
    }
}
