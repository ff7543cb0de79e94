//! `witmark schema`.

use app::{Problem, Problems};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Schema {
    /// The document, as in `plan` or `plan/1`; without a name they are listed
    name: Option<String>,
}

impl Schema {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let Some(name) = self.name else {
            return shell
                .text(app::schema::list(), |list| list.schemas.join("\n") + "\n");
        };
        let schema = app::schema::schema(&name)?;
        serde_json::to_string_pretty(&schema)
            .map(Output::Json)
            .map_err(|error| Problem::could_not("json", error).into())
    }
}
