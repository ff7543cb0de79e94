//! Numbers as a repairer says them: chances, money, minutes, distances, torques.

use strip::MixUp;
use units::{KM_PER_MILE, NM_PER_LBFT};

/// Which units a page shows; answers and files keep metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shown {
    /// N·m, km.
    #[default]
    Metric,
    /// lb-ft, miles.
    Us,
}

/// What exposure is counted in, as it is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Counted {
    /// Kilometres (miles where US units are shown).
    #[default]
    Km,
    /// Minutes of running.
    Minutes,
    /// Starts.
    Starts,
}

impl From<sheet::ExposureUnit> for Counted {
    fn from(unit: sheet::ExposureUnit) -> Self {
        match unit {
            sheet::ExposureUnit::Km => Self::Km,
            sheet::ExposureUnit::Minutes => Self::Minutes,
            sheet::ExposureUnit::Starts => Self::Starts,
        }
    }
}

/// A probability in words: `about 4 in 10`; in hundreds where it is nearly none or all.
#[must_use]
pub fn chance(p: f64) -> String {
    if !p.is_finite() {
        return "not known".to_owned();
    }
    let p = p.clamp(0.0, 1.0);
    if p < 0.005 {
        "less than 1 in 100".to_owned()
    } else if p >= 0.995 {
        "more than 99 in 100".to_owned()
    } else if (0.095..0.905).contains(&p) {
        format!("about {:.0} in 10", (p * 10.0).round())
    } else {
        format!("about {:.0} in 100", (p * 100.0).round())
    }
}

/// Digits after the point of a currency (ISO 4217: 2 unless listed there otherwise).
fn minor_digits(currency: &str) -> usize {
    match currency {
        "BIF" | "CLP" | "DJF" | "GNF" | "ISK" | "JPY" | "KMF" | "KRW" | "PYG" | "RWF"
        | "UGX" | "UYI" | "VND" | "VUV" | "XAF" | "XOF" | "XPF" => 0,
        "BHD" | "IQD" | "JOD" | "KWD" | "LYD" | "OMR" | "TND" => 3,
        _ => 2,
    }
}

/// An amount to its smallest coin: `210.00 EUR`.
#[must_use]
pub fn money(amount: f64, currency: &str) -> String {
    let text = format!("{amount:.*}", minor_digits(currency));
    join_unit(&without_minus_zero(text), currency)
}

/// An amount in whole units: `210 EUR`.
#[must_use]
pub fn whole_money(amount: f64, currency: &str) -> String {
    join_unit(&without_minus_zero(format!("{:.0}", amount.round())), currency)
}

/// A spread of money: `usually 210 EUR, seldom above 480 EUR`; the upper figure is
/// rounded up, so that it stays true.
#[must_use]
pub fn usually(p50: f64, p90: f64, currency: &str) -> String {
    let (usual, above) = (p50.round(), (p90 - 1e-9).ceil());
    if above - usual < 0.5 {
        whole_money(usual, currency)
    } else {
        format!(
            "usually {}, seldom above {}",
            whole_money(usual, currency),
            whole_money(above, currency)
        )
    }
}

/// A spread of minutes: `usually 1 h 10 min, seldom above 3 h`.
#[must_use]
pub fn usually_minutes(p50: f64, p90: f64) -> String {
    let (usual, above) = (minutes(p50.round()), minutes((p90 - 1e-9).ceil()));
    if usual == above { usual } else { format!("usually {usual}, seldom above {above}") }
}

/// Minutes: `1 h 10 min`, `12 min`, `2.5 min`.
#[must_use]
pub fn minutes(amount: f64) -> String {
    if !amount.is_finite() {
        return "not known".to_owned();
    }
    let amount = amount.max(0.0);
    if amount < 9.95 {
        return format!("{} min", trimmed(amount, 1));
    }
    let whole = amount.round();
    if whole < 60.0 {
        return format!("{whole:.0} min");
    }
    let hours = (whole / 60.0).floor();
    let rest = whole - hours * 60.0;
    if rest < 0.5 {
        format!("{hours:.0} h")
    } else {
        format!("{hours:.0} h {rest:.0} min")
    }
}

/// A distance or a count of what the fault is counted over: `525 km`, `30 starts`.
#[must_use]
pub fn exposure(amount: f64, counted: Counted, shown: Shown) -> String {
    match counted {
        Counted::Km => distance(amount, shown),
        Counted::Minutes => minutes(amount),
        Counted::Starts => {
            let starts = amount.ceil();
            if (starts - 1.0).abs() < 0.5 {
                "1 start".to_owned()
            } else {
                join_unit(&without_minus_zero(format!("{starts:.0}")), "starts")
            }
        }
    }
}

/// A distance: `525 km`, or `326 miles`.
#[must_use]
pub fn distance(distance_km: f64, shown: Shown) -> String {
    let (amount, unit) = match shown {
        Shown::Metric => (distance_km, "km"),
        Shown::Us => (distance_km / KM_PER_MILE, "miles"),
    };
    let digits = usize::from(amount.abs() < 9.95);
    join_unit(&trimmed(amount, digits), unit)
}

/// A torque: `24 N·m`, or `18 lb-ft`.
#[must_use]
pub fn torque(torque_nm: f64, shown: Shown) -> String {
    let (amount, unit) = match shown {
        Shown::Metric => (torque_nm, "N·m"),
        Shown::Us => (torque_nm / NM_PER_LBFT, "lb-ft"),
    };
    let digits = usize::from(amount < 99.95);
    join_unit(&trimmed(amount, digits), unit)
}

/// A length in millimetres: `M8` bolts are spoken of in whole millimetres.
#[must_use]
pub fn length(length_mm: f64) -> String {
    join_unit(&trimmed(length_mm, 1), "mm")
}

/// How often something was seen: `once`, `twice`, `5 times`.
#[must_use]
pub fn times(count: f64) -> String {
    if !count.is_finite() || count < 0.5 {
        "never".to_owned()
    } else if count < 1.5 {
        "once".to_owned()
    } else if count < 2.5 {
        "twice".to_owned()
    } else {
        format!("{count:.0} times")
    }
}

/// A count with its noun: `1 bolt`, `3 bolts`.
#[must_use]
pub fn count(amount: u32, one: &str, many: &str) -> String {
    if amount == 1 { format!("1 {one}") } else { format!("{amount} {many}") }
}

/// A number with at most `digits` after the point and no trailing zeros.
#[must_use]
pub fn trimmed(amount: f64, digits: usize) -> String {
    let text = format!("{amount:.digits$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    };
    without_minus_zero(text)
}

/// When something is measured, of its item: the word of a sheet in words.
#[must_use]
pub fn measured_when(word: &str) -> &'static str {
    match word {
        "before" => "before it comes off",
        "refit" => "as it goes back",
        _ => "while it is off",
    }
}

/// Limits of a value in words: `at most 0.1 mm`, `6.6 to 8.4 ohm`.
#[must_use]
pub fn limits((least, most): (Option<f64>, Option<f64>), unit: &str) -> String {
    let say = |value: f64| significant(value, 6);
    match (least, most) {
        (Some(least), Some(most)) => format!("{} to {} {unit}", say(least), say(most)),
        (Some(least), None) => format!("at least {} {unit}", say(least)),
        (None, Some(most)) => format!("at most {} {unit}", say(most)),
        (None, None) => "no limits".to_owned(),
    }
}

/// A number to `figures` significant figures, without exponent where it stays readable.
#[must_use]
pub fn significant(amount: f64, figures: u32) -> String {
    if !amount.is_finite() {
        return "not known".to_owned();
    }
    if amount.abs() < f64::MIN_POSITIVE {
        return "0".to_owned();
    }
    let size = amount.abs().log10().floor();
    if !(-6.0..15.0).contains(&size) {
        return format!("{amount:.2e}");
    }
    let digits = (f64::from(figures) - 1.0 - size).clamp(0.0, 12.0);
    let mut places = 0_usize;
    while f64::from(u8::try_from(places).unwrap_or(u8::MAX)) < digits {
        places += 1;
    }
    trimmed(amount, places)
}

fn join_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") }
}

fn without_minus_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// Sentence case: the first letter large.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// What goes where something else belongs, and what that does; `title` names an item.
#[must_use]
pub fn mix_up(mix_up: &MixUp, title: impl Fn(&str) -> String) -> String {
    let MixUp { fastener, of, belongs, into, consequence } = mix_up;
    let named = |items: &[String]| {
        and(&items.iter().map(|item| title(item)).collect::<Vec<String>>())
    };
    format!(
        "{fastener} ({}) where {belongs} belongs ({}): {consequence}",
        named(of),
        named(into)
    )
}

/// A list in words: `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn and(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
