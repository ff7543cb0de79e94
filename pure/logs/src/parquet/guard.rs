//! What a Parquet file claims is checked here before a reader believes it: lists, schema,
//! pages. Structure of the compact protocol after the Apache Thrift specification, of footer
//! and page headers after the Apache Parquet format.

use super::Refused;

/// Structures within one another at most.
const DEPTH: usize = 16;

/// Schema elements at most: their tree is followed by recursion.
const ELEMENTS: i64 = 1_200;

/// Row groups at most.
const GROUPS: i64 = 65_536;

/// Bytes of a page, unpacked, at most.
const PAGE: i64 = 128 << 20;

/// A page may unpack to so many bytes whatever it was, and to so many for each of its own.
const UNPACKED: (i64, i64) = (16 << 20, 1_032);

/// Encodings whose reader believes a length that is not checked (`DELTA_LENGTH_BYTE_ARRAY`,
/// `DELTA_BYTE_ARRAY`).
const UNCHECKED: [i64; 2] = [6, 7];

/// Checks a footer.
pub(super) fn footer(bytes: &[u8]) -> Result<(), Refused> {
    let mut fits = true;
    let mut walk = Walk { bytes, at: 0 };
    let whole = walk.structure(&mut Vec::new(), &mut |path, value| {
        fits &= match path {
            [2] => value <= ELEMENTS,
            [4] => value <= GROUPS,
            _ => true,
        };
    });
    whole.ok_or("its footer does not hold together")?;
    if fits { Ok(()) } else { Err("it has too many columns or row groups") }
}

/// Checks the headers of all pages of a column chunk.
pub(super) fn pages(chunk: &[u8]) -> Result<(), Refused> {
    let mut at = 0;
    while at < chunk.len() {
        let mut walk = Walk { bytes: chunk, at };
        let (mut packed, mut unpacked, mut entries, mut encoding) = (-1, -1, 0, 0);
        let whole = walk.structure(&mut Vec::new(), &mut |path, value| match path {
            [2] => unpacked = value,
            [3] => packed = value,
            [7, 1] => entries = value,
            [5, 2] | [8, 4] => encoding = value,
            _ => {}
        });
        whole.ok_or("a page header does not hold together")?;
        if UNCHECKED.contains(&encoding) {
            return Err("a column is written as differences of texts, which is not read");
        }
        let room = i64::try_from(chunk.len() - walk.at).unwrap_or(0);
        // Each entry of a dictionary takes a byte at least.
        let carried = UNPACKED.0.max(packed.saturating_mul(UNPACKED.1)).min(PAGE);
        let fits = (0..=room).contains(&packed) && (0..=carried).contains(&unpacked);
        if !fits || entries > unpacked {
            return Err("a page claims more than there is");
        }
        at = walk.at + usize::try_from(packed).map_err(|_| "a page is too large")?;
    }
    Ok(())
}

/// Goes through one structure of the compact protocol.
struct Walk<'a> {
    bytes: &'a [u8],
    at: usize,
}

/// Told the path of field numbers and the value, for lists their length.
type Told<'t> = &'t mut dyn FnMut(&[i16], i64);

impl Walk<'_> {
    fn byte(&mut self) -> Option<u8> {
        let byte = *self.bytes.get(self.at)?;
        self.at += 1;
        Some(byte)
    }

    fn varint(&mut self) -> Option<u64> {
        let mut value = 0_u64;
        for shift in (0..64).step_by(7) {
            let byte = self.byte()?;
            value |= u64::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                return Some(value);
            }
        }
        None
    }

    fn signed(&mut self) -> Option<i64> {
        let value = self.varint()?;
        let half = i64::try_from(value >> 1).ok()?;
        Some(if value & 1 == 1 { -half - 1 } else { half })
    }

    fn pass(&mut self, count: u64) -> Option<()> {
        let count = usize::try_from(count).ok()?;
        let end = self.at.checked_add(count).filter(|end| *end <= self.bytes.len())?;
        self.at = end;
        Some(())
    }

    /// A structure and all in it.
    fn structure(&mut self, path: &mut Vec<i16>, told: Told<'_>) -> Option<()> {
        if path.len() >= DEPTH {
            return None;
        }
        let mut field = 0_i16;
        loop {
            let head = self.byte()?;
            if head == 0 {
                return Some(());
            }
            field = match head >> 4 {
                0 => i16::try_from(self.signed()?).ok()?,
                step => field.checked_add(i16::from(step))?,
            };
            path.push(field);
            self.value(head & 0xf, path, told)?;
            path.pop();
        }
    }

    fn value(&mut self, kind: u8, path: &mut Vec<i16>, told: Told<'_>) -> Option<()> {
        match kind {
            1 | 2 => told(path, i64::from(kind == 1)),
            3 => self.pass(1)?,
            4..=6 => {
                let value = self.signed()?;
                told(path, value);
            }
            7 => self.pass(8)?,
            8 => {
                let length = self.varint()?;
                self.pass(length)?;
            }
            9 | 10 => self.list(path, told)?,
            12 => self.structure(path, told)?,
            13 => self.pass(16)?,
            // Maps are not used by the format.
            _ => return None,
        }
        Some(())
    }

    fn list(&mut self, path: &mut Vec<i16>, told: Told<'_>) -> Option<()> {
        let head = self.byte()?;
        let length = match head >> 4 {
            15 => self.varint()?,
            few => u64::from(few),
        };
        let left = u64::try_from(self.bytes.len() - self.at).ok()?;
        // Each element takes a byte at least.
        if length > left {
            return None;
        }
        told(path, i64::try_from(length).ok()?);
        for _ in 0..length {
            match head & 0xf {
                // In a list, a truth takes a byte.
                1 | 2 => self.pass(1)?,
                // Lists in lists count as deeper.
                9 | 10 if path.len() >= DEPTH => return None,
                kind => {
                    path.push(0);
                    self.value(kind, path, told)?;
                    path.pop();
                }
            }
        }
        Some(())
    }
}
