//! `witmark sheet check | new | list | show`.

use std::path::PathBuf;

use app::sheet_file::{self, NewInput, SheetCheck, SheetList};
use app::{Problems, Source};
use clap::{Args, Subcommand};

use crate::flags::Language;
use crate::output::Output;
use crate::problem_text;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Sheet {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Debug, Subcommand)]
enum Verb {
    /// Name every problem of sheets, with its place and what would be right
    Check(Check),
    /// Write a commented sheet to start from
    New(New),
    /// List the sheets that ship
    List(List),
    /// Print a sheet
    Show(Show),
}

#[derive(Debug, Args)]
struct Check {
    /// The sheets: files, `-`, or names of those that ship
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
}

#[derive(Debug, Args)]
struct New {
    /// The file to write [default: print it]
    file: Option<PathBuf>,
    /// Its title
    #[arg(long, default_value = "New sheet")]
    title: String,
    /// Its id [default: made from the title]
    #[arg(long)]
    id: Option<String>,
    /// Fault codes, as in P0299
    #[arg(long, value_name = "CODE")]
    code: Vec<String>,
}

#[derive(Debug, Args)]
struct List {
    #[command(flatten)]
    language: Language,
}

#[derive(Debug, Args)]
struct Show {
    /// The sheet: a file, `-`, or the name of one that ships
    sheet: PathBuf,
}

impl Sheet {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        match self.verb {
            Verb::Check(check) => {
                let files: Vec<Source> =
                    check.files.into_iter().map(Source::from).collect();
                shell.text(sheet_file::check(&files)?, checked)
            }
            Verb::New(new) => {
                let input = NewInput {
                    title: new.title,
                    id: new.id,
                    codes: new.code,
                    file: new.file,
                };
                let answer = sheet_file::new(&input)?;
                shell.text(answer, |answer| match &answer.file {
                    Some(file) => {
                        format!("{file} is written: change it to what you know.\n")
                    }
                    None => answer.text.clone(),
                })
            }
            Verb::List(list) => shell.text(sheet_file::list(&list.language.lang), listed),
            Verb::Show(show) => shell
                .text(sheet_file::show(&Source::from(show.sheet))?, |answer| {
                    answer.text.clone()
                }),
        }
    }
}

fn checked(answer: &SheetCheck) -> String {
    let warnings = answer.warnings.iter().map(problem_text::shown);
    let sheets = answer.sheets.iter().map(|sheet| {
        let odd = match sheet.warnings.len() {
            0 => "no problem".to_owned(),
            1 => "1 warning".to_owned(),
            many => format!("{many} warnings"),
        };
        format!(
            "{}: {odd}; suspects {}, items {}, checks {}, repairs {}, proofs {}, duties {}\n",
            sheet.file,
            sheet.suspects,
            sheet.items,
            sheet.checks,
            sheet.repairs,
            sheet.proofs,
            sheet.duties
        )
    });
    warnings.chain(sheets).collect()
}

fn listed(answer: &SheetList) -> String {
    let line = |sheet: &sheet_file::ListedSheet| {
        let codes = sheet.codes.join(" ");
        format!("{}  {}  {codes}\n", sheet.id, sheet.title).replace("  \n", "\n")
    };
    answer.sheets.iter().map(line).collect()
}
