//! `Grade`: what SAE J300 asks of an engine oil.

use std::fmt;
use std::str::FromStr;

use crate::error::{FluidError, cut};

/// The edition whose limits are used.
pub const EDITION: &str = "SAE J300, January 2015";

/// The cold side of a grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winter {
    /// The number before the W.
    pub number: u32,
    /// Most when cranking, mPa·s, and at which °C.
    pub crank: (f64, f64),
    /// Most when pumping, mPa·s, and at which °C.
    pub pump: (f64, f64),
    /// Least kinematic viscosity at 100 °C, mm²/s.
    pub least_mm2_s: f64,
}

/// The warm side of a grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summer {
    /// The number.
    pub number: u32,
    /// Least kinematic viscosity at 100 °C, mm²/s.
    pub least_mm2_s: f64,
    /// It stays below this at 100 °C, mm²/s.
    pub below_mm2_s: f64,
    /// Least at high shear and 150 °C, mPa·s.
    pub least_hths: f64,
}

const fn winter(
    number: u32,
    crank: (f64, f64),
    pump: (f64, f64),
    least_mm2_s: f64,
) -> Winter {
    Winter { number, crank, pump, least_mm2_s }
}

const WINTER: [Winter; 6] = [
    winter(0, (6200.0, -35.0), (60_000.0, -40.0), 3.8),
    winter(5, (6600.0, -30.0), (60_000.0, -35.0), 3.8),
    winter(10, (7000.0, -25.0), (60_000.0, -30.0), 4.1),
    winter(15, (7000.0, -20.0), (60_000.0, -25.0), 5.6),
    winter(20, (9500.0, -15.0), (60_000.0, -20.0), 5.6),
    winter(25, (13_000.0, -10.0), (60_000.0, -15.0), 9.3),
];

const fn summer(number: u32, least: f64, below: f64, least_hths: f64) -> Summer {
    Summer { number, least_mm2_s: least, below_mm2_s: below, least_hths }
}

/// High shear of a 40 with 0W, 5W or 10W; with any other it is that of the table.
const HTHS_LIGHT_40: f64 = 3.5;

const SUMMER: [Summer; 8] = [
    summer(8, 4.0, 6.1, 1.7),
    summer(12, 5.0, 7.1, 2.0),
    summer(16, 6.1, 8.2, 2.3),
    summer(20, 6.9, 9.3, 2.6),
    summer(30, 9.3, 12.5, 2.9),
    summer(40, 12.5, 16.3, 3.7),
    summer(50, 16.3, 21.9, 3.7),
    summer(60, 21.9, 26.1, 3.7),
];

/// A grade of SAE J300.
///
/// ```
/// use fluids::Grade;
///
/// let grade: Grade = "5w-30".parse()?;
/// assert_eq!(grade.to_string(), "5W-30");
/// assert_eq!("SAE 15W40".parse::<Grade>()?.to_string(), "15W-40");
/// assert!("5W-35".parse::<Grade>().is_err());
/// # Ok::<(), fluids::FluidError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grade {
    winter: Option<Winter>,
    summer: Option<Summer>,
}

impl Grade {
    /// The cold side, where it has one.
    pub const fn winter(self) -> Option<Winter> {
        self.winter
    }

    /// The warm side, where it has one.
    pub fn summer(self) -> Option<Summer> {
        let light = self.winter.is_some_and(|winter| winter.number <= 10);
        self.summer.map(|summer| {
            if summer.number == 40 && light {
                Summer { least_hths: HTHS_LIGHT_40, ..summer }
            } else {
                summer
            }
        })
    }

    /// All warm sides, thinnest first, each with this grade's cold side.
    pub fn warm_sides(winter: Option<Winter>) -> impl Iterator<Item = Self> {
        SUMMER.into_iter().map(move |summer| Self { winter, summer: Some(summer) })
    }

    /// All cold sides, coldest first.
    pub fn cold_sides() -> impl Iterator<Item = Self> {
        WINTER.into_iter().map(|winter| Self { winter: Some(winter), summer: None })
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.winter, self.summer) {
            (Some(winter), Some(summer)) => {
                write!(f, "{}W-{}", winter.number, summer.number)
            }
            (Some(winter), None) => write!(f, "{}W", winter.number),
            (None, Some(summer)) => write!(f, "{}", summer.number),
            (None, None) => f.write_str("none"),
        }
    }
}

impl FromStr for Grade {
    type Err = FluidError;

    /// Reads "5W-30", "5w30", "SAE 5W-30", "30", "20W".
    fn from_str(text: &str) -> Result<Self, FluidError> {
        let upper = text.trim().to_ascii_uppercase();
        let word = || FluidError::Word {
            thing: "grade",
            given: cut(text.trim()),
            next: "write it like 5W-30, 10W or 40 (SAE J300)",
        };
        let bare = upper.strip_prefix("SAE").unwrap_or(&upper).trim();
        let number = |part: &str| part.trim().parse::<u32>().map_err(|_| word());
        let warm = |part: &str| {
            let number = number(part)?;
            SUMMER.into_iter().find(|row| row.number == number).ok_or_else(word)
        };
        let Some((cold, rest)) = bare.split_once('W') else {
            return Ok(Self { winter: None, summer: Some(warm(bare)?) });
        };
        let number = number(cold)?;
        let winter =
            WINTER.into_iter().find(|row| row.number == number).ok_or_else(word)?;
        let rest = rest.trim().trim_start_matches(['-', '/']).trim();
        let summer = if rest.is_empty() { None } else { Some(warm(rest)?) };
        Ok(Self { winter: Some(winter), summer })
    }
}
