//! Form of the `SQLite` file.

use std::path::Path;

use rusqlite::{Connection, ErrorCode, TransactionBehavior};

use crate::{StoreError, random};

/// Form of the file that this program writes.
const FORM: i64 = 1;

/// Marks the file as ours: the letters `Witm`.
const APPLICATION: i64 = 0x5769_746D;

const TABLES: &str = "
CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
CREATE TABLE events (
  n INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  job TEXT NOT NULL,
  writer TEXT NOT NULL,
  seq INTEGER NOT NULL,
  bytes BLOB NOT NULL
) STRICT;
CREATE INDEX events_job ON events (job, n);
CREATE INDEX events_writer ON events (writer, seq);
CREATE TABLE refs (ref TEXT PRIMARY KEY, n INTEGER NOT NULL REFERENCES events (n)) STRICT;
CREATE TABLE heads (writer TEXT PRIMARY KEY, seq INTEGER NOT NULL, id TEXT NOT NULL) STRICT;
CREATE TABLE blobs (id TEXT PRIMARY KEY, salt BLOB NOT NULL, bytes BLOB NOT NULL) STRICT;
CREATE TABLE gone (id TEXT PRIMARY KEY) STRICT;
";

/// Settings of every connection; then the tables, if the file is new.
pub(crate) fn prepare(
    connection: &mut Connection,
    path: &Path,
) -> Result<(), StoreError> {
    let name = path.display().to_string();
    connection.busy_timeout(std::time::Duration::from_secs(5))?;
    let foreign = |error: rusqlite::Error| {
        if error.sqlite_error_code() == Some(ErrorCode::NotADatabase) {
            return StoreError::NotAStore(name.clone());
        }
        StoreError::from(error)
    };
    let form: i64 = connection
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .map_err(foreign)?;
    let application: i64 =
        connection.query_row("PRAGMA application_id", [], |row| row.get(0))?;
    if form > FORM && application == APPLICATION {
        return Err(StoreError::Newer { found: form, known: FORM });
    }
    let journal: String =
        connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if journal != "wal" {
        return Err(StoreError::NoWal(name));
    }
    connection.execute_batch(
        "PRAGMA synchronous = FULL;
         PRAGMA fullfsync = ON;
         PRAGMA checkpoint_fullfsync = ON;
         PRAGMA foreign_keys = ON;
         PRAGMA secure_delete = ON;
         PRAGMA trusted_schema = OFF;",
    )?;
    create(connection, name)
}

/// Makes the tables where the file is empty; two programs may open it at once.
fn create(connection: &mut Connection, name: String) -> Result<(), StoreError> {
    let work = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let form: i64 = work.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    let application: i64 =
        work.query_row("PRAGMA application_id", [], |row| row.get(0))?;
    let tables: i64 =
        work.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    match (form, application, tables) {
        (FORM, APPLICATION, _) => return Ok(()),
        (0, 0, 0) => {}
        _ => return Err(StoreError::NotAStore(name)),
    }
    work.execute_batch(TABLES)?;
    work.execute(
        "INSERT INTO meta (key, value) VALUES ('writer', ?1)",
        [random::random_hex(8)?],
    )?;
    work.pragma_update(None, "application_id", APPLICATION)?;
    work.pragma_update(None, "user_version", FORM)?;
    work.commit()?;
    Ok(())
}
