//! `turn`: how far to turn from a first torque, from what bolt and parts give.

use schemars::JsonSchema;
use serde::Serialize;

use crate::engage::Material;
use crate::error::{FastenError, within};
use crate::thread::Thread;

/// Young's modulus of a steel bolt, kN/mm².
const STEEL_KN_PER_MM2: f64 = 205.0;

/// How stiff a joint is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Stiffness {
    /// Of the bolt, kN for each mm that it gets longer.
    pub bolt_kn_per_mm: f64,
    /// Of the clamped parts, kN for each mm that they get shorter.
    pub parts_kn_per_mm: f64,
}

impl Stiffness {
    /// A joint whose stiffnesses are known.
    ///
    /// # Errors
    /// When one is not above 0 or beyond any vehicle.
    pub fn new(bolt_kn_per_mm: f64, parts_kn_per_mm: f64) -> Result<Self, FastenError> {
        let bolt = within("stiffness of the bolt in kN/mm", bolt_kn_per_mm, 0.1, 1e5)?;
        let parts = within("stiffness of the parts in kN/mm", parts_kn_per_mm, 0.1, 1e6)?;
        Ok(Self { bolt_kn_per_mm: bolt, parts_kn_per_mm: parts })
    }

    /// A steel bolt threaded all the way through `grip_mm` of one material.
    ///
    /// Bolt: `As E / L`. Parts: `E d A exp(B d / L)`, the fit to finite-element results in
    /// Shigley, 9th ed., eq. 8-23 and table 8-8 (from memory).
    ///
    /// # Errors
    /// When the grip is not from 1 to 1000 mm, or the parts are of plastic, which creeps.
    pub fn of_grip(
        thread: Thread,
        grip_mm: f64,
        parts: Material,
    ) -> Result<Self, FastenError> {
        let grip_mm = within("clamped length in mm", grip_mm, 1.0, 1000.0)?;
        let (modulus, factor, power) = match parts {
            Material::Steel => (207.0, 0.787_15, 0.628_73),
            Material::CastIron => (100.0, 0.778_71, 0.616_16),
            Material::Aluminium => (71.0, 0.796_70, 0.638_16),
            Material::Magnesium => (45.0, 0.789_52, 0.629_14),
            Material::Plastic => {
                return Err(FastenError::Word {
                    thing: "stiffness of",
                    given: "plastic".into(),
                    next: "it creeps: take the maker's torque and angle",
                });
            }
        };
        let diameter_mm = thread.diameter_mm();
        let parts =
            modulus * diameter_mm * factor * (power * diameter_mm / grip_mm).exp();
        Self::new(thread.stress_area_mm2() * STEEL_KN_PER_MM2 / grip_mm, parts)
    }

    /// Share of an outer load that the bolt takes, `C = kb / (kb + km)`.
    ///
    /// ```
    /// // Shigley, 9th ed., example 8-3: 6.50 and 13.8 Mlbf/in.
    /// let joint = fasten::Stiffness::new(6.50 * 175.1268, 13.8 * 175.1268)?;
    /// assert!((joint.bolt_share() - 0.320).abs() < 0.001);
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    pub fn bolt_share(self) -> f64 {
        self.bolt_kn_per_mm / (self.bolt_kn_per_mm + self.parts_kn_per_mm)
    }

    /// Degrees of turn for each kN of preload: `360 / P · (1/kb + 1/km)`.
    pub fn degrees_per_kn(self, thread: Thread) -> f64 {
        let give_mm_per_kn = 1.0 / self.bolt_kn_per_mm + 1.0 / self.parts_kn_per_mm;
        360.0 / thread.pitch_mm() * give_mm_per_kn
    }

    /// Preload in kN lost when the joint settles by `settled_um` micrometres.
    pub fn settled_kn(self, settled_um: f64) -> f64 {
        let give_mm_per_kn = 1.0 / self.bolt_kn_per_mm + 1.0 / self.parts_kn_per_mm;
        settled_um / 1000.0 / give_mm_per_kn
    }
}

/// A turn from a first torque to the preload.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Turn {
    /// Torque that the turn starts from, N·m.
    pub snug_nm: f64,
    /// Preload there at the lowest friction, kN.
    pub snug_kn: f64,
    /// How far to turn from there to reach the preload, degrees.
    pub degrees: f64,
    /// How stiff bolt and parts were taken.
    pub stiffness: Stiffness,
    /// Share of an outer load that the bolt takes.
    pub bolt_share: f64,
}

/// The turn that brings `thread` from the preload of the first torque to `preload_kn`.
///
/// # Errors
/// When the first torque already gives that preload.
pub fn turn(
    thread: Thread,
    stiffness: Stiffness,
    (snug_nm, snug_kn): (f64, f64),
    preload_kn: f64,
) -> Result<Turn, FastenError> {
    let snug_nm = within("torque that the turn starts from in N·m", snug_nm, 0.0, 1e4)?;
    let left_kn = preload_kn - snug_kn;
    if left_kn <= 0.0 {
        return Err(FastenError::Turn { snug_nm, snug_kn, preload_kn });
    }
    let degrees = left_kn * stiffness.degrees_per_kn(thread);
    let bolt_share = stiffness.bolt_share();
    Ok(Turn { snug_nm, snug_kn, degrees, stiffness, bolt_share })
}
