//! `tighten`: the preload a bolt may be given and the torque that brings it there.

use std::f64::consts::PI;

use schemars::JsonSchema;
use serde::Serialize;

use crate::class::{Strength, StrengthClass};
use crate::engage::{Material, strip_load_kn};
use crate::error::{FastenError, within};
use crate::friction::Friction;
use crate::general::GENERAL_VALUE;
use crate::head::bearing;
use crate::thread::Thread;
use crate::wrench::NM_PER_LBFT;

/// `1/(2π)` as VDI 2230 prints it.
const PITCH_PART: f64 = 0.159;
/// `1/(2 cos 30°)` as VDI 2230 prints it.
const THREAD_PART: f64 = 0.578;
/// `1/cos 30°` as VDI 2230 prints it.
const FLANK_PART: f64 = 1.155;
/// Fully plastic torsion modulus, VDI 2230 of 2001 and later (the 1986 edition: 2).
const PLASTIC_TORSION: f64 = 1.5;
/// Use of yield that the printed tables are made for.
const USUAL_USE: f64 = 0.9;

/// What is to be tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TightenInput {
    /// The thread.
    pub thread: Thread,
    /// The strength class of the bolt.
    pub class: StrengthClass,
    /// Friction in thread and under the head.
    pub friction: Friction,
    /// Width across flats (or key size), mm; absent: the plain hexagon of the thread.
    pub head_mm: Option<f64>,
    /// Outer diameter of the face that bears, mm; wins over `head_mm`.
    pub bearing_mm: Option<f64>,
    /// Diameter of the hole under the head, mm; absent: medium of ISO 273.
    pub hole_mm: Option<f64>,
    /// Share of yield that tension and torsion together may use, above 0 to 1.
    pub use_of_yield: f64,
    /// What the internal thread is cut in.
    pub into: Option<Material>,
    /// Length engaged in it, mm.
    pub engaged_mm: Option<f64>,
}

impl TightenInput {
    /// The usual case: friction 0.12, plain hexagon on a medium hole, 90 % of yield.
    pub const fn new(thread: Thread, class: StrengthClass) -> Self {
        Self {
            thread,
            class,
            friction: Friction::USUAL,
            head_mm: None,
            bearing_mm: None,
            hole_mm: None,
            use_of_yield: USUAL_USE,
            into: None,
            engaged_mm: None,
        }
    }
}

/// Where the torque goes; the three sum to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Shares {
    /// Share that stretches the bolt.
    pub pitch: f64,
    /// Share lost in the thread.
    pub thread: f64,
    /// Share lost under the head.
    pub head: f64,
}

/// The answer `torque/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TorqueAnswer {
    /// Stress area, mm² (ISO 898-1).
    pub stress_area_mm2: f64,
    /// Preload at the lowest friction, kN.
    pub preload_kn: f64,
    /// Torque that reaches the permitted use of yield at the lowest friction, N·m.
    pub torque_nm: f64,
    /// The same in lb-ft.
    pub torque_lbft: f64,
    /// Preload that this torque gives at the highest and at the lowest friction, kN.
    pub preload_window_kn: [f64; 2],
    /// Where the torque goes at the lowest friction.
    pub shares: Shares,
    /// Whether the internal thread pulls before the bolt breaks; null where not known.
    pub pulls_first: Option<bool>,
    /// Method, friction, use of yield and bearing face.
    pub method: String,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

/// Torque for each unit of preload, in mm (kN · mm = N·m), split by where it goes:
/// `0.159 P + 0.578 d2 μG + 0.5 Dkm μK` (VDI 2230).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    /// Pitch part, mm.
    pub pitch_mm: f64,
    /// Thread friction part, mm.
    pub thread_mm: f64,
    /// Head friction part, mm.
    pub head_mm: f64,
}

impl Lever {
    /// The lever of a thread on a bearing ring of mean diameter `bearing_mean_mm` (Dkm).
    ///
    /// ```
    /// let lever = fasten::Lever::new("M8".parse()?, 10.315, 0.12, 0.12);
    /// assert!((lever.sum_mm() - 1.3162).abs() < 0.0005);
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    pub fn new(
        thread: Thread,
        bearing_mean_mm: f64,
        thread_friction: f64,
        head_friction: f64,
    ) -> Self {
        Self {
            pitch_mm: PITCH_PART * thread.pitch_mm(),
            thread_mm: THREAD_PART * thread.pitch_diameter_mm() * thread_friction,
            head_mm: 0.5 * bearing_mean_mm * head_friction,
        }
    }

    /// The whole lever, mm.
    pub fn sum_mm(self) -> f64 {
        self.pitch_mm + self.thread_mm + self.head_mm
    }

    /// Torque in N·m for a preload in kN.
    pub fn torque_nm(self, preload_kn: f64) -> f64 {
        preload_kn * self.sum_mm()
    }

    /// Preload in kN that a torque in N·m gives.
    pub fn preload_kn(self, torque_nm: f64) -> f64 {
        torque_nm / self.sum_mm()
    }

    /// The shares of the torque.
    pub fn shares(self) -> Shares {
        let sum = self.sum_mm();
        Shares {
            pitch: self.pitch_mm / sum,
            thread: self.thread_mm / sum,
            head: self.head_mm / sum,
        }
    }
}

/// Preload in kN at which tension and torsion together use `permitted_mpa`:
/// `σM = ν Rp / √(1 + 3 [3/2 · d2/ds · (P/(π d2) + 1.155 μG)]²)`, `FM = σM As`.
fn permitted_preload_kn(thread: Thread, permitted_mpa: f64, thread_friction: f64) -> f64 {
    let pitch_diameter_mm = thread.pitch_diameter_mm();
    let lead = thread.pitch_mm() / (PI * pitch_diameter_mm);
    let torsion = PLASTIC_TORSION * pitch_diameter_mm / thread.stress_diameter_mm()
        * (lead + FLANK_PART * thread_friction);
    let stress_mpa = permitted_mpa / (1.0 + 3.0 * torsion * torsion).sqrt();
    stress_mpa * thread.stress_area_mm2() / 1000.0
}

/// Preload and torque of a bolt in a hard joint (VDI 2230 of 2001 and later).
///
/// ```
/// use fasten::{TightenInput, tighten};
///
/// let mut input = TightenInput::new("M12".parse()?, "8.8".parse()?);
/// input.friction = "0.14".parse()?;
/// let answer = tighten(&input)?;
/// assert!((answer.preload_kn - 41.9).abs() < 0.25); // printed: 41.9 kN
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When the class does not exist for the thread, or head, hole, use or engaged length
/// make no sense.
pub fn tighten(input: &TightenInput) -> Result<TorqueAnswer, FastenError> {
    let TightenInput { thread, class, friction, .. } = *input;
    let strength = class.strength(thread)?;
    let share = within("use of yield", input.use_of_yield, 0.01, 1.0)?;
    let ring = bearing(thread, input.head_mm, input.bearing_mm, input.hole_mm)?;
    let lever = |thread_friction: f64, head_friction: f64| {
        Lever::new(thread, ring.mean_mm(), thread_friction, head_friction)
    };
    let (in_thread, under_head) = (friction.thread(), friction.head());
    let permitted_nm = |thread_friction: f64| {
        let preload_kn =
            permitted_preload_kn(thread, share * strength.yield_mpa, thread_friction);
        lever(thread_friction, under_head.low()).torque_nm(preload_kn)
    };
    let mut remarks = vec![GENERAL_VALUE.to_owned(), ring.from.clone()];
    let mut torque_nm = permitted_nm(in_thread.low());
    // With a friction of its own under the head, a rough thread may twist the bolt sooner
    // than a smooth one stretches it; in between the permitted torque has no lower dip.
    if friction.is_two() && permitted_nm(in_thread.high()) < torque_nm {
        torque_nm = permitted_nm(in_thread.high());
        remarks.push("held down by torsion at the highest thread friction".into());
    }
    let lowest = lever(in_thread.low(), under_head.low());
    let highest = lever(in_thread.high(), under_head.high());
    let preload_kn = lowest.preload_kn(torque_nm);
    if friction.is_range() {
        remarks.push(
            "torque for the lowest friction: none in the range over-stretches".into(),
        );
    }
    if class.is_stainless() {
        remarks.push(
            "stainless steel galls: lubricate; friction is often 0.2 and more (common practice)"
                .into(),
        );
    }
    let pulls_first = pulls_first(input, strength, preload_kn, &mut remarks)?;
    Ok(TorqueAnswer {
        stress_area_mm2: thread.stress_area_mm2(),
        preload_kn,
        torque_nm,
        torque_lbft: torque_nm / NM_PER_LBFT,
        preload_window_kn: [highest.preload_kn(torque_nm), preload_kn],
        shares: lowest.shares(),
        pulls_first,
        method: format!(
            "VDI 2230 (2001 and later), plastic torsion; friction {friction}; {:.0} % of yield \
             {:.0} N/mm²; bearing {:.2} mm on hole {:.2} mm",
            share * 100.0,
            strength.yield_mpa,
            ring.outer_mm,
            ring.hole_mm
        ),
        remarks,
    })
}

/// Compares the internal thread with the breaking load of the bolt (FED-STD-H28/2B areas).
fn pulls_first(
    input: &TightenInput,
    strength: Strength,
    preload_kn: f64,
    remarks: &mut Vec<String>,
) -> Result<Option<bool>, FastenError> {
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
    let break_kn = input.thread.stress_area_mm2() * strength.tensile_mpa / 1000.0;
    remarks.push(format!(
        "thread in {into} strips at {strip_kn:.1} kN (FED-STD-H28 area at the loosest fit, shear \
         strength {:.0} N/mm²: general value, from memory), bolt breaks at {break_kn:.1} kN",
        into.shear_mpa()
    ));
    if strip_kn < preload_kn {
        remarks.push("this torque already pulls the thread: do not use it".into());
    }
    Ok(Some(strip_kn < break_kn))
}
