//! `oil-level/1`: from where the oil stands on the dipstick to the litres to fill.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{FluidError, within};

/// Growth of oil for each kelvin (from memory).
const GROWTH_PER_K: f64 = 0.7e-3;
/// Above this it is filled in two pours, litres (common practice).
const TWO_POURS: f64 = 0.3;

/// What was read, and what the marks mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelInput {
    /// Litres from the low to the full mark, the maker's figure.
    pub between_litres: f64,
    /// Where the oil stands between the marks: 0 at low, 1 at full; beyond them too.
    pub share: f64,
    /// By how much that may be misread, of the way between the marks.
    pub misread: f64,
    /// Oil in the engine, litres, to tell what warmth does.
    pub sump_litres: Option<f64>,
    /// How much warmer the oil is than where the marks hold, K.
    pub warmer_k: f64,
}

impl LevelInput {
    /// By millimetres above the low mark on a dipstick whose marks are `between_mm` apart.
    ///
    /// # Errors
    /// When a number is out of range.
    pub fn by_mm(
        between_litres: f64,
        (above_low_mm, between_mm): (f64, f64),
        misread_mm: f64,
    ) -> Result<Self, FluidError> {
        let between_mm = within("distance of the marks in mm", between_mm, 1.0, 300.0)?;
        let above_mm =
            within("height above the low mark in mm", above_low_mm, -300.0, 600.0)?;
        let misread_mm = within("misread by mm", misread_mm, 0.0, between_mm)?;
        Ok(Self {
            between_litres,
            share: above_mm / between_mm,
            misread: misread_mm / between_mm,
            sump_litres: None,
            warmer_k: 0.0,
        })
    }
}

/// The answer `oil-level/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LevelAnswer {
    /// `below-low`, `between` or `above-full`.
    pub stands: String,
    /// Litres above the low mark; null outside the marks, where the dipstick can't tell.
    pub above_low_litres: Option<f64>,
    /// Litres to fill up to the full mark; below the low mark at least this.
    pub fill_litres: f64,
    /// The same if it was misread upwards and downwards; null below the low mark.
    pub fill_range_litres: Option<[f64; 2]>,
    /// Litres too much, about; null where it is not above the full mark.
    pub over_litres: Option<f64>,
    /// Litres of the first pour, before it is read again.
    pub first_pour_litres: f64,
    /// Litres that warmth makes it look fuller; null where the fill is not known.
    pub warm_litres: Option<f64>,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

/// The litres to fill.
///
/// ```
/// use fluids::{LevelInput, oil_level};
///
/// let read = LevelInput::by_mm(1.0, (3.5, 14.0), 0.0)?; // a quarter of the way up
/// let answer = oil_level(&read)?;
/// assert!((answer.fill_litres - 0.75).abs() < 1e-12);
/// # Ok::<(), fluids::FluidError>(())
/// ```
///
/// # Errors
/// When a number is out of range.
pub fn oil_level(input: &LevelInput) -> Result<LevelAnswer, FluidError> {
    let between = within("litres between the marks", input.between_litres, 0.05, 50.0)?;
    let share = within("part of the way from low to full", input.share, -3.0, 4.0)?;
    let misread = within("misread, of the way", input.misread, 0.0, 1.0)?;
    let warmer_k = within("warmer by K", input.warmer_k, -80.0, 150.0)?;
    let sump_litres = input
        .sump_litres
        .map(|litres| within("oil in the engine in litres", litres, 0.2, 200.0))
        .transpose()?;
    let warm_litres = sump_litres.map(|litres| litres * GROWTH_PER_K * warmer_k);
    let cooled = share - warm_litres.unwrap_or(0.0) / between;
    let mut remarks = vec![
        "read on level ground, engine off for 5 min or more; the maker's way of reading comes \
         first"
            .to_owned(),
    ];
    if warm_litres.is_none() {
        remarks.push(format!(
            "oil grows by {:.1} % over 80 K (from memory): compare only readings taken equally \
             warm",
            GROWTH_PER_K * 80.0 * 100.0
        ));
    }
    let fill = |share: f64| ((1.0 - share) * between).max(0.0);
    let (stands, above, fill_litres, range) = if cooled < 0.0 {
        remarks.push(
            "below the low mark the dipstick tells no litres: fill what lies between the marks, \
             then read again; before that the engine does not run"
                .to_owned(),
        );
        ("below-low", None, between, None)
    } else if cooled > 1.0 {
        remarks.push(
            "above the full mark: take out what is too much before it runs; if nobody filled \
             it, fuel or coolant may be in it"
                .to_owned(),
        );
        ("above-full", None, 0.0, Some([0.0, fill(cooled - misread)]))
    } else {
        let range = [fill(cooled + misread), fill(cooled - misread).min(between)];
        ("between", Some(cooled * between), fill(cooled), Some(range))
    };
    let first = if fill_litres > TWO_POURS { fill_litres / 2.0 } else { fill_litres };
    if fill_litres > TWO_POURS {
        remarks.push(
            "in two pours, 2 to 5 min between, then read again (common practice)"
                .to_owned(),
        );
    }
    Ok(LevelAnswer {
        stands: stands.to_owned(),
        above_low_litres: above,
        fill_litres,
        fill_range_litres: range,
        over_litres: (cooled > 1.0).then_some((cooled - 1.0) * between),
        first_pour_litres: first,
        warm_litres,
        remarks,
    })
}
