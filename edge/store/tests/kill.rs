//! A program that is killed while it writes loses nothing that it has acknowledged.
//!
//! The test runs itself as the program to be killed: a child appends taps and prints each
//! reference once it is acknowledged; the parent kills it (SIGKILL) at a random moment,
//! opens the same store, and looks.
#![cfg(test)]

mod support;

use std::{
    collections::BTreeSet,
    io::{BufRead, BufReader, Read, Write},
    path::Path,
    process::{Command, Stdio},
    thread,
    time::Duration,
};

use store::{SqliteStore, Store, StoreError};
use support::tap;

const FOLDER: &str = "WITMARK_KILL_TEST_FOLDER";
const FIRST: &str = "WITMARK_KILL_TEST_FIRST";
const KILLS: u64 = 200;

/// The program to be killed: appends until it dies, some taps two at a time, some twice.
fn child(folder: &Path, first: u64) -> Result<(), StoreError> {
    let mut store = SqliteStore::open(&folder.join("jobs.db"))?;
    let mut out = std::io::stdout();
    for number in (first..first + 1_000_000).step_by(3) {
        store.append(&tap(number))?;
        writeln!(out, "ack {number}")?;
        store.append_all(&[tap(number + 1), tap(number + 2), tap(number)])?;
        writeln!(out, "ack {}\nack {}", number + 1, number + 2)?;
        out.flush()?;
    }
    Ok(())
}

/// A child that is killed `life` after it has acknowledged `taps` (after its start, if none),
/// and the numbers that it acknowledged. A torn last line does not count.
fn killed(folder: &Path, first: u64, (taps, life): (usize, Duration)) -> Vec<u64> {
    let mut child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "every_acknowledged_tap_survives_a_kill", "--nocapture"])
        .env(FOLDER, folder)
        .env(FIRST, first.to_string())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut out = BufReader::new(child.stdout.take().unwrap());
    let mut said = String::new();
    while said.matches("ack ").count() < taps {
        assert_ne!(out.read_line(&mut said).unwrap(), 0, "the child died by itself");
    }
    thread::sleep(life);
    child.kill().unwrap();
    child.wait().unwrap();
    out.read_to_string(&mut said).unwrap();
    let whole = said.rfind('\n').map_or("", |end| &said[..end]);
    whole.lines().filter_map(|line| line.strip_prefix("ack ")?.parse().ok()).collect()
}

#[test]
fn every_acknowledged_tap_survives_a_kill() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        let first = std::env::var(FIRST).unwrap().parse().unwrap();
        child(Path::new(&folder), first).unwrap();
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let mut seed = 20_261_125_u64;
    let mut acknowledged = BTreeSet::new();
    for round in 0..KILLS {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let life = Duration::from_micros((seed >> 33) % 20_000);
        let taps = usize::try_from((seed >> 20) % 5).unwrap();
        let new = killed(folder.path(), round * 1_000_000, (taps, life));
        acknowledged.extend(new);
        let store = SqliteStore::open(&folder.path().join("jobs.db")).unwrap();
        let all = store.all().unwrap();
        let there: BTreeSet<u64> = all
            .iter()
            .map(|stored| stored.read().unwrap().reference)
            .map(|reference| u64::from_str_radix(&reference, 16).unwrap())
            .collect();
        assert_eq!(there.len(), all.len(), "round {round}: a tap is there twice");
        let lost: Vec<_> = acknowledged.difference(&there).collect();
        assert!(lost.is_empty(), "round {round}: lost {lost:?}");
        // Two taps of one transaction: both or neither.
        let torn =
            there.iter().find(|n| *n % 1_000_000 % 3 == 1 && !there.contains(&(*n + 1)));
        assert_eq!(torn, None, "round {round}");
        assert_eq!(store.verify(&[]).unwrap(), [], "round {round}");
    }
    assert!(acknowledged.len() > 200, "only {} taps were written", acknowledged.len());
}
