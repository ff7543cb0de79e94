//! RFC 3339 times, as far as putting events in order needs them.

/// A moment: nanoseconds since 1970-01-01T00:00:00Z.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Instant(pub i128);

impl Instant {
    /// The moment of an RFC 3339 text, or none where it is not one. A leap second counts
    /// as the second after it; digits beyond nanoseconds are cut.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let bytes = text.as_bytes();
        let year = digits(bytes, 0, 4)?;
        let month = digits(bytes, 5, 2)?;
        let day = digits(bytes, 8, 2)?;
        let hour = digits(bytes, 11, 2)?;
        let minute = digits(bytes, 14, 2)?;
        let second = digits(bytes, 17, 2)?;
        let marks = [(4, b"-"), (7, b"-"), (13, b":"), (16, b":")];
        let marked = marks.iter().all(|(at, mark)| bytes.get(*at) == Some(&mark[0]))
            && matches!(bytes.get(10), Some(b'T' | b't' | b' '));
        let in_range = (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day)
            && hour <= 23
            && minute <= 59
            && second <= 60;
        if !marked || !in_range {
            return None;
        }
        let (nanoseconds, after) = fraction(bytes, 19)?;
        let offset_min = offset(bytes.get(after..)?)?;
        let minutes =
            (days_since_1970(year, month, day) * 24 + hour) * 60 + minute - offset_min;
        Some(Self(
            i128::from(minutes * 60 + second) * 1_000_000_000 + i128::from(nanoseconds),
        ))
    }
}

fn digits(bytes: &[u8], at: usize, count: usize) -> Option<i64> {
    bytes.get(at..at.checked_add(count)?)?.iter().try_fold(0_i64, |sum, byte| {
        byte.is_ascii_digit().then(|| sum * 10 + i64::from(byte - b'0'))
    })
}

fn fraction(bytes: &[u8], at: usize) -> Option<(i64, usize)> {
    if bytes.get(at) != Some(&b'.') {
        return Some((0, at));
    }
    let rest = bytes.get(at + 1..)?;
    let count = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let nanoseconds = (0..9).fold(0_i64, |sum, place| {
        let digit =
            rest.get(place).filter(|_| place < count).map_or(0, |byte| byte - b'0');
        sum * 10 + i64::from(digit)
    });
    (count > 0).then_some((nanoseconds, at + 1 + count))
}

fn offset(bytes: &[u8]) -> Option<i64> {
    match bytes {
        [b'Z' | b'z'] => Some(0),
        [sign @ (b'+' | b'-'), ..] if bytes.len() == 6 && bytes[3] == b':' => {
            let hours = digits(bytes, 1, 2).filter(|hours| *hours <= 23)?;
            let minutes = digits(bytes, 4, 2).filter(|minutes| *minutes <= 59)?;
            let total = hours * 60 + minutes;
            Some(if *sign == b'-' { -total } else { total })
        }
        _ => None,
    }
}

fn days_in(year: i64, month: i64) -> i64 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        _ => 31,
    }
}

/// Days of the proleptic Gregorian calendar since 1970-01-01, years counted from March.
fn days_since_1970(year: i64, month: i64, day: i64) -> i64 {
    let from_march = (month + 9) % 12;
    let year = if month <= 2 { year - 1 } else { year };
    let leap_days = year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    let before_month = (153 * from_march + 2).div_euclid(5);
    365 * year + leap_days + before_month + day - 1 - 719_468
}
