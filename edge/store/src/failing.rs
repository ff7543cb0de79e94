//! A store that fails on purpose at the n-th write, before or after it took hold.

use std::io::{BufRead, Write};

use job::{Draft, Heads, Stored};

use crate::{Blob, Counts, Limits, Store, StoreError};

/// When the write fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Nothing was kept.
    Before,
    /// It was kept, but nobody was told.
    After,
}

/// A store around another one.
#[derive(Debug)]
pub struct FailingStore<S> {
    inner: S,
    writes: u64,
    fails_at: u64,
    when: When,
}

impl<S: Store> FailingStore<S> {
    /// Fails at write `fails_at`, counted from 1; 0: never.
    pub fn new(inner: S, fails_at: u64, when: When) -> Self {
        Self { inner, writes: 0, fails_at, when }
    }

    /// The store inside.
    pub fn into_inner(self) -> S {
        self.inner
    }

    fn write<T>(
        &mut self,
        work: impl FnOnce(&mut S) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        self.writes += 1;
        let fails = self.writes == self.fails_at;
        if fails && self.when == When::Before {
            return Err(StoreError::OnPurpose(self.writes));
        }
        let answer = work(&mut self.inner)?;
        if fails { Err(StoreError::OnPurpose(self.writes)) } else { Ok(answer) }
    }
}

impl<S: Store> Store for FailingStore<S> {
    fn writer(&self) -> String {
        self.inner.writer()
    }

    fn append_all(&mut self, drafts: &[Draft]) -> Result<Vec<Stored>, StoreError> {
        self.write(|inner| inner.append_all(drafts))
    }

    fn events(&self, job: &str) -> Result<Vec<Stored>, StoreError> {
        self.inner.events(job)
    }

    fn all(&self) -> Result<Vec<Stored>, StoreError> {
        self.inner.all()
    }

    fn jobs(&self) -> Result<Vec<String>, StoreError> {
        self.inner.jobs()
    }

    fn heads(&self) -> Result<Heads, StoreError> {
        self.inner.heads()
    }

    fn put_blob(&mut self, bytes: &[u8]) -> Result<String, StoreError> {
        self.write(|inner| inner.put_blob(bytes))
    }

    fn blob(&self, id: &str) -> Result<Blob, StoreError> {
        self.inner.blob(id)
    }

    fn export(&self, out: &mut dyn Write) -> Result<Counts, StoreError> {
        self.inner.export(out)
    }

    fn import(
        &mut self,
        archive: &mut dyn BufRead,
        limits: &Limits,
    ) -> Result<Counts, StoreError> {
        self.write(|inner| inner.import(archive, limits))
    }
}
