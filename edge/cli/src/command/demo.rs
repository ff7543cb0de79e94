//! `witmark demo`: one invented van from its fault code to its follow-up.

use std::fs;
use std::path::{Path, PathBuf};

use app::bay::story;
use app::papers::{self, DemoAnswer};
use app::{Problem, Problems};
use clap::Args;

use crate::command::serve::{Port, serve};
use crate::on_job::{Entering, LOG, shown};
use crate::output::{Output, stripped, write_whole};
use crate::shell::Shell;

/// The file by which a folder is known as a demo's.
const STORY: &str = "story.txt";
/// Its first line.
const MARK: &str =
    "This folder is written by `witmark demo` and cleared when it runs again.";
/// All that a demo writes, the mark last.
const FILES: [&str; 10] = [
    "owner.pdf",
    "file.pdf",
    "labels.pdf",
    "wiper.pdf",
    "before.csv",
    "after.csv",
    LOG,
    "jobs.db-wal",
    "jobs.db-shm",
    STORY,
];
/// Those of them that are named at the end.
const PAPERS: [&str; 4] = ["owner.pdf", "file.pdf", "labels.pdf", "wiper.pdf"];

#[derive(Debug, Args)]
pub(crate) struct Demo {
    /// Folder for the store and the papers
    #[arg(long, value_name = "DIR", default_value = "demo-out")]
    out: PathBuf,
    /// Then serve the pages of it until interrupted
    #[arg(long)]
    serve: bool,
    #[command(flatten)]
    port: Port,
    #[command(flatten)]
    entering: Entering,
}

impl Demo {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        cleared(&self.out)?;
        papers::write_bytes(&self.out.join(STORY), format!("{MARK}\n").as_bytes())?;
        let store = self.out.join(LOG);
        let told = story::run_in(&store, &self.out)?;
        let text = format!("{MARK}\n\n{}\n", told.lines.join("\n"));
        papers::write_bytes(&self.out.join(STORY), text.as_bytes())?;
        let answer = DemoAnswer {
            lines: told.lines,
            job: told.job,
            store: shown(&store),
            files: PAPERS.iter().map(|name| shown(&self.out.join(name))).collect(),
            remarks: vec![
                "van, people, plates, money and readings are invented".to_owned(),
            ],
        };
        // The store is closed before others open it.
        drop(told.bay);
        if !self.serve {
            return shell.text(answer, ending);
        }
        let _ = write_whole(&mut std::io::stdout().lock(), &stripped(&ending(&answer)));
        serve(store, self.port, &self.entering)?;
        Ok(Output::Text(String::new()))
    }
}

/// A folder with nothing in it, what an earlier demo left taken away.
fn cleared(folder: &Path) -> Result<(), Problem> {
    papers::folder(folder)?;
    let failed = |error: std::io::Error| {
        Problem::could_not("unwritable", format!("the folder can't be cleared: {error}"))
            .in_file(folder.display())
    };
    let empty = fs::read_dir(folder).map_err(failed)?.next().is_none();
    if empty {
        return Ok(());
    }
    let ours = fs::read_to_string(folder.join(STORY))
        .is_ok_and(|story| story.lines().next() == Some(MARK));
    if !ours {
        return Err(Problem::wrong("not-empty", "this folder holds something else")
            .in_file(folder.display())
            .hint("name an empty folder with --out"));
    }
    for name in FILES {
        match fs::remove_file(folder.join(name)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(failed(error));
            }
            Ok(()) | Err(_) => {}
        }
    }
    Ok(())
}

fn ending(answer: &DemoAnswer) -> String {
    let DemoAnswer { lines, job, store, files, .. } = answer;
    let (story, written) = (lines.join("\n"), files.join("\n  "));
    format!(
        "{story}\n\nVan, people, plates, money and readings are invented.\n\nWritten:\n  \
         {written}\n  {store}: the store with job {job}\n\nThe pages of it: witmark serve \
         --store {store}\n"
    )
}
