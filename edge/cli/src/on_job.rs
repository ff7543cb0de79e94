//! What verbs on a job share: which job, who enters it, where jobs are kept.

use std::path::{Path, PathBuf};

use app::bay::{Bay, ShownEvent, Thinking};
use app::{Problem, papers, store_place::store_place};
use clap::Args;

use crate::flags::Language;
use crate::shell::Shell;

/// Name of the log in the folder of jobs.
pub(crate) const LOG: &str = "jobs.db";
/// Letters of an event's id that are shown.
pub(crate) const SHOWN_ID: usize = 10;

/// Who enters what follows, and in which language titles are told.
#[derive(Debug, Args)]
pub(crate) struct Entering {
    /// Who enters this
    #[arg(long, value_name = "NAME", env = "WITMARK_WHO", default_value = "workshop")]
    pub(crate) who: String,
    #[command(flatten)]
    pub(crate) language: Language,
}

/// A job that is there.
#[derive(Debug, Args)]
pub(crate) struct OnJob {
    /// The job: its id, the beginning of its id, or its plate
    pub(crate) job: String,
    #[command(flatten)]
    pub(crate) entering: Entering,
}

impl OnJob {
    /// The store that has the job.
    pub(crate) fn bay(&self, shell: &Shell) -> Result<Bay, Problem> {
        self.entering.bay(shell)
    }

    /// The language of titles.
    pub(crate) fn lang(&self) -> &str {
        &self.entering.language.lang
    }
}

impl Entering {
    /// The store, where there is one.
    pub(crate) fn bay(&self, shell: &Shell) -> Result<Bay, Problem> {
        let file = log_file(shell)?;
        if !file.is_file() {
            return Err(Problem::wrong("no-store", "no jobs are kept here")
                .in_file(file.display())
                .hint(
                    "take a vehicle in with `new`, or name another place with --store",
                ));
        }
        self.open(&file)
    }

    /// The store, made where there is none.
    pub(crate) fn bay_made(&self, shell: &Shell) -> Result<Bay, Problem> {
        let file = made(shell)?;
        self.open(&file)
    }

    fn open(&self, file: &Path) -> Result<Bay, Problem> {
        if self.who.trim().is_empty() {
            return Err(Problem::usage("--who names nobody"));
        }
        Ok(Bay::open(file, self.who.trim())?.language(&self.language.lang))
    }
}

/// How long a plan may take.
#[derive(Debug, Args)]
pub(crate) struct Budget {
    /// Time, milliseconds
    #[arg(long, value_name = "MS", allow_negative_numbers = true)]
    budget_ms: Option<u64>,
}

impl Budget {
    /// A bay that thinks as long.
    pub(crate) fn on(&self, bay: Bay) -> Bay {
        match self.budget_ms {
            None => bay,
            Some(budget_ms) => {
                bay.thinking(Thinking { budget_ms, ..Thinking::default() })
            }
        }
    }
}

/// The log: a file that is named, or the one in the folder of jobs.
pub(crate) fn log_file(shell: &Shell) -> Result<PathBuf, Problem> {
    let place = place(shell)?;
    Ok(if place.is_file() { place } else { place.join(LOG) })
}

/// The log, its folder made where it is not there.
pub(crate) fn made(shell: &Shell) -> Result<PathBuf, Problem> {
    let place = place(shell)?;
    if place.is_file() {
        return Ok(place);
    }
    // A folder that is named is made; what it should lie in must be there.
    let above = place.parent().filter(|above| !above.as_os_str().is_empty());
    if shell.store.is_some() && above.is_some_and(|above| !above.is_dir()) {
        return Err(Problem::wrong(
            "not-found",
            "there is no folder to make the store in",
        )
        .in_file(place.display())
        .hint("check the name given with --store"));
    }
    papers::folder(&place)?;
    Ok(place.join(LOG))
}

fn place(shell: &Shell) -> Result<PathBuf, Problem> {
    let remote = shell.store.as_ref().and_then(|store| store.to_str());
    if remote.is_some_and(|store| store.contains("://")) {
        return Err(Problem::wrong(
            "no-store",
            "jobs are kept in a folder, not at an address",
        )
        .hint("name a folder with --store"));
    }
    let named = shell.store.clone().filter(|store| !store.as_os_str().is_empty());
    store_place(named, std::env::var_os("XDG_DATA_HOME"), std::env::var_os("HOME"))
}

/// The whole id of an event that is named by its beginning.
pub(crate) fn event_id(events: &[ShownEvent], named: &str) -> Result<String, Problem> {
    let begins: Vec<&ShownEvent> = events
        .iter()
        .filter(|event| !named.is_empty() && event.event.starts_with(named))
        .collect();
    match begins.as_slice() {
        [one] => Ok(one.event.clone()),
        [] => {
            Err(Problem::wrong("unknown-id", format!("this job has no event `{named}`"))
                .hint("`job show` lists them"))
        }
        many => {
            let what = format!("`{named}` begins the ids of {} events", many.len());
            Err(Problem::wrong("unknown-id", what).hint("write more of the id"))
        }
    }
}

/// A file as it is named in an answer.
pub(crate) fn shown(path: &Path) -> String {
    path.display().to_string()
}
