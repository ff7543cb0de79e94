//! Quantities with their units, numbers as people type them, and money.
//!
//! A value meets its unit once, at the border: [`Measured::parse`] turns typed text
//! into a number and a [`Unit`], and from there on nothing is guessed.

mod measured;
mod money;
mod number;
mod quantity;
mod table;
mod unit;

pub use measured::Measured;
pub use money::{Currency, Money, MoneyError};
pub use number::parse_number;
pub use quantity::Quantity;
pub use unit::{Unit, UnitError};

/// Newton metres in one pound-force foot (exact product of the international pound,
/// standard gravity and the international foot, rounded to 11 figures; NIST SP 811).
pub const NM_PER_LBFT: f64 = 1.355_817_948_3;

/// Kilometres in one international mile, exact.
pub const KM_PER_MILE: f64 = 1.609_344;
