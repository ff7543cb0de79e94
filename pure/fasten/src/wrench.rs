//! The torque wrench: what to set with an extension, and whether its scale reaches.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{FastenError, cut, within};

/// Newton metres to the pound-force foot, exact to the digits shown (SI).
pub const NM_PER_LBFT: f64 = 1.355_817_948_3;

/// Least share of full scale at which a torque wrench is checked (ISO 6789).
const LEAST_SHARE: f64 = 0.2;
/// Highest torque accepted, N·m: beyond any vehicle.
const MOST_NM: f64 = 10_000.0;

/// Whether a torque lies where the wrench can be trusted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WrenchFit {
    /// It does.
    Fits,
    /// Below the usable part of the scale.
    TooSmall {
        /// Least torque this wrench is good for, N·m.
        least_nm: f64,
    },
    /// Above the scale.
    TooGreat {
        /// End of the scale, N·m.
        most_nm: f64,
    },
}

/// What to set, in N·m, so that `torque_nm` arrives at the bolt through a crow-foot or
/// extension: `T · L / (L + E cos angle)`.
///
/// `wrench_mm` is from the middle of the grip to the drive, `extension_mm` from the drive
/// to the bolt; 0° points ahead in line, at 90° nothing changes, 180° points back.
///
/// ```
/// let set = fasten::crow_foot(24.0, 300.0, 50.0, 0.0)?;
/// assert!((set - 20.57).abs() < 0.01); // common practice
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When a number is out of range or an extension that points back is as long as the wrench.
pub fn crow_foot(
    torque_nm: f64,
    wrench_mm: f64,
    extension_mm: f64,
    angle_deg: f64,
) -> Result<f64, FastenError> {
    let torque_nm = within("torque in N·m", torque_nm, 0.0, MOST_NM)?;
    let wrench_mm = within("wrench length in mm", wrench_mm, 10.0, 5000.0)?;
    let extension_mm = within("extension in mm", extension_mm, 0.0, 5000.0)?;
    let angle_deg = within("angle in degrees", angle_deg, 0.0, 180.0)?;
    let reach_mm = extension_mm * angle_deg.to_radians().cos();
    let arm_mm = within(
        "distance from grip to bolt in mm",
        wrench_mm + reach_mm,
        wrench_mm / 10.0,
        10_000.0,
    )?;
    Ok(torque_nm * wrench_mm / arm_mm)
}

/// Whether a wrench with a scale from `scale_nm.0` to `scale_nm.1` is right for a torque:
/// from 20 to 100 % of full scale (ISO 6789 checks no lower), and on the scale.
///
/// ```
/// use fasten::{WrenchFit, wrench_fits};
///
/// assert_eq!(wrench_fits((10.0, 100.0), 25.0)?, WrenchFit::Fits);
/// assert_eq!(wrench_fits((10.0, 100.0), 12.0)?, WrenchFit::TooSmall { least_nm: 20.0 });
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When the scale runs backwards or a number is out of range.
pub fn wrench_fits(
    scale_nm: (f64, f64),
    torque_nm: f64,
) -> Result<WrenchFit, FastenError> {
    let from_nm = within("start of scale in N·m", scale_nm.0, 0.0, MOST_NM)?;
    let most_nm = within("end of scale in N·m", scale_nm.1, from_nm, MOST_NM)?;
    let torque_nm = within("torque in N·m", torque_nm, 0.0, MOST_NM)?;
    let least_nm = from_nm.max(LEAST_SHARE * most_nm);
    if torque_nm > most_nm {
        Ok(WrenchFit::TooGreat { most_nm })
    } else if torque_nm < least_nm {
        Ok(WrenchFit::TooSmall { least_nm })
    } else {
        Ok(WrenchFit::Fits)
    }
}

/// The scale of a torque wrench, N·m.
///
/// ```
/// let scale: fasten::Scale = "40..200".parse()?;
/// assert_eq!(scale.to_string(), "40 to 200 N·m");
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Scale {
    /// Where it starts.
    pub from_nm: f64,
    /// Where it ends.
    pub to_nm: f64,
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} to {} N·m", self.from_nm, self.to_nm)
    }
}

impl FromStr for Scale {
    type Err = FastenError;

    /// Reads "40..200".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        let word = || FastenError::Word {
            thing: "wrench",
            given: cut(text.trim()),
            next: "write its scale in N·m, as in 40..200",
        };
        let (from, to) = text.trim().split_once("..").ok_or_else(word)?;
        let number = |part: &str| part.trim().parse::<f64>().map_err(|_| word());
        let from_nm = within("start of scale in N·m", number(from)?, 0.0, MOST_NM)?;
        let to_nm = within("end of scale in N·m", number(to)?, from_nm, MOST_NM)?;
        if to_nm > from_nm { Ok(Self { from_nm, to_nm }) } else { Err(word()) }
    }
}

/// The wrench to take.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WrenchChoice {
    /// Its scale.
    pub scale: Scale,
    /// Least torque that it is good for, N·m.
    pub least_nm: f64,
    /// By how much it may be off at this torque, N·m (ISO 6789, type II class A).
    pub deviation_nm: f64,
}

/// The wrench of a workshop for a torque: of those whose usable scale (20 to 100 %) holds it
/// the smallest, since the torque then lies highest on its scale; none where none does.
///
/// ```
/// let have = ["10..60".parse()?, "40..200".parse()?];
/// let choice = fasten::choose_wrench(&have, 48.4)?.map(|choice| choice.scale.to_nm);
/// assert_eq!(choice, Some(60.0));
/// assert_eq!(fasten::choose_wrench(&have, 5.0)?, None);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When the torque is out of range.
pub fn choose_wrench(
    have: &[Scale],
    torque_nm: f64,
) -> Result<Option<WrenchChoice>, FastenError> {
    let mut best: Option<WrenchChoice> = None;
    for scale in have {
        if wrench_fits((scale.from_nm, scale.to_nm), torque_nm)? != WrenchFit::Fits {
            continue;
        }
        if best.as_ref().is_none_or(|best| scale.to_nm < best.scale.to_nm) {
            best = Some(WrenchChoice {
                scale: *scale,
                least_nm: scale.from_nm.max(LEAST_SHARE * scale.to_nm),
                deviation_nm: permitted_deviation_nm(torque_nm),
            });
        }
    }
    Ok(best)
}

/// Permitted deviation of a setting wrench in N·m: ±4 % above 10 N·m, ±6 % up to there
/// (ISO 6789, type II class A).
///
/// ```
/// assert!((fasten::permitted_deviation_nm(25.0) - 1.0).abs() < 1e-12);
/// ```
pub fn permitted_deviation_nm(torque_nm: f64) -> f64 {
    if torque_nm > 10.0 { 0.04 * torque_nm } else { 0.06 * torque_nm }
}
