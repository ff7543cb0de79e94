//! One archive: export and import, safe against a hostile one.
//!
//! UTF-8, one JSON object a line, in this order:
//!
//! ```text
//! {"witmark":"log/1"}
//! …                                                   each event: its exact bytes
//! {"gone":"<blob id>"}                                each blob that was erased
//! {"blob":"<blob id>","bytes":"<hex>","salt":"<hex>"} each blob
//! {"blobs":n,"end":"<BLAKE3 of all lines before>","events":n,"gone":n}
//! ```
//!
//! Nothing in an archive names a place on disk. An import reads all of it, checks every
//! hash, every chain and the last line, and only then commits.

use std::io::{BufRead, Read, Write};

use job::{Event, Stored, Trouble, canon};
use serde_json::{Value, json};

use crate::{MAX_BLOB_BYTES, StoreError, hex, random::SALT_BYTES};

/// First line of an archive.
const HEADER: &str = r#"{"witmark":"log/1"}"#;

/// How much of an archive is read before it is refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of the whole archive.
    pub bytes: u64,
    /// Events.
    pub events: usize,
    /// Bytes of all events together; they are held in memory to be checked.
    pub event_bytes: usize,
    /// Blobs, and blobs that were erased.
    pub blobs: usize,
}

impl Default for Limits {
    /// Enough for ten thousand jobs with photos.
    fn default() -> Self {
        Self {
            bytes: 256 * 1024 * 1024 * 1024,
            events: 2_000_000,
            event_bytes: 1024 * 1024 * 1024,
            blobs: 1_000_000,
        }
    }
}

/// What an archive holds, or what of it was new.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Counts {
    /// Events.
    pub events: usize,
    /// Blobs.
    pub blobs: usize,
    /// Erased blobs.
    pub gone: usize,
}

/// Where the parts of an archive go. The answer is whether the part was new.
pub(crate) trait Sink {
    fn event(&mut self, stored: &Stored, event: &Event) -> Result<bool, StoreError>;
    fn gone(&mut self, id: &str) -> Result<bool, StoreError>;
    fn blob(&mut self, id: &str, salt: &[u8], bytes: &[u8]) -> Result<bool, StoreError>;
}

/// Writes an archive, line after line.
pub(crate) struct Writer<'o> {
    out: &'o mut dyn Write,
    hasher: blake3::Hasher,
    counts: Counts,
}

impl<'o> Writer<'o> {
    pub(crate) fn new(out: &'o mut dyn Write) -> Result<Self, StoreError> {
        let mut writer =
            Self { out, hasher: blake3::Hasher::new(), counts: Counts::default() };
        writer.line(HEADER.as_bytes())?;
        Ok(writer)
    }

    fn line(&mut self, line: &[u8]) -> Result<(), StoreError> {
        for bytes in [line, b"\n"] {
            self.hasher.update(bytes);
            self.out.write_all(bytes)?;
        }
        Ok(())
    }

    pub(crate) fn event(&mut self, stored: &Stored) -> Result<(), StoreError> {
        self.counts.events += 1;
        self.line(&stored.bytes)
    }

    pub(crate) fn gone(&mut self, id: &str) -> Result<(), StoreError> {
        self.counts.gone += 1;
        self.line(canon::canonical(&json!({ "gone": id })).as_bytes())
    }

    pub(crate) fn blob(
        &mut self,
        id: &str,
        salt: &[u8],
        bytes: &[u8],
    ) -> Result<(), StoreError> {
        self.counts.blobs += 1;
        let line =
            json!({ "blob": id, "salt": hex::encode(salt), "bytes": hex::encode(bytes) });
        self.line(canon::canonical(&line).as_bytes())
    }

    pub(crate) fn end(self) -> Result<Counts, StoreError> {
        let Counts { events, blobs, gone } = self.counts;
        let end = self.hasher.finalize().to_hex().to_string();
        let line = json!({ "end": end, "events": events, "blobs": blobs, "gone": gone });
        writeln!(self.out, "{}", canon::canonical(&line))?;
        self.out.flush()?;
        Ok(self.counts)
    }
}

/// Reads lines with their limits, and hashes them.
struct Lines<'r> {
    input: &'r mut dyn BufRead,
    number: usize,
    bytes: u64,
    limit: u64,
    hasher: blake3::Hasher,
}

/// Longest line: a blob of the greatest size in hex, its salt and its keys.
const MAX_LINE_BYTES: u64 = 2 * MAX_BLOB_BYTES as u64 + 1024;

impl Lines<'_> {
    fn wrong(&self, what: impl Into<String>) -> StoreError {
        StoreError::Archive { line: self.number, what: what.into() }
    }

    /// The next line without its end; an error where the archive ends before.
    fn next(&mut self, line: &mut Vec<u8>) -> Result<(), StoreError> {
        line.clear();
        self.number += 1;
        let mut limited = Read::take(&mut *self.input, MAX_LINE_BYTES);
        let read = limited.read_until(b'\n', line)?;
        self.bytes = self.bytes.saturating_add(u64::try_from(read).unwrap_or(u64::MAX));
        if self.bytes > self.limit {
            return Err(self.wrong("the archive is larger than is allowed"));
        }
        if line.pop() != Some(b'\n') {
            return Err(self.wrong("the archive stops here, or the line is too long"));
        }
        Ok(())
    }

    fn hash(&mut self, line: &[u8]) {
        self.hasher.update(line);
        self.hasher.update(b"\n");
    }
}

/// Reads an archive into a sink; the sink is to forget everything if this fails.
pub(crate) fn read(
    input: &mut dyn BufRead,
    limits: &Limits,
    sink: &mut dyn Sink,
) -> Result<Counts, StoreError> {
    let hasher = blake3::Hasher::new();
    let mut lines = Lines { input, number: 0, bytes: 0, limit: limits.bytes, hasher };
    let mut line = Vec::new();
    lines.next(&mut line)?;
    if line != HEADER.as_bytes() {
        return Err(lines.wrong(format!("an archive begins with {HEADER}")));
    }
    lines.hash(&line);
    let mut found = Counts::default();
    let mut new = Counts::default();
    let mut events: Vec<Stored> = Vec::new();
    let mut event_bytes = 0_usize;
    loop {
        lines.next(&mut line)?;
        let value = canon::parse(&line).map_err(|what| lines.wrong(what))?;
        if value.get("kind").is_some() {
            event_bytes = event_bytes.saturating_add(line.len());
            let within =
                found.events < limits.events && event_bytes <= limits.event_bytes;
            if !within {
                return Err(lines.wrong("the archive has more events than are allowed"));
            }
            let stored = Stored::of_bytes(line.clone());
            let event = stored.read().map_err(|what| lines.wrong(what.to_string()))?;
            found.events += 1;
            new.events += usize::from(sink.event(&stored, &event)?);
            events.push(stored);
        } else if value.get("end").is_some() {
            ended(&mut lines, &value, found)?;
            break;
        } else {
            if found.blobs + found.gone >= limits.blobs {
                return Err(lines.wrong("the archive has more files than are allowed"));
            }
            if let Some(id) = text(&value, "gone") {
                if id.len() != 64 || hex::decode(id).is_none() {
                    return Err(lines.wrong("this is not the name of a file"));
                }
                found.gone += 1;
                new.gone += usize::from(sink.gone(id)?);
            } else {
                let (id, salt, bytes) = blob(&value)
                    .ok_or_else(|| lines.wrong("a file here does not match its name"))?;
                found.blobs += 1;
                new.blobs += usize::from(sink.blob(id, &salt, &bytes)?);
            }
        }
        lines.hash(&line);
    }
    sound(&events)?;
    Ok(new)
}

fn text<'v>(value: &'v Value, key: &str) -> Option<&'v str> {
    value.get(key).and_then(Value::as_str)
}

fn blob(value: &Value) -> Option<(&str, Vec<u8>, Vec<u8>)> {
    let id = text(value, "blob")?;
    let salt =
        hex::decode(text(value, "salt")?).filter(|salt| salt.len() == SALT_BYTES)?;
    let bytes =
        hex::decode(text(value, "bytes")?).filter(|b| b.len() <= MAX_BLOB_BYTES)?;
    (job::blob_id(&salt, &bytes) == id).then_some((id, salt, bytes))
}

fn ended(lines: &mut Lines<'_>, value: &Value, found: Counts) -> Result<(), StoreError> {
    let count = |key: &str| value.get(key).and_then(Value::as_u64);
    let same = [("events", found.events), ("blobs", found.blobs), ("gone", found.gone)]
        .iter()
        .all(|(key, found)| count(key) == u64::try_from(*found).ok());
    let hash = lines.hasher.finalize().to_hex().to_string();
    if !same || text(value, "end") != Some(hash.as_str()) {
        return Err(lines.wrong("the archive does not add up: it was changed or cut"));
    }
    let rest = lines.input.fill_buf()?;
    if !rest.is_empty() {
        return Err(lines.wrong("something follows the end of the archive"));
    }
    Ok(())
}

/// The chains of an archive must be whole. A fork is no damage: both branches are kept.
fn sound(events: &[Stored]) -> Result<(), StoreError> {
    let damage: Vec<job::Finding> = job::verify(events, &[])
        .into_iter()
        .filter(|finding| finding.trouble != Trouble::Fork)
        .collect();
    match damage.as_slice() {
        [] => Ok(()),
        [first, rest @ ..] => Err(StoreError::Archive {
            line: 0,
            what: match rest.len() {
                0 => first.what.clone(),
                more => format!("{} (and {more} more)", first.what),
            },
        }),
    }
}
