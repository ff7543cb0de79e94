//! What thread a head may belong to: a guess, never an answer.

use std::fmt;

use crate::error::{FastenError, within};
use crate::head::{HeadStyle, inch_heads, metric_heads};
use crate::thread::Thread;

/// One thread that may be under a head.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// The thread, with the pitch most usual under such a head.
    pub thread: Thread,
    /// Heads of that width on that thread.
    pub heads: Vec<HeadStyle>,
}

/// What a width across flats allows. Two threads under one spanner are the rule.
#[derive(Debug, Clone, PartialEq)]
pub struct ThreadGuess {
    /// The width that was asked about, mm.
    pub head_mm: f64,
    /// Every thread it may be, thinnest first; empty when no known head has this width.
    pub alternatives: Vec<Alternative>,
}

impl fmt::Display for ThreadGuess {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a guess from {} mm across flats: ", self.head_mm)?;
        if self.alternatives.is_empty() {
            return f.write_str("no known thread; measure it");
        }
        for (place, alternative) in self.alternatives.iter().enumerate() {
            let between = if place == 0 { "" } else { " or " };
            write!(f, "{between}{} (", alternative.thread)?;
            for (place, head) in alternative.heads.iter().enumerate() {
                let between = if place == 0 { "" } else { ", " };
                write!(f, "{between}{head}")?;
            }
            f.write_str(")")?;
        }
        f.write_str("; measure thread and pitch")
    }
}

/// The threads that a head of this width may belong to (JIS B 1189, ISO 4162, JIS B 1180;
/// older rows and the finer pitch under East Asian small hexagons are common practice).
///
/// Inch hexagons are named only where no metric head has this width.
///
/// ```
/// let guess = fasten::guess_thread(13.0)?;
/// let names: Vec<_> = guess.alternatives.iter().map(|a| a.thread.to_string()).collect();
/// assert_eq!(names, ["M8", "M10"]); // one spanner, twice the torque
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When the width is not from 2 to 150 mm.
pub fn guess_thread(head_mm: f64) -> Result<ThreadGuess, FastenError> {
    let head_mm = within("width across flats in mm", head_mm, 2.0, 150.0)?;
    let mut alternatives: Vec<Alternative> = Vec::new();
    for (diameter_um, style) in metric_heads(head_mm) {
        let Some(thread) = usual_thread(diameter_um, style) else { continue };
        match alternatives.iter_mut().find(|known| known.thread == thread) {
            Some(known) => known.heads.push(style),
            None => alternatives.push(Alternative { thread, heads: vec![style] }),
        }
    }
    if alternatives.is_empty() {
        alternatives.extend(
            inch_heads(head_mm)
                .filter_map(Thread::unc_tenthou)
                .map(|thread| Alternative { thread, heads: vec![HeadStyle::Hexagon] }),
        );
    }
    Ok(ThreadGuess { head_mm, alternatives })
}

/// The pitch most usual under a head: M10 and M12 small hexagons mostly carry 1.25.
fn usual_thread(diameter_um: u32, style: HeadStyle) -> Option<Thread> {
    if style == HeadStyle::SmallHexagon && matches!(diameter_um, 10_000 | 12_000) {
        return Some(Thread::metric_um(diameter_um, 1250));
    }
    Thread::coarse_um(diameter_um)
}
