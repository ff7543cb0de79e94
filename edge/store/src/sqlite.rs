//! The store on disk: `SQLite` with a write-ahead log and full synchronisation.

use std::{
    io::{BufRead, Write},
    path::Path,
};

use job::{Body, Draft, Event, Head, Heads, Stored, blob_id, next_event, says_the_same};
use rusqlite::{
    Connection, OpenFlags, OptionalExtension, Row, Transaction, TransactionBehavior,
    params,
};

use crate::{
    Blob, Counts, Limits, MAX_BLOB_BYTES, Store, StoreError,
    archive::{self, Sink},
    random, schema,
};

/// A store in one `SQLite` file (and its two companions while it is open).
#[derive(Debug)]
pub struct SqliteStore {
    connection: Connection,
    writer: String,
    stopped: Option<String>,
}

impl SqliteStore {
    /// Opens the file, or makes it in a folder that is there.
    ///
    /// # Errors
    /// [`StoreError::NoFolder`], [`StoreError::NotAStore`], [`StoreError::Newer`],
    /// [`StoreError::NoWal`], and whatever the disk says.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
        if let Some(folder) = folder.filter(|folder| !folder.is_dir()) {
            return Err(StoreError::NoFolder(folder.display().to_string()));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection =
            Connection::open_with_flags(path, flags).map_err(|error| {
                let (path, what) = (path.display().to_string(), error.to_string());
                StoreError::CantOpen { path, what }
            })?;
        schema::prepare(&mut connection, path)?;
        let writer = writer_of(&connection)?;
        Ok(Self { connection, writer, stopped: None })
    }

    /// Runs `work` in one IMMEDIATE transaction. After a failure of the disk nothing more is
    /// taken: what a second attempt would report could not be trusted.
    fn write<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        if let Some(why) = &self.stopped {
            return Err(StoreError::Disk(why.clone()));
        }
        let answer = self.transaction(work);
        if let Err(StoreError::Disk(why)) = &answer {
            self.stopped = Some(why.clone());
        }
        answer
    }

    fn transaction<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let transaction =
            self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let answer = work(&transaction)?;
        transaction.commit()?;
        Ok(answer)
    }

    /// Takes what was erased out of the write-ahead log too, as far as nobody is reading.
    fn forget(&self) -> Result<(), StoreError> {
        self.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        Ok(())
    }

    fn stored(&self, query: &str, job: &[&str]) -> Result<Vec<Stored>, StoreError> {
        let mut statement = self.connection.prepare_cached(query)?;
        let rows = statement.query_map(rusqlite::params_from_iter(job), read_stored)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}

fn read_stored(row: &Row<'_>) -> rusqlite::Result<Stored> {
    Ok(Stored { id: row.get(0)?, bytes: row.get(1)? })
}

/// The writer is read within each write: another program may have opened a new one.
fn writer_of(connection: &Connection) -> Result<String, StoreError> {
    let query = "SELECT value FROM meta WHERE key = 'writer'";
    Ok(connection.query_row(query, [], |row| row.get(0))?)
}

fn heads_of(connection: &Connection) -> Result<Heads, StoreError> {
    let mut statement =
        connection.prepare_cached("SELECT writer, seq, id FROM heads ORDER BY writer")?;
    let rows = statement.query_map([], |row| {
        let seq: i64 = row.get(1)?;
        let head = Head { seq: u64::try_from(seq).unwrap_or(0), id: row.get(2)? };
        Ok((row.get(0)?, head))
    })?;
    Ok(rows.collect::<Result<_, _>>()?)
}

fn append(work: &Connection, draft: &Draft) -> Result<Stored, StoreError> {
    let known = work
        .prepare_cached(
            "SELECT id, bytes FROM events JOIN refs USING (n) WHERE ref = ?1",
        )?
        .query_row([&draft.reference], read_stored)
        .optional()?;
    if let Some(stored) = known {
        return if stored.read().is_ok_and(|event| says_the_same(&event, draft)) {
            Ok(stored)
        } else {
            Err(StoreError::Conflict(draft.reference.clone()))
        };
    }
    let writer = writer_of(work)?;
    let heads = heads_of(work)?;
    let stored = next_event(draft, &writer, heads.get(&writer), &heads)?;
    let event = stored.read()?;
    insert(work, &stored, &event)?;
    Ok(stored)
}

/// Adds an event; the answer is whether it was new. An erasure is done with it.
fn insert(work: &Connection, stored: &Stored, event: &Event) -> Result<bool, StoreError> {
    let seq = i64::try_from(event.seq).map_err(|_| StoreError::Archive {
        line: 0,
        what: format!("event {} has a place beyond counting", stored.id),
    })?;
    let added = work
        .prepare_cached(
            "INSERT OR IGNORE INTO events (id, job, writer, seq, bytes)
             VALUES (?1, ?2, ?3, ?4, ?5)",
        )?
        .execute(params![stored.id, event.job, event.writer, seq, stored.bytes])?;
    if added == 0 {
        return Ok(false);
    }
    work.prepare_cached("INSERT OR IGNORE INTO refs (ref, n) VALUES (?1, ?2)")?
        .execute(params![event.reference, work.last_insert_rowid()])?;
    work.prepare_cached(
        "INSERT INTO heads (writer, seq, id) VALUES (?1, ?2, ?3)
         ON CONFLICT (writer) DO UPDATE SET seq = excluded.seq, id = excluded.id
         WHERE (excluded.seq, excluded.id) > (heads.seq, heads.id)",
    )?
    .execute(params![event.writer, seq, stored.id])?;
    if let Ok(Body::Erased(erased)) = event.read_body() {
        erase(work, &erased.blob)?;
    }
    Ok(true)
}

fn erase(work: &Connection, id: &str) -> Result<bool, StoreError> {
    work.execute("DELETE FROM blobs WHERE id = ?1", [id])?;
    Ok(work.execute("INSERT OR IGNORE INTO gone (id) VALUES (?1)", [id])? > 0)
}

fn is_gone(work: &Connection, id: &str) -> Result<bool, StoreError> {
    let mut statement = work.prepare_cached("SELECT 1 FROM gone WHERE id = ?1")?;
    Ok(statement.exists([id])?)
}

fn keep_blob(
    work: &Connection,
    (id, salt, bytes): (&str, &[u8], &[u8]),
) -> Result<bool, StoreError> {
    if is_gone(work, id)? {
        return Ok(false);
    }
    let added = work.execute(
        "INSERT OR IGNORE INTO blobs (id, salt, bytes) VALUES (?1, ?2, ?3)",
        params![id, salt, bytes],
    )?;
    Ok(added > 0)
}

/// An import within its transaction.
struct Importing<'t>(&'t Connection);

impl Sink for Importing<'_> {
    fn event(&mut self, stored: &Stored, event: &Event) -> Result<bool, StoreError> {
        insert(self.0, stored, event)
    }

    fn gone(&mut self, id: &str) -> Result<bool, StoreError> {
        erase(self.0, id)
    }

    fn blob(&mut self, id: &str, salt: &[u8], bytes: &[u8]) -> Result<bool, StoreError> {
        keep_blob(self.0, (id, salt, bytes))
    }
}

/// A new writer where an import shows that this store was copied and both went on.
fn leave_fork(work: &Connection) -> Result<(), StoreError> {
    let forked = work.prepare(
        "SELECT 1 FROM events WHERE writer = (SELECT value FROM meta WHERE key = 'writer')
         GROUP BY seq HAVING count(*) > 1",
    )?
    .exists([])?;
    if forked {
        work.execute(
            "UPDATE meta SET value = ?1 WHERE key = 'writer'",
            [random::random_hex(8)?],
        )?;
    }
    Ok(())
}

impl Store for SqliteStore {
    fn writer(&self) -> String {
        writer_of(&self.connection).unwrap_or_else(|_| self.writer.clone())
    }

    fn append_all(&mut self, drafts: &[Draft]) -> Result<Vec<Stored>, StoreError> {
        let stored = self.write(|work| {
            drafts.iter().map(|draft| append(work, draft)).collect::<Result<Vec<_>, _>>()
        })?;
        if drafts.iter().any(|draft| matches!(draft.body, Body::Erased(_))) {
            self.forget()?;
        }
        Ok(stored)
    }

    fn events(&self, job: &str) -> Result<Vec<Stored>, StoreError> {
        self.stored("SELECT id, bytes FROM events WHERE job = ?1 ORDER BY n", &[job])
    }

    fn all(&self) -> Result<Vec<Stored>, StoreError> {
        self.stored("SELECT id, bytes FROM events ORDER BY n", &[])
    }

    fn jobs(&self) -> Result<Vec<String>, StoreError> {
        let mut statement = self.connection.prepare_cached(
            "SELECT job FROM events WHERE job <> '' GROUP BY job ORDER BY min(n)",
        )?;
        let rows = statement.query_map([], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn heads(&self) -> Result<Heads, StoreError> {
        heads_of(&self.connection)
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
        self.write(|work| keep_blob(work, (&id, &salt, bytes)))?;
        Ok(id)
    }

    fn blob(&self, id: &str) -> Result<Blob, StoreError> {
        let bytes = self
            .connection
            .prepare_cached("SELECT bytes FROM blobs WHERE id = ?1")?
            .query_row([id], |row| row.get(0))
            .optional()?;
        match bytes {
            Some(bytes) => Ok(Blob::Here(bytes)),
            None if is_gone(&self.connection, id)? => Ok(Blob::Erased),
            None => Ok(Blob::Unknown),
        }
    }

    fn export(&self, out: &mut dyn Write) -> Result<Counts, StoreError> {
        // One read transaction, so that a tap in between does not tear the archive.
        let reading = self.connection.unchecked_transaction()?;
        let mut writer = archive::Writer::new(out)?;
        let mut events = reading.prepare("SELECT id, bytes FROM events ORDER BY n")?;
        let mut rows = events.query([])?;
        while let Some(row) = rows.next()? {
            writer.event(&read_stored(row)?)?;
        }
        let mut gone = reading.prepare("SELECT id FROM gone ORDER BY id")?;
        let mut rows = gone.query([])?;
        while let Some(row) = rows.next()? {
            let id: String = row.get(0)?;
            writer.gone(&id)?;
        }
        let mut blobs =
            reading.prepare("SELECT id, salt, bytes FROM blobs ORDER BY id")?;
        let mut rows = blobs.query([])?;
        while let Some(row) = rows.next()? {
            let (id, salt, bytes): (String, Vec<u8>, Vec<u8>) =
                (row.get(0)?, row.get(1)?, row.get(2)?);
            writer.blob(&id, &salt, &bytes)?;
        }
        writer.end()
    }

    fn import(
        &mut self,
        archive: &mut dyn BufRead,
        limits: &Limits,
    ) -> Result<Counts, StoreError> {
        let counts = self.write(|work| {
            let counts = archive::read(archive, limits, &mut Importing(work))?;
            leave_fork(work)?;
            Ok(counts)
        })?;
        if counts.gone > 0 || counts.events > 0 {
            self.forget()?;
        }
        Ok(counts)
    }
}

#[cfg(test)]
mod tests {
    use job::body::Note;

    use super::*;

    /// `SQLite` answers a page limit as it answers a full disk: `SQLITE_FULL`.
    #[test]
    fn a_full_disk_keeps_what_was_acknowledged_and_goes_on_when_there_is_room() {
        let folder = tempfile::tempdir().unwrap();
        let mut store = SqliteStore::open(&folder.path().join("jobs.db")).unwrap();
        let limit = |store: &SqliteStore, pages: i64| {
            let set = format!("PRAGMA max_page_count = {pages}");
            store.connection.query_row(&set, [], |_| Ok(())).unwrap();
        };
        let note = |number: u64| Draft {
            job: "job".to_owned(),
            body: Note { blob: "0".repeat(64), of: None }.into(),
            reference: format!("{number:032x}"),
            at: "2026-11-25T09:00:00Z".to_owned(),
            zone: "UTC".to_owned(),
            who: "jo".to_owned(),
        };
        limit(&store, 30);
        let full = (0..1000).find_map(|number| {
            store.append(&note(number)).err().map(|error| (number, error))
        });
        let (kept, error) = full.unwrap();
        assert!(matches!(error, StoreError::Full), "{error:?}");
        assert!(matches!(store.put_blob(&vec![1; 100_000]), Err(StoreError::Full)));
        assert_eq!(store.all().unwrap().len(), usize::try_from(kept).unwrap());
        assert_eq!(store.verify(&[]).unwrap(), []);
        limit(&store, 1_000_000);
        store.append(&note(kept)).unwrap();
        assert_eq!(store.verify(&[]).unwrap(), []);
    }

    #[test]
    fn the_settings_that_keep_an_acknowledged_event_are_on() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqliteStore::open(&folder.path().join("jobs.db")).unwrap();
        let pragma = |name: &str| -> i64 {
            let query = format!("PRAGMA {name}");
            store.connection.query_row(&query, [], |row| row.get(0)).unwrap()
        };
        // https://sqlite.org/pragma.html: synchronous 2 is FULL.
        assert_eq!(pragma("synchronous"), 2);
        assert_eq!(pragma("foreign_keys"), 1);
        assert_eq!(pragma("secure_delete"), 1);
        let query = "PRAGMA journal_mode";
        let mode: String =
            store.connection.query_row(query, [], |row| row.get(0)).unwrap();
        assert_eq!(mode, "wal");
    }
}
