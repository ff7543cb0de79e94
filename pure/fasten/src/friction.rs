//! `Friction`: how much of the torque is lost in the thread and under the head.

use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut, within};

/// Greatest coefficient accepted; dry galling steel stays below it.
const MOST: f64 = 1.0;

/// A coefficient of friction that is only known to lie between two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    low: f64,
    high: f64,
}

impl Span {
    /// A span from `low` to `high`; equal ends make a single value.
    ///
    /// # Errors
    /// When an end is outside 0 to 1 or not a number, or `high` is below `low`.
    pub fn new(low: f64, high: f64) -> Result<Self, FastenError> {
        let low = within("friction", low, 0.0, MOST)?;
        let high = within("upper end of friction", high, low, MOST)?;
        Ok(Self { low, high })
    }

    /// Lowest coefficient.
    pub const fn low(self) -> f64 {
        self.low
    }

    /// Highest coefficient.
    pub const fn high(self) -> f64 {
        self.high
    }

    fn is_single(self) -> bool {
        self.high <= self.low
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_single() {
            write!(f, "{}", self.low)
        } else {
            write!(f, "{} to {}", self.low, self.high)
        }
    }
}

/// Friction in the thread and under the head; the same in both unless two are given.
///
/// ```
/// use fasten::Friction;
///
/// let range: Friction = "0.10..0.16".parse()?;
/// assert_eq!((range.thread().low(), range.head().high()), (0.10, 0.16));
/// let two: Friction = "0.12/0.14".parse()?; // thread / head
/// assert_eq!(two.head().low(), 0.14);
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    thread: Span,
    head: Option<Span>,
}

impl Friction {
    /// The usual 0.12 of lightly oiled steel, in thread and under head.
    pub const USUAL: Self = Self { thread: Span { low: 0.12, high: 0.12 }, head: None };

    /// One friction, or one range, that holds in thread and under head alike.
    pub const fn same(span: Span) -> Self {
        Self { thread: span, head: None }
    }

    /// Thread and head each with their own.
    pub const fn two(thread: Span, head: Span) -> Self {
        Self { thread, head: Some(head) }
    }

    /// Friction in the thread, μG.
    pub const fn thread(self) -> Span {
        self.thread
    }

    /// Friction under the head, μK.
    pub fn head(self) -> Span {
        self.head.unwrap_or(self.thread)
    }

    /// Whether thread and head move independently of each other.
    pub(crate) const fn is_two(self) -> bool {
        self.head.is_some()
    }

    /// Whether anything about it is a range.
    pub(crate) fn is_range(self) -> bool {
        !self.thread.is_single() || !self.head().is_single()
    }
}

impl fmt::Display for Friction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.head {
            None => write!(f, "{} in thread and under head", self.thread),
            Some(head) => write!(f, "{} in thread, {head} under head", self.thread),
        }
    }
}

impl FromStr for Friction {
    type Err = FastenError;

    /// Reads "0.12", "0.10..0.16", and "thread/head" such as "0.12/0.14".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        match text.split_once('/') {
            Some((thread, head)) => Ok(Self::two(span(thread, text)?, span(head, text)?)),
            None => Ok(Self::same(span(text, text)?)),
        }
    }
}

fn span(part: &str, whole: &str) -> Result<Span, FastenError> {
    let number = |word: &str| {
        word.trim().replace(',', ".").parse::<f64>().map_err(|_| FastenError::Word {
            thing: "friction",
            given: cut(whole.trim()),
            next: "give a number such as 0.12, or a range such as 0.10..0.16",
        })
    };
    let (low, high) = part.split_once("..").unwrap_or((part, part));
    Span::new(number(low)?, number(high)?)
}
