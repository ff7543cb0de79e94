//! `judge`: one reading with its uncertainty against its limits; `bench`: a coil off the
//! vehicle.

use measure::{
    Accuracy, BenchAnswer, BenchInput, JudgeAnswer, JudgeError, JudgeInput, Leads,
    PartTemperature,
};
pub use measure::{Limits, Material};
pub use units::Unit;

use crate::Problem;

/// Risk of a wrong verdict where none is named.
pub use measure::reading::DEFAULT_RISK;

/// What `judge` was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingInput {
    /// The value read.
    pub value: Option<f64>,
    /// Repeats of it.
    pub repeats: Vec<f64>,
    /// Unit of all values.
    pub unit: Unit,
    /// What it should be.
    pub limits: Option<Limits>,
    /// The meter's stated accuracy as typed: `0.8%+2d`.
    pub accuracy: Option<String>,
    /// Size of the last digit.
    pub digit: Option<f64>,
    /// What the leads read with their probes shorted.
    pub leads: Option<f64>,
    /// Temperature of the part, °C.
    pub part_c: Option<f64>,
    /// Temperature that the limits are given for, °C; absent: 20.
    pub reference_c: Option<f64>,
    /// Metal of the winding; absent: copper.
    pub material: Option<Material>,
    /// Risk of a wrong verdict.
    pub risk: f64,
}

/// Judges a reading.
///
/// # Errors
/// What makes no sense.
pub fn judge(input: &ReadingInput) -> Result<JudgeAnswer, Problem> {
    let wrong = |error: JudgeError| Problem::wrong("reading", error);
    let accuracy =
        input.accuracy.as_deref().map(|text| Accuracy::parse(text, input.unit));
    let temperature =
        match (input.part_c, input.reference_c.is_some() || input.material.is_some()) {
            (Some(part_c), _) => Some(PartTemperature {
                material: input.material.unwrap_or(Material::Copper),
                part_c,
                part_half_width_k: None,
                reference_c: input.reference_c.unwrap_or(20.0),
            }),
            (None, true) => {
                let what =
                    "a metal or a reference temperature, but not how warm the part was";
                return Err(Problem::wrong("reading", what).hint("add --part-c"));
            }
            (None, false) => None,
        };
    measure::judge(&JudgeInput {
        value: input.value,
        repeats: input.repeats.clone(),
        unit: input.unit,
        limits: input.limits,
        accuracy: accuracy.transpose().map_err(wrong)?,
        digit: input.digit,
        leads: input.leads.map(|value| Leads { value, u: None }),
        temperature,
        risk: input.risk,
    })
    .map_err(wrong)
}

/// Judges a bench test of a coil.
///
/// # Errors
/// What makes no sense.
pub fn bench(input: &BenchInput) -> Result<BenchAnswer, Problem> {
    measure::bench(input).map_err(|error| Problem::wrong("bench", error))
}

/// What was done on the bench.
pub type CoilTest = BenchInput;

#[cfg(test)]
mod tests {
    use super::{DEFAULT_RISK, Limits, ReadingInput, Unit, judge};

    #[test]
    fn a_reference_temperature_without_the_part_is_refused() {
        let input = ReadingInput {
            value: Some(7.9),
            repeats: Vec::new(),
            unit: Unit::parse("ohm").unwrap(),
            limits: Some(Limits::parse("6.6..8.4").unwrap()),
            accuracy: Some("0.8%+2d".to_owned()),
            digit: Some(0.1),
            leads: None,
            part_c: None,
            reference_c: Some(20.0),
            material: None,
            risk: DEFAULT_RISK,
        };
        assert_eq!(judge(&input).unwrap_err().hint.unwrap(), "add --part-c");
        let warm = ReadingInput { part_c: Some(60.0), ..input };
        // Copper, IEC 60028: 7.9 · 254.5/294.5.
        assert!((judge(&warm).unwrap().value - 6.827).abs() < 1e-3);
    }
}
