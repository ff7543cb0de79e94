//! `oil-level/1`, `oil-use/1`, `oil-viscosity/1`, `oil-grade/1`: what the oil says.

use fluids::{GradeAnswer, LevelAnswer, Requirement, ThicknessAnswer, UseAnswer};

use crate::{
    Page, Table, Words, pair,
    say::{self, Shown},
};

/// The litres to fill.
#[must_use]
pub fn oil_level_page(answer: &LevelAnswer, language: &str) -> Page {
    let mut page = Page::new("Oil level", language);
    let lead = match answer.stands.as_str() {
        "below-low" => format!(
            "Below the low mark: fill {}, then read again.",
            litres(answer.fill_litres)
        ),
        "above-full" => format!(
            "Above the full mark, by about {}: nothing to fill.",
            litres(answer.over_litres.unwrap_or(0.0))
        ),
        _ if answer.fill_litres < 0.005 => {
            "At the full mark: nothing to fill.".to_owned()
        }
        _ => format!("Fill {} to the full mark.", litres(answer.fill_litres)),
    };
    page.lead(lead);
    let range = answer.fill_range_litres.filter(|[low, high]| high - low >= 0.005);
    let pour = Some(answer.first_pour_litres)
        .filter(|first| *first + 0.005 < answer.fill_litres);
    page.facts(vec![
        pair("Above the low mark", said(answer.above_low_litres, litres)),
        pair(
            "If misread",
            said(range, |[low, high]| {
                format!("{} to {}", say::trimmed(low, 2), litres(high))
            }),
        ),
        pair("First pour", said(pour, litres)),
        pair(
            "Warmth makes it look",
            said(answer.warm_litres.filter(|warm| warm.abs() >= 0.005), |warm| {
                let way = if warm > 0.0 { "fuller" } else { "emptier" };
                format!("{} {way} (taken out of the sum)", litres(warm.abs()))
            }),
        ),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// How much oil is used and when to look again.
#[must_use]
pub fn oil_use_page(answer: &UseAnswer, (language, shown): (&str, Shown)) -> Page {
    let mut page = Page::new("Oil use", language);
    let rate = |rate: f64| format!("{} l for 1000 km", say::significant(rate, 2));
    let finding = match answer.finding.as_deref() {
        Some("cause") => ": enough to look for the cause",
        Some("also-seen") => ": note it as also seen",
        _ => "",
    };
    page.lead(answer.litres_per_1000_km.map_or_else(
        || "No rate: this reading can't tell.".to_owned(),
        |known| format!("Uses {}{finding}.", rate(known)),
    ));
    let [low, high] = answer.range_litres_per_1000_km;
    let range = (high - low >= 0.005)
        .then(|| format!("{} to {}", say::significant(low, 2), rate(high)));
    let by = match answer.next_look_by.as_deref() {
        Some("service") => ", at the service",
        _ => "",
    };
    let whole = |km: f64| say::distance(km, shown);
    page.facts(vec![
        pair("Used", litres(answer.used_litres)),
        pair("If misread", range.unwrap_or_default()),
        pair(
            "Look again after",
            said(answer.next_look_km, |km| format!("{}{by}", whole(km.floor()))),
        ),
        pair("Low mark after", said(answer.low_mark_km, whole)),
        pair(
            "Of the fuel",
            said(answer.percent_of_fuel, |percent| {
                format!("{} %", say::significant(percent, 2))
            }),
        ),
        pair("0.3 % of the fuel is", said(answer.fuel_limit_l_per_1000_km, rate)),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// How thick an oil is at other temperatures.
#[must_use]
pub fn oil_viscosity_page(answer: &ThicknessAnswer, language: &str) -> Page {
    let mut page = Page::new("Oil, how thick at which temperature", language);
    let thick = |mm2_s: f64| format!("{} mm²/s", say::significant(mm2_s, 3));
    if let [one] = answer.at.as_slice() {
        page.lead(one.mm2_s.map_or_else(
            || {
                format!(
                    "At {} °C: these points can't tell.",
                    say::trimmed(one.celsius, 1)
                )
            },
            |mm2_s| format!("At {} °C: {}.", say::trimmed(one.celsius, 1), thick(mm2_s)),
        ));
    }
    let mut table = Table::new(&[">°C", ">mm²/s"]);
    for at in &answer.at {
        let value = at.mm2_s.map_or_else(
            || "not by these points".to_owned(),
            |mm2_s| say::significant(mm2_s, 3),
        );
        table.row(vec![Words::from(say::trimmed(at.celsius, 1)), Words::from(value)]);
    }
    page.table(table);
    page.facts(vec![
        pair("At 40 °C", said(answer.at_40_mm2_s, thick)),
        pair("At 100 °C", said(answer.at_100_mm2_s, thick)),
        pair(
            "Viscosity index",
            said(answer.viscosity_index, |index| say::trimmed(index, 0)),
        ),
    ]);
    page.remarks(&answer.remarks);
    page
}

/// Whether an oil fits a grade.
#[must_use]
pub fn oil_grade_page(answer: &GradeAnswer, language: &str) -> Page {
    let title = answer.grade.as_ref().map_or_else(
        || "Oil, which grade".to_owned(),
        |grade| format!("Oil, grade {grade}"),
    );
    let mut page = Page::new(title, language);
    let grade = answer.grade.as_deref().unwrap_or_default();
    let lead = match (answer.fits, &answer.grade) {
        (Some(true), _) => format!("Fits {grade} by viscosity."),
        (Some(false), _) => format!("Does not fit {grade}."),
        (None, Some(_)) => {
            format!("Fits {grade} as far as it was given; not all was given.")
        }
        (None, None) => match answer.warm.as_slice() {
            [] => "No grade of SAE J300 has these values.".to_owned(),
            warm => format!("May be a {} when warm.", warm.join(" or a ")),
        },
    };
    let none =
        answer.fits.is_none() && answer.requirements.iter().all(|r| r.value.is_none());
    page.lead(if none && answer.grade.is_some() {
        format!("What {grade} asks for.")
    } else {
        lead
    });
    let replaces = match answer.replaces {
        Some(true) => "by viscosity yes; the specification decides",
        Some(false) => "no",
        None => "",
    };
    page.facts(vec![
        pair("For what the maker asks", replaces),
        pair("Warm side may be", answer.warm.join(", ")),
        pair("Cold side may be", answer.cold.join(", ")),
    ]);
    let mut table = Table::new(&["What", ">At", "Asked for", ">Has", "Fits"]);
    for limit in &answer.requirements {
        table.row(requirement(limit));
    }
    page.table(table);
    page.remarks(&answer.remarks);
    page
}

fn requirement(limit: &Requirement) -> Vec<Words> {
    let value = |value: f64| say::significant(value, 5);
    let asked = match (limit.least, limit.most, limit.below) {
        (Some(least), _, Some(below)) => {
            format!("{} to below {}", value(least), value(below))
        }
        (Some(least), ..) => format!("at least {}", value(least)),
        (None, Some(most), _) => format!("at most {}", value(most)),
        (None, None, _) => String::new(),
    };
    let what = match limit.what.as_str() {
        "cranking" => "Cranking",
        "pumping" => "Pumping",
        "kinematic" => "Kinematic",
        _ => "At high shear",
    };
    let fits = match (limit.fits, limit.value) {
        (Some(true), _) => "yes",
        (Some(false), _) => "no",
        (None, Some(_)) => "can't tell",
        (None, None) => "",
    };
    vec![
        what.into(),
        Words::from(format!("{} °C", say::trimmed(limit.celsius, 1))),
        Words::from(format!("{asked} {}", limit.unit)),
        Words::from(said(limit.value, value)),
        fits.into(),
    ]
}

fn litres(amount: f64) -> String {
    format!("{} l", say::trimmed(amount, 2))
}

/// A value in words, nothing where there is none.
fn said<T>(value: Option<T>, words: impl FnOnce(T) -> String) -> String {
    value.map_or_else(String::new, words)
}
