//! The face a head bears on: across flats, washer face and the hole under it.

use std::f64::consts::PI;
use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut, within};
use crate::thread::{MM_PER_INCH, Series, Thread};

/// Share of the least width across flats that bears, heads above 18 mm (ISO 4759-1).
const FACE_SHARE: f64 = 0.95;
/// How far above its nominal size a measured width across flats may read, mm.
const READING_MM: f64 = 0.05;

/// Metric diameter, width across flats of the plain hexagon (ISO 4014/4017), medium hole
/// (ISO 273), all in micrometres. Sizes outside M5 to M24 from memory.
const HEXAGON_UM: [(u32, u32, u32); 23] = [
    (1600, 3200, 1800),
    (2000, 4000, 2400),
    (2500, 5000, 2900),
    (3000, 5500, 3400),
    (3500, 6000, 3900),
    (4000, 7000, 4500),
    (5000, 8000, 5500),
    (6000, 10000, 6600),
    (7000, 11000, 7600),
    (8000, 13000, 9000),
    (10000, 16000, 11000),
    (12000, 18000, 13500),
    (14000, 21000, 15500),
    (16000, 24000, 17500),
    (18000, 27000, 20000),
    (20000, 30000, 22000),
    (22000, 34000, 24000),
    (24000, 36000, 26000),
    (27000, 41000, 30000),
    (30000, 46000, 33000),
    (33000, 50000, 36000),
    (36000, 55000, 39000),
    (39000, 60000, 42000),
];

/// Unified diameter in 1/10000 inch, across flats and normal hole in inches
/// (ASME B18.2.1 and B18.2.8, from memory).
const HEXAGON_INCH: [(u32, f64, f64); 12] = [
    (2500, 0.4375, 0.281),
    (3125, 0.5, 0.344),
    (3750, 0.5625, 0.406),
    (4375, 0.625, 0.469),
    (5000, 0.75, 0.562),
    (5625, 0.8125, 0.625),
    (6250, 0.9375, 0.688),
    (7500, 1.125, 0.812),
    (8750, 1.3125, 0.938),
    (10000, 1.5, 1.094),
    (11250, 1.6875, 1.219),
    (12500, 1.875, 1.344),
];

/// Other heads: metric diameter and width across flats (or key size) in micrometres,
/// bearing face in mm where a table gives it, style.
/// Flanges ISO 15071, ISO 4162, EN 1662, JIS B 1189, EN 1665; sockets ISO 4762; small
/// hexagons JIS B 1180 annex; older hexagons of DIN and JIS and the sockets of M3, M4 and
/// M24 from memory.
const OTHER: [(u32, u32, Option<f64>, HeadStyle); 35] = [
    (5000, 7000, Some(9.4), HeadStyle::SmallFlange),
    (6000, 8000, Some(11.6), HeadStyle::SmallFlange),
    (8000, 10000, Some(14.9), HeadStyle::SmallFlange),
    (10000, 13000, Some(18.7), HeadStyle::SmallFlange),
    (12000, 15000, Some(22.5), HeadStyle::SmallFlange),
    (14000, 18000, Some(26.4), HeadStyle::SmallFlange),
    (16000, 21000, Some(30.6), HeadStyle::SmallFlange),
    (5000, 8000, Some(9.8), HeadStyle::HeavyFlange),
    (6000, 10000, Some(12.2), HeadStyle::HeavyFlange),
    (8000, 13000, Some(15.8), HeadStyle::HeavyFlange),
    (10000, 16000, Some(19.6), HeadStyle::HeavyFlange),
    (12000, 18000, Some(23.8), HeadStyle::HeavyFlange),
    (14000, 21000, Some(27.6), HeadStyle::HeavyFlange),
    (16000, 24000, Some(31.9), HeadStyle::HeavyFlange),
    (20000, 30000, Some(39.9), HeadStyle::HeavyFlange),
    (8000, 12000, None, HeadStyle::SmallHexagon),
    (10000, 14000, None, HeadStyle::SmallHexagon),
    (12000, 17000, None, HeadStyle::SmallHexagon),
    (14000, 19000, None, HeadStyle::SmallHexagon),
    (16000, 22000, None, HeadStyle::SmallHexagon),
    (18000, 24000, None, HeadStyle::SmallHexagon),
    (10000, 17000, None, HeadStyle::OlderHexagon),
    (12000, 19000, None, HeadStyle::OlderHexagon),
    (14000, 22000, None, HeadStyle::OlderHexagon),
    (3000, 2500, Some(5.07), HeadStyle::Socket),
    (4000, 3000, Some(6.53), HeadStyle::Socket),
    (5000, 4000, Some(8.03), HeadStyle::Socket),
    (6000, 5000, Some(9.38), HeadStyle::Socket),
    (8000, 6000, Some(12.33), HeadStyle::Socket),
    (10000, 8000, Some(15.33), HeadStyle::Socket),
    (12000, 10000, Some(17.23), HeadStyle::Socket),
    (14000, 12000, Some(20.17), HeadStyle::Socket),
    (16000, 14000, Some(23.17), HeadStyle::Socket),
    (20000, 17000, Some(28.87), HeadStyle::Socket),
    (24000, 19000, Some(34.81), HeadStyle::Socket),
];

/// The shape of a head, as far as it decides what it bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HeadStyle {
    /// Plain hexagon, ISO 4014/4017; on inch threads ASME B18.2.1.
    Hexagon,
    /// Hexagon with a small flange.
    SmallFlange,
    /// Hexagon with a heavy flange; takes the same spanner as the plain hexagon.
    HeavyFlange,
    /// Small hexagon, common on vehicles built in East Asia.
    SmallHexagon,
    /// Hexagon of older standards.
    OlderHexagon,
    /// Cylinder head with a hexagon socket; the size is that of the key.
    Socket,
}

impl fmt::Display for HeadStyle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Hexagon => "hexagon",
            Self::SmallFlange => "small flange",
            Self::HeavyFlange => "heavy flange",
            Self::SmallHexagon => "small hexagon",
            Self::OlderHexagon => "older hexagon",
            Self::Socket => "hexagon socket",
        })
    }
}

impl FromStr for HeadStyle {
    type Err = FastenError;

    /// Reads "hex", "flange", "heavy-flange", "small-hex" and "socket".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "hex" | "hexagon" => Ok(Self::Hexagon),
            "flange" | "small-flange" => Ok(Self::SmallFlange),
            "heavy-flange" => Ok(Self::HeavyFlange),
            "small-hex" | "small-hexagon" => Ok(Self::SmallHexagon),
            "socket" => Ok(Self::Socket),
            _ => Err(FastenError::Word {
                thing: "head",
                given: cut(text.trim()),
                next: "give hex, flange, heavy-flange, small-hex or socket",
            }),
        }
    }
}

/// The ring that a head bears on.
#[derive(Debug, Clone, PartialEq)]
pub struct Bearing {
    /// Outer diameter dw, mm.
    pub outer_mm: f64,
    /// Hole under the head dh, mm.
    pub hole_mm: f64,
    /// Where the numbers come from, in words.
    pub from: String,
}

impl Bearing {
    /// Mean diameter Dkm = (dw + dh) / 2, mm.
    pub fn mean_mm(&self) -> f64 {
        f64::midpoint(self.outer_mm, self.hole_mm)
    }

    /// Pressure under the head in N/mm² at a preload in kN.
    ///
    /// ```
    /// let ring = fasten::bearing("M8".parse()?, None, None, None, None)?;
    /// assert!((ring.pressure_mpa(18.6) - 436.0).abs() < 1.0);
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    pub fn pressure_mpa(&self, preload_kn: f64) -> f64 {
        let area_mm2 = PI / 4.0 * (self.outer_mm.powi(2) - self.hole_mm.powi(2));
        preload_kn * 1000.0 / area_mm2
    }
}

/// Least width across flats of a hexagon of this nominal size (ISO 4759-1, from memory).
fn least_across_mm(across_mm: f64) -> f64 {
    let tolerance_mm = match across_mm {
        size if size <= 6.0 => 0.18,
        size if size <= 10.0 => 0.22,
        size if size <= 18.0 => 0.27,
        size if size <= 30.0 => 0.33,
        size if size <= 36.0 => 0.62,
        size if size <= 50.0 => 1.0,
        _ => 1.2,
    };
    across_mm - tolerance_mm
}

/// Least bearing face dw in mm of a plain hexagon `across_mm` wide.
///
/// Up to 18 mm the least width less tolerance IT16, above 0.95 of the least width
/// (ISO 4759-1, from memory); reproduces the dw column of ISO 4014, which the reprint at
/// hand gives to 0.1 mm up to 10 mm across.
///
/// ```
/// assert!((fasten::hexagon_bearing_mm(13.0) - 11.63).abs() < 0.01); // ISO 4014, M8
/// ```
pub fn hexagon_bearing_mm(across_mm: f64) -> f64 {
    let least = least_across_mm(across_mm);
    let to_tenth = |face: f64| (face * 10.0).round() / 10.0;
    match across_mm {
        size if size <= 6.0 => to_tenth(least - 0.75),
        size if size <= 10.0 => to_tenth(least - 0.9),
        size if size <= 18.0 => least - 1.1,
        _ => FACE_SHARE * least,
    }
}

fn mm(um: u32) -> f64 {
    f64::from(um) / 1000.0
}

/// Whether a width given or measured is this nominal one.
pub(crate) fn is_across(measured_mm: f64, nominal_mm: f64) -> bool {
    measured_mm >= least_across_mm(nominal_mm) && measured_mm <= nominal_mm + READING_MM
}

/// Medium clearance hole in mm (ISO 273; inch threads ASME B18.2.8 normal), where known.
///
/// ```
/// assert_eq!(fasten::medium_hole_mm("M8".parse()?), Some(9.0));
/// # Ok::<(), fasten::FastenError>(())
/// ```
pub fn medium_hole_mm(thread: Thread) -> Option<f64> {
    match thread.series() {
        Series::Metric => {
            HEXAGON_UM.iter().find(|row| row.0 == thread.size()).map(|row| mm(row.2))
        }
        Series::Unc | Series::Unf => HEXAGON_INCH
            .iter()
            .find(|row| row.0 == thread.size())
            .map(|row| row.2 * MM_PER_INCH),
    }
}

/// Width across flats in mm of the plain hexagon on this thread, where there is one.
fn plain_hexagon_mm(thread: Thread) -> Option<f64> {
    match thread.series() {
        Series::Metric => {
            HEXAGON_UM.iter().find(|row| row.0 == thread.size()).map(|row| mm(row.1))
        }
        Series::Unc | Series::Unf => HEXAGON_INCH
            .iter()
            .find(|row| row.0 == thread.size())
            .map(|row| row.1 * MM_PER_INCH),
    }
}

/// Every metric head of this width: diameter in micrometres and style, the plain hexagon
/// of a thread before its other heads; sockets are left out, a key is no spanner.
pub(crate) fn metric_heads(across_mm: f64) -> Vec<(u32, HeadStyle)> {
    let plain = HEXAGON_UM
        .iter()
        .filter(|row| is_across(across_mm, mm(row.1)))
        .map(|row| (row.0, HeadStyle::Hexagon));
    let other = OTHER
        .iter()
        .filter(|row| row.3 != HeadStyle::Socket && is_across(across_mm, mm(row.1)))
        .map(|row| (row.0, row.3));
    let mut heads: Vec<_> = plain.chain(other).collect();
    heads.sort_unstable();
    heads
}

/// Diameters in 1/10000 inch whose hexagon has this width.
pub(crate) fn inch_heads(across_mm: f64) -> impl Iterator<Item = u32> {
    HEXAGON_INCH
        .iter()
        .filter(move |row| is_across(across_mm, row.1 * MM_PER_INCH))
        .map(|row| row.0)
}

/// The outer diameter of the face under a head `across_mm` wide, and what it was taken for.
fn face_mm(thread: Thread, across_mm: f64) -> Result<(f64, String), FastenError> {
    let across_mm = within("width across flats in mm", across_mm, 2.0, 150.0)?;
    if plain_hexagon_mm(thread).is_some_and(|plain| is_across(across_mm, plain)) {
        let nominal = plain_hexagon_mm(thread).unwrap_or(across_mm);
        return Ok((hexagon_bearing_mm(nominal), named(HeadStyle::Hexagon, nominal)));
    }
    let known = OTHER.iter().find(|row| {
        thread.is_metric() && row.0 == thread.size() && is_across(across_mm, mm(row.1))
    });
    if let Some((_, nominal, face, style)) = known {
        let outer = face.unwrap_or_else(|| hexagon_bearing_mm(mm(*nominal)));
        return Ok((outer, named(*style, mm(*nominal))));
    }
    if across_mm <= thread.diameter_mm() {
        return Err(FastenError::Head {
            thread: thread.to_string(),
            why: format!(
                "{across_mm} mm is no wider than the thread: give the diameter of the face \
                 that bears, bearing_mm"
            ),
        });
    }
    let from = format!(
        "{across_mm} mm is no usual head for this thread: face taken as of a plain hexagon"
    );
    Ok((hexagon_bearing_mm(across_mm), from))
}

/// A head in words, without the digits that inches leave behind.
fn named(style: HeadStyle, nominal_mm: f64) -> String {
    format!("{style} {} mm", (nominal_mm * 1e4).round() / 1e4)
}

/// The outer diameter of the face under a head of this style, and what it was taken for; a
/// flange is the heavy one where its width says so.
fn styled_face_mm(
    thread: Thread,
    style: HeadStyle,
    head_mm: Option<f64>,
) -> Result<(f64, String), FastenError> {
    let refuse = |why: String| FastenError::Head { thread: thread.to_string(), why };
    let fits = |nominal: f64| head_mm.is_none_or(|given| is_across(given, nominal));
    let plain = (style == HeadStyle::Hexagon).then(|| plain_hexagon_mm(thread)).flatten();
    let mut heads: Vec<(f64, f64, HeadStyle)> = plain
        .map(|nominal| (nominal, hexagon_bearing_mm(nominal), HeadStyle::Hexagon))
        .into_iter()
        .collect();
    let related = match style {
        HeadStyle::Hexagon => HeadStyle::OlderHexagon,
        HeadStyle::SmallFlange => HeadStyle::HeavyFlange,
        HeadStyle::HeavyFlange
        | HeadStyle::SmallHexagon
        | HeadStyle::OlderHexagon
        | HeadStyle::Socket => style,
    };
    let own = |row: &&(u32, u32, Option<f64>, HeadStyle)| {
        thread.is_metric() && row.0 == thread.size()
    };
    for wanted in [style, related] {
        heads.extend(OTHER.iter().filter(own).filter(|row| row.3 == wanted).map(|row| {
            let nominal = mm(row.1);
            (nominal, row.2.unwrap_or_else(|| hexagon_bearing_mm(nominal)), row.3)
        }));
    }
    let Some(&(usual, ..)) = heads.first() else {
        return Err(refuse(format!(
            "no {style} is known on it: give the diameter of the face that bears, bearing_mm"
        )));
    };
    let found = heads.iter().find(|(nominal, ..)| fits(*nominal));
    let Some(&(nominal, outer, style)) = found else {
        return Err(refuse(format!(
            "a {style} on it takes {usual} mm, not {}: check thread, head and size",
            head_mm.unwrap_or(usual)
        )));
    };
    Ok((outer, named(style, nominal)))
}

/// The ring under the head: `bearing_mm` is its outer diameter where given, else it
/// follows from the style, else from the width across flats, else from the plain hexagon of
/// the thread; the hole is the medium one unless given.
///
/// ```
/// use fasten::{HeadStyle, bearing};
///
/// let m8 = "M8".parse()?;
/// assert!((bearing(m8, None, None, None, None)?.mean_mm() - 10.315).abs() < 0.001);
/// let flange = bearing(m8, Some(HeadStyle::SmallFlange), None, None, None)?;
/// assert!((flange.mean_mm() - 11.95).abs() < 0.001);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When a number makes no sense, the head is unknown and not given, or the ring is empty.
pub fn bearing(
    thread: Thread,
    style: Option<HeadStyle>,
    head_mm: Option<f64>,
    bearing_mm: Option<f64>,
    hole_mm: Option<f64>,
) -> Result<Bearing, FastenError> {
    let refuse = |why: String| FastenError::Head { thread: thread.to_string(), why };
    let (outer_mm, from) = match (bearing_mm, style, head_mm.or(plain_hexagon_mm(thread)))
    {
        (Some(outer), ..) => {
            let outer = within("bearing diameter in mm", outer, 1.0, 300.0)?;
            (outer, "bearing face as given".to_owned())
        }
        (None, Some(style), _) => styled_face_mm(thread, style, head_mm)?,
        (None, None, Some(across)) => face_mm(thread, across)?,
        (None, None, None) => {
            return Err(refuse(
                "no usual one is known: give head_mm or bearing_mm".into(),
            ));
        }
    };
    let hole_mm = match hole_mm.or(medium_hole_mm(thread)) {
        Some(hole) => within("hole in mm", hole, thread.diameter_mm(), 300.0)?,
        None => return Err(refuse("no usual hole is known: give hole_mm".into())),
    };
    if outer_mm <= hole_mm {
        return Err(refuse(format!(
            "a face of {outer_mm:.2} mm does not reach past a hole of {hole_mm:.2} mm: \
             check head, bearing and hole"
        )));
    }
    Ok(Bearing { outer_mm, hole_mm, from })
}
