//! From the bytes of a record to a raw number: bits, kinds of numbers, what is not valid.

use super::block::Block;
use crate::half::half;

/// How the number of a channel stands in a record.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    kind: Written,
    bit: u32,
    byte: usize,
    bits: u32,
    invalid: Invalid,
}

/// Which values of a channel are none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Invalid {
    Never,
    Always,
    /// Where this bit of this byte is set.
    Where(usize, u32),
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
        let whole_bytes = matches!(bits, 16 | 32 | 64) && bit == 0;
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
        let invalid = match (flags & 1 == 1, marked) {
            (true, _) => Invalid::Always,
            (false, true) => {
                Invalid::Where(data_bytes + (at >> 3), u32::try_from(at & 7).unwrap_or(0))
            }
            (false, false) => Invalid::Never,
        };
        Some(Self { kind: written, bit, byte, bits, invalid })
    }

    /// Whether the number stands as a whole one.
    pub(super) fn is_whole(&self) -> bool {
        !matches!(self.kind, Written::Real { .. })
    }

    /// The number in a record, `NaN` where it is not valid.
    pub(super) fn value(&self, record: &[u8], count: usize) -> f64 {
        let none = match self.invalid {
            Invalid::Never => false,
            Invalid::Always => true,
            Invalid::Where(byte, bit) => {
                record.get(byte).is_some_and(|b| b >> bit & 1 == 1)
            }
        };
        if none {
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
            Written::Real { great_end } => {
                let bits = gather(great_end);
                match self.bits {
                    16 => half(u16::try_from(bits).unwrap_or(0)),
                    32 => f64::from(f32::from_bits(u32::try_from(bits).unwrap_or(0))),
                    _ => f64::from_bits(bits),
                }
            }
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
