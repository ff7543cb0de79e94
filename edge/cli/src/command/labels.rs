//! `witmark labels`.

use std::path::PathBuf;

use app::Problems;
use app::papers::{self, PapersAnswer};
use clap::Args;
use report::LabelSheet;

use crate::command::report::{folder_of, written};
use crate::on_job::{OnJob, shown};
use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Labels {
    #[command(flatten)]
    on: OnJob,
    /// File for the tray labels, 3 by 8 on A4 [default: labels.pdf in a folder named by the job's
    /// id; with --wiper alone: none]
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// File for the sheet under the wiper, A5
    #[arg(long, value_name = "FILE")]
    wiper: Option<PathBuf>,
    /// Labels already used on the first sheet
    #[arg(long, value_name = "N", default_value = "0", value_parser = clap::value_parser!(u8).range(0..24))]
    skip: u8,
}

impl Labels {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let bay = self.on.bay(shell)?;
        let job = bay.find(&self.on.job)?;
        let mut set = Vec::new();
        if self.out.is_some() || self.wiper.is_none() {
            let sheet =
                LabelSheet { skip: usize::from(self.skip), ..LabelSheet::default() };
            let path =
                self.out.unwrap_or_else(|| folder_of(None, &job).join("labels.pdf"));
            set.push((path, bay.labels(&job, &sheet)?));
        }
        if let Some(path) = self.wiper {
            set.push((path, bay.under_wiper(&job)?));
        }
        let mut files = Vec::new();
        for (path, bytes) in set {
            papers::write_bytes(&path, &bytes)?;
            files.push(shown(&path));
        }
        shell.text(PapersAnswer { job: Some(job), files, remarks: Vec::new() }, written)
    }
}
