//! `judge`: one reading with its uncertainty against its limits; `bench`: a coil off the
//! vehicle.

pub use measure::usual::Usual;
use measure::{
    Accuracy, BenchAnswer, BenchInput, JudgeAnswer, JudgeError, JudgeInput, Leads,
    PartTemperature,
};
pub use measure::{Limits, Material};
pub use units::Unit;

use crate::Problem;
use crate::settings::{Meter, MeterIn};

/// Risk of a wrong verdict where none is named.
pub use measure::reading::DEFAULT_RISK;

/// What `judge` was asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingInput {
    /// The value read.
    pub value: Option<f64>,
    /// Two values between which it lies.
    pub between: Option<Limits>,
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
    /// End of the meter's range.
    pub range: Option<f64>,
    /// What the leads read with their probes shorted.
    pub leads: Option<f64>,
    /// Temperature of the part, °C.
    pub part_c: Option<f64>,
    /// Temperature that the limits are given for, °C; absent: 20.
    pub reference_c: Option<f64>,
    /// Metal of the winding; absent: copper.
    pub material: Option<Material>,
    /// The current during a voltage drop, A.
    pub amps: Option<f64>,
    /// A usual limit, where none is given.
    pub usual: Option<Usual>,
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
    let between = match input.between.map(|between| (between.low(), between.high())) {
        None => None,
        Some((Some(from), Some(to))) => Some((from, to)),
        Some(_) => {
            return Err(Problem::wrong("reading", JudgeError::Between)
                .hint("write both, as in 0.20..0.25"));
        }
    };
    let usual = input.usual.filter(|_| input.limits.is_none());
    let usual_limits = usual.map(|usual| usual.limits(input.unit)).transpose();
    let limits = input.limits.or(usual_limits.map_err(wrong)?);
    let mut answer = measure::judge(&JudgeInput {
        value: input.value,
        between,
        repeats: input.repeats.clone(),
        unit: input.unit,
        limits,
        accuracy: accuracy.transpose().map_err(wrong)?,
        digit: input.digit,
        range: input.range,
        leads: input.leads.map(|value| Leads { value, u: None }),
        temperature,
        amps: input.amps,
        risk: input.risk,
    })
    .map_err(wrong)?;
    if let (Some(usual), Some(limits)) = (usual, limits) {
        answer.remarks.push(format!(
            "usual limits {limits} {}, {}: common practice, the maker's value wins",
            answer.unit, usual.what
        ));
    }
    Ok(answer)
}

/// The reading with what the workshop knows of the meter where nothing else is said.
///
/// # Errors
/// A meter for another quantity.
pub fn with_meter(input: ReadingInput, meter: &Meter) -> Result<ReadingInput, Problem> {
    let MeterIn { digit, range, leads } = meter.in_unit(input.unit)?;
    Ok(ReadingInput {
        accuracy: input.accuracy.or_else(|| meter.accuracy.clone()),
        digit: input.digit.or(digit),
        range: input.range.or(range),
        leads: input.leads.or(leads),
        ..input
    })
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
            between: None,
            repeats: Vec::new(),
            unit: Unit::parse("ohm").unwrap(),
            limits: Some(Limits::parse("6.6..8.4").unwrap()),
            accuracy: Some("0.8%+2d".to_owned()),
            digit: Some(0.1),
            range: None,
            leads: None,
            part_c: None,
            reference_c: Some(20.0),
            material: None,
            amps: None,
            usual: None,
            risk: DEFAULT_RISK,
        };
        assert_eq!(judge(&input).unwrap_err().hint.unwrap(), "add --part-c");
        let warm = ReadingInput { part_c: Some(60.0), ..input };
        // Copper, IEC 60028: 7.9 · 254.5/294.5.
        assert!((judge(&warm).unwrap().value - 6.827).abs() < 1e-3);
    }
}
