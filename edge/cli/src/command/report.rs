//! `witmark report`.

use std::path::{Path, PathBuf};

use app::bay::{Papers, Standing};
use app::papers::{self, PapersAnswer};
use app::{Problem, Problems};
use clap::Args;

use crate::on_job::{OnJob, shown};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Report {
    #[command(flatten)]
    on: OnJob,
    /// Folder for owner.pdf and file.pdf [default: the job's id]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// As it stands now, not as it was handed over
    #[arg(long)]
    now: bool,
}

impl Report {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let bay = self.on.bay(shell)?;
        let job = bay.find(&self.on.job)?;
        let standing = if self.now { Standing::Now } else { Standing::HandedOver };
        let set = bay.report(&job, standing)?;
        let files = write_papers(&folder_of(self.out, &job), &set)?;
        shell.text(PapersAnswer { job: Some(job), files, remarks: Vec::new() }, written)
    }
}

/// The folder of a job's papers.
pub(crate) fn folder_of(named: Option<PathBuf>, job: &str) -> PathBuf {
    named.unwrap_or_else(|| PathBuf::from(job))
}

/// Writes both papers and says where.
pub(crate) fn write_papers(folder: &Path, set: &Papers) -> Result<Vec<String>, Problem> {
    let mut files = Vec::new();
    for (name, bytes) in [("owner.pdf", &set.owner), ("file.pdf", &set.file)] {
        let path = folder.join(name);
        papers::write_bytes(&path, bytes)?;
        files.push(shown(&path));
    }
    Ok(files)
}

/// The files, one a line.
pub(crate) fn written(answer: &PapersAnswer) -> String {
    answer.files.iter().fold(String::new(), |text, file| text + file + " is written.\n")
}
