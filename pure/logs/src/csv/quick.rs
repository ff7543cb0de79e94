//! Numbers and clocks straight from bytes, as nearly all cells are written; `None` for
//! what a slower look must decide.

/// Whole numbers up to this are exact in 64 bits of floating point.
const EXACT: u64 = 1 << 53;

/// Powers of ten that are exact (W. D. Clinger, *How to read floating point numbers
/// accurately*, 1990): a whole number up to 2^53 divided by one is correctly rounded.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// Longest number copied to be read by the standard library.
const LONGEST: usize = 48;

/// A number and the place behind it; the bytes must end with something that is no digit.
#[inline]
pub(crate) fn number(bytes: &[u8], from: usize, mark: u8) -> Option<(f64, usize)> {
    let mut at = from;
    let negative = bytes[at] == b'-';
    at += usize::from(negative);
    let whole = at;
    let mut value = 0_u64;
    digits(bytes, &mut at, &mut value);
    let mut count = at - whole;
    let mut decimals = 0;
    if bytes[at] == mark {
        at += 1;
        let first = at;
        digits(bytes, &mut at, &mut value);
        decimals = at - first;
        count += decimals;
    }
    if count == 0 {
        return None;
    }
    // 19 digits fit into 64 bits.
    if count > 19 || value > EXACT || decimals >= TENS.len() || bytes[at] | 32 == b'e' {
        return long(bytes, from, mark);
    }
    let size = exact(value) / TENS[decimals];
    Some((if negative { 0.0 - size } else { size }, at))
}

#[expect(clippy::cast_precision_loss, reason = "not above 2^53")]
fn exact(value: u64) -> f64 {
    value as f64
}

#[inline]
fn digits(bytes: &[u8], at: &mut usize, value: &mut u64) {
    let mut here = *at;
    while let Some(byte) = bytes.get(here) {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            break;
        }
        *value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
        here += 1;
    }
    *at = here;
}

/// A number with many digits or a power of ten, by the standard library.
#[cold]
fn long(bytes: &[u8], from: usize, mark: u8) -> Option<(f64, usize)> {
    let mut copy = [0_u8; LONGEST];
    let mut count = 0;
    let mut before = b' ';
    for byte in &bytes[from..] {
        let sign = matches!(byte, b'-' | b'+') && (count == 0 || before | 32 == b'e');
        let part = byte.is_ascii_digit() || *byte == mark || byte | 32 == b'e' || sign;
        if !part {
            break;
        }
        *copy.get_mut(count)? = if *byte == mark { b'.' } else { *byte };
        before = *byte;
        count += 1;
    }
    let value: f64 = std::str::from_utf8(&copy[..count]).ok()?.parse().ok()?;
    value.is_finite().then_some((value + 0.0, from + count))
}

/// Seconds of the day from `HH:MM:SS` with or without decimals, and the place behind.
pub(crate) fn clock(bytes: &[u8], from: usize) -> Option<(f64, usize)> {
    let part = bytes.get(from..from + 8)?;
    if part[2] != b':' || part[5] != b':' {
        return None;
    }
    let two = |at: usize| {
        let (tens, ones) = (part[at].wrapping_sub(b'0'), part[at + 1].wrapping_sub(b'0'));
        (tens <= 9 && ones <= 9).then(|| u64::from(tens) * 10 + u64::from(ones))
    };
    let (hours, minutes, seconds) = (two(0)?, two(3)?, two(6)?);
    if minutes > 59 || seconds > 60 {
        return None;
    }
    let mut value = hours * 3_600 + minutes * 60 + seconds;
    let mut at = from + 8;
    let mut decimals = 0;
    if matches!(bytes.get(at), Some(b'.' | b',')) {
        at += 1;
        let first = at;
        digits(bytes, &mut at, &mut value);
        decimals = at - first;
    }
    // Five digits of seconds leave ten for decimals.
    if decimals > 10 {
        return None;
    }
    Some((exact(value) / TENS[decimals], at))
}

#[cfg(test)]
mod tests {
    use super::{clock, number};

    #[test]
    fn numbers_are_those_of_the_standard_library() {
        let mut seed = 1_u64;
        let mut next = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            seed >> 33
        };
        for _ in 0..20_000 {
            let (whole, part, digits) = (next() % 100_000, next(), next() % 12);
            let digits = usize::try_from(digits).expect("small");
            let text = match next() % 4 {
                0 => format!("{whole}"),
                1 => format!("-{whole}.{part}"),
                2 => format!("{whole}.{part}{part}{part}"),
                _ => format!("{whole}.{:.digits$}e-{}", part, next() % 30),
            };
            let text = text.replace("..", ".");
            let Ok(wanted) = text.parse::<f64>() else { continue };
            let line = format!("{text};");
            let read = number(line.as_bytes(), 0, b'.');
            assert_eq!(read.map(|r| r.0.to_bits()), Some(wanted.to_bits()), "{text}");
            assert_eq!(read.map(|r| r.1), Some(text.len()));
        }
        assert_eq!(number(b"7,25;", 0, b','), Some((7.25, 4)));
        assert_eq!(number(b"x", 0, b'.'), None);
        assert_eq!(number(b"-;", 0, b'.'), None);
    }

    #[test]
    fn clocks() {
        assert_eq!(clock(b"07:29:57.420,", 0), Some((26_997.42, 12)));
        assert_eq!(clock(b"07:29:57,", 0).map(|c| c.0), Some(26_997.0));
        assert_eq!(clock(b"07:61:57,", 0), None);
        assert_eq!(clock(b"7:29:57", 0), None);
    }
}
