//! How much pull the thread in the part bears, and in which material it is cut.

use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut, within};
use crate::thread::Thread;

/// tan 30°, the flank of a 60° thread.
const FLANK: f64 = 0.577_35;

/// What the internal thread is cut in. Strengths are cautious general values, not a datasheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Material {
    /// Plain structural steel, Rm at least 360 N/mm².
    Steel,
    /// Grey cast iron of about Rm 200 N/mm².
    CastIron,
    /// A soft casting alloy.
    Aluminium,
    /// A die-casting alloy.
    Magnesium,
    /// Filled polyamide; the thread yields with time and heat.
    Plastic,
}

impl Material {
    /// Least shear strength in N/mm² assumed for the internal thread.
    ///
    /// Steel 0.62 of Rm 360, what a catalogue's trial value of 1.0 d for class 8.8 on
    /// coarse threads asks for (a fine thread strips sooner);
    /// aluminium 130 as in a published worked example; cast iron (0.9 of Rm 200), magnesium
    /// and plastic from memory, on the low side.
    pub const fn shear_mpa(self) -> f64 {
        match self {
            Self::Steel => 223.0,
            Self::CastIron => 180.0,
            Self::Aluminium => 130.0,
            Self::Magnesium => 115.0,
            Self::Plastic => 30.0,
        }
    }

    /// Pressure in N/mm² that a part of it bears under a head before it gives; from memory, on
    /// the low side of what handbooks list. `None` where it creeps under any.
    pub const fn bears_mpa(self) -> Option<f64> {
        match self {
            Self::Steel => Some(490.0),
            Self::CastIron => Some(600.0),
            Self::Aluminium => Some(200.0),
            Self::Magnesium => Some(140.0),
            Self::Plastic => None,
        }
    }

    /// Engagement needed, in diameters of the bolt.
    ///
    /// Steel 1.0, cast iron 1.25, plastic 2.5: common practice. Aluminium 1.75: common
    /// practice says 1.5 to 2, and 1.7 is what class 8.8 needs at 130 N/mm² shear.
    /// Magnesium 2.0: common practice.
    pub const fn needed_diameters(self) -> f64 {
        match self {
            Self::Steel => 1.0,
            Self::CastIron => 1.25,
            Self::Aluminium => 1.75,
            Self::Magnesium => 2.0,
            Self::Plastic => 2.5,
        }
    }
}

impl fmt::Display for Material {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Steel => "steel",
            Self::CastIron => "cast-iron",
            Self::Aluminium => "aluminium",
            Self::Magnesium => "magnesium",
            Self::Plastic => "plastic",
        })
    }
}

impl FromStr for Material {
    type Err = FastenError;

    fn from_str(text: &str) -> Result<Self, FastenError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "steel" => Ok(Self::Steel),
            "cast-iron" | "cast iron" => Ok(Self::CastIron),
            "aluminium" | "aluminum" => Ok(Self::Aluminium),
            "magnesium" => Ok(Self::Magnesium),
            "plastic" => Ok(Self::Plastic),
            _ => Err(FastenError::Word {
                thing: "material",
                given: cut(text.trim()),
                next: "give steel, cast-iron, aluminium, magnesium or plastic",
            }),
        }
    }
}

/// Shear area of an internal thread in mm² (FED-STD-H28/2B, ASME B1.1 appendix B):
/// `π · Ds,min · (Le/P) · [P/2 + 0.57735 (Ds,min − En,max)]`.
///
/// `major_min_mm` is Ds,min of the bolt, `internal_pitch_max_mm` En,max of the hole.
///
/// ```
/// // M10x1.5 in a published worked example: 24.84 mm² for each mm engaged.
/// let area = fasten::internal_shear_area_mm2(9.968, 9.206, 1.5, 1.0);
/// assert!((area - 24.84).abs() < 0.01);
/// ```
pub fn internal_shear_area_mm2(
    major_min_mm: f64,
    internal_pitch_max_mm: f64,
    pitch_mm: f64,
    engaged_mm: f64,
) -> f64 {
    let tooth_mm = pitch_mm / 2.0 + FLANK * (major_min_mm - internal_pitch_max_mm);
    PI * major_min_mm * engaged_mm / pitch_mm * tooth_mm
}

/// The pull in kN at which the internal thread strips, at the loosest fit of 6g/6H or 2A/2B.
///
/// # Errors
/// When the engaged length is negative, beyond 500 mm or not a number.
pub fn strip_load_kn(
    thread: Thread,
    into: Material,
    engaged_mm: f64,
) -> Result<f64, FastenError> {
    let engaged_mm = within("engaged length in mm", engaged_mm, 0.0, 500.0)?;
    let limits = thread.limits();
    let area = internal_shear_area_mm2(
        limits.major_min_mm,
        limits.internal_pitch_max_mm,
        thread.pitch_mm(),
        engaged_mm,
    );
    Ok(area * into.shear_mpa() / 1000.0)
}
