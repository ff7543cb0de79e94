//! What a bolt of the wrong length does: pulls the thread, or bottoms and clamps nothing.

use std::fmt;

use crate::engage::Material;
use crate::error::{FastenError, within};
use crate::thread::Thread;

/// Longest bolt, stack or hole accepted, mm.
const MOST_MM: f64 = 2000.0;

/// A bolt of one length in one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthInput {
    /// The thread.
    pub thread: Thread,
    /// Length under the head, mm.
    pub length_mm: f64,
    /// What is clamped, mm.
    pub stack_mm: f64,
    /// Depth of the hole below the stack, mm; 0: through.
    pub hole_depth_mm: f64,
    /// What the hole is in; where not known the least need, steel's, is asked for.
    pub into: Option<Material>,
}

/// What such a bolt does. Lengths in mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LengthFit {
    /// Enough engaged, and room below.
    Sound {
        /// Length in the thread.
        engaged_mm: f64,
        /// Length needed there.
        needed_mm: f64,
    },
    /// Too little engaged.
    TooShort {
        /// Length in the thread, 0 when it does not reach.
        engaged_mm: f64,
        /// Length needed there.
        needed_mm: f64,
    },
    /// Meets the end of the hole before the head clamps.
    TooLong {
        /// Length that would have to go in.
        engaged_mm: f64,
        /// Depth there is.
        hole_depth_mm: f64,
    },
}

impl fmt::Display for LengthFit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Sound { engaged_mm, needed_mm } => {
                write!(f, "engaged {engaged_mm:.1} mm of {needed_mm:.1} needed")
            }
            Self::TooShort { engaged_mm, needed_mm } => write!(
                f,
                "engaged {engaged_mm:.1} mm of {needed_mm:.1} needed: pulls the thread"
            ),
            Self::TooLong { engaged_mm, hole_depth_mm } => write!(
                f,
                "{engaged_mm:.1} mm into a hole of {hole_depth_mm:.1}: bottoms out: clicks at \
                 torque and clamps nothing"
            ),
        }
    }
}

/// Judges a length: engaged is length less stack, needed by the material
/// ([`Material::needed_diameters`]).
///
/// A bolt that is both too long for its hole and too short for its need bottoms first, so
/// it is reported as too long. The chamfered tip counts as engaged.
///
/// ```
/// use fasten::{LengthFit, LengthInput, Material, length_fit};
///
/// let fit = length_fit(&LengthInput {
///     thread: "M8".parse()?,
///     length_mm: 25.0,
///     stack_mm: 16.0,
///     hole_depth_mm: 20.0,
///     into: Some(Material::Aluminium),
/// })?;
/// assert_eq!(fit.to_string(), "engaged 9.0 mm of 14.0 needed: pulls the thread");
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When a length is negative, beyond 2 m or not a number.
pub fn length_fit(input: &LengthInput) -> Result<LengthFit, FastenError> {
    let length_mm = within("bolt length in mm", input.length_mm, 0.0, MOST_MM)?;
    let stack_mm = within("stack in mm", input.stack_mm, 0.0, MOST_MM)?;
    let hole_depth_mm = within("hole depth in mm", input.hole_depth_mm, 0.0, MOST_MM)?;
    let engaged_mm = (length_mm - stack_mm).max(0.0);
    let into = input.into.unwrap_or(Material::Steel);
    let needed_mm = into.needed_diameters() * input.thread.diameter_mm();
    if hole_depth_mm > 0.0 && engaged_mm > hole_depth_mm {
        return Ok(LengthFit::TooLong { engaged_mm, hole_depth_mm });
    }
    if engaged_mm < needed_mm {
        return Ok(LengthFit::TooShort { engaged_mm, needed_mm });
    }
    Ok(LengthFit::Sound { engaged_mm, needed_mm })
}
