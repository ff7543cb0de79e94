//! `oil-grade/1`: whether an oil fits a grade by SAE J300, and which grades it may be.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{FluidError, within};
use crate::grade::{EDITION, Grade, Summer, Winter};

/// What a data sheet says of an oil, and what is asked of it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct FitInput {
    /// The grade it is sold as or shall fit.
    pub grade: Option<Grade>,
    /// The grade that the maker asks for.
    pub asked: Option<Grade>,
    /// Kinematic viscosity at 100 °C, mm²/s.
    pub at_100_mm2_s: Option<f64>,
    /// At high shear and 150 °C, mPa·s.
    pub hths: Option<f64>,
    /// Cranking, mPa·s, and at which °C.
    pub crank: Option<(f64, f64)>,
    /// Pumping, mPa·s, and at which °C.
    pub pump: Option<(f64, f64)>,
}

/// One limit of a grade.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Requirement {
    /// What is limited: `cranking`, `pumping`, `kinematic`, `high-shear`.
    pub what: String,
    /// At which temperature, °C.
    pub celsius: f64,
    /// Unit of the values.
    pub unit: String,
    /// At least this.
    pub least: Option<f64>,
    /// At most this.
    pub most: Option<f64>,
    /// Below this.
    pub below: Option<f64>,
    /// What the oil has; null where it was not given.
    pub value: Option<f64>,
    /// Whether it fits; null where that can't be told.
    pub fits: Option<bool>,
}

/// The answer `oil-grade/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GradeAnswer {
    /// The edition whose limits are used.
    pub edition: String,
    /// The grade that was asked about.
    pub grade: Option<String>,
    /// Whether the oil fits it; null where a value is missing.
    pub fits: Option<bool>,
    /// The limits of that grade.
    pub requirements: Vec<Requirement>,
    /// Warm sides that its values allow; grades overlap, so there may be several.
    pub warm: Vec<String>,
    /// Cold sides that its values allow; empty where neither cranking nor pumping was given.
    pub cold: Vec<String>,
    /// Whether the grade may stand for the one that the maker asks for, by viscosity alone;
    /// null where not both were given.
    pub replaces: Option<bool>,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

/// Whether an oil fits a grade.
///
/// ```
/// use fluids::{FitInput, oil_grade};
///
/// let oil = FitInput { at_100_mm2_s: Some(7.0), hths: Some(2.4), ..FitInput::default() };
/// assert_eq!(oil_grade(&oil)?.warm, ["12", "16"]); // 20 asks for 2.6 at high shear
/// # Ok::<(), fluids::FluidError>(())
/// ```
///
/// # Errors
/// When a value makes no sense, or there is nothing to compare.
pub fn oil_grade(input: &FitInput) -> Result<GradeAnswer, FluidError> {
    let input = checked(input)?;
    let requirements = input.grade.map(|grade| requirements(grade, &input));
    let requirements = requirements.unwrap_or_default();
    let warm = input.at_100_mm2_s.map_or_else(Vec::new, |_| {
        Grade::warm_sides(input.grade.and_then(Grade::winter))
            .filter_map(Grade::summer)
            .filter(|summer| allowed(&warm_limits(*summer, summer.least_mm2_s, &input)))
            .map(|summer| summer.number.to_string())
            .collect()
    });
    let known = input.crank.is_some() || input.pump.is_some();
    let cold = Grade::cold_sides()
        .filter_map(|grade| Some((grade, grade.winter()?)))
        .filter(|(_, winter)| known && cold_fits(*winter, &input))
        .map(|(grade, _)| grade.to_string())
        .collect();
    let fits = input.grade.and_then(|_| all(&requirements));
    let replaces =
        input.grade.zip(input.asked).map(|(have, asked)| replaces(have, asked));
    let remarks = remarks(&input, &requirements, replaces);
    Ok(GradeAnswer {
        edition: EDITION.to_owned(),
        grade: input.grade.map(|grade| grade.to_string()),
        fits,
        requirements,
        warm,
        cold,
        replaces,
        remarks,
    })
}

fn checked(input: &FitInput) -> Result<FitInput, FluidError> {
    let maybe = |name, value: Option<f64>, low, high| {
        value.map(|value| within(name, value, low, high)).transpose()
    };
    let cold = |name, value: Option<(f64, f64)>| {
        value
            .map(|(mpas, celsius)| {
                let mpas = within(name, mpas, 1.0, 1e7)?;
                Ok((mpas, within("temperature of that in °C", celsius, -60.0, 20.0)?))
            })
            .transpose()
    };
    maybe("viscosity at 100 °C in mm²/s", input.at_100_mm2_s, 0.5, 500.0)?;
    maybe("viscosity at high shear in mPa·s", input.hths, 0.2, 50.0)?;
    cold("cranking viscosity in mPa·s", input.crank)?;
    cold("pumping viscosity in mPa·s", input.pump)?;
    if input.grade.is_none() && input.at_100_mm2_s.is_none() && input.crank.is_none() {
        return Err(FluidError::Together(
            "nothing to compare: give a grade, or the viscosity at 100 °C from the data sheet",
        ));
    }
    if input.grade.is_none() && input.asked.is_some() {
        return Err(FluidError::Together(
            "a grade that the maker asks for, but none to compare with it: give both",
        ));
    }
    Ok(*input)
}

/// Every limit of a grade with what the oil has.
fn requirements(grade: Grade, input: &FitInput) -> Vec<Requirement> {
    let mut all =
        grade.winter().map_or_else(Vec::new, |winter| cold_limits(winter, input));
    let least = grade.winter().map_or(0.0, |winter| winter.least_mm2_s);
    match grade.summer() {
        Some(summer) => {
            all.extend(warm_limits(summer, least.max(summer.least_mm2_s), input));
        }
        None => all.push(kinematic(least, None, input)),
    }
    all
}

fn kinematic(least: f64, below: Option<f64>, input: &FitInput) -> Requirement {
    let value = input.at_100_mm2_s;
    let under = |value: f64| below.is_none_or(|below| value < below);
    Requirement {
        what: "kinematic".to_owned(),
        celsius: 100.0,
        unit: "mm²/s".to_owned(),
        least: Some(least),
        most: None,
        below,
        value,
        fits: value.map(|value| value >= least && under(value)),
    }
}

fn warm_limits(summer: Summer, least: f64, input: &FitInput) -> Vec<Requirement> {
    let high_shear = Requirement {
        what: "high-shear".to_owned(),
        celsius: 150.0,
        unit: "mPa·s".to_owned(),
        least: Some(summer.least_hths),
        most: None,
        below: None,
        value: input.hths,
        fits: input.hths.map(|hths| hths >= summer.least_hths),
    };
    vec![kinematic(least, Some(summer.below_mm2_s), input), high_shear]
}

fn cold_limits(winter: Winter, input: &FitInput) -> Vec<Requirement> {
    let limit = |what: &str, (most, celsius): (f64, f64), value: Option<(f64, f64)>| {
        Requirement {
            what: what.to_owned(),
            celsius,
            unit: "mPa·s".to_owned(),
            least: None,
            most: Some(most),
            below: None,
            value: value.map(|(mpas, _)| mpas),
            fits: value.and_then(|value| cold_enough(value, (most, celsius))),
        }
    };
    vec![
        limit("cranking", winter.crank, input.crank),
        limit("pumping", winter.pump, input.pump),
    ]
}

/// An oil is thicker when colder: a value read at another temperature than the limit's tells
/// only where it errs on the safe side.
fn cold_enough((mpas, at_c): (f64, f64), (most, limit_c): (f64, f64)) -> Option<bool> {
    let within = mpas <= most;
    let (colder, warmer) = (at_c < limit_c - 0.05, at_c > limit_c + 0.05);
    match (within, colder, warmer) {
        (_, false, false) => Some(within),
        (true, true, _) => Some(true),
        (false, _, true) => Some(false),
        _ => None,
    }
}

/// Whether nothing known speaks against it.
fn allowed(limits: &[Requirement]) -> bool {
    limits.iter().all(|limit| limit.fits != Some(false))
}

/// Whether all that is known of the cold says that it fits.
fn cold_fits(winter: Winter, input: &FitInput) -> bool {
    let limits = cold_limits(winter, input);
    let thick = input.at_100_mm2_s.is_none_or(|mm2_s| mm2_s >= winter.least_mm2_s);
    thick && limits.iter().all(|limit| limit.value.is_none() || limit.fits == Some(true))
}

fn all(limits: &[Requirement]) -> Option<bool> {
    if limits.iter().any(|limit| limit.fits == Some(false)) {
        return Some(false);
    }
    limits.iter().all(|limit| limit.fits == Some(true)).then_some(true)
}

/// As good in the cold, and the same warm side.
fn replaces(have: Grade, asked: Grade) -> bool {
    let cold = match (have.winter(), asked.winter()) {
        (_, None) => true,
        (Some(have), Some(asked)) => have.number <= asked.number,
        (None, Some(_)) => false,
    };
    let number = |grade: Grade| grade.summer().map(|summer| summer.number);
    cold && number(have) == number(asked)
}

fn remarks(
    input: &FitInput,
    requirements: &[Requirement],
    replaces: Option<bool>,
) -> Vec<String> {
    let mut remarks = vec![
        "a grade says nothing of approvals: the maker's specification comes first, then the \
         grade it allows"
            .to_owned(),
        format!("limits of {EDITION}"),
    ];
    let missing: Vec<&str> = requirements
        .iter()
        .filter(|limit| limit.value.is_none())
        .map(|limit| limit.what.as_str())
        .collect();
    if !missing.is_empty() {
        remarks.push(format!("not given, so not judged: {}", missing.join(", ")));
    }
    for limit in requirements {
        if limit.value.is_some() && limit.fits.is_none() {
            remarks.push(format!(
                "{} was given at another temperature than {} °C and can't tell",
                limit.what, limit.celsius
            ));
        }
    }
    if input.grade.is_none() && input.hths.is_none() {
        remarks.push(
            "grades overlap: the value at high shear decides between them".to_owned(),
        );
    }
    if replaces == Some(false) {
        remarks.push(
            "another viscosity than the maker asks for: thicker oil reaches valves and cam \
             actuators late, thinner oil may not carry the bearings"
                .to_owned(),
        );
    }
    remarks
}
