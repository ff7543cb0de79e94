//! `pull`: whether the thread in the part gives way before the bolt, and what that leaves.

use crate::engage::strip_load_kn;
use crate::error::FastenError;
use crate::tighten::TightenInput;

/// What the thread in the part bears beside what the bolt bears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Pull at which the internal thread strips, kN.
    pub strip_kn: f64,
    /// Pull at which the bolt breaks, kN.
    pub break_kn: f64,
    /// Length to be engaged for the bolt to break first, mm.
    pub needed_mm: f64,
}

impl Pull {
    /// Whether the internal thread strips before the bolt breaks.
    pub fn pulls_first(self) -> bool {
        self.strip_kn < self.break_kn
    }
}

/// Compares the internal thread with the breaking load of the bolt (FED-STD-H28/2B areas).
pub(crate) fn pull(
    input: &TightenInput,
    preload_kn: f64,
    remarks: &mut Vec<String>,
) -> Result<Option<Pull>, FastenError> {
    let (into, engaged_mm) = match (input.into, input.engaged_mm) {
        (Some(into), Some(engaged_mm)) => (into, engaged_mm),
        (Some(_), None) => {
            remarks
                .push("give the engaged length to learn whether the thread pulls".into());
            return Ok(None);
        }
        (None, Some(_)) => {
            remarks.push("give the material to learn whether the thread pulls".into());
            return Ok(None);
        }
        (None, None) => return Ok(None),
    };
    let strip_kn = strip_load_kn(input.thread, into, engaged_mm)?;
    let break_kn = input.class.breaking_load_kn(input.thread)?;
    let needed_mm = break_kn / strip_load_kn(input.thread, into, 1.0)?;
    remarks.push(format!(
        "thread in {into} strips at {strip_kn:.1} kN (FED-STD-H28 area at the loosest fit, shear \
         strength {:.0} N/mm²: general value, from memory), bolt breaks at {break_kn:.1} kN",
        into.shear_mpa()
    ));
    if strip_kn < preload_kn {
        remarks.push("this torque already pulls the thread: do not use it".into());
    }
    Ok(Some(Pull { strip_kn, break_kn, needed_mm }))
}
