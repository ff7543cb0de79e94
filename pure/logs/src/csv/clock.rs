//! Clocks and dates as text.

use crate::timeline::DAY_S;

/// Longest text that may be a clock.
const LONGEST: usize = 48;

/// Which of two numbers of a date is the month.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Order {
    /// `25/11/2026`.
    DayFirst,
    /// `11/25/2026`.
    MonthFirst,
}

/// A moment as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moment {
    /// Seconds of the day, or since 1970 where there is a date.
    pub(crate) s: f64,
    /// True with a date.
    pub(crate) dated: bool,
}

/// Reads a clock, with a date before or behind it or without one.
pub(crate) fn moment(text: &str, order: Order) -> Option<Moment> {
    let text = text.trim();
    if text.len() > LONGEST || !text.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    if let Some(s) = time_of_day(text) {
        return Some(Moment { s, dated: false });
    }
    let mut cuts = text.match_indices(['T', ' ', '_']);
    cuts.find_map(|(at, _)| {
        let (left, right) = (&text[..at], text[at + 1..].trim_start());
        let (date, clock) =
            if left.contains(':') { (right, left) } else { (left, right) };
        let s = day_number(date, order)? * DAY_S + time_of_day(clock)?;
        Some(Moment { s, dated: true })
    })
}

/// Seconds of the day: `H:M:S`, `M:S.f`, `H:M:S:ms`, with AM or PM, with a zone behind,
/// which is not looked at: one log keeps one zone.
fn time_of_day(text: &str) -> Option<f64> {
    let text = text.trim();
    let upper = text.to_ascii_uppercase().replace('.', "");
    let half = match (upper.ends_with("AM"), upper.ends_with("PM")) {
        (true, _) => Some(0.0),
        (_, true) => Some(12.0),
        (false, false) => None,
    };
    let text = if half.is_some() {
        text.trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '.' || c == ' ')
    } else {
        text.strip_suffix('Z').unwrap_or(text).trim_end()
    };
    let colon = text.find(':')?;
    let zone = text[colon..].find(['+', '-']).map_or(text.len(), |at| colon + at);
    let mut parts = text[..zone].trim_end().split(':');
    let (first, second, third) = (parts.next()?, parts.next()?, parts.next());
    let fourth = parts.next();
    if parts.next().is_some() {
        return None;
    }
    let (mut hours, minutes, seconds) = match third {
        Some(third) => (whole(first)?, whole(second)?, third.to_owned()),
        None => (0.0, whole(first)?, second.to_owned()),
    };
    let seconds = match fourth {
        Some(ms) if ms.len() == 3 && !seconds.contains(['.', ',']) => {
            format!("{seconds}.{ms}")
        }
        Some(_) => return None,
        None => seconds.replace(',', "."),
    };
    let digits = seconds.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    if !digits || !seconds.starts_with(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let seconds: f64 = seconds.parse().ok()?;
    if third.is_some() && (minutes > 59.0 || seconds >= 61.0) {
        return None;
    }
    if let Some(half) = half {
        if !(1.0..=12.0).contains(&hours) {
            return None;
        }
        hours = hours % 12.0 + half;
    }
    Some(hours * 3_600.0 + minutes * 60.0 + seconds)
}

fn whole(text: &str) -> Option<f64> {
    if text.is_empty() || text.len() > 5 || !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    text.parse().ok()
}

/// Days since 1970-01-01 from `2026-11-25`, `2026/11/25`, `25.11.2026` or `11/25/2026`
/// (H. Hinnant, *chrono-compatible low-level date algorithms*).
pub(crate) fn day_number(text: &str, order: Order) -> Option<f64> {
    let (a, b, c) = parts(text)?;
    let (year, month, day) = match order {
        _ if a > 31.0 => (a, b, c),
        Order::MonthFirst if !text.contains('.') => (c, a, b),
        Order::MonthFirst | Order::DayFirst => (c, b, a),
    };
    if !(1.0..=12.0).contains(&month) || !(1.0..=31.0).contains(&day) {
        return None;
    }
    let year = if year < 100.0 { year + 2_000.0 } else { year };
    let year = if month <= 2.0 { year - 1.0 } else { year };
    let era = (year / 400.0).floor();
    let year_of_era = year - era * 400.0;
    let month_from_march = (month + 9.0) % 12.0;
    let day_of_year = ((153.0 * month_from_march + 2.0) / 5.0).floor() + day - 1.0;
    let leap_days = (year_of_era / 4.0).floor() - (year_of_era / 100.0).floor();
    Some(era * 146_097.0 + year_of_era * 365.0 + leap_days + day_of_year - 719_468.0)
}

fn parts(text: &str) -> Option<(f64, f64, f64)> {
    let mut parts = text.trim().split(['-', '/', '.']);
    let three = (whole(parts.next()?)?, whole(parts.next()?)?, whole(parts.next()?)?);
    parts.next().is_none().then_some(three)
}

/// The order that the dates of some cells can only have; none shows: the day first, but the
/// month where clocks are of twelve hours.
pub(crate) fn order<'a>(cells: impl Iterator<Item = &'a str>) -> Order {
    let mut twelve = false;
    for text in cells {
        let upper = text.to_ascii_uppercase();
        twelve |= upper.ends_with("AM") || upper.ends_with("PM");
        let date = text.trim().split(['T', ' ']).find_map(parts);
        match date {
            Some((_, b, _)) if b > 12.0 => return Order::MonthFirst,
            Some((a, ..)) if a > 12.0 => return Order::DayFirst,
            Some(_) | None => {}
        }
    }
    if twelve { Order::MonthFirst } else { Order::DayFirst }
}

#[cfg(test)]
mod tests {
    use super::{Moment, Order, moment};

    #[test]
    fn clocks_and_dates() {
        let day = 20_782.0 * 86_400.0; // 2026-11-25, by `date -d 2026-11-25 +%s`
        let at = 13.0 * 3_600.0 + 45.0 * 60.0 + 1.5;
        for (text, s, dated) in [
            ("13:45:01.5", at, false),
            ("13:45:01,5", at, false),
            ("13:45:01:500", at, false),
            ("1:45:01.5 PM", at, false),
            ("12:00:00 AM", 0.0, false),
            ("45:01.5", 45.0 * 60.0 + 1.5, false),
            ("2026-11-25T13:45:01.5Z", day + at, true),
            ("2026-11-25 13:45:01.5+01:00", day + at, true),
            ("2026-11-25T13:45:01.5-05:00", day + at, true),
            ("25.11.2026 13:45:01,5", day + at, true),
            ("25.11.26 13:45:01,5", day + at, true),
            ("25/11/2026 1:45:01.5 pm", day + at, true),
            ("13:45:01.5 25.11.2026", day + at, true),
        ] {
            assert_eq!(
                moment(text, Order::DayFirst),
                Some(Moment { s, dated }),
                "{text}"
            );
        }
        let us = moment("11/25/2026 13:45:01.5", Order::MonthFirst);
        assert_eq!(us.map(|m| m.s), Some(day + at));
        for text in ["", "12", "12.5", "13:99:01", "a:b", "1:2:3:4:5", "13:00:00 PM"] {
            assert_eq!(moment(text, Order::DayFirst), None, "{text}");
        }
    }
}
