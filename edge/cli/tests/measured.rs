//! Measuring from the command line: the workshop's meters, marks, usual limits, and what
//! of a drive lies in like conditions.
#![cfg(test)]

use std::fmt::Write as _;

use assert_cmd::Command;
use serde_json::Value;

fn witmark(words: &[&str]) -> Command {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.args(words).env_remove("WITMARK_STORE").arg("--json");
    command
}

fn json(words: &[&str]) -> Value {
    let output = witmark(words).assert().success().get_output().clone();
    serde_json::from_slice(&output.stdout).unwrap()
}

fn number(answer: &Value, key: &str) -> f64 {
    answer[key].as_f64().unwrap_or_else(|| panic!("{key} in {answer}"))
}

/// With a meter of the workshop only the value is typed: the answer is that of all typed.
#[test]
fn a_meter_of_the_workshop_needs_only_the_value() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("workshop.toml");
    let text = "has = [\"smoke-machine\"]\n[[meter]]\nid = \"dmm\"\nquantity = \"resistance\"\n\
                unit = \"ohm\"\naccuracy = \"0.8%+2d\"\ndigit = 0.1\nleads = 0.3\n\
                [economy]\nlabour_per_hour = 70.0\n";
    std::fs::write(&file, text).unwrap();
    let file = file.to_str().unwrap();
    let reading = ["judge", "--value", "7.9", "--unit", "ohm", "--limits", "6.6..8.4"];
    let metered = json(&[&reading[..], &["--meter", "dmm", "--workshop", file]].concat());
    let typed = ["--accuracy", "0.8%+2d", "--digit", "0.1", "--leads", "0.3"];
    assert_eq!(metered, json(&[&reading[..], &typed[..]].concat()));
    let other =
        ["judge", "--value", "1", "--unit", "V", "--meter", "dmm", "--workshop", file];
    witmark(&other).assert().failure().code(1);
    let unknown =
        ["judge", "--value", "1", "--unit", "V", "--meter", "x", "--workshop", file];
    witmark(&unknown).assert().failure().code(1);
}

/// 0.18 V across an earth under 12 A: 15 milliohm (Ohm's law), above the usual 0.1 V
/// (*common practice*). A gauge of 0.20 that goes and of 0.25 that does not: 3 in 5 below
/// 0.23 (rectangular distribution, GUM 4.3.7).
#[test]
fn drops_and_gauges_are_readings_too() {
    let drop = ["judge", "--value", "0.18", "--unit", "V", "--usual", "earth-drop"];
    let answer = json(&[&drop[..], &["--amps", "12", "--digit", "0.01"]].concat());
    assert_eq!(answer["verdict"], "out");
    assert!((number(&answer, "connection_ohm") - 0.015).abs() < 1e-12);
    let gauge =
        ["judge", "--between", "0.20..0.25", "--unit", "mm", "--limits", "..0.23"];
    assert!((number(&json(&gauge), "p_within") - 0.6).abs() < 1e-9);
}

/// One of two minutes is warm at 1900/min and 60 km/h, by construction.
#[test]
fn a_drive_says_what_lies_in_like_conditions() {
    let file = tempfile::NamedTempFile::new().unwrap();
    let mut text =
        "time_s,engine rpm [rpm],coolant [C],vehicle speed [km/h]\n".to_owned();
    for t in 0..=120_u32 {
        let (rpm, coolant) = if t < 60 { (800, 40) } else { (1900, 85) };
        writeln!(text, "{t},{rpm},{coolant},60").unwrap();
    }
    std::fs::write(file.path(), text).unwrap();
    let path = file.path().to_str().unwrap();
    let answer = json(&["recording", path, "--like", "rpm=1900,warm"]);
    let like = &answer["like"];
    assert!((number(like, "min") - 1.0).abs() < 1e-9, "{like}");
    assert!((number(like, "km") - 1.0).abs() < 1e-9, "{like}");
    assert_eq!(like["warm_ups"], 1);
    witmark(&["recording", path, "--like", "load=20"]).assert().failure().code(1);
    witmark(&["recording", path, "--like", "gear=3"]).assert().failure().code(2);
    witmark(&["recording", path]).assert().failure().code(2);
}
