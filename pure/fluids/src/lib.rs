//! Oil: what a dipstick says in litres, how much an engine uses, how thick it is at a
//! temperature, and which grade it fits.
//!
//! What this crate computes is general: the maker's fill, limits and specification come
//! first. A grade that fits by viscosity says nothing of approvals. Litres, kilometres,
//! degrees Celsius, mm²/s (kinematic) and mPa·s (dynamic).
//!
//! ```
//! use fluids::{Point, Walther};
//!
//! // Two points of a data sheet give every temperature between them (ASTM D341).
//! let oil = Walther::through(Point::new(40.0, 32.0)?, Point::new(100.0, 5.4)?)?;
//! assert!((oil.viscosity_mm2_s(80.0)? - 8.53).abs() < 0.02);
//! # Ok::<(), fluids::FluidError>(())
//! ```

mod consumption;
mod error;
mod fit;
mod grade;
mod index;
mod level;
mod thickness;
mod walther;

pub use consumption::{UseAnswer, UseInput, oil_use};
pub use error::FluidError;
pub use fit::{FitInput, GradeAnswer, Requirement, oil_grade};
pub use grade::{EDITION, Grade, Summer, Winter};
pub use index::viscosity_index;
pub use level::{LevelAnswer, LevelInput, oil_level};
pub use thickness::{ThicknessAnswer, ThicknessAt, ThicknessInput, oil_thickness};
pub use walther::{Point, Walther};
