//! Bench tests of a solenoid off the vehicle: current, power, how long it may be held,
//! and what strokes without a failure still allow.

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use crate::chance::beta_quantile;
use crate::material::Material;
use crate::reading::count_f64;

/// Specific heat of copper in J/(kg K).
pub const COPPER_HEAT_J_PER_KG_K: f64 = 385.0;

/// Volumetric heat of copper in J/(K mm³) (IEC 60949).
const COPPER_HEAT_J_PER_K_MM3: f64 = 3.45e-3;

/// Resistivity of copper at 20 °C in ohm mm (IEC 60949).
const COPPER_RESISTIVITY_20_OHM_MM: f64 = 17.241e-6;

/// Confidence of the one-sided bounds on the share that sticks.
const CONFIDENCE: f64 = 0.95;

/// What was done on the bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BenchInput {
    /// Supply in V.
    pub volts: f64,
    /// Coil resistance in ohm at `coil_c`.
    pub resistance_ohm: f64,
    /// Temperature of the coil at the start, °C.
    pub coil_c: f64,
    /// Temperature that its insulation may reach, °C.
    pub limit_c: f64,
    /// Copper in the coil, kg, if known.
    pub copper_kg: Option<f64>,
    /// Strokes tried.
    pub strokes: usize,
    /// Strokes on which it stuck.
    pub stuck: usize,
}

/// What the bench test says.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BenchAnswer {
    /// Current at the start, A.
    pub current_a: f64,
    /// Power at the start, W.
    pub power_w: f64,
    /// How long it may be held, s, if no heat left the copper; null without its mass.
    pub hold_s: Option<f64>,
    /// Share of strokes that stick; null without strokes.
    pub stuck_share: Option<StuckShare>,
    /// What to know beside it.
    pub remarks: Vec<String>,
}

/// A share with one-sided 95 % bounds (Clopper and Pearson 1934).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct StuckShare {
    /// Stuck over tried.
    pub value: f64,
    /// At least this share, at 95 %.
    pub low: f64,
    /// At most this share, at 95 %.
    pub high: f64,
}

/// Why a bench test cannot be judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchError {
    /// A value that must be finite and above zero is not.
    NotPositive(&'static str),
    /// The coil starts at or above its limit, or outside −100 to 400 °C.
    Temperature,
    /// More strokes stuck than tried.
    MoreStuck,
}

/// Judges a bench test.
///
/// # Errors
/// [`BenchError`] for values that make no sense.
pub fn bench(input: &BenchInput) -> Result<BenchAnswer, BenchError> {
    positive(input.volts, "the voltage")?;
    positive(input.resistance_ohm, "the resistance")?;
    let mut remarks = Vec::new();
    let hold_s = match input.copper_kg {
        Some(copper_kg) => {
            remarks.push(
                "held time: as if no heat left the copper, so the safe side".to_owned(),
            );
            let cold_w = input.volts * input.volts / input.resistance_ohm;
            Some(hold_time_s(cold_w, copper_kg, (input.coil_c, input.limit_c))?)
        }
        None => None,
    };
    let stuck_share = match input.strokes {
        0 => None,
        tried => Some(share(tried, input.stuck, CONFIDENCE)?),
    };
    if let Some(share) = stuck_share.filter(|_| input.stuck == 0) {
        remarks.push(format!(
            "0 of {} stuck still allows {:.1} in 100 to stick",
            input.strokes,
            100.0 * share.high
        ));
    }
    let current_a = input.volts / input.resistance_ohm;
    Ok(BenchAnswer {
        current_a,
        power_w: current_a * input.volts,
        hold_s,
        stuck_share,
        remarks,
    })
}

/// Time in s in which a coil on constant voltage warms from one temperature to another
/// (°C) if no heat leaves its copper. Power falls as the coil warms:
/// m c dT/dt = P0 (β+T0)/(β+T), which integrates to
/// m c ((β+T)² − (β+T0)²) / (2 P0 (β+T0)).
///
/// # Errors
/// [`BenchError`] for values that make no sense.
pub fn hold_time_s(
    cold_w: f64,
    copper_kg: f64,
    (from_c, to_c): (f64, f64),
) -> Result<f64, BenchError> {
    positive(cold_w, "the power")?;
    positive(copper_kg, "the mass of copper")?;
    let (from, to) = above_zero_resistance(from_c, to_c)?;
    let joule_per_k = copper_kg * COPPER_HEAT_J_PER_KG_K;
    Ok(joule_per_k * (to * to - from * from) / (2.0 * cold_w * from))
}

/// Time in s in which a constant current warms a copper wire from one temperature to
/// another (°C) if no heat leaves it: I² t = k² S² with
/// k² = Qc (β+20)/ρ20 · ln((β+θf)/(β+θi)) (IEC 60949; IEC 60364-5-54).
///
/// # Errors
/// [`BenchError`] for values that make no sense.
pub fn wire_hold_time_s(
    current_a: f64,
    wire_mm2: f64,
    (from_c, to_c): (f64, f64),
) -> Result<f64, BenchError> {
    positive(current_a, "the current")?;
    positive(wire_mm2, "the cross-section of the wire")?;
    let k = adiabatic_k((from_c, to_c))?;
    Ok((k * wire_mm2 / current_a).powi(2))
}

/// The factor k in A·√s/mm² for copper between two temperatures in °C.
///
/// # Errors
/// [`BenchError::Temperature`].
pub fn adiabatic_k((from_c, to_c): (f64, f64)) -> Result<f64, BenchError> {
    let (from, to) = above_zero_resistance(from_c, to_c)?;
    let at_20 = 20.0 - Material::Copper.zero_resistance_c();
    let heat = COPPER_HEAT_J_PER_K_MM3 * at_20 / COPPER_RESISTIVITY_20_OHM_MM;
    Ok((heat * (to / from).ln()).sqrt())
}

/// Share that fails, with one-sided Clopper-Pearson bounds: for 0 of n the upper one
/// is 1 − (1 − confidence)^(1/n).
///
/// # Errors
/// [`BenchError`] if nothing was tried, more failed than tried, or the confidence is
/// not between 0 and 1.
pub fn share(
    tried: usize,
    failed: usize,
    confidence: f64,
) -> Result<StuckShare, BenchError> {
    if failed > tried {
        return Err(BenchError::MoreStuck);
    }
    positive(count_f64(tried), "the number of strokes")?;
    if !(confidence > 0.0 && confidence < 1.0) {
        return Err(BenchError::NotPositive("the confidence"));
    }
    let (n, k) = (count_f64(tried), count_f64(failed));
    let low =
        if failed == 0 { 0.0 } else { beta_quantile(1.0 - confidence, k, n - k + 1.0) };
    let high =
        if failed == tried { 1.0 } else { beta_quantile(confidence, k + 1.0, n - k) };
    Ok(StuckShare { value: k / n, low, high })
}

fn positive(value: f64, what: &'static str) -> Result<(), BenchError> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(BenchError::NotPositive(what))
    }
}

/// Both temperatures counted from where copper's straight line reaches zero.
fn above_zero_resistance(from_c: f64, to_c: f64) -> Result<(f64, f64), BenchError> {
    let zero = Material::Copper.zero_resistance_c();
    let sensible = |c: f64| (-100.0..=400.0).contains(&c);
    if sensible(from_c) && sensible(to_c) && from_c < to_c {
        Ok((from_c - zero, to_c - zero))
    } else {
        Err(BenchError::Temperature)
    }
}

impl fmt::Display for BenchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPositive(what) => write!(f, "{what} must be finite and above zero"),
            Self::Temperature => f.write_str(
                "the coil must start below its limit, both between -100 and 400 °C",
            ),
            Self::MoreStuck => f.write_str("more strokes stuck than were tried"),
        }
    }
}

impl std::error::Error for BenchError {}
