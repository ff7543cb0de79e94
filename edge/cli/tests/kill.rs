//! Entries made by processes that are killed at any moment: what was acknowledged is there
//! afterwards, and the log is sound.
#![cfg(test)]
#![cfg(unix)]

use std::io::Read;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::Value;

/// Kills that must have hit a living process.
const KILLS: u32 = 60;
/// Entries after which it ends whatever was hit.
const MOST_TRIES: u32 = 400;

fn witmark(store: &Path, words: &[&str]) -> Command {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin("witmark"));
    command
        .args(words)
        .arg("--json")
        .env("WITMARK_STORE", store)
        .env_remove("WITMARK_WHO");
    command
}

fn json(store: &Path, words: &[&str]) -> Value {
    let output = witmark(store, words).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// A generator that gives the same numbers each time (Marsaglia 2003, xorshift64).
fn random(state: &mut u64) -> u64 {
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    *state
}

#[test]
fn what_was_acknowledged_outlives_every_kill() {
    let folder = tempfile::tempdir().unwrap();
    let store = folder.path().join("store");
    let sheet = "boost-vane-diesel";
    let new = json(&store, &["new", "--sheet", sheet, "--limit", "400"]);
    let job = new["job"].as_str().unwrap().to_owned();
    let facts = ["check:look-over=nothing", "off:heat-shield", "note=still here"];
    let begun = Instant::now();
    json(&store, &["did", &job, "note=timed"]);
    let usual_us = u64::try_from(begun.elapsed().as_micros()).unwrap();
    let (mut state, mut kills, mut acknowledged) = (0x5eed_1234_u64, 0, Vec::new());
    for at in 0..MOST_TRIES {
        if kills == KILLS {
            break;
        }
        let note = format!("note=entry {at}");
        let fact = if at < 3 { facts[at as usize] } else { note.as_str() };
        let mut child = witmark(&store, &["did", &job, fact])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let pause_us = random(&mut state) % (usual_us + (usual_us >> 2) + 1);
        std::thread::sleep(Duration::from_micros(pause_us));
        child.kill().unwrap();
        let mut out = String::new();
        child.stdout.take().unwrap().read_to_string(&mut out).unwrap();
        kills += u32::from(child.wait().unwrap().code().is_none());
        if let Ok(answer) = serde_json::from_str::<Value>(&out) {
            for recorded in answer["recorded"].as_array().unwrap() {
                acknowledged.push(recorded["event"].as_str().unwrap().to_owned());
            }
        }
    }
    assert_eq!(kills, KILLS);
    assert!(!acknowledged.is_empty(), "no entry went through");
    let shown = json(&store, &["job", "show", &job]);
    let events: Vec<&str> = shown["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| event["event"].as_str().unwrap())
        .collect();
    for event in &acknowledged {
        assert!(events.contains(&event.as_str()), "{event} is lost");
    }
    let verified = json(&store, &["log", "verify"]);
    assert_eq!(verified["sound"], true, "{verified}");
    assert_eq!(verified["witmark"], "verify/1");
}
