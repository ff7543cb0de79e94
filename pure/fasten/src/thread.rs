//! `Thread`: a metric or unified screw thread and its basic (tolerance-free) geometry.

use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut};

/// Millimetres to the inch, exact.
pub(crate) const MM_PER_INCH: f64 = 25.4;

/// Pitch diameter `d2 = d - 0.649519 P` (ISO 724).
const PITCH_DIAMETER: f64 = 0.649_519;
/// Internal minor diameter `D1 = d - 1.082532 P` (ISO 724).
const INTERNAL_MINOR: f64 = 1.082_532;
/// Root of the metric bolt `d3 = d - 1.226869 P` (ISO 898-1).
const METRIC_ROOT: f64 = 1.226_869;
/// Root of the unified bolt `d - 1.299038 P`, sharper than the metric one (ASME B1.1).
const UNIFIED_ROOT: f64 = 1.299_038;

/// Diameter and coarse pitch in micrometres, ISO 261.
const COARSE_UM: [(u32, u32); 38] = [
    (1000, 250),
    (1200, 250),
    (1400, 300),
    (1600, 350),
    (1800, 350),
    (2000, 400),
    (2200, 450),
    (2500, 450),
    (3000, 500),
    (3500, 600),
    (4000, 700),
    (4500, 750),
    (5000, 800),
    (6000, 1000),
    (7000, 1000),
    (8000, 1250),
    (9000, 1250),
    (10000, 1500),
    (11000, 1500),
    (12000, 1750),
    (14000, 2000),
    (16000, 2000),
    (18000, 2500),
    (20000, 2500),
    (22000, 2500),
    (24000, 3000),
    (27000, 3000),
    (30000, 3500),
    (33000, 3500),
    (36000, 4000),
    (39000, 4000),
    (42000, 4500),
    (45000, 4500),
    (48000, 5000),
    (52000, 5000),
    (56000, 5500),
    (60000, 5500),
    (64000, 6000),
];

/// Pitches in micrometres that ISO 261 uses at all.
const PITCHES_UM: [u32; 24] = [
    200, 250, 300, 350, 400, 450, 500, 600, 700, 750, 800, 1000, 1250, 1500, 1750, 2000,
    2500, 3000, 3500, 4000, 4500, 5000, 5500, 6000,
];

/// Name, diameter in 1/10000 inch, threads to the inch of UNC and UNF (ASME B1.1).
const UNIFIED: [(&str, u32, u32, u32); 18] = [
    ("#4", 1120, 40, 48),
    ("#6", 1380, 32, 40),
    ("#8", 1640, 32, 36),
    ("#10", 1900, 24, 32),
    ("#12", 2160, 24, 28),
    ("1/4", 2500, 20, 28),
    ("5/16", 3125, 18, 24),
    ("3/8", 3750, 16, 24),
    ("7/16", 4375, 14, 20),
    ("1/2", 5000, 13, 20),
    ("9/16", 5625, 12, 18),
    ("5/8", 6250, 11, 18),
    ("3/4", 7500, 10, 16),
    ("7/8", 8750, 9, 14),
    ("1", 10000, 8, 12),
    ("1 1/8", 11250, 7, 12),
    ("1 1/4", 12500, 7, 12),
    ("1 1/2", 15000, 6, 12),
];

const HOW: &str = "write it like M8, M8x1 or 3/8-16 UNC";

/// The family a thread belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Series {
    /// ISO metric, coarse or fine.
    Metric,
    /// Unified coarse.
    Unc,
    /// Unified fine.
    Unf,
}

/// A screw thread: a value that exists has a known diameter and a sensible pitch.
///
/// ```
/// use fasten::Thread;
///
/// let coarse: Thread = "M8".parse()?;
/// assert_eq!(coarse, "M8x1.25".parse()?);
/// assert!((coarse.stress_area_mm2() - 36.609).abs() < 0.01); // ISO 898-1
/// assert_eq!("3/8 unc".parse::<Thread>()?.to_string(), "3/8-16 UNC");
/// assert!("M0".parse::<Thread>().is_err());
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Thread {
    series: Series,
    /// Micrometres when metric, 1/10000 inch when unified.
    diameter: u32,
    /// Micrometres when metric, threads to the inch when unified.
    pitch: u32,
}

impl Thread {
    /// The metric thread of these micrometres, for tables that hold only known sizes.
    pub(crate) const fn metric_um(diameter: u32, pitch: u32) -> Self {
        Self { series: Series::Metric, diameter, pitch }
    }

    /// The coarse metric thread of this diameter in micrometres, where ISO 261 has one.
    pub(crate) fn coarse_um(diameter: u32) -> Option<Self> {
        let (_, pitch) = COARSE_UM.iter().find(|(size, _)| *size == diameter)?;
        Some(Self::metric_um(diameter, *pitch))
    }

    /// The UNC thread of this diameter in 1/10000 inch, where ASME B1.1 has one.
    pub(crate) fn unc_tenthou(diameter: u32) -> Option<Self> {
        let (_, _, unc, _) = UNIFIED.iter().find(|(_, size, _, _)| *size == diameter)?;
        Some(Self { series: Series::Unc, diameter, pitch: *unc })
    }

    /// Diameter in the unit of its table: micrometres, or 1/10000 inch.
    pub(crate) const fn size(self) -> u32 {
        self.diameter
    }

    /// The family of this thread.
    pub const fn series(self) -> Series {
        self.series
    }

    /// Whether this is an ISO metric thread.
    pub fn is_metric(self) -> bool {
        self.series == Series::Metric
    }

    /// Nominal diameter `d` in mm.
    pub fn diameter_mm(self) -> f64 {
        match self.series {
            Series::Metric => f64::from(self.diameter) / 1000.0,
            Series::Unc | Series::Unf => {
                f64::from(self.diameter) / 10_000.0 * MM_PER_INCH
            }
        }
    }

    /// Pitch `P` in mm.
    pub fn pitch_mm(self) -> f64 {
        match self.series {
            Series::Metric => f64::from(self.pitch) / 1000.0,
            Series::Unc | Series::Unf => MM_PER_INCH / f64::from(self.pitch),
        }
    }

    /// Pitch diameter `d2` in mm (ISO 724; the same rule for unified threads).
    pub fn pitch_diameter_mm(self) -> f64 {
        self.diameter_mm() - PITCH_DIAMETER * self.pitch_mm()
    }

    /// Minor diameter of the internal thread `D1` in mm (ISO 724).
    pub fn internal_minor_mm(self) -> f64 {
        self.diameter_mm() - INTERNAL_MINOR * self.pitch_mm()
    }

    /// Root diameter of the bolt `d3` in mm (ISO 898-1; ASME B1.1, whose root is sharper).
    pub fn root_mm(self) -> f64 {
        let factor = match self.series {
            Series::Metric => METRIC_ROOT,
            Series::Unc | Series::Unf => UNIFIED_ROOT,
        };
        self.diameter_mm() - factor * self.pitch_mm()
    }

    /// Stress diameter `ds = (d2 + d3) / 2` in mm.
    pub fn stress_diameter_mm(self) -> f64 {
        f64::midpoint(self.pitch_diameter_mm(), self.root_mm())
    }

    /// Stress area `As = π/4 · ds²` in mm² (ISO 898-1; for unified threads ASME B1.1).
    pub fn stress_area_mm2(self) -> f64 {
        PI / 4.0 * self.stress_diameter_mm().powi(2)
    }

    /// Stress area in mm² that the loads of ISO 898-1 are printed for: three figures; of a
    /// unified thread the whole.
    pub fn nominal_stress_area_mm2(self) -> f64 {
        let exact = self.stress_area_mm2();
        if !self.is_metric() {
            return exact;
        }
        let step = 10_f64.powf(exact.log10().floor() - 2.0);
        (exact / step).round() * step
    }

    /// Lead angle at the pitch diameter in degrees.
    pub fn lead_angle_deg(self) -> f64 {
        (self.pitch_mm() / (PI * self.pitch_diameter_mm())).atan().to_degrees()
    }
}

impl fmt::Display for Thread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let series = match self.series {
            Series::Metric => {
                write!(f, "M{}", self.diameter_mm())?;
                if Self::coarse_um(self.diameter) == Some(*self) {
                    return Ok(());
                }
                return write!(f, "x{}", self.pitch_mm());
            }
            Series::Unc => "UNC",
            Series::Unf => "UNF",
        };
        let name = UNIFIED.iter().find(|(_, size, _, _)| *size == self.diameter);
        write!(f, "{}-{} {series}", name.map_or("", |row| row.0), self.pitch)
    }
}

impl FromStr for Thread {
    type Err = FastenError;

    /// Reads "M8", "M8x1", "M8-1.25", "M10x1.5-6g", "3/8-16 UNC", "3/8 UNC", "3/8-16".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        let upper = text.trim().to_ascii_uppercase();
        let read = match upper.strip_prefix('M') {
            Some(body) => metric(body),
            None => unified(&upper),
        };
        read.map_err(|why| FastenError::Thread { given: cut(text.trim()), why })
    }
}

/// Reads what follows the M.
fn metric(body: &str) -> Result<Thread, String> {
    let (sizes, tail) = match body.split_once('-') {
        Some((sizes, tail)) => (sizes.trim(), Some(tail.trim())),
        None => (body.trim(), None),
    };
    let (diameter, mut pitch) = match sizes.split_once(['X', '×', '*']) {
        Some((diameter, pitch)) => (diameter.trim(), Some(pitch.trim())),
        None => (sizes, None),
    };
    match tail {
        Some(tail) if is_tolerance_class(tail) => {}
        Some(tail) if pitch.is_none() => pitch = Some(tail),
        Some(_) => return Err(format!("what follows the dash is not known: {HOW}")),
        None => {}
    }
    let diameter_um =
        micrometres(diameter).ok_or_else(|| format!("no diameter in it: {HOW}"))?;
    if !(1000..=64_000).contains(&diameter_um) {
        return Err(format!("known are M1 to M64: {HOW}"));
    }
    let Some(pitch) = pitch else {
        return Thread::coarse_um(diameter_um).ok_or_else(|| {
            "ISO 261 has no coarse pitch for this diameter: add the pitch, as in M8x1"
                .into()
        });
    };
    let pitch_um = micrometres(pitch).ok_or_else(|| format!("no pitch in it: {HOW}"))?;
    let (coarsest, finest) = pitch_bounds_um(diameter_um);
    if !PITCHES_UM.contains(&pitch_um) || pitch_um > coarsest || pitch_um < finest {
        return Err(format!(
            "pitch {} mm does not occur on this diameter: measure it, the coarse one is {} mm",
            f64::from(pitch_um) / 1000.0,
            f64::from(coarsest) / 1000.0
        ));
    }
    Ok(Thread::metric_um(diameter_um, pitch_um))
}

/// Coarsest and finest pitch in micrometres that occur on a diameter (ISO 261).
fn pitch_bounds_um(diameter_um: u32) -> (u32, u32) {
    let coarsest = COARSE_UM
        .iter()
        .find(|(size, _)| *size >= diameter_um)
        .map_or(0, |(_, pitch)| *pitch);
    let finest = PITCHES_UM
        .iter()
        .find(|pitch| **pitch >= 1500 || **pitch * 30 >= diameter_um)
        .map_or(u32::MAX, |pitch| *pitch);
    (coarsest, finest)
}

/// Whether a text looks like a tolerance class of ISO 965, such as 6G or 5G6G.
fn is_tolerance_class(tail: &str) -> bool {
    tail.len() <= 4
        && tail.starts_with(|c: char| c.is_ascii_digit())
        && tail.ends_with(['E', 'F', 'G', 'H'])
        && tail.chars().all(|c| c.is_ascii_digit() || "EFGH".contains(c))
}

/// A plain decimal of millimetres in whole micrometres: no sign, exponent or words.
fn micrometres(text: &str) -> Option<u32> {
    let (whole, fraction) = match text.split_once(['.', ',']) {
        Some((_, "")) => return None,
        Some(parts) => parts,
        None => (text, ""),
    };
    let digits = |part: &str| part.chars().all(|c| c.is_ascii_digit());
    if whole.is_empty() || whole.len() > 3 || fraction.len() > 3 {
        return None;
    }
    if !digits(whole) || !digits(fraction) {
        return None;
    }
    format!("{whole}{fraction:0<3}").parse().ok()
}

/// Reads a unified thread in upper case.
fn unified(upper: &str) -> Result<Thread, String> {
    let (sizes, series) = if let Some(sizes) = upper.strip_suffix("UNC") {
        (sizes, Some(Series::Unc))
    } else if let Some(sizes) = upper.strip_suffix("UNF") {
        (sizes, Some(Series::Unf))
    } else {
        (upper, None)
    };
    let sizes = sizes.trim().trim_end_matches('-').trim_end();
    let (name, count) = match sizes.rsplit_once('-') {
        Some((name, count)) => (name.trim(), Some(count.trim())),
        None => (sizes, None),
    };
    let wanted = name.replace('-', " ").replace('"', "");
    let row = UNIFIED.iter().find(|(known, _, _, _)| {
        *known == wanted || wanted == known.trim_start_matches('#')
    });
    let Some(&(known, diameter, unc, unf)) = row else {
        return Err(format!("not a known size: {HOW}"));
    };
    let count = match count.map(str::parse::<u32>) {
        Some(Err(_)) => return Err(format!("no threads to the inch in it: {HOW}")),
        Some(Ok(count)) => Some(count),
        None => None,
    };
    let (series, pitch) = match (series, count) {
        (Some(Series::Unc), _) => (Series::Unc, unc),
        (Some(Series::Unf), _) => (Series::Unf, unf),
        (_, Some(count)) if count == unc => (Series::Unc, unc),
        (_, Some(count)) if count == unf => (Series::Unf, unf),
        _ => (Series::Metric, 0),
    };
    if series == Series::Metric || count.is_some_and(|count| count != pitch) {
        return Err(format!(
            "{known} is {known}-{unc} UNC or {known}-{unf} UNF: give one"
        ));
    }
    Ok(Thread { series, diameter, pitch })
}
