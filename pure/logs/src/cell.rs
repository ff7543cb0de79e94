//! One cell: a number with a point or a comma, a switch, or a time.

/// Seconds in a day, for clocks that pass midnight.
pub(crate) const DAY_S: f64 = 86_400.0;

/// A finite number, or on/off as 1/0; `None` for anything else.
pub(crate) fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    if text.is_empty() || text.len() > 64 {
        return None;
    }
    let parsed = text.parse::<f64>().ok().or_else(|| with_comma(text));
    match parsed {
        Some(value) => value.is_finite().then_some(value),
        None => switch(text),
    }
}

/// `7,9`, `1.234,5` and `1,234.5`.
fn with_comma(text: &str) -> Option<f64> {
    let comma = text.rfind(',')?;
    let plain = if text.rfind('.').is_some_and(|point| point > comma) {
        text.replace(',', "")
    } else {
        text.replace('.', "").replace(',', ".")
    };
    // Two commas without a point stay two points and do not parse.
    plain.parse().ok()
}

fn switch(text: &str) -> Option<f64> {
    let is = |word: &&str| text.eq_ignore_ascii_case(word);
    if ["on", "true"].iter().any(is) {
        Some(1.0)
    } else if ["off", "false"].iter().any(is) {
        Some(0.0)
    } else {
        None
    }
}

/// How a time column is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeForm {
    /// Numbers in some unit.
    Number,
    /// `HH:MM:SS.fff`, with or without a date.
    Clock,
}

/// Seconds from a clock text: of the day, or since 1970 where there is a date.
pub(crate) fn clock_s(text: &str) -> Option<f64> {
    let text = text.trim().trim_end_matches('Z');
    if text.len() > 40 {
        return None;
    }
    if let Some((date, clock)) = text.split_once(['T', ' ']) {
        return Some(day_number(date)? * DAY_S + time_of_day(clock.trim())?);
    }
    time_of_day(text)
}

fn time_of_day(text: &str) -> Option<f64> {
    let text = text.split('+').next().unwrap_or(text);
    let mut parts = text.split(':');
    let (first, second, third) = (parts.next()?, parts.next()?, parts.next());
    if parts.next().is_some() {
        return None;
    }
    let (hours, minutes, seconds) = match third {
        Some(third) => (whole(first)?, whole(second)?, third),
        None => (0.0, whole(first)?, second),
    };
    let seconds = seconds.replace(',', ".");
    if !seconds.bytes().all(|b| b.is_ascii_digit() || b == b'.') {
        return None;
    }
    let seconds: f64 = seconds.parse().ok()?;
    Some(hours * 3_600.0 + minutes * 60.0 + seconds)
}

fn whole(text: &str) -> Option<f64> {
    if text.is_empty() || text.len() > 5 || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    text.parse().ok()
}

/// Days since 1970-01-01 from `2026-11-25`, `2026/11/25` or `25.11.2026`
/// (H. Hinnant, *chrono-compatible low-level date algorithms*).
fn day_number(text: &str) -> Option<f64> {
    let mut parts = text.trim().split(['-', '/', '.']);
    let (a, b, c) = (whole(parts.next()?)?, whole(parts.next()?)?, whole(parts.next()?)?);
    let (year, month, day) = if a > 31.0 { (a, b, c) } else { (c, b, a) };
    if parts.next().is_some()
        || !(1.0..=12.0).contains(&month)
        || !(1.0..=31.0).contains(&day)
    {
        return None;
    }
    let year = if month <= 2.0 { year - 1.0 } else { year };
    let era = (year / 400.0).floor();
    let year_of_era = year - era * 400.0;
    let month_from_march = (month + 9.0) % 12.0;
    let day_of_year = ((153.0 * month_from_march + 2.0) / 5.0).floor() + day - 1.0;
    let leap_days = (year_of_era / 4.0).floor() - (year_of_era / 100.0).floor();
    Some(era * 146_097.0 + year_of_era * 365.0 + leap_days + day_of_year - 719_468.0)
}
