//! Archives and files that somebody made up or damaged.
#![cfg(test)]

mod support;

use std::io::{BufReader, Read};

use job::{Stored, hash_hex};
use store::{Blob, Counts, Limits, MemoryStore, SqliteStore, Store, StoreError};
use support::{archive, import, noted, tap};

const HEADER: &str = "{\"witmark\":\"log/1\"}\n";

/// Lines with a proper last line, so that only what is in them can be wrong.
fn made_up(lines: &[String], counts: Counts) -> Vec<u8> {
    let mut text = HEADER.to_owned();
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    let end = hash_hex(text.as_bytes());
    let last = format!(
        "{{\"blobs\":{},\"end\":\"{end}\",\"events\":{},\"gone\":{}}}\n",
        counts.blobs, counts.events, counts.gone
    );
    (text + &last).into_bytes()
}

fn events(count: u64) -> Vec<String> {
    let mut store = MemoryStore::new().unwrap();
    for number in 0..count {
        store.append(&tap(number)).unwrap();
    }
    let all = store.all().unwrap();
    all.into_iter().map(|stored| String::from_utf8(stored.bytes).unwrap()).collect()
}

fn refused(bytes: &[u8], limits: &Limits) -> String {
    let mut store = MemoryStore::new().unwrap();
    let answer = store.import(&mut BufReader::new(bytes), limits);
    assert_eq!(store.all().unwrap(), []);
    match answer {
        Err(StoreError::Archive { what, .. }) => what,
        other => panic!("{other:?}"),
    }
}

fn of_events(lines: &[String]) -> Vec<u8> {
    made_up(lines, Counts { events: lines.len(), ..Counts::default() })
}

#[test]
fn the_making_up_is_right() {
    let mut store = MemoryStore::new().unwrap();
    assert_eq!(import(&mut store, &of_events(&events(3))).unwrap().events, 3);
}

#[test]
fn broken_chains_are_refused() {
    let whole = events(3);
    let limits = Limits::default();
    let gap = [whole[0].clone(), whole[2].clone()];
    assert!(refused(&of_events(&gap), &limits).contains("is missing"));
    let changed = [whole[0].replace("item-0", "item-9"), whole[1].clone()];
    assert!(refused(&of_events(&changed), &limits).contains("does not follow"));
    let spaced = [whole[0].replace("\"v\":1", "\"v\": 1")];
    assert!(refused(&of_events(&spaced), &limits).contains("form"));
    let doubled = [whole[0].replace("\"v\":1", "\"v\":1,\"v\":1")];
    assert!(refused(&of_events(&doubled), &limits).contains("form"));
}

#[test]
fn every_flipped_byte_of_an_archive_is_noticed() {
    let mut store = MemoryStore::new().unwrap();
    let blob = store.put_blob(b"photo").unwrap();
    store.append(&noted(1, &blob)).unwrap();
    let bytes = archive(&store);
    for place in 0..bytes.len() {
        let mut damaged = bytes.clone();
        damaged[place] ^= 1;
        refused(&damaged, &Limits::default());
    }
}

#[test]
fn what_is_too_much_is_refused_while_reading() {
    let whole = of_events(&events(3));
    let few = Limits { events: 2, ..Limits::default() };
    assert!(refused(&whole, &few).contains("more events"));
    let small = Limits { event_bytes: 300, ..Limits::default() };
    assert!(refused(&whole, &small).contains("more events"));
    let short = Limits { bytes: 100, ..Limits::default() };
    assert!(refused(&whole, &short).contains("larger"));
    let gone: Vec<String> =
        (0..3).map(|number| format!("{{\"gone\":\"{number:064x}\"}}")).collect();
    let bytes = made_up(&gone, Counts { gone: 3, ..Counts::default() });
    let few = Limits { blobs: 2, ..Limits::default() };
    assert!(refused(&bytes, &few).contains("more files"));
}

/// A line without an end must not fill the memory.
#[test]
fn an_endless_line_is_cut_off() {
    let endless = HEADER.as_bytes().chain(std::io::repeat(b' '));
    let mut store = MemoryStore::new().unwrap();
    let answer = store.import(&mut BufReader::new(endless), &Limits::default());
    assert!(matches!(answer, Err(StoreError::Archive { line: 2, .. })), "{answer:?}");
}

#[test]
fn blobs_must_match_their_names() {
    let one = Counts { blobs: 1, ..Counts::default() };
    let salt = "00".repeat(16);
    let id = job::blob_id(&[0; 16], b"x");
    let good = format!("{{\"blob\":\"{id}\",\"bytes\":\"78\",\"salt\":\"{salt}\"}}");
    let mut store = MemoryStore::new().unwrap();
    assert_eq!(
        import(&mut store, &made_up(std::slice::from_ref(&good), one)).unwrap(),
        one
    );
    for bad in [
        good.replace("\"78\"", "\"79\""),
        good.replace("\"78\"", "\"7\""),
        good.replace("\"78\"", "\"zz\""),
        good.replace(&salt, "00"),
        good.replace(&id, "../../etc/passwd"),
        "{\"blob\":7}".to_owned(),
        "[]".to_owned(),
        "\"text\"".to_owned(),
    ] {
        refused(&made_up(&[bad], one), &Limits::default());
    }
    let path = "{\"gone\":\"../../x\"}".to_owned();
    refused(
        &made_up(&[path], Counts { gone: 1, ..Counts::default() }),
        &Limits::default(),
    );
}

#[test]
fn deep_and_odd_lines_are_refused_without_a_panic() {
    let deep = format!("{{\"kind\":{}{}}}", "[".repeat(100_000), "]".repeat(100_000));
    let odd = [
        deep,
        "{\"kind\":1}".to_owned(),
        "{\"kind\":\"x\"}".to_owned(),
        String::new(),
        "\u{0}".to_owned(),
        events(1)[0].replace("\"seq\":1", "\"seq\":18446744073709551615"),
        events(1)[0].replace("\"seq\":1", "\"seq\":0"),
        events(1)[0].replace("\"seq\":1", "\"seq\":-1"),
    ];
    for line in odd {
        let mut store =
            SqliteStore::open(&tempfile::tempdir().unwrap().path().join("x.db"));
        if let Ok(store) = &mut store {
            assert!(
                import(store, &of_events(std::slice::from_ref(&line))).is_err(),
                "{line}"
            );
        }
        refused(&of_events(&[line]), &Limits::default());
    }
}

#[test]
fn wrong_places_are_named_in_plain_words() {
    let folder = tempfile::tempdir().unwrap();
    let missing = folder.path().join("no-such-folder").join("jobs.db");
    let error = SqliteStore::open(&missing).unwrap_err();
    assert!(matches!(error, StoreError::NoFolder(_)), "{error:?}");
    assert!(error.to_string().starts_with("there is no folder"));
    let text = folder.path().join("notes.txt");
    std::fs::write(
        &text,
        "buy seals, and some more text so that it is no empty file\n".repeat(40),
    )
    .unwrap();
    assert!(matches!(SqliteStore::open(&text), Err(StoreError::NotAStore(_))));
    assert!(std::fs::read_to_string(&text).unwrap().starts_with("buy seals"));
    assert!(matches!(SqliteStore::open(folder.path()), Err(StoreError::CantOpen { .. })));
    let foreign = folder.path().join("foreign.db");
    let other = rusqlite::Connection::open(&foreign).unwrap();
    other.execute_batch("CREATE TABLE seals (size INTEGER)").unwrap();
    drop(other);
    assert!(matches!(SqliteStore::open(&foreign), Err(StoreError::NotAStore(_))));
    let newer = folder.path().join("newer.db");
    drop(SqliteStore::open(&newer).unwrap());
    let other = rusqlite::Connection::open(&newer).unwrap();
    other.pragma_update(None, "user_version", 99).unwrap();
    drop(other);
    assert!(matches!(
        SqliteStore::open(&newer),
        Err(StoreError::Newer { found: 99, .. })
    ));
}

/// What the file itself says: write-ahead log, full synchronisation, overwritten deletions.
#[test]
fn bytes_changed_in_the_file_are_found_and_erased_ones_are_not_there() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("jobs.db");
    let mut store = SqliteStore::open(&path).unwrap();
    store.append(&tap(1)).unwrap();
    let plate = b"plate WM-4711 of an invented van";
    let blob = store.put_blob(plate).unwrap();
    store.append(&support::erased(2, &blob)).unwrap();
    assert_eq!(store.blob(&blob).unwrap(), Blob::Erased);
    for entry in std::fs::read_dir(folder.path()).unwrap() {
        let bytes = std::fs::read(entry.unwrap().path()).unwrap();
        let found = bytes.windows(plate.len()).any(|window| window == plate);
        assert!(!found, "erased bytes are still on disk");
    }
    drop(store);
    let other = rusqlite::Connection::open(&path).unwrap();
    let changed = other
        .execute(
            "UPDATE events SET bytes = CAST(replace(bytes, 'item-1', 'item-7') AS BLOB)",
            [],
        )
        .unwrap();
    assert_eq!(changed, 2);
    drop(other);
    let store = SqliteStore::open(&path).unwrap();
    let found = store.verify(&[]).unwrap();
    assert!(found.iter().any(|finding| finding.what.contains("were changed")));
    let all: Vec<Stored> = store.all().unwrap();
    assert_eq!(all.len(), 2, "what is damaged is still shown");
}
