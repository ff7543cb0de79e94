//! From the bytes of a record to a value: bits, kinds of numbers, conversion rules.

use super::Refused;
use super::block::{Block, File};

/// Values of a conversion at most.
const VALUES: usize = 65_536;

/// How the number of a channel stands in a record.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    kind: Written,
    bit: u32,
    byte: usize,
    bits: u32,
    /// Byte and bit that say that the value is not valid.
    invalid: Option<(usize, u32)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Written {
    Whole {
        signed: bool,
        great_end: bool,
    },
    Real {
        great_end: bool,
    },
    /// The number of the record.
    Count,
}

impl Place {
    /// The place of a channel in records of so many bytes; `None`: it is no number.
    pub(super) fn of(
        channel: &Block,
        data_bytes: usize,
        invalid_bytes: usize,
    ) -> Option<Self> {
        let [kind, data] = [0, 2].map(|at| channel.whole(at, 1));
        let bit = u32::try_from(channel.whole(3, 1)).ok().filter(|bit| *bit < 8)?;
        let byte = usize::try_from(channel.whole(4, 4)).ok()?;
        let bits = u32::try_from(channel.whole(8, 4)).ok()?;
        let flags = channel.whole(12, 4);
        let written = match (kind, data) {
            (3 | 6, _) => Written::Count,
            (0 | 2 | 4, 0..=3) => {
                Written::Whole { signed: data > 1, great_end: data % 2 == 1 }
            }
            (0 | 2 | 4, 4 | 5) => Written::Real { great_end: data == 5 },
            _ => return None,
        };
        let whole_bytes = matches!(bits, 32 | 64) && bit == 0;
        let fits = match written {
            Written::Count => true,
            Written::Real { .. } => whole_bytes,
            Written::Whole { .. } => (1..=64).contains(&bits),
        };
        // A count has no place in the record: whatever is said of one is not looked at.
        let (bit, byte, bits) =
            if written == Written::Count { (0, 0, 0) } else { (bit, byte, bits) };
        let last = bit.checked_add(bits).filter(|last| *last <= 64)?;
        let end = byte.checked_add(usize::try_from(last.div_ceil(8)).ok()?)?;
        if !fits || end > data_bytes {
            return None;
        }
        let at = usize::try_from(channel.whole(16, 4)).ok()?;
        let marked = flags & 2 != 0 && at >> 3 < invalid_bytes;
        let invalid =
            marked.then(|| (data_bytes + (at >> 3), u32::try_from(at & 7).unwrap_or(0)));
        Some(Self { kind: written, bit, byte, bits, invalid })
    }

    /// The number in a record, `NaN` where it is not valid.
    pub(super) fn value(&self, record: &[u8], count: usize) -> f64 {
        if let Some((byte, bit)) = self.invalid
            && record.get(byte).is_some_and(|b| b >> bit & 1 == 1)
        {
            return f64::NAN;
        }
        let length = (self.bit + self.bits).div_ceil(8) as usize;
        let part = record.get(self.byte..self.byte + length).unwrap_or_default();
        let gather = |great_end: bool| {
            let add = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
            if great_end {
                part.iter().fold(0, add)
            } else {
                part.iter().rev().fold(0, add)
            }
        };
        match self.kind {
            Written::Count => u32::try_from(count).map_or(f64::NAN, f64::from),
            Written::Real { great_end } if self.bits == 32 => {
                f64::from(f32::from_bits(u32::try_from(gather(great_end)).unwrap_or(0)))
            }
            Written::Real { great_end } => f64::from_bits(gather(great_end)),
            Written::Whole { signed, great_end } => {
                let bits = gather(great_end) >> self.bit & u64::MAX >> (64 - self.bits);
                number(bits, self.bits, signed)
            }
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "beyond 2^53 the nearest number is meant")]
fn number(bits: u64, width: u32, signed: bool) -> f64 {
    if signed {
        let up = 64 - width;
        (bits << up).cast_signed().wrapping_shr(up) as f64
    } else {
        bits as f64
    }
}

/// How a raw number becomes a physical one.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Conversion {
    /// As it is.
    Same,
    /// Offset and factor.
    Linear(f64, f64),
    /// `(a x² + b x + c) / (d x² + e x + f)`, six numbers in this order.
    Rational([f64; 6]),
    /// Pairs of raw and physical, between them straight lines.
    Table(Vec<(f64, f64)>),
    /// Pairs, the nearest counts.
    Nearest(Vec<(f64, f64)>),
    /// Least and greatest raw, physical; and what holds elsewhere.
    Ranges(Vec<(f64, f64, f64)>, f64),
}

impl Conversion {
    /// Reads a rule; `None`: it is a formula or makes text of text.
    pub(super) fn read(file: File<'_>, at: u64) -> Result<Option<Self>, Refused> {
        if at == 0 {
            return Ok(Some(Self::Same));
        }
        let block = file.of_kind(at, *b"CC")?;
        let count = usize::try_from(block.whole(6, 2)).unwrap_or(0).min(VALUES);
        let values: Option<Vec<f64>> =
            (0..count).map(|i| block.real(24 + 8 * i)).collect();
        let values = values.ok_or("a conversion is cut short")?;
        let pairs = || values.as_chunks::<2>().0.iter().map(|[x, y]| (*x, *y)).collect();
        Ok(match (block.whole(0, 1), values.as_slice()) {
            // Words for single values: the number itself is what is judged.
            (0 | 7 | 8, _) => Some(Self::Same),
            (1, [offset, factor, ..]) => Some(Self::Linear(*offset, *factor)),
            (2, [_, _, _, _, _, _, ..]) => {
                values.first_chunk().map(|six| Self::Rational(*six))
            }
            (4, [_, _, ..]) => Some(Self::Table(pairs())),
            (5, [_, _, ..]) => Some(Self::Nearest(pairs())),
            (6, [.., otherwise]) => {
                let ranges =
                    values.as_chunks::<3>().0.iter().map(|[a, b, y]| (*a, *b, *y));
                Some(Self::Ranges(ranges.collect(), *otherwise))
            }
            _ => None,
        })
    }

    /// The physical value; what is not finite is `NaN`.
    pub(super) fn of(&self, x: f64) -> f64 {
        let y = match self {
            Self::Same => x,
            Self::Linear(offset, factor) => offset + factor * x,
            Self::Rational([up @ .., low2, low1, low0]) => {
                let [up2, up1, up0] = up;
                ((up2 * x + up1) * x + up0) / ((low2 * x + low1) * x + low0)
            }
            Self::Table(pairs) => between(pairs, x),
            Self::Nearest(pairs) => {
                let off = |pair: &&(f64, f64)| (pair.0 - x).abs();
                let nearest = pairs.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
                nearest.map_or(f64::NAN, |pair| pair.1)
            }
            Self::Ranges(ranges, otherwise) => {
                let range =
                    ranges.iter().find(|(low, high, _)| (*low..=*high).contains(&x));
                range.map_or(*otherwise, |range| range.2)
            }
        };
        if y.is_finite() { y + 0.0 } else { f64::NAN }
    }
}

fn between(pairs: &[(f64, f64)], x: f64) -> f64 {
    let at = pairs.partition_point(|pair| pair.0 <= x);
    match (at.checked_sub(1).and_then(|at| pairs.get(at)), pairs.get(at)) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some((_, y))) => *y,
        (None, None) => f64::NAN,
    }
}
