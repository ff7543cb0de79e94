//! What is typed or tapped becomes what happened: [`Happened`], one thing each.

use job::body::{
    AlsoAnswer, Before, CapMove, CodeState, FastenerState, HoleAt, Measured, SealState,
    Tightened, Urgency, WaitFor,
};

use super::Problem;

mod parse;

/// What came of a check, as said.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckSaid {
    /// One of its outcomes.
    Outcome(String),
    /// It could not tell.
    Skip,
    /// A reading.
    Reading(Measured),
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Happened {
    /// A check came out.
    Check {
        /// Its id.
        check: String,
        /// What came of it.
        said: CheckSaid,
    },
    /// A repair was done.
    Repair(String),
    /// A proof was made.
    Proof {
        /// Its id.
        proof: String,
        /// Whether the fault showed.
        shown: bool,
        /// Exposure where it differs from the sheet's.
        exposure: Option<f64>,
        /// Whether the self-test ran, where that is known.
        self_test: Option<bool>,
    },
    /// An item came off.
    Off(String),
    /// An item went back.
    On {
        /// Its id.
        item: String,
        /// How; none: at its torque where it has one.
        how: Option<Tightened>,
        /// Which wrench.
        wrench: Option<String>,
    },
    /// Something about fasteners.
    Fastener {
        /// The item.
        item: String,
        /// The fastener.
        fastener: String,
        /// What.
        state: FastenerState,
        /// How many.
        count: u32,
        /// Where, what was done.
        note: String,
    },
    /// Something about seals.
    Seal {
        /// The item.
        item: String,
        /// The seal.
        seal: String,
        /// What.
        state: SealState,
        /// How many; none: all, or those that were not found.
        count: Option<u32>,
        /// Where it was.
        note: String,
    },
    /// Caps on open ports.
    Cap {
        /// The item.
        item: String,
        /// What was done.
        moved: CapMove,
        /// How many.
        count: u32,
    },
    /// A fluid ran out, or was filled in.
    Fluid {
        /// The fluid.
        fluid: String,
        /// Whether it was filled in.
        filled: bool,
        /// Litres.
        litres: Option<f64>,
        /// Money for it.
        price: Option<f64>,
    },
    /// A snag was met.
    Snag {
        /// The item.
        item: String,
        /// Which of its snags, from 0; none: the only one, or another.
        snag: Option<u32>,
        /// Minutes, where they differ.
        minutes: Option<f64>,
        /// Money for parts, where it differs.
        parts: Option<f64>,
        /// What happened.
        note: String,
    },
    /// A measure of an item was taken.
    Measure {
        /// The item.
        item: String,
        /// The measure.
        measure: String,
        /// The value; with an empty unit it is in the sheet's.
        measured: Measured,
    },
    /// A duty was done.
    Duty(String),
    /// A caution or set-up step was ticked.
    Tick(String),
    /// Something that is not the fault.
    Seen {
        /// How pressing.
        urgency: Urgency,
        /// What it sits on or behind.
        item: Option<String>,
        /// Price of the part.
        part: Option<f64>,
        /// Minutes while access is open.
        minutes: Option<f64>,
        /// What it is.
        text: String,
    },
    /// What the owner decided about it; `of` is the event or its place in the list, from 1.
    SeenAnswered {
        /// Which.
        of: String,
        /// What.
        answer: AlsoAnswer,
        /// The signature in words.
        signed: String,
    },
    /// A code was read.
    Code {
        /// The code.
        code: String,
        /// Its state.
        state: CodeState,
        /// Its freeze frame in words.
        frame: String,
    },
    /// Codes were erased; empty: all.
    Erased(Vec<String>),
    /// A line of perishable evidence.
    Before {
        /// What.
        what: Before,
        /// The value as typed; empty: it can't be had.
        value: String,
    },
    /// The owner allowed that sum in all.
    Authorised {
        /// The sum.
        sum: f64,
        /// `phone`, `in person`, `in writing`.
        how: String,
    },
    /// The owner declined something.
    Declined(String),
    /// The repairer does not want something proposed.
    Refused(String),
    /// A note.
    Note(String),
    /// What the job waits for.
    Waiting(WaitFor),
    /// A loose end was accepted in writing.
    Accept {
        /// Its id.
        end: String,
        /// In which words.
        words: String,
    },
    /// A loose end was settled.
    Settle {
        /// Its id.
        end: String,
        /// How.
        words: String,
    },
    /// A loose end was raised.
    Raise {
        /// What it is about.
        of: Option<String>,
        /// In which words.
        words: String,
    },
    /// The parts of a repair were ordered.
    Ordered(String),
    /// The parts of a repair came.
    Came {
        /// The repair.
        repair: String,
        /// They are wrong or damaged.
        wrong: bool,
    },
    /// A recording.
    Recording {
        /// Whether it was made before anything was touched.
        as_found: bool,
        /// The file.
        bytes: Vec<u8>,
        /// The check that it was made for; none: the only one that is judged so.
        check: Option<String>,
        /// Columns: time, command, actual; none: found by name.
        columns: Vec<(String, String)>,
    },
    /// A photo.
    Photo {
        /// The picture.
        bytes: Vec<u8>,
        /// What it shows.
        of: Option<String>,
        /// The caption.
        caption: String,
    },
    /// Holes were marked on a photo of an item.
    Holes {
        /// The event of the photo, or how its id begins.
        photo: String,
        /// Where; an earlier mark of the photo no longer holds.
        holes: Vec<HoleAt>,
    },
    /// The vehicle came back after the hand-over and goes on as this job.
    Comeback {
        /// Whether it is the same fault.
        same: bool,
    },
}

impl Happened {
    /// Reads one thing as typed; `file` gives the bytes of a file that it names.
    ///
    /// ```
    /// use app::bay::{CheckSaid, Happened};
    /// let mut none = |_: &str| Ok(Vec::new());
    /// let happened = Happened::parse("check:rod-stroke=short", &mut none).unwrap();
    /// let said = CheckSaid::Outcome("short".to_owned());
    /// assert_eq!(happened, Happened::Check { check: "rod-stroke".to_owned(), said });
    /// ```
    ///
    /// # Errors
    /// Says what would be right, and what a file's reader says.
    pub fn parse(
        text: &str,
        file: &mut dyn FnMut(&str) -> Result<Vec<u8>, Problem>,
    ) -> Result<Self, Problem> {
        parse::happened(text, file)
    }

    /// The thing as typed, without bytes, for messages.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Check { .. } => "check",
            Self::Repair(_) => "repair",
            Self::Proof { .. } => "proof",
            Self::Off(_) => "off",
            Self::On { .. } => "on",
            Self::Fastener { .. } => "fastener",
            Self::Seal { .. } => "seal",
            Self::Cap { .. } => "cap",
            Self::Fluid { .. } => "fluid",
            Self::Snag { .. } => "snag",
            Self::Measure { .. } => "measure",
            Self::Duty(_) => "duty",
            Self::Tick(_) => "tick",
            Self::Seen { .. } => "seen",
            Self::SeenAnswered { .. } => "answer",
            Self::Code { .. } => "code",
            Self::Erased(_) => "erased",
            Self::Before { .. } => "before",
            Self::Authorised { .. } => "authorised",
            Self::Declined(_) => "declined",
            Self::Refused(_) => "refused",
            Self::Note(_) => "note",
            Self::Waiting(_) => "waiting",
            Self::Accept { .. } => "accept",
            Self::Settle { .. } => "settle",
            Self::Raise { .. } => "raise",
            Self::Ordered(_) | Self::Came { .. } => "part",
            Self::Recording { .. } => "recording",
            Self::Photo { .. } => "photo",
            Self::Holes { .. } => "holes",
            Self::Comeback { .. } => "comeback",
        }
    }
}
