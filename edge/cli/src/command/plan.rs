//! `witmark plan`.

use std::path::PathBuf;

use app::plan::{Effort, PlanInput, USUAL_BUDGET_MS, USUAL_MEMORY_MB};
use app::{Problems, Source, typed};
use clap::Args;

use crate::flags::{Count, Economy, Language};
use crate::output::Output;
use crate::shell::Shell;

/// Depth of the printed tree where none is named.
const USUAL_DEPTH: u8 = 3;

#[derive(Debug, Args)]
pub(crate) struct Plan {
    /// The sheet: a file, `-`, or the name of one that ships
    sheet: PathBuf,
    /// What happened, in order: check:ID=OUTCOME, check:ID=skip, check:ID@7.9ohm, repair:ID,
    /// proof:ID=clear or proof:ID=shown
    #[arg(long, value_name = "FACT")]
    done: Vec<String>,
    /// Refuse an action, check:ID, repair:ID or proof:ID, or all for the `licensed`
    #[arg(long, value_name = "KIND:ID")]
    without: Vec<String>,
    /// Items off now
    #[arg(long, value_name = "ID,ID", num_args = 0..=1, default_missing_value = "")]
    off: Vec<String>,
    /// Equipment that is there [default: the workshop's, or all]
    #[arg(long, value_name = "A,B", num_args = 0..=1, default_missing_value = "")]
    has: Option<Vec<String>>,
    /// What the bill must not pass
    #[arg(long, value_name = "MONEY", value_parser = typed::amount, allow_negative_numbers = true)]
    limit: Option<f64>,
    /// The workshop's settings
    #[arg(long, value_name = "FILE")]
    workshop: Option<PathBuf>,
    /// Print the plan as a tree too
    #[arg(long)]
    tree: bool,
    /// Depth of the tree
    #[arg(long, value_name = "N", requires = "tree", value_parser = clap::value_parser!(u8).range(0..=64))]
    depth: Option<u8>,
    /// Tell the work of the search
    #[arg(long)]
    stats: bool,
    #[command(flatten)]
    language: Language,
    #[command(flatten)]
    economy: Economy,
    #[command(flatten)]
    count: Count,
    #[command(flatten)]
    search: Search,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "When the search ends")]
struct Search {
    /// Share by which a better plan may still be cheaper
    #[arg(long, value_name = "SHARE", default_value = "0", value_parser = typed::share, allow_negative_numbers = true)]
    gap: f64,
    /// Time, milliseconds
    #[arg(long, value_name = "MS", default_value_t = USUAL_BUDGET_MS, allow_negative_numbers = true)]
    budget_ms: u64,
    /// Most states
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    nodes: Option<u64>,
    /// Most memory, MiB
    #[arg(long, value_name = "MB", default_value_t = USUAL_MEMORY_MB, allow_negative_numbers = true)]
    memory_mb: u64,
}

impl Plan {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let Search { gap, budget_ms, nodes, memory_mb } = self.search;
        let depth = usize::from(self.depth.unwrap_or(USUAL_DEPTH));
        let planned = app::plan::plan(&PlanInput {
            sheet: Source::from(self.sheet),
            workshop: self.workshop.map(Source::from),
            done: self.done,
            without: self.without,
            off: typed::entries(&self.off),
            has: self.has.map(|lists| typed::entries(&lists)),
            limit: self.limit,
            economy: self.economy.over(),
            recurrence: self.count.over(),
            effort: Effort { gap, budget_ms, nodes, memory_mb },
            tree: self.tree.then_some(depth),
            stats: self.stats,
            language: self.language.lang,
        })?;
        let (sheet, language) = (planned.sheet, planned.language);
        shell.answer(planned.answer, |answer| pages::plan_page(answer, &sheet, &language))
    }
}
