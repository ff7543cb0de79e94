//! `witmark ramp` as it is typed: the published table, columns and units as they are found,
//! and what it says where a file has no current.
#![cfg(test)]

use std::fmt::Write as _;
use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

/// Fields of `ramp/1` in the order of the design.
const FIELDS: [&str; 8] = [
    "witmark",
    "samples",
    "resistance_ohm",
    "time_constant_s",
    "motion_s",
    "contact_s",
    "verdict",
    "remarks",
];

fn witmark(words: &[&str]) -> Command {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.args(words).env_remove("WITMARK_STORE").env("COLUMNS", "90");
    command
}

fn json(words: &[&str]) -> Value {
    let output = witmark(words).arg("--json").assert().success().get_output().clone();
    let text = String::from_utf8(output.stdout).unwrap();
    let places: Vec<usize> = FIELDS
        .iter()
        .map(|field| text.find(&format!("\"{field}\":")).expect(field))
        .collect();
    assert!(places.is_sorted(), "{text}");
    serde_json::from_str(&text).unwrap()
}

/// A coil of 8 ohm and 16 mH held still on 12 V, at 20 kHz: one exponential.
fn held_still(header: &str, scale: (f64, f64)) -> tempfile::NamedTempFile {
    let mut text = format!("{header}\n");
    for row in 0..600_u32 {
        let t = f64::from(row) * 5e-5;
        let a = 1.5 * (1.0 - (-t / 2e-3).exp());
        writeln!(text, "{:.6},{:.5}", t * scale.0, a * scale.1).unwrap();
    }
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    file
}

/// Contact at 12.613 ms in the finite-element table of the Modelica Standard Library
/// (references/ramps.toml).
#[expect(clippy::print_stdout, reason = "a skipped test says so")]
#[test]
fn the_published_table_is_judged() {
    let table = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../../shared/data/ramps/pull-in.csv");
    if !table.exists() {
        println!("skipped: the shared data is not there");
        return;
    }
    let answer = json(&["ramp", table.to_str().unwrap(), "--volts", "12"]);
    assert_eq!(answer["verdict"], "pulled-in");
    let contact = &answer["contact_s"];
    assert!((contact["value"].as_f64().unwrap() - 12.613e-3).abs() < 0.25e-3);
    assert!(contact["low"].as_f64().unwrap() < 12.613e-3);
    assert!(contact["high"].as_f64().unwrap() > 12.613e-3);
    assert!((answer["resistance_ohm"].as_f64().unwrap() - 10.0).abs() < 0.02);
    // The columns of force and position are no current.
    let wrong = ["ramp", table.to_str().unwrap(), "--current", "x_m"];
    let output = witmark(&wrong).assert().get_output().clone();
    assert!(output.status.code().is_some_and(|code| code <= 1));
}

/// L/R = 2 ms and 12 V/1.5 A = 8 ohm, whatever the units; by algebra.
#[test]
fn units_come_from_the_header() {
    for (header, scale) in [
        ("time_s,current_A", (1.0, 1.0)),
        ("t_ms,i_mA", (1e3, 1e3)),
        ("Time [ms],Clamp [mA]", (1e3, 1e3)),
        ("time_s,strom", (1.0, 1.0)),
        ("time_s,current_A", (1.0, -1.0)),
    ] {
        let file = held_still(header, scale);
        let path = file.path().to_str().unwrap();
        let answer = json(&["ramp", path, "--volts", "12"]);
        assert_eq!(answer["samples"], 600, "{header}");
        assert_eq!(answer["verdict"], "no-motion", "{header}");
        assert!((answer["resistance_ohm"].as_f64().unwrap() - 8.0).abs() < 0.02);
        assert!((answer["time_constant_s"].as_f64().unwrap() - 2e-3).abs() < 2e-5);
        assert!(answer["contact_s"]["value"].is_null());
        assert!(json(&["ramp", path])["resistance_ohm"].is_null());
    }
}

#[test]
fn what_is_missing_is_named() {
    let two = held_still("time_s,a_A", (1.0, 1.0));
    let text = std::fs::read_to_string(two.path()).unwrap();
    let doubled: Vec<String> = text
        .lines()
        .map(|line| {
            let twice = line.rsplit_once(',').map_or("", |(_, last)| last);
            format!("{line},{}", twice.replace("a_A", "b_A"))
        })
        .collect();
    std::fs::write(two.path(), doubled.join("\n")).unwrap();
    let path = two.path().to_str().unwrap();
    let output = witmark(&["ramp", path]).assert().code(1).get_output().clone();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(error.contains("a_A, b_A") && error.contains("--current"), "{error}");
    json(&["ramp", path, "--current", "b_A"]);
    let watts = held_still("time_s,power [W]", (1.0, 1.0));
    let words = ["ramp", watts.path().to_str().unwrap()];
    let output = witmark(&words).assert().code(1).get_output().clone();
    assert!(String::from_utf8(output.stderr).unwrap().contains("is in W"));
    witmark(&["ramp", path, "--volts", "0"]).assert().code(2);
}

/// One rise on each side: the stroke's difference with its interval, nothing decided; with
/// another supply not even a difference.
#[test]
fn rises_before_and_after_are_set_against_each_other() {
    let file = |name: &str| format!("{}/../../cases/{name}", env!("CARGO_MANIFEST_DIR"));
    let (before, after) = (file("coil-ramp.csv"), file("coil-ramp-after.csv"));
    let compared = |volts: &str| -> Value {
        let words = [
            "ramp",
            &before,
            "--volts",
            "12.4",
            "--after",
            &after,
            "--after-volts",
            volts,
            "--json",
        ];
        let output = witmark(&words).assert().success().get_output().clone();
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let like = compared("12.4");
    assert_eq!(like["witmark"], "ramp-compare/1");
    let contact = &like["metrics"][0];
    let end = |name: &str| contact["effect"][name].as_f64().unwrap();
    assert_eq!(contact["metric"], "contact_s");
    // The file after was made to strike after 6.27 ms, the one before reads 6.68 ms.
    assert!(end("low") < -0.000_4 && end("high") > -0.000_42, "{contact}");
    assert_eq!(contact["verdict"], "not-decided");
    let other = compared("13.9");
    assert!(other["metrics"][0]["effect"]["value"].is_null());
    assert!(other["remarks"][0].as_str().unwrap().contains("12.40 V before and 13.90 V"));
}

/// Files without a side, a winding too hot and a supply for nothing are refused in words.
#[test]
fn a_comparison_that_makes_no_sense_is_refused() {
    let file = held_still("t_s,i_A", (1.0, 1.0));
    let name = file.path().to_str().unwrap();
    for (words, said) in [
        (vec!["ramp", name, name], "--after"),
        (vec!["ramp", name, "--after", name, "--celsius", "900"], "900 °C"),
        (vec!["ramp", name, "--after-volts", "12"], "--after"),
        (vec!["ramp", name, "--after", "nothing.csv"], "nothing.csv"),
    ] {
        let output = witmark(&words).assert().failure().get_output().clone();
        assert!(output.stdout.is_empty());
        let text = String::from_utf8(output.stderr).unwrap();
        assert!(text.contains(said), "{words:?}: {text}");
    }
}
