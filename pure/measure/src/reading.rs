//! One reading judged: normalised value, standard uncertainty, chance to be within
//! limits (GUM; JCGM 106).

use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;
use units::{Quantity, Unit, UnitError};

use crate::accuracy::Accuracy;
use crate::chance::{band_weights, quantile, within};
use crate::limits::Limits;
use crate::material::PartTemperature;

/// Repeats from which a normal distribution is used in place of Student's t.
const MANY_REPEATS: usize = 10;

/// The risk taken where none is named.
pub const DEFAULT_RISK: f64 = 0.05;

/// What was read, and how.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgeInput {
    /// The one value read; `None` where repeats are given.
    pub value: Option<f64>,
    /// Two values between which it lies, as a feeler gauge or a dipstick tells: the first
    /// goes in, the second does not. Instead of a value.
    pub between: Option<(f64, f64)>,
    /// Two or more repeats of the same reading; their mean is the estimate.
    pub repeats: Vec<f64>,
    /// Unit of all values here.
    pub unit: Unit,
    /// What it should be, for the reference temperature.
    pub limits: Option<Limits>,
    /// The meter's stated accuracy.
    pub accuracy: Option<Accuracy>,
    /// Size of the last digit on the meter.
    pub digit: Option<f64>,
    /// End of the range that the meter stood in, for an accuracy of the range.
    pub range: Option<f64>,
    /// What the leads read with their probes shorted.
    pub leads: Option<Leads>,
    /// For a winding: how warm it was.
    pub temperature: Option<PartTemperature>,
    /// For a voltage drop: the current meanwhile, A.
    pub amps: Option<f64>,
    /// Risk of a wrong verdict, in (0, 0.5].
    pub risk: f64,
}

/// Resistance of the test leads, subtracted from the reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leads {
    /// What to subtract.
    pub value: f64,
    /// Its standard uncertainty, if any is claimed.
    pub u: Option<f64>,
}

/// `judge/1`: a reading with its uncertainty and what that says of the limits.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JudgeAnswer {
    /// The estimate, leads subtracted, at the reference temperature.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Standard uncertainty, in the same unit.
    pub u: f64,
    /// Probability that the true value is within the limits; null without limits.
    pub p_within: Option<f64>,
    /// In, out or not sure; null without limits.
    pub verdict: Option<Verdict>,
    /// What to know beside it.
    pub remarks: Vec<String>,
    /// Least and greatest value that would be judged in at this risk: the limits drawn in
    /// by guard bands (JCGM 106, 8.3); null without limits, or where no value would be.
    pub accepts: Option<Accepts>,
    /// Resistance of a connection, ohm, from its voltage drop and the current; null without.
    pub connection_ohm: Option<f64>,
    /// Effective degrees of freedom where Student's t was used (GUM G.4).
    #[serde(skip)]
    pub dof: Option<f64>,
    /// Half of the spread where it lies between two values and any is as likely, in the
    /// same unit.
    #[serde(skip)]
    pub even: Option<f64>,
}

impl JudgeAnswer {
    /// Weight of each band, given in the unit `to`, for this answer, whose own unit is `own`:
    /// as [`crate::band_weights`]; between two values each band has its share of the spread.
    ///
    /// # Errors
    /// [`UnitError::Mismatch`] for units of another quantity.
    pub fn band_weights(
        &self,
        (own, to): (Unit, Unit),
        bands: &[(Option<f64>, Option<f64>)],
    ) -> Result<Vec<f64>, UnitError> {
        let value = own.convert(self.value, to)?;
        let u = own.convert_difference(self.u, to)?;
        let Some(even) = self.even else {
            return Ok(band_weights(value, u, self.dof, bands));
        };
        let half = own.convert_difference(even, to)?;
        let shares: Vec<f64> =
            bands.iter().map(|band| overlap(value, half, *band)).collect();
        let sum: f64 = shares.iter().sum();
        if sum > 0.0 {
            return Ok(shares.iter().map(|share| share / sum).collect());
        }
        Ok(band_weights(value, 0.0, None, bands))
    }
}

/// Values that are judged in at the risk taken, given this uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Accepts {
    /// From this value on; null: no lower limit.
    pub low: Option<f64>,
    /// Up to this value; null: no upper limit.
    pub high: Option<f64>,
}

/// What a reading says of its limits at the risk taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Within, with probability of at least 1 − risk.
    In,
    /// Outside: within with probability of at most the risk.
    Out,
    /// The measurement cannot tell at this risk.
    NotSure,
}

/// Why a reading cannot be judged.
#[derive(Debug, Clone, PartialEq)]
pub enum JudgeError {
    /// Neither a value nor repeats.
    NoValue,
    /// Both a value and repeats.
    ValueAndRepeats,
    /// A single repeat.
    OneRepeat,
    /// A number that is not finite or, where that makes no sense, negative.
    Nonsense(&'static str),
    /// Limits that make no sense.
    Limits(&'static str),
    /// Accuracy that makes no sense.
    Accuracy(&'static str),
    /// Accuracy in digits without the size of one.
    DigitMissing,
    /// Accuracy of the range without its end.
    RangeMissing,
    /// Between two values the wrong way round, or with another value beside it.
    Between,
    /// A risk outside (0, 0.5].
    Risk,
    /// An unknown metal.
    Material(String),
    /// A temperature at which no winding is read.
    Temperature(f64),
    /// A winding's temperature with a unit that is not of resistance.
    NotAResistance(Unit),
    /// A number or unit that cannot be read.
    Number(UnitError),
}

impl JudgeInput {
    /// One value in a unit, nothing else known.
    pub fn of(value: f64, unit: Unit) -> Self {
        Self {
            value: Some(value),
            between: None,
            repeats: Vec::new(),
            unit,
            limits: None,
            accuracy: None,
            digit: None,
            range: None,
            leads: None,
            temperature: None,
            amps: None,
            risk: DEFAULT_RISK,
        }
    }
}

/// Judges a reading.
///
/// ```
/// use measure::{Accuracy, JudgeInput, Limits, Verdict, judge};
/// let ohm = units::Unit::parse("ohm").unwrap();
/// let mut input = JudgeInput::of(7.9, ohm);
/// input.limits = Some(Limits::parse("6.6..8.4").unwrap());
/// input.accuracy = Some(Accuracy::parse("0.8%+2d", ohm).unwrap());
/// input.digit = Some(0.1);
/// assert_eq!(judge(&input).unwrap().verdict, Some(Verdict::In));
/// ```
///
/// # Errors
/// [`JudgeError`] for input that makes no sense; nothing is guessed.
pub fn judge(input: &JudgeInput) -> Result<JudgeAnswer, JudgeError> {
    check(input)?;
    let mut remarks = Vec::new();
    let (read, type_a, n) = estimate(input)?;
    let half = match input.accuracy {
        Some(accuracy) => accuracy.half_width_in(read, input.digit, input.range)?,
        // Nothing but the last digit: half of it either way (GUM F.2.2.1).
        None => input.digit.map_or(0.0, |digit| digit / 2.0),
    };
    let apart = input.between.map_or(0.0, |(from, to)| (to - from) / 2.0);
    let type_b = (half / 3.0_f64.sqrt()).hypot(apart / 3.0_f64.sqrt());
    let leads = input.leads.unwrap_or(Leads { value: 0.0, u: None });
    let mut value = read - leads.value;
    let u_read = type_a.hypot(type_b).hypot(leads.u.unwrap_or(0.0));
    let mut u = u_read;
    let mut scale = 1.0;
    if let Some(temperature) = input.temperature {
        scale = temperature.factor()?;
        value *= scale;
        u = (u_read * scale).hypot(value * temperature.relative_u()?);
        remarks.push(format!(
            "brought from {} °C to {} °C: times {scale:.4}",
            temperature.part_c, temperature.reference_c
        ));
    }
    finite(&[value, u], "the result overflows")?;
    if value < 0.0 && input.unit.quantity() == Quantity::Resistance {
        remarks.push(
            "the value is below zero: read the leads again, probes shorted".to_owned(),
        );
    }
    if u == 0.0 {
        remarks
            .push("no uncertainty is stated, so the value is taken as exact".to_owned());
    }
    let dof = effective_dof(n, type_a * scale, u);
    // Between two marks and nothing else: any value there is as likely.
    let even = (apart > 0.0 && u <= apart * scale / 3.0_f64.sqrt() * (1.0 + 1e-9))
        .then_some(apart * scale);
    let p_within = input.limits.map(|limits| {
        let sides = (limits.low(), limits.high());
        even.map_or_else(
            || within(value, u, dof, sides),
            |half| overlap(value, half, sides),
        )
    });
    let accepts = input
        .limits
        .filter(|_| even.is_none())
        .and_then(|limits| accepts((limits.low(), limits.high()), u, dof, input.risk));
    let verdict = p_within.map(|p| verdict(p, input.risk));
    let unit = input.unit.symbol();
    let connection_ohm = connection(input, value)?;
    Ok(JudgeAnswer {
        value,
        unit,
        u,
        p_within,
        verdict,
        remarks,
        accepts,
        connection_ohm,
        dof,
        even,
    })
}

fn check(input: &JudgeInput) -> Result<(), JudgeError> {
    if !(input.risk > 0.0 && input.risk <= 0.5) {
        return Err(JudgeError::Risk);
    }
    finite(&input.repeats, "a repeat is not a finite number")?;
    finite(input.value.as_slice(), "the value is not a finite number")?;
    if input.digit.is_some_and(|digit| !digit.is_finite() || digit <= 0.0) {
        return Err(JudgeError::Nonsense("the size of a digit must be above zero"));
    }
    if let Some(leads) = input.leads {
        let parts = [leads.value, leads.u.unwrap_or(0.0)];
        finite(&parts, "the leads are not a finite number")?;
        if parts.iter().any(|part| *part < 0.0) {
            return Err(JudgeError::Nonsense("leads cannot read below zero"));
        }
    }
    if input.range.is_some_and(|range| !range.is_finite() || range <= 0.0) {
        return Err(JudgeError::Nonsense("the end of the range must be above zero"));
    }
    if input.temperature.is_some() && input.unit.quantity() != Quantity::Resistance {
        return Err(JudgeError::NotAResistance(input.unit));
    }
    Ok(())
}

/// Drop over current.
fn connection(input: &JudgeInput, value: f64) -> Result<Option<f64>, JudgeError> {
    let Some(amps) = input.amps else { return Ok(None) };
    let volt = Unit::parse("V")?;
    if input.unit.quantity() != volt.quantity() {
        return Err(JudgeError::Nonsense("a current goes with a voltage drop, in V"));
    }
    if !(amps.is_finite() && amps > 0.0) {
        return Err(JudgeError::Nonsense("the current must be above zero"));
    }
    Ok(Some(input.unit.convert(value, volt)? / amps))
}

/// Share of an even spread about a value that lies within the limits.
fn overlap(value: f64, half: f64, (low, high): (Option<f64>, Option<f64>)) -> f64 {
    let from = low.map_or(value - half, |low| low.max(value - half));
    let to = high.map_or(value + half, |high| high.min(value + half));
    ((to - from) / (2.0 * half)).clamp(0.0, 1.0)
}

/// The limits drawn in until the chance to be within is 1 − risk.
fn accepts(
    (low, high): (Option<f64>, Option<f64>),
    u: f64,
    dof: Option<f64>,
    risk: f64,
) -> Option<Accepts> {
    let guard = quantile(1.0 - risk, dof) * u;
    let sure = |value: f64| within(value, u, dof, (low, high)) >= 1.0 - risk;
    let (Some(low), Some(high)) = (low, high) else {
        return Some(Accepts {
            low: low.map(|l| l + guard),
            high: high.map(|h| h - guard),
        });
    };
    let middle = f64::midpoint(low, high);
    if !sure(middle) {
        return None;
    }
    let side = |end: f64| {
        if sure(end) {
            return end;
        }
        let (mut inside, mut outside) = (middle, end);
        for _ in 0..60 {
            let at = f64::midpoint(inside, outside);
            if sure(at) { inside = at } else { outside = at }
        }
        inside
    };
    Some(Accepts { low: Some(side(low)), high: Some(side(high)) })
}

fn finite(values: &[f64], what: &'static str) -> Result<(), JudgeError> {
    if values.iter().all(|v| v.is_finite()) {
        Ok(())
    } else {
        Err(JudgeError::Nonsense(what))
    }
}

/// The estimate, its type-A standard uncertainty (GUM 4.2.3: s/√n), and n.
fn estimate(input: &JudgeInput) -> Result<(f64, f64, usize), JudgeError> {
    if let Some((from, to)) = input.between {
        let alone = input.value.is_none() && input.repeats.is_empty();
        if !(alone && from.is_finite() && to.is_finite() && from < to) {
            return Err(JudgeError::Between);
        }
        return Ok((f64::midpoint(from, to), 0.0, 1));
    }
    match (input.value, input.repeats.len()) {
        (Some(value), 0) => Ok((value, 0.0, 1)),
        (Some(_), _) => Err(JudgeError::ValueAndRepeats),
        (None, 0) => Err(JudgeError::NoValue),
        (None, 1) => Err(JudgeError::OneRepeat),
        (None, n) => {
            let count = count_f64(n);
            let mean = input.repeats.iter().map(|x| x / count).sum::<f64>();
            let squares: f64 = input.repeats.iter().map(|x| (x - mean).powi(2)).sum();
            Ok((mean, (squares / (count - 1.0) / count).sqrt(), n))
        }
    }
}

/// A count as a number; counts here are far below 2^53.
#[expect(clippy::cast_precision_loss, reason = "counts stay far below 2^53")]
pub(crate) fn count_f64(n: usize) -> f64 {
    n as f64
}

/// Welch-Satterthwaite (GUM G.4.1) with type-B parts of infinite freedom; `None` where
/// the normal distribution serves.
fn effective_dof(n: usize, type_a: f64, u: f64) -> Option<f64> {
    if !(2..MANY_REPEATS).contains(&n) || type_a == 0.0 {
        return None;
    }
    Some(count_f64(n - 1) * (u / type_a).powi(4))
}

fn verdict(p: f64, risk: f64) -> Verdict {
    if p >= 1.0 - risk {
        Verdict::In
    } else if p <= risk {
        Verdict::Out
    } else {
        Verdict::NotSure
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::In => "in",
            Self::Out => "out",
            Self::NotSure => "not-sure",
        })
    }
}

impl From<UnitError> for JudgeError {
    fn from(error: UnitError) -> Self {
        Self::Number(error)
    }
}

impl fmt::Display for JudgeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoValue => f.write_str("no value: give one, or two and more repeats"),
            Self::ValueAndRepeats => f.write_str(
                "a value and repeats are both given: leave the value out, it is their mean",
            ),
            Self::OneRepeat => f.write_str(
                "one repeat says nothing of the scatter: give it as the value, or repeat",
            ),
            Self::Nonsense(what) => f.write_str(what),
            Self::Limits(why) => write!(f, "limits: {why}"),
            Self::Accuracy(why) => write!(f, "accuracy: {why}"),
            Self::DigitMissing => f.write_str(
                "the accuracy counts digits: say how much the last digit is, as in 0.1",
            ),
            Self::RangeMissing => f.write_str(
                "the accuracy is of the range: say where the meter's range ends, as in 20",
            ),
            Self::Between => f.write_str(
                "between takes two values, the smaller first, and no other value beside it",
            ),
            Self::Risk => f.write_str("the risk must be above 0 and at most 0.5"),
            Self::Material(name) => {
                write!(f, "`{name}` is not a known metal: write copper or aluminium")
            }
            Self::Temperature(c) => write!(
                f,
                "{c} °C: a winding is brought to another temperature only from -100 to 400 °C"
            ),
            Self::NotAResistance(unit) => write!(
                f,
                "`{unit}` is no resistance: a part's temperature corrects resistances only"
            ),
            Self::Number(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for JudgeError {}
