//! A store in memory: for tests and for trying things out.

use std::{
    collections::{BTreeMap, BTreeSet},
    io::{BufRead, Write},
};

use job::{Body, Draft, Event, Head, Heads, Stored, blob_id, next_event, says_the_same};

use crate::{
    Blob, Counts, Limits, MAX_BLOB_BYTES, Store, StoreError,
    archive::{self, Sink},
    random,
};

/// A store that is gone with the program.
#[derive(Debug, Clone)]
pub struct MemoryStore {
    writer: String,
    state: State,
}

#[derive(Debug, Clone, Default)]
struct State {
    events: Vec<(Stored, Event)>,
    ids: BTreeSet<String>,
    references: BTreeMap<String, usize>,
    heads: Heads,
    blobs: BTreeMap<String, (Vec<u8>, Vec<u8>)>,
    gone: BTreeSet<String>,
}

impl MemoryStore {
    /// An empty store with a new writer.
    ///
    /// # Errors
    /// Where the system has no random numbers.
    pub fn new() -> Result<Self, StoreError> {
        Ok(Self { writer: random::random_hex(8)?, state: State::default() })
    }
}

impl State {
    fn add(&mut self, stored: Stored, event: Event) -> bool {
        if !self.ids.insert(stored.id.clone()) {
            return false;
        }
        let head = Head { seq: event.seq, id: stored.id.clone() };
        let known =
            self.heads.entry(event.writer.clone()).or_insert_with(|| head.clone());
        if *known < head {
            *known = head;
        }
        if let Ok(Body::Erased(erased)) = event.read_body() {
            self.erase(&erased.blob);
        }
        self.references.entry(event.reference.clone()).or_insert(self.events.len());
        self.events.push((stored, event));
        true
    }

    fn erase(&mut self, id: &str) -> bool {
        self.blobs.remove(id);
        self.gone.insert(id.to_owned())
    }

    fn append(&mut self, writer: &str, draft: &Draft) -> Result<Stored, StoreError> {
        if let Some(at) = self.references.get(&draft.reference) {
            let (stored, event) = &self.events[*at];
            return if says_the_same(event, draft) {
                Ok(stored.clone())
            } else {
                Err(StoreError::Conflict(draft.reference.clone()))
            };
        }
        let stored = next_event(draft, writer, self.heads.get(writer), &self.heads)?;
        let event = stored.read()?;
        self.add(stored.clone(), event);
        Ok(stored)
    }

    fn forked(&self, writer: &str) -> bool {
        let mut places = BTreeSet::new();
        let mut own = self.events.iter().filter(|(_, event)| event.writer == writer);
        own.any(|(_, event)| !places.insert(event.seq))
    }
}

impl Sink for State {
    fn event(&mut self, stored: &Stored, event: &Event) -> Result<bool, StoreError> {
        Ok(self.add(stored.clone(), event.clone()))
    }

    fn gone(&mut self, id: &str) -> Result<bool, StoreError> {
        Ok(self.erase(id))
    }

    fn blob(&mut self, id: &str, salt: &[u8], bytes: &[u8]) -> Result<bool, StoreError> {
        if self.gone.contains(id) {
            return Ok(false);
        }
        Ok(self.blobs.insert(id.to_owned(), (salt.to_vec(), bytes.to_vec())).is_none())
    }
}

impl Store for MemoryStore {
    fn writer(&self) -> String {
        self.writer.clone()
    }

    fn append_all(&mut self, drafts: &[Draft]) -> Result<Vec<Stored>, StoreError> {
        let mut state = self.state.clone();
        let stored = drafts
            .iter()
            .map(|draft| state.append(&self.writer, draft))
            .collect::<Result<Vec<_>, _>>()?;
        self.state = state;
        Ok(stored)
    }

    fn events(&self, job: &str) -> Result<Vec<Stored>, StoreError> {
        let of_job = self.state.events.iter().filter(|(_, event)| event.job == job);
        Ok(of_job.map(|(stored, _)| stored.clone()).collect())
    }

    fn all(&self) -> Result<Vec<Stored>, StoreError> {
        Ok(self.state.events.iter().map(|(stored, _)| stored.clone()).collect())
    }

    fn jobs(&self) -> Result<Vec<String>, StoreError> {
        let mut seen = BTreeSet::new();
        let jobs = self.state.events.iter().map(|(_, event)| &event.job);
        Ok(jobs.filter(|job| !job.is_empty() && seen.insert(*job)).cloned().collect())
    }

    fn heads(&self) -> Result<Heads, StoreError> {
        Ok(self.state.heads.clone())
    }

    fn put_blob(&mut self, bytes: &[u8]) -> Result<String, StoreError> {
        if bytes.len() > MAX_BLOB_BYTES {
            return Err(StoreError::TooLarge {
                bytes: bytes.len(),
                limit: MAX_BLOB_BYTES,
            });
        }
        let salt = random::salt()?;
        let id = blob_id(&salt, bytes);
        self.state.blobs.insert(id.clone(), (salt.to_vec(), bytes.to_vec()));
        Ok(id)
    }

    fn blob(&self, id: &str) -> Result<Blob, StoreError> {
        Ok(match self.state.blobs.get(id) {
            Some((_, bytes)) => Blob::Here(bytes.clone()),
            None if self.state.gone.contains(id) => Blob::Erased,
            None => Blob::Unknown,
        })
    }

    fn export(&self, out: &mut dyn Write) -> Result<Counts, StoreError> {
        let mut writer = archive::Writer::new(out)?;
        for (stored, _) in &self.state.events {
            writer.event(stored)?;
        }
        for id in &self.state.gone {
            writer.gone(id)?;
        }
        for (id, (salt, bytes)) in &self.state.blobs {
            writer.blob(id, salt, bytes)?;
        }
        writer.end()
    }

    fn import(
        &mut self,
        archive: &mut dyn BufRead,
        limits: &Limits,
    ) -> Result<Counts, StoreError> {
        let mut state = self.state.clone();
        let counts = archive::read(archive, limits, &mut state)?;
        if state.forked(&self.writer) {
            self.writer = random::random_hex(8)?;
        }
        self.state = state;
        Ok(counts)
    }
}
