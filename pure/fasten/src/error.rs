//! What can be wrong with what was asked: the thing, the place, the next move.

use std::fmt;

/// A question that cannot be answered, in plain words.
#[derive(Debug, Clone, PartialEq)]
pub enum FastenError {
    /// A text that names no known thread.
    Thread {
        /// What was written, cut to a readable length.
        given: String,
        /// What is wrong with it and what would be right.
        why: String,
    },
    /// A text that names no known strength class, material, kind or friction.
    Word {
        /// What the text should have named.
        thing: &'static str,
        /// What was written, cut to a readable length.
        given: String,
        /// What would be right.
        next: &'static str,
    },
    /// A class that does not exist for this thread.
    NotForThread {
        /// The class.
        class: String,
        /// The thread.
        thread: String,
        /// Why not, and what would be right.
        why: &'static str,
    },
    /// A number outside what makes sense.
    Number {
        /// Name of the quantity with its unit.
        name: &'static str,
        /// What was given.
        value: f64,
        /// Least value allowed.
        low: f64,
        /// Greatest value allowed.
        high: f64,
    },
    /// A turn that has nothing left to do.
    Turn {
        /// Torque that it starts from, N·m.
        snug_nm: f64,
        /// Preload there, kN.
        snug_kn: f64,
        /// Preload asked for, kN.
        preload_kn: f64,
    },
    /// A torque that could not have given the preload even without friction.
    Frictionless {
        /// Torque, N·m.
        torque_nm: f64,
        /// Preload, kN.
        preload_kn: f64,
        /// What the pitch alone asks for, N·m.
        pitch_nm: f64,
        /// The thread.
        thread: String,
    },
    /// Stages of tightening that do not rise to the full torque.
    Stages {
        /// What was given, cut to a readable length.
        given: String,
        /// What is wrong with them.
        why: &'static str,
    },
    /// The head or hole cannot be known or does not fit.
    Head {
        /// The thread.
        thread: String,
        /// What is wrong and what to give.
        why: String,
    },
}

impl fmt::Display for FastenError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Thread { given, why } => write!(f, "thread {given:?}: {why}"),
            Self::Word { thing, given, next } => {
                write!(f, "{thing} {given:?} is not known: {next}")
            }
            Self::NotForThread { class, thread, why } => {
                write!(f, "class {class} on {thread}: {why}")
            }
            Self::Number { name, value, low, high } => {
                write!(f, "{name} is {value}: give a number from {low} to {high}")
            }
            Self::Turn { snug_nm, snug_kn, preload_kn } => write!(
                f,
                "{snug_nm} N·m already gives {snug_kn:.1} kN and {preload_kn:.1} are wanted: \
                 start the turn from less"
            ),
            Self::Frictionless { torque_nm, preload_kn, pitch_nm, thread } => write!(
                f,
                "{torque_nm} N·m can't give {preload_kn} kN on {thread}: the pitch alone takes \
                 {pitch_nm:.1} N·m; check torque, preload and thread"
            ),
            Self::Stages { given, why } => write!(
                f,
                "stages {given:?}: {why}; write rising percents that end at 100, as in \
                 30,60,100"
            ),
            Self::Head { thread, why } => write!(f, "head of {thread}: {why}"),
        }
    }
}

impl std::error::Error for FastenError {}

/// The first characters of a text, so that an error stays readable.
pub(crate) fn cut(text: &str) -> String {
    const SHOWN: usize = 40;
    text.chars().take(SHOWN).collect()
}

/// The value when it lies in `low..=high`; NaN and infinities never do.
pub(crate) fn within(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, FastenError> {
    if value >= low && value <= high {
        Ok(value)
    } else {
        Err(FastenError::Number { name, value, low, high })
    }
}
