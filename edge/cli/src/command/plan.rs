//! `witmark plan`.

use std::path::PathBuf;

use app::plan::{Effort, PlanInput, USUAL_BUDGET_MS, USUAL_MEMORY_MB};
use app::{Problem, Problems, Source, certificate, typed};
use clap::{Args, Subcommand};

use crate::flags::{Count, Economy, Language};
use crate::output::Output;
use crate::shell::Shell;

/// Depth of the printed tree where none is named.
const USUAL_DEPTH: u8 = 3;

#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(crate) struct Plan {
    #[command(subcommand)]
    verb: Option<Verb>,
    /// The sheet: a file, `-`, or the name of one that ships
    #[arg(required = true)]
    sheet: Option<PathBuf>,
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
    /// Write a certificate of the plan, which `plan verify` checks
    #[arg(long, value_name = "FILE")]
    certificate: Option<PathBuf>,
    #[command(flatten)]
    language: Language,
    #[command(flatten)]
    economy: Economy,
    #[command(flatten)]
    count: Count,
    #[command(flatten)]
    search: Search,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Work out again what a certificate claims, without the search
    Verify(Verify),
}

#[derive(Debug, Args)]
struct Verify {
    /// The certificate that `plan SHEET --certificate FILE` wrote
    file: PathBuf,
    /// The sheet that the plan was made with
    sheet: PathBuf,
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
    /// End as soon as the best first step is proven, its cost or not
    #[arg(long)]
    step_only: bool,
}

impl Plan {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        if let Some(Verb::Verify(verify)) = self.verb {
            return verify.run(shell);
        }
        let sheet = self.sheet.ok_or_else(|| Problem::usage("no sheet is named"))?;
        let Search { gap, budget_ms, nodes, memory_mb, step_only } = self.search;
        let depth = usize::from(self.depth.unwrap_or(USUAL_DEPTH));
        let input = PlanInput {
            sheet: Source::from(sheet),
            workshop: self.workshop.map(Source::from),
            done: self.done,
            without: self.without,
            off: typed::entries(&self.off),
            has: self.has.map(|lists| typed::entries(&lists)),
            limit: self.limit,
            economy: self.economy.over(),
            recurrence: self.count.over(),
            effort: Effort { gap, budget_ms, nodes, memory_mb, step_only },
            tree: self.tree.then_some(depth),
            stats: self.stats,
            language: self.language.lang,
        };
        let planned = match self.certificate {
            Some(file) => certificate::plan(&input, &file)?,
            None => app::plan::plan(&input)?,
        };
        let (sheet, language) = (planned.sheet, planned.language);
        shell.answer(planned.answer, |answer| pages::plan_page(answer, &sheet, &language))
    }
}

impl Verify {
    fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let answer =
            certificate::check(&Source::from(self.file), &Source::from(self.sheet))?;
        shell.text(answer, |answer| {
            format!(
                "The certificate holds. Expected cost {:.2}; no plan costs less than {:.2}.\n\
                 {}\nWorked out again: {} steps of the plan, {} states of the proof.\n",
                answer.expected_cost,
                answer.lower_bound,
                answer.remarks.join("\n"),
                answer.steps,
                answer.nodes
            )
        })
    }
}
