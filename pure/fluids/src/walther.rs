//! `Walther`: kinematic viscosity over temperature, by two points (ASTM D341).

use std::str::FromStr;

use crate::error::{FluidError, cut, within};

/// 0 °C, K.
const ZERO_C: f64 = 273.15;
/// From here on the short form of ASTM D341 is the long one to 1e-10, mm²/s.
const SHORT_FORM: f64 = 5.0;
/// Least viscosity that the long form holds for, mm²/s.
const LEAST: f64 = 0.21;
/// Greatest viscosity of the charts, mm²/s.
const MOST: f64 = 2e7;
/// Temperatures of the charts, °C.
const RANGE_C: (f64, f64) = (-70.0, 370.0);
/// Points closer than this tell nothing of the slope, K.
const APART: f64 = 10.0;

/// A known viscosity at a temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Temperature, °C.
    pub celsius: f64,
    /// Kinematic viscosity there, mm²/s.
    pub mm2_s: f64,
}

impl Point {
    /// A point of a data sheet.
    ///
    /// # Errors
    /// When it lies outside the charts of ASTM D341.
    pub fn new(celsius: f64, mm2_s: f64) -> Result<Self, FluidError> {
        let celsius = within("temperature in °C", celsius, RANGE_C.0, RANGE_C.1)?;
        let mm2_s = within("kinematic viscosity in mm²/s", mm2_s, LEAST, MOST)?;
        Ok(Self { celsius, mm2_s })
    }
}

impl FromStr for Point {
    type Err = FluidError;

    /// Reads "40=95", 95 mm²/s at 40 °C.
    fn from_str(text: &str) -> Result<Self, FluidError> {
        let word = || FluidError::Word {
            thing: "point",
            given: cut(text.trim()),
            next: "write °C=mm²/s, as in 40=95",
        };
        let (celsius, mm2_s) = text.split_once('=').ok_or_else(word)?;
        let number = |part: &str| part.trim().parse::<f64>().map_err(|_| word());
        Self::new(number(celsius)?, number(mm2_s)?)
    }
}

/// The straight line of ASTM D341: `log₁₀ log₁₀ Z = A − B log₁₀ T`, with
/// `Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²)`; T in kelvin. The standard leaves out the last
/// part, there below 0.04 %, from 2 mm²/s on; here it fades, so that every Z has one viscosity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walther {
    /// A.
    pub a: f64,
    /// B.
    pub b: f64,
}

impl Walther {
    /// The line through two points.
    ///
    /// # Errors
    /// When they are less than 10 K apart, or the oil does not get thinner when warmer.
    pub fn through(one: Point, other: Point) -> Result<Self, FluidError> {
        let (cold, warm) =
            if one.celsius < other.celsius { (one, other) } else { (other, one) };
        if warm.celsius - cold.celsius < APART {
            return Err(FluidError::Together(
                "the two points are less than 10 K apart and don't tell the slope: give 40 °C \
                 and 100 °C from the data sheet",
            ));
        }
        if warm.mm2_s >= cold.mm2_s {
            return Err(FluidError::Together(
                "an oil gets thinner when it gets warmer: check which point is which",
            ));
        }
        let height = |point: Point| measure(point.mm2_s).log10().log10();
        let place = |point: Point| (point.celsius + ZERO_C).log10();
        let b = (height(cold) - height(warm)) / (place(warm) - place(cold));
        Ok(Self { a: height(cold) + b * place(cold), b })
    }

    /// Kinematic viscosity at a temperature, mm²/s.
    ///
    /// # Errors
    /// When temperature or viscosity lies outside the charts of ASTM D341.
    pub fn viscosity_mm2_s(self, celsius: f64) -> Result<f64, FluidError> {
        let celsius = within("temperature in °C", celsius, RANGE_C.0, RANGE_C.1)?;
        let height = self.a - self.b * (celsius + ZERO_C).log10();
        let wanted = 10_f64.powf(10_f64.powf(height));
        let mm2_s = unmeasured(wanted);
        within("kinematic viscosity at that temperature in mm²/s", mm2_s, LEAST, MOST)
    }
}

/// Z of a viscosity.
fn measure(mm2_s: f64) -> f64 {
    let short = mm2_s + 0.7;
    if mm2_s >= SHORT_FORM {
        return short;
    }
    short + (-1.47 - 1.84 * mm2_s - 0.51 * mm2_s * mm2_s).exp()
}

/// The viscosity of a Z. The long form rises with ν, so halving finds it.
fn unmeasured(wanted: f64) -> f64 {
    if wanted >= measure(SHORT_FORM) {
        return wanted - 0.7;
    }
    let (mut low, mut high) = (0.0, SHORT_FORM);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if measure(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}
