//! `witmark strip`.

use std::path::PathBuf;

use app::strip::{OrderAnswer, StripInput};
use app::{Problem, Problems, Source, typed};
use clap::Args;
use pages::{Page, Table, Words, pair};

use crate::flags::{Economy, Language};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Strip {
    /// The sheet: a file, `-`, or the name of one that ships; or an instance of the sequential
    /// ordering problem (TSPLIB 95), NAME.sop
    sheet: PathBuf,
    /// What to get at: check:ID, repair:ID or item:ID
    #[arg(long, value_name = "KIND:ID", num_args = 1..)]
    reach: Vec<String>,
    /// Items off now, in the order they came off
    #[arg(long, value_name = "ID,ID", num_args = 0..=1, default_missing_value = "")]
    off: Vec<String>,
    /// The workshop's settings
    #[arg(long, value_name = "FILE")]
    workshop: Option<PathBuf>,
    #[command(flatten)]
    language: Language,
    #[command(flatten)]
    economy: Economy,
}

impl Strip {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let sheet = Source::from(self.sheet);
        if app::strip::is_instance(&sheet) {
            if !self.reach.is_empty() || !self.off.is_empty() {
                return Err(Problem::usage("an instance has no items to reach or off")
                    .hint("leave --reach and --off out")
                    .into());
            }
            return shell.answer(app::strip::order(&sheet)?, order_page);
        }
        let stripped = app::strip::strip(&StripInput {
            sheet,
            workshop: self.workshop.map(Source::from),
            reach: typed::entries(&self.reach),
            off: typed::entries(&self.off),
            economy: self.economy.over(),
            language: self.language.lang.clone(),
        })?;
        let (currency, language) = (stripped.currency, self.language.lang);
        shell.answer(stripped.answer, |answer| {
            pages::strip_page(answer, &currency, (&language, shell.shown))
        })
    }
}

/// The order of an instance as a page.
fn order_page(answer: &OrderAnswer) -> Page {
    let mut page = Page::new(format!("Order of {}", answer.name), "en");
    page.head(vec![
        pair("Nodes", answer.nodes.to_string()),
        pair("Length", answer.length.to_string()),
        pair("Not shorter than", answer.lower_bound.to_string()),
    ]);
    let mut table = Table::new(&["First to last"]);
    let nodes: Vec<String> = answer.order.iter().map(ToString::to_string).collect();
    table.row(vec![Words::from(nodes.join(" "))]);
    page.table(table);
    if answer.proven {
        page.quiet("No path is shorter.");
    }
    page.remarks(&answer.remarks);
    page
}
