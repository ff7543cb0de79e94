//! The verbs that work on a job in the store: [`Bay`] holds the store, the clock and chance.
//!
//! Every verb is read, compute, append, answer. What a job amounts to is folded from its
//! events each time; nothing else is kept.

mod advice;
mod bodies;
mod car;
mod cars;
mod clock;
mod correct;
mod did;
mod drafts;
mod duties;
mod follow_up;
mod hand_over;
mod happened;
mod labels;
mod learned;
mod log;
mod lookup;
mod measured;
mod measures;
mod meters;
mod named;
mod new_job;
mod next;
mod options;
mod others;
mod owner;
mod paper;
mod paper_file;
mod photos;
mod planners;
mod quote;
mod report;
mod said;
mod seen;
mod show;
pub mod story;
mod tray;
mod tray_view;
mod undo;
mod wiper;

use std::path::Path;

use job::{Body, Draft, Stored};
use sheet::Settings;
use store::{Blob, SqliteStore, Store, StoreError};

pub use advice::Thinking;
pub use car::{ItemName, LooseEndLine, OddsWords};
pub use cars::{CarOnHand, JobsAnswer, Shown};
pub use clock::{Clock, Moment, fixed_clock, system_clock};
pub use did::{DidAnswer, Recorded};
pub use follow_up::{FollowUpAnswer, FollowUpList, ToAsk, Told};
pub use hand_over::{HandOver, HandedOverAnswer, PassOn};
pub use happened::{CheckSaid, Happened};
pub use job::{
    Seen,
    body::{EndsWord, UnitWord},
    fold::Hole,
};
pub use log::{ImportAnswer, VerifyAnswer};
pub use measures::MeasureLine;
pub use new_job::{JobAnswer, NewJob, Owner, Repeated};
pub use next::{NextAnswer, NoteFirst, Outcome, RootOpen, StepNow};
pub use options::{OptionsAnswer, OwnerChoice};
pub use others::{Doable, Doables};
pub use owner::{Ring, owner_rule};
pub use quote::{FirstBreak, QuoteAnswer};
pub use report::{Papers, Standing};
pub use said::CautionText;
pub use show::{ShowAnswer, ShownEvent};
pub use tray_view::{CellOf, HoleOn, ItemOf, KindOf, MapOf, PhotoOf, TrayAnswer};
pub use undo::UndoAnswer;

use crate::Problem;
use crate::settings::{self, Meter};

/// Name and address of the workshop, as papers print them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Workshop {
    /// Its name.
    pub name: String,
    /// Address and telephone, one line each.
    pub lines: Vec<String>,
}

/// A store with whoever works on it: all verbs on jobs begin here.
pub struct Bay {
    store: Box<dyn Store>,
    who: String,
    clock: Clock,
    thinking: Thinking,
    language: String,
    workshop: Workshop,
    settings: Settings,
    meters: Vec<Meter>,
    planners: planners::Planners,
}

impl std::fmt::Debug for Bay {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Bay").field("who", &self.who).finish_non_exhaustive()
    }
}

impl Bay {
    /// The store in that file, made where it is not there; the clock is the system's. The
    /// workshop's settings hold where `workshop.toml` lies beside it.
    ///
    /// # Errors
    /// Where the file can't be opened or is something else.
    pub fn open(path: &Path, who: &str) -> Result<Self, Problem> {
        let store = SqliteStore::open(path).map_err(|error| trouble(&error))?;
        let bay = Self::with(Box::new(store), who, system_clock());
        match settings::beside(path)? {
            Some((settings, meters)) => Ok(bay.settings(settings).meters(meters)),
            None => Ok(bay),
        }
    }

    /// Any store, with any clock.
    #[must_use]
    pub fn with(store: Box<dyn Store>, who: &str, clock: Clock) -> Self {
        Self {
            store,
            who: who.to_owned(),
            clock,
            thinking: Thinking::default(),
            language: "en".to_owned(),
            workshop: Workshop::default(),
            settings: Settings::default(),
            meters: Vec::new(),
            planners: planners::Planners::default(),
        }
    }

    /// How long a plan may take.
    #[must_use]
    pub fn thinking(mut self, thinking: Thinking) -> Self {
        self.thinking = thinking;
        self
    }

    /// The language of titles.
    #[must_use]
    pub fn language(mut self, language: &str) -> Self {
        language.clone_into(&mut self.language);
        self
    }

    /// Whose papers they are.
    #[must_use]
    pub fn workshop(mut self, workshop: Workshop) -> Self {
        self.workshop = workshop;
        self
    }

    /// The workshop's money rules and equipment; a job freezes them when it is opened.
    #[must_use]
    pub fn settings(mut self, settings: Settings) -> Self {
        self.settings = settings;
        self
    }

    /// The workshop's meters: what is read is read with the one for it, unless it is said.
    #[must_use]
    pub fn meters(mut self, meters: Vec<Meter>) -> Self {
        self.meters = meters;
        self
    }

    /// Who enters what follows.
    pub fn set_who(&mut self, who: &str) {
        who.clone_into(&mut self.who);
    }

    /// The bytes of a blob, `None` where it was erased or never here.
    ///
    /// # Errors
    /// Where the store can't be read.
    pub fn blob(&self, id: &str) -> Result<Option<Vec<u8>>, Problem> {
        match self.store.blob(id).map_err(|error| trouble(&error))? {
            Blob::Here(bytes) => Ok(Some(bytes)),
            Blob::Erased | Blob::Unknown => Ok(None),
        }
    }

    fn keep(&mut self, bytes: &[u8]) -> Result<String, Problem> {
        self.store.put_blob(bytes).map_err(|error| trouble(&error))
    }

    fn keep_text(&mut self, text: &str) -> Result<Option<String>, Problem> {
        if text.is_empty() { Ok(None) } else { self.keep(text.as_bytes()).map(Some) }
    }

    fn draft(&self, job: &str, body: Body, reference: String) -> Draft {
        let Moment { at, zone } = (self.clock)();
        Draft { job: job.to_owned(), body, reference, at, zone, who: self.who.clone() }
    }

    fn append(&mut self, job: &str, body: Body) -> Result<Stored, Problem> {
        let draft = self.draft(job, body, new_reference()?);
        self.store.append(&draft).map_err(|error| trouble(&error))
    }
}

/// A client reference: 128 random bits.
fn new_reference() -> Result<String, Problem> {
    store::random_reference().map_err(|error| trouble(&error))
}

/// What a store refused, as a problem with its exit status.
fn trouble(error: &StoreError) -> Problem {
    match error {
        StoreError::Conflict(_) => Problem::wrong("conflict", error),
        StoreError::Event(_) => Problem::wrong("entry", error),
        StoreError::TooLarge { .. } => Problem::wrong("too-large", error),
        StoreError::Archive { .. } => Problem::wrong("archive", error),
        StoreError::NoFolder(_) => Problem::wrong("not-found", error),
        StoreError::NotAStore(_) | StoreError::Newer { .. } => {
            Problem::wrong("not-a-store", error)
        }
        StoreError::CantOpen { .. }
        | StoreError::NoWal(_)
        | StoreError::Full
        | StoreError::Busy
        | StoreError::Disk(_)
        | StoreError::Damaged(_)
        | StoreError::Io(_)
        | StoreError::NoRandom(_)
        | StoreError::Nothing
        | StoreError::OnPurpose(_) => Problem::could_not("store", error),
    }
}
