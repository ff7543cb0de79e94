//! `oil-viscosity/1`: how thick an oil is at temperatures that its data sheet does not give.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::FluidError;
use crate::index::viscosity_index;
use crate::walther::{Point, Walther};

/// Below this polymer-thickened oils leave the line of ASTM D341, °C.
const COLD_C: f64 = 0.0;
/// Beyond this a line through 40 and 100 °C is stretched far, °C.
const HOT_C: f64 = 150.0;

/// What is known of an oil and what is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct ThicknessInput {
    /// Two points of its data sheet.
    pub known: [Point; 2],
    /// Temperatures asked for, °C.
    pub at_c: Vec<f64>,
}

/// Viscosity at one temperature.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ThicknessAt {
    /// Temperature, °C.
    pub celsius: f64,
    /// Kinematic viscosity, mm²/s; null where two warmer points can't tell it.
    pub mm2_s: Option<f64>,
}

/// The answer `oil-viscosity/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ThicknessAnswer {
    /// A of the line of ASTM D341, T in kelvin.
    pub a: f64,
    /// B of the line.
    pub b: f64,
    /// Viscosity at the temperatures asked for.
    pub at: Vec<ThicknessAt>,
    /// Kinematic viscosity at 40 °C, mm²/s.
    pub at_40_mm2_s: Option<f64>,
    /// Kinematic viscosity at 100 °C, mm²/s.
    pub at_100_mm2_s: Option<f64>,
    /// Viscosity index (ASTM D2270), rounded to a whole number; null where none is defined.
    pub viscosity_index: Option<f64>,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

/// Viscosity at other temperatures, by two points (ASTM D341).
///
/// ```
/// use fluids::{ThicknessInput, oil_thickness};
///
/// let known = ["40=32".parse()?, "100=5.4".parse()?];
/// let answer = oil_thickness(&ThicknessInput { known, at_c: vec![80.0, -10.0] })?;
/// assert!(answer.at[0].mm2_s.is_some_and(|mm2_s| (mm2_s - 8.53).abs() < 0.02));
/// assert_eq!(answer.at[1].mm2_s, None); // colder than both points and below 0 °C
/// # Ok::<(), fluids::FluidError>(())
/// ```
///
/// # Errors
/// When the points contradict each other or a temperature lies outside the charts.
pub fn oil_thickness(input: &ThicknessInput) -> Result<ThicknessAnswer, FluidError> {
    let [one, other] = input.known;
    let line = Walther::through(one, other)?;
    let coldest_c = one.celsius.min(other.celsius);
    let mut remarks = vec![
        "by ASTM D341 from two points; a new oil of this kind, not the one in the sump"
            .to_owned(),
    ];
    let viscosity_mm2_s = |celsius: f64| {
        let given =
            input.known.iter().find(|point| (point.celsius - celsius).abs() < 1e-9);
        given.map_or_else(|| line.viscosity_mm2_s(celsius), |point| Ok(point.mm2_s))
    };
    let mut at = Vec::with_capacity(input.at_c.len());
    let (mut cold, mut hot) = (false, false);
    for celsius in &input.at_c {
        let far = *celsius < COLD_C && *celsius < coldest_c;
        let mm2_s = viscosity_mm2_s(*celsius)?;
        cold |= far;
        hot |= *celsius > HOT_C;
        at.push(ThicknessAt { celsius: *celsius, mm2_s: (!far).then_some(mm2_s) });
    }
    if cold {
        remarks.push(
            "below 0 °C thickened oils leave this line and thin under shear, so no value; \
             cranking and pumping are measured, see the W of the grade"
                .to_owned(),
        );
    }
    if hot {
        remarks.push("above 150 °C the line is stretched far".to_owned());
    }
    let at_40_mm2_s = viscosity_mm2_s(40.0).ok();
    let at_100_mm2_s = viscosity_mm2_s(100.0).ok();
    let index = at_40_mm2_s
        .zip(at_100_mm2_s)
        .and_then(|(at_40, at_100)| viscosity_index(at_40, at_100).ok());
    if index.is_none() {
        remarks.push("no viscosity index is defined for an oil this thin".to_owned());
    }
    Ok(ThicknessAnswer {
        a: line.a,
        b: line.b,
        at,
        at_40_mm2_s,
        at_100_mm2_s,
        viscosity_index: index.map(f64::round),
        remarks,
    })
}
