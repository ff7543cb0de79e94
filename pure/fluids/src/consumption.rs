//! `oil-use/1`: how much oil an engine uses, and when to look again.

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{FluidError, within};

/// Above this share of what was used a misread level tells no rate.
const MOST_MISREAD: f64 = 0.3;
/// Litres for each 1000 km above which it is noted as also seen (common practice).
const ALSO_SEEN: f64 = 0.5;
/// Litres for each 1000 km above which it is a cause to look for (common practice).
const CAUSE: f64 = 1.0;
/// Oil of the fuel burnt in the engine reliability test of GB/T 19055-2003.
const SHARE_OF_FUEL: f64 = 0.003;

/// What was topped up over which distance, and how the level changed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UseInput {
    /// Topped up over the distance, litres.
    pub topped_litres: f64,
    /// The distance, km.
    pub over_km: f64,
    /// Level at the end over that at the start, litres; negative where it fell.
    pub rise_litres: f64,
    /// By how much that change may be misread, litres.
    pub misread_litres: f64,
    /// Now above the low mark, litres.
    pub above_low_litres: Option<f64>,
    /// Part of that to use up before the next look, 0 to 1; usual: one half.
    pub until_share: f64,
    /// Left to the next service, km.
    pub service_km: Option<f64>,
    /// Fuel, litres for each 100 km.
    pub fuel_l_per_100km: Option<f64>,
}

impl UseInput {
    /// So much topped up to the same level over a distance.
    pub const fn new(topped_litres: f64, over_km: f64) -> Self {
        Self {
            topped_litres,
            over_km,
            rise_litres: 0.0,
            misread_litres: 0.0,
            above_low_litres: None,
            until_share: 0.5,
            service_km: None,
            fuel_l_per_100km: None,
        }
    }
}

/// The answer `oil-use/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct UseAnswer {
    /// Used over the distance, litres.
    pub used_litres: f64,
    /// Litres for each 1000 km; null where the reading can't tell.
    pub litres_per_1000_km: Option<f64>,
    /// The same if the level was misread one way and the other.
    pub range_litres_per_1000_km: [f64; 2],
    /// `usual`, `also-seen` (above 0.5) or `cause` (above 1); null where not known.
    pub finding: Option<String>,
    /// Distance to the next look, km; null where nothing sets one.
    pub next_look_km: Option<f64>,
    /// What sets it: `use` or `service`.
    pub next_look_by: Option<String>,
    /// Distance until the low mark, km.
    pub low_mark_km: Option<f64>,
    /// Oil used of the fuel burnt, percent.
    pub percent_of_fuel: Option<f64>,
    /// What 0.3 % of the fuel comes to, litres for each 1000 km (GB/T 19055-2003).
    pub fuel_limit_l_per_1000_km: Option<f64>,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
}

/// How much oil is used and when to look again.
///
/// ```
/// use fluids::{UseInput, oil_use};
///
/// let mut input = UseInput::new(0.55, 3200.0);
/// input.above_low_litres = Some(0.6);
/// let answer = oil_use(&input)?;
/// assert!(answer.litres_per_1000_km.is_some_and(|rate| (rate - 0.172).abs() < 0.001));
/// assert!(answer.next_look_km.is_some_and(|km| (km - 1745.0).abs() < 1.0));
/// # Ok::<(), fluids::FluidError>(())
/// ```
///
/// # Errors
/// When a number is out of range.
pub fn oil_use(input: &UseInput) -> Result<UseAnswer, FluidError> {
    let topped = within("topped up in litres", input.topped_litres, 0.0, 500.0)?;
    let over_km = within("distance in km", input.over_km, 1.0, 1e6)?;
    let rise = within("rise of the level in litres", input.rise_litres, -50.0, 50.0)?;
    let misread = within("misread by litres", input.misread_litres, 0.0, 20.0)?;
    let until =
        within("part to use up before the next look", input.until_share, 0.05, 1.0)?;
    let maybe = |name, value: Option<f64>, low, high| {
        value.map(|value| within(name, value, low, high)).transpose()
    };
    let above = maybe("above the low mark in litres", input.above_low_litres, 0.0, 50.0)?;
    let service_km = maybe("left to the service in km", input.service_km, 0.0, 1e6)?;
    let fuel = maybe("fuel in litres for 100 km", input.fuel_l_per_100km, 0.5, 200.0)?;
    let used = topped - rise;
    let per_1000 = |litres: f64| litres / over_km * 1000.0;
    let (known, mut remarks) = known(used, misread);
    let rate = known.map(per_1000);
    let [low, high] =
        [used - misread, used + misread].map(|litres| per_1000(litres).max(0.0));
    let counted = rate.unwrap_or(high);
    let (low_mark_km, by_use) = match above {
        Some(above) if counted > 0.0 => {
            (Some(above / counted * 1000.0), Some(until * above / counted * 1000.0))
        }
        Some(_) | None => (None, None),
    };
    let (next_look_km, by) = match (by_use, service_km) {
        (Some(by_use), Some(service_km)) if service_km < by_use => {
            (Some(service_km), Some("service"))
        }
        (Some(by_use), _) => (Some(by_use), Some("use")),
        (None, Some(service_km)) => (Some(service_km), Some("service")),
        (None, None) => (None, None),
    };
    if rate.is_none() && by_use.is_some() {
        remarks.push("next look by the greatest use that the reading allows".to_owned());
    }
    if fuel.is_some() {
        remarks.push(
            "0.3 % of the fuel is the limit of GB/T 19055-2003 for an engine at rated speed and \
             full load: a measure, not the maker's limit"
                .to_owned(),
        );
    }
    Ok(UseAnswer {
        used_litres: used,
        litres_per_1000_km: rate,
        range_litres_per_1000_km: [low, high],
        finding: rate.map(finding),
        next_look_km,
        next_look_by: by.map(str::to_owned),
        low_mark_km,
        percent_of_fuel: fuel.zip(rate).map(|(fuel, rate)| rate / (fuel * 10.0) * 100.0),
        fuel_limit_l_per_1000_km: fuel.map(|fuel| SHARE_OF_FUEL * fuel * 10.0),
        remarks,
    })
}

/// What was used, where the reading can tell it, and what to say of it.
fn known(used: f64, misread: f64) -> (Option<f64>, Vec<String>) {
    let mut remarks = vec![
        "both levels read in the same place, equally warm and after the same wait; the maker's \
         limit comes first"
            .to_owned(),
    ];
    if used < 0.0 {
        remarks.push(
            "the level rose by itself: fuel or coolant may be in the oil; look before it runs on"
                .to_owned(),
        );
        return (None, remarks);
    }
    if misread > MOST_MISREAD * used {
        remarks.push(
            "the reading may be off by more than 30 % of what was used: drive on and read again"
                .to_owned(),
        );
        return (None, remarks);
    }
    (Some(used), remarks)
}

fn finding(rate: f64) -> String {
    let word = match rate {
        rate if rate > CAUSE => "cause",
        rate if rate > ALSO_SEEN => "also-seen",
        _ => "usual",
    };
    word.to_owned()
}
