//! `tighten`: the preload a bolt may be given and the torque that brings it there.

use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::Serialize;

use crate::class::StrengthClass;
use crate::engage::Material;
use crate::error::{FastenError, cut, within};
use crate::friction::Friction;
use crate::general::GENERAL_VALUE;
use crate::head::{Bearing, HeadStyle, bearing};
use crate::pull::{Pull, pull};
use crate::thread::Thread;

/// `1/(2π)` as VDI 2230 prints it.
const PITCH_PART: f64 = 0.159;
/// `1/(2 cos 30°)` as VDI 2230 prints it.
const THREAD_PART: f64 = 0.578;
/// `1/cos 30°` as VDI 2230 prints it.
const FLANK_PART: f64 = 1.155;
/// Fully plastic torsion modulus, VDI 2230 of 2001 and later.
const PLASTIC_TORSION: f64 = 1.5;
/// Elastic torsion modulus, VDI 2230 of 1986.
const ELASTIC_TORSION: f64 = 2.0;
/// Use of yield that the printed tables are made for.
pub(crate) const USUAL_USE: f64 = 0.9;

/// The edition of VDI 2230 whose torsion is counted; older tables give 5 to 8 % less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Edition {
    /// 2001 and later: fully plastic torsion.
    #[default]
    Y2001,
    /// 1986: elastic torsion. Only to compare with an old table.
    Y1986,
}

impl Edition {
    const fn torsion(self) -> f64 {
        match self {
            Self::Y2001 => PLASTIC_TORSION,
            Self::Y1986 => ELASTIC_TORSION,
        }
    }
}

impl fmt::Display for Edition {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Y2001 => "VDI 2230 (2001 and later), plastic torsion",
            Self::Y1986 => "VDI 2230 (1986), elastic torsion",
        })
    }
}

impl FromStr for Edition {
    type Err = FastenError;

    /// Reads "1986" and every edition since 2001.
    fn from_str(text: &str) -> Result<Self, FastenError> {
        match text.trim() {
            "1986" => Ok(Self::Y1986),
            "2001" | "2003" | "2014" | "2015" => Ok(Self::Y2001),
            other => Err(FastenError::Word {
                thing: "edition of VDI 2230",
                given: cut(other),
                next: "give 2001 (holds for all since) or 1986",
            }),
        }
    }
}

/// What is to be tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TightenInput {
    /// The thread.
    pub thread: Thread,
    /// The strength class of the bolt.
    pub class: StrengthClass,
    /// Friction in thread and under the head.
    pub friction: Friction,
    /// Shape of the head; absent: told from `head_mm`, else the plain hexagon.
    pub head_style: Option<HeadStyle>,
    /// Width across flats (or key size), mm; absent: that of the head on this thread.
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
    /// How torsion is counted.
    pub edition: Edition,
}

impl TightenInput {
    /// The usual case: friction 0.12, plain hexagon on a medium hole, 90 % of yield.
    pub const fn new(thread: Thread, class: StrengthClass) -> Self {
        Self {
            thread,
            class,
            friction: Friction::USUAL,
            head_style: None,
            head_mm: None,
            bearing_mm: None,
            hole_mm: None,
            use_of_yield: USUAL_USE,
            into: None,
            engaged_mm: None,
            edition: Edition::Y2001,
        }
    }

    /// The ring under the head.
    ///
    /// # Errors
    /// As [`bearing`].
    pub fn bearing(&self) -> Result<Bearing, FastenError> {
        bearing(self.thread, self.head_style, self.head_mm, self.bearing_mm, self.hole_mm)
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

/// What a bolt bears and what brings it there.
#[derive(Debug, Clone, PartialEq)]
pub struct Tightened {
    /// Preload at the lowest friction, kN.
    pub preload_kn: f64,
    /// Torque that reaches the permitted use of yield at the lowest friction, N·m.
    pub torque_nm: f64,
    /// Preload that this torque gives at the highest and at the lowest friction, kN.
    pub preload_window_kn: [f64; 2],
    /// Where the torque goes at the lowest friction.
    pub shares: Shares,
    /// Torque by preload and diameter, K in `T = K F d`, at the lowest friction.
    pub nut_factor: f64,
    /// Pressure under the head at the highest preload, N/mm².
    pub head_pressure_mpa: f64,
    /// What the thread in the part bears, where it is known.
    pub pull: Option<Pull>,
    /// Method, friction, use of yield and bearing face.
    pub method: String,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

impl Tightened {
    /// Whether the internal thread pulls before the bolt breaks; `None` where not known.
    pub fn pulls_first(&self) -> Option<bool> {
        self.pull.map(Pull::pulls_first)
    }

    /// The torque that keeps the thread in the part as far from stripping as the whole
    /// torque keeps the bolt from breaking, N·m; absent where the bolt gives way first.
    pub fn thread_limit_nm(&self) -> Option<f64> {
        let pull = self.pull.filter(|pull| pull.pulls_first())?;
        Some(self.torque_nm * pull.strip_kn / pull.break_kn)
    }
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
fn permitted_preload_kn(
    input: &TightenInput,
    permitted_mpa: f64,
    thread_friction: f64,
) -> f64 {
    let thread = input.thread;
    let pitch_diameter_mm = thread.pitch_diameter_mm();
    let lead = thread.pitch_mm() / (PI * pitch_diameter_mm);
    let torsion = input.edition.torsion() * pitch_diameter_mm
        / thread.stress_diameter_mm()
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
pub fn tighten(input: &TightenInput) -> Result<Tightened, FastenError> {
    let TightenInput { thread, class, friction, .. } = *input;
    let strength = class.strength(thread)?;
    let share = within("use of yield", input.use_of_yield, 0.01, 1.0)?;
    let ring = input.bearing()?;
    let lever = |thread_friction: f64, head_friction: f64| {
        Lever::new(thread, ring.mean_mm(), thread_friction, head_friction)
    };
    let (in_thread, under_head) = (friction.thread(), friction.head());
    let permitted_nm = |thread_friction: f64| {
        let preload_kn =
            permitted_preload_kn(input, share * strength.yield_mpa, thread_friction);
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
    let pull = pull(input, preload_kn, &mut remarks)?;
    Ok(Tightened {
        preload_kn,
        torque_nm,
        preload_window_kn: [highest.preload_kn(torque_nm), preload_kn],
        shares: lowest.shares(),
        nut_factor: lowest.sum_mm() / thread.diameter_mm(),
        head_pressure_mpa: ring.pressure_mpa(preload_kn),
        pull,
        method: format!(
            "{}; friction {friction}; {:.0} % of yield {:.0} N/mm²; bearing {:.2} mm on hole \
             {:.2} mm",
            input.edition,
            share * 100.0,
            strength.yield_mpa,
            ring.outer_mm,
            ring.hole_mm
        ),
        remarks,
    })
}
