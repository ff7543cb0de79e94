//! `log verify`, `log export` and `log import`.

use std::io::{BufRead, Write};

use job::{Finding, Seen};
use schemars::JsonSchema;
use serde::Serialize;
use store::{Counts, Limits};

use super::{Bay, Problem, trouble};
use crate::Answer;

/// Answer `verify/1`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct VerifyAnswer {
    /// How many events were looked at.
    pub events: usize,
    /// Whether nothing is wrong.
    pub sound: bool,
    /// What is wrong.
    pub findings: Vec<Finding>,
    /// The last event of each writer, as `WRITER ID`: note it down outside.
    pub heads: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for VerifyAnswer {
    const NAME: &'static str = "verify/1";
}

/// Answer `import/1` and `export/1`: what an archive held, or what of it was new.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ImportAnswer {
    /// Events.
    pub events: usize,
    /// Blobs.
    pub blobs: usize,
    /// Blobs that were erased.
    pub gone: usize,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for ImportAnswer {
    const NAME: &'static str = "import/1";
}

impl From<Counts> for ImportAnswer {
    fn from(counts: Counts) -> Self {
        let Counts { events, blobs, gone } = counts;
        Self { events, blobs, gone, remarks: Vec::new() }
    }
}

impl Bay {
    /// What is wrong with the log; `seen` are heads from elsewhere: a printed report, an
    /// archive, another writer.
    ///
    /// # Errors
    /// Where the store can't be read.
    pub fn verify(&self, seen: &[Seen]) -> Result<VerifyAnswer, Problem> {
        let findings = self.store.verify(seen).map_err(|error| trouble(&error))?;
        let heads = self.store.heads().map_err(|error| trouble(&error))?;
        let events = self.store.all().map_err(|error| trouble(&error))?.len();
        Ok(VerifyAnswer {
            events,
            sound: findings.is_empty(),
            findings,
            heads: heads.iter().map(|(writer, head)| format!("{writer} {}", head.id)).collect(),
            remarks: vec![
                "this detects, it does not prevent: compare the heads with a printed report"
                    .to_owned(),
            ],
        })
    }

    /// Writes everything as one archive.
    ///
    /// # Errors
    /// Where the store can't be read or `out` not be written.
    pub fn export(&self, out: &mut dyn Write) -> Result<ImportAnswer, Problem> {
        self.store.export(out).map(ImportAnswer::from).map_err(|error| trouble(&error))
    }

    /// Takes in an archive, all of it or nothing.
    ///
    /// # Errors
    /// Where anything about it is wrong.
    pub fn import(&mut self, archive: &mut dyn BufRead) -> Result<ImportAnswer, Problem> {
        self.store
            .import(archive, &Limits::default())
            .map(ImportAnswer::from)
            .map_err(|error| trouble(&error))
    }
}
