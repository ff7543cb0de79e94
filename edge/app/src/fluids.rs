//! `oil`: level, use, viscosity and grade of an engine's oil.

pub use ::fluids::{FitInput, Grade, Point, UseInput};
use ::fluids::{
    FluidError, GradeAnswer, LevelAnswer, LevelInput, ThicknessAnswer, ThicknessInput,
    UseAnswer, oil_grade, oil_level, oil_thickness, oil_use,
};

use crate::document::Answer;
use crate::{Problem, typed};

/// Temperatures shown where none are asked for, °C.
const USUAL_C: [f64; 7] = [0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 120.0];

impl Answer for LevelAnswer {
    const NAME: &'static str = "oil-level/1";
}

impl Answer for UseAnswer {
    const NAME: &'static str = "oil-use/1";
}

impl Answer for ThicknessAnswer {
    const NAME: &'static str = "oil-viscosity/1";
}

impl Answer for GradeAnswer {
    const NAME: &'static str = "oil-grade/1";
}

fn wrong(error: FluidError) -> Problem {
    Problem::wrong("oil", error)
}

/// Where the oil stands on the dipstick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Part of the way from the low to the full mark.
    Share(f64),
    /// Millimetres above the low mark, and from mark to mark.
    Mm(f64, f64),
}

/// What was read on the dipstick.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelRead {
    /// Litres from the low to the full mark.
    pub between_litres: f64,
    /// Where the oil stands.
    pub reading: Reading,
    /// By how much that may be misread, in the same measure (part of the way, or mm).
    pub misread: f64,
    /// Oil in the engine, litres.
    pub sump_litres: Option<f64>,
    /// How much warmer the oil is than where the marks hold, K.
    pub warmer_k: f64,
}

/// The litres to fill.
///
/// # Errors
/// A number that makes no sense.
pub fn level(read: &LevelRead) -> Result<LevelAnswer, Problem> {
    let by_share = |share| LevelInput {
        between_litres: read.between_litres,
        share,
        misread: read.misread,
        sump_litres: None,
        warmer_k: 0.0,
    };
    let input = match read.reading {
        Reading::Share(share) => by_share(share),
        Reading::Mm(above_mm, between_mm) => {
            LevelInput::by_mm(read.between_litres, (above_mm, between_mm), read.misread)
                .map_err(wrong)?
        }
    };
    let input =
        LevelInput { sump_litres: read.sump_litres, warmer_k: read.warmer_k, ..input };
    oil_level(&input).map_err(wrong)
}

/// How much oil is used and when to look again.
///
/// # Errors
/// A number that makes no sense.
pub fn usage(input: &UseInput) -> Result<UseAnswer, Problem> {
    oil_use(input).map_err(wrong)
}

/// Viscosity at temperatures; where none are given, at the usual ones.
///
/// # Errors
/// Not two points; points that contradict each other; a temperature outside the charts.
pub fn viscosity(known: &[Point], at_c: &[f64]) -> Result<ThicknessAnswer, Problem> {
    let [one, other] = known else {
        return Err(Problem::usage(format!(
            "two points are needed, {} given",
            known.len()
        ))
        .hint("give two points of the data sheet, as in --known 40=95,100=14.4"));
    };
    let at_c = if at_c.is_empty() { USUAL_C.to_vec() } else { at_c.to_vec() };
    oil_thickness(&ThicknessInput { known: [*one, *other], at_c }).map_err(wrong)
}

/// Whether an oil fits a grade, and which grades it may be.
///
/// # Errors
/// A number that makes no sense; nothing to compare.
pub fn grade(input: &FitInput) -> Result<GradeAnswer, Problem> {
    oil_grade(input).map_err(wrong)
}

/// A viscosity in the cold and its temperature, as in `5800@-30`.
///
/// # Errors
/// Says what would be right.
pub fn cold_value(text: &str) -> Result<(f64, f64), String> {
    let how = "write mPa·s@°C, as in 5800@-30";
    let (mpas, celsius) = text.split_once('@').ok_or(how)?;
    let number = |part: &str| typed::number(part.trim()).map_err(|_| how.to_owned());
    Ok((number(mpas)?, number(celsius)?))
}

#[cfg(test)]
mod tests {
    use super::{LevelRead, Reading, cold_value, level, viscosity};

    #[test]
    fn share_and_millimetres_say_the_same() {
        let read = |reading| {
            let read = LevelRead {
                between_litres: 1.0,
                reading,
                misread: 0.0,
                sump_litres: None,
                warmer_k: 0.0,
            };
            level(&read).unwrap().fill_litres
        };
        assert!(
            (read(Reading::Share(0.25)) - read(Reading::Mm(3.5, 14.0))).abs() < 1e-12
        );
    }

    #[test]
    fn two_points_are_needed_and_cold_values_have_a_temperature() {
        assert!(viscosity(&["40=95".parse().unwrap()], &[]).is_err());
        assert_eq!(cold_value("5800@-30"), Ok((5800.0, -30.0)));
        for wrong in ["5800", "@-30", "5800@", "x@-30", "NaN@-30"] {
            assert!(cold_value(wrong).is_err(), "{wrong}");
        }
    }
}
