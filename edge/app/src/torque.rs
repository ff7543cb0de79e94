//! `torque`: what a bolt bears and the torque that brings it there.

pub use fasten::{Friction, Material, StrengthClass, Thread};
use fasten::{TightenInput, TorqueAnswer, tighten};

use crate::Problem;

/// What `torque` was asked; what is absent takes its usual value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueInput {
    /// The thread.
    pub thread: Thread,
    /// The strength class.
    pub class: StrengthClass,
    /// Friction; absent: 0.12.
    pub friction: Option<Friction>,
    /// Across flats, mm.
    pub head_mm: Option<f64>,
    /// Outer diameter of the face that bears, mm.
    pub bearing_mm: Option<f64>,
    /// Hole under the head, mm.
    pub hole_mm: Option<f64>,
    /// Share of yield; absent: 0.9.
    pub use_of_yield: Option<f64>,
    /// What the thread in the part is cut in.
    pub into: Option<Material>,
    /// Length engaged in it, mm.
    pub engaged_mm: Option<f64>,
}

/// Computes the torque.
///
/// # Errors
/// A class that the thread does not have; a number that makes no sense.
pub fn torque(input: &TorqueInput) -> Result<TorqueAnswer, Problem> {
    let usual = TightenInput::new(input.thread, input.class);
    let asked = TightenInput {
        friction: input.friction.unwrap_or(usual.friction),
        head_mm: input.head_mm,
        bearing_mm: input.bearing_mm,
        hole_mm: input.hole_mm,
        use_of_yield: input.use_of_yield.unwrap_or(usual.use_of_yield),
        into: input.into,
        engaged_mm: input.engaged_mm,
        ..usual
    };
    tighten(&asked).map_err(|error| Problem::wrong("torque", error))
}

/// What it is about, as a page is headed: `M8, class 8.8`.
pub fn heading(input: &TorqueInput) -> String {
    format!("{}, class {}", input.thread, input.class)
}

#[cfg(test)]
mod tests {
    use super::{TorqueInput, torque};

    #[test]
    fn an_absent_flag_takes_the_usual_value() {
        let input = TorqueInput {
            thread: "M8".parse().unwrap(),
            class: "8.8".parse().unwrap(),
            friction: None,
            head_mm: None,
            bearing_mm: None,
            hole_mm: None,
            use_of_yield: None,
            into: None,
            engaged_mm: None,
        };
        // Printed list for 8.8, friction 0.12, 90 % of yield: 24.6 N·m.
        assert!((torque(&input).unwrap().torque_nm / 24.6 - 1.0).abs() < 0.012);
        let tight = TorqueInput { use_of_yield: Some(0.5), ..input };
        assert!(torque(&tight).unwrap().torque_nm < 15.0);
    }
}
