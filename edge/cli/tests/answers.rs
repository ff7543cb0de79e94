//! Every verb answers: one tagged document with its schema's fields, or a page that says the
//! same; negative readings, standard input and hostile sheets included.
#![cfg(test)]

use std::fmt::Write as _;

use assert_cmd::Command;
use serde_json::Value;

fn witmark(words: &[&str]) -> Command {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.args(words).env_remove("WITMARK_STORE").env("COLUMNS", "90");
    command
}

fn json(words: &[&str]) -> Value {
    let mut command = witmark(words);
    let output = command.arg("--json").assert().success().get_output().clone();
    let text = String::from_utf8(output.stdout).unwrap();
    assert_eq!(text.lines().count(), 1, "{text}");
    assert!(text.starts_with("{\"witmark\":\""), "{text}");
    serde_json::from_str(&text).unwrap()
}

fn page(words: &[&str]) -> String {
    let output = witmark(words).assert().success().get_output().clone();
    assert!(output.stderr.is_empty());
    String::from_utf8(output.stdout).unwrap()
}

/// A recording with three clean first-order steps: dead time 0.2 s, time constant 0.5 s.
fn recording() -> String {
    let mut text = "time_s,command_%,actual_%\n".to_owned();
    let mut actual = 20.0;
    for row in 0..1200_u32 {
        let t = f64::from(row) * 0.02;
        let command = |t: f64| if (t / 6.0).rem_euclid(2.0) < 1.0 { 20.0 } else { 70.0 };
        actual += (command(t - 0.2) - actual) * (1.0 - (-0.02_f64 / 0.5).exp());
        writeln!(text, "{t:.2},{:.1},{actual:.3}", command(t)).unwrap();
    }
    text
}

#[test]
fn every_document_has_the_fields_that_its_schema_requires() {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), recording()).unwrap();
    let path = file.path().to_str().unwrap();
    let columns = ["--command", "command", "--actual", "actual"];
    let verbs: Vec<Vec<&str>> = vec![
        vec!["plan", "boost-vane-diesel", "--tree", "--stats", "--limit", "500"],
        vec!["strip", "boost-vane-diesel", "--reach", "repair:exchange-turbo"],
        vec!["torque", "--thread", "M8", "--class", "8.8"],
        vec!["judge", "--value", "-3", "--unit", "C", "--limits", "-5..5"],
        vec!["bench", "--volts", "12", "--ohm", "7.9", "--strokes", "59"],
        [&["recording", path], &columns[..]].concat(),
        [&["compare", path, path], &columns[..]].concat(),
        vec!["prove", "--seen", "2", "--over-km", "400", "--fixed", "0.7"],
        vec!["sheet", "check", "boost-vane-diesel"],
        vec!["sheet", "list"],
        vec!["sheet", "show", "boost-vane-diesel"],
        vec!["sheet", "new", "--title", "Cooling fan"],
        vec!["schema"],
    ];
    for words in verbs {
        let answer = json(&words);
        let name = answer["witmark"].as_str().unwrap();
        let schema: Value = serde_json::from_str(&page(&["schema", name])).unwrap();
        let required = schema["required"].as_array().unwrap();
        assert!(required.len() >= 2, "{name}");
        for key in required {
            assert!(answer.get(key.as_str().unwrap()).is_some(), "{name}: {key}");
        }
        let known = schema["properties"].as_object().unwrap();
        for key in answer.as_object().unwrap().keys() {
            assert!(known.contains_key(key), "{name}: {key} is not in its schema");
        }
        assert!(answer["remarks"].is_array(), "{name}");
    }
}

#[test]
fn figures_of_the_answers_are_those_of_the_trade() {
    // Printed list for M8 8.8, friction 0.12, 90 % of yield: 24.6 N·m.
    let torque = json(&["torque", "--thread", "M8", "--class", "8.8"]);
    assert!((torque["torque_nm"].as_f64().unwrap() / 24.6 - 1.0).abs() < 0.012);
    // 0 of 59 strokes stuck allows 5 in 100 at 95 % (NIST/SEMATECH e-Handbook: 59 for 95/95).
    let bench = json(&["bench", "--volts", "12", "--ohm", "8", "--strokes", "59"]);
    assert!((bench["stuck_share"]["high"].as_f64().unwrap() - 0.0495).abs() < 1e-3);
    // Design section 10: (400/430)^2 silent.
    let words = [
        "prove",
        "--seen",
        "2",
        "--over-km",
        "400",
        "--fixed",
        "0.7",
        "--clear-km",
        "30",
    ];
    let silent: f64 = 400.0 / 430.0;
    let proof = json(&words);
    assert!((proof["p_silent"].as_f64().unwrap() - silent * silent).abs() < 1e-12);
}

#[test]
fn pages_show_the_units_that_are_asked_for() {
    let words = ["torque", "--thread", "M8", "--class", "8.8"];
    let metric = page(&words);
    let us = page(&[&words[..], &["--units", "us"]].concat());
    assert!(metric.lines().nth(3).unwrap().contains("N·m"), "{metric}");
    assert!(us.lines().nth(3).unwrap().contains("lb-ft"), "{us}");
}

#[test]
fn a_sheet_comes_from_standard_input_too() {
    let text = page(&["sheet", "new", "--title", "Cooling fan", "--code", "P0480"]);
    let mut command = witmark(&["sheet", "check", "-", "--json"]);
    let output = command.write_stdin(text).assert().success().get_output().clone();
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["sheets"][0]["id"], "cooling-fan");
}

#[test]
fn facts_move_the_odds_and_refusals_leave_the_choices() {
    let before = json(&["plan", "boost-vane-diesel", "--budget-ms", "200"]);
    let first = &before["next"];
    let (kind, id) = (first["kind"].as_str().unwrap(), first["id"].as_str().unwrap());
    let refused = format!("{kind}:{id}");
    let after =
        json(&["plan", "boost-vane-diesel", "--budget-ms", "200", "--without", &refused]);
    assert!(after["choices"].as_array().unwrap().iter().all(|choice| choice["id"] != id));
    assert_eq!(after["inputs"]["without"][0], refused.as_str());
    let fact = format!("{kind}:{id}={}", first["outcomes"][0]["id"].as_str().unwrap());
    let known =
        json(&["plan", "boost-vane-diesel", "--budget-ms", "200", "--done", &fact]);
    assert_ne!(known["odds"], before["odds"]);
    assert_eq!(known["inputs"]["done"][0], fact.as_str());
}

#[test]
fn nothing_that_steers_a_terminal_leaves_a_hostile_sheet() {
    let hostile = page(&["sheet", "new", "--title", "Fan"])
        .replace("title = \"Fan\"", "title = \"\\u001b[31mFan\\u202e\"");
    for words in [&["plan", "-"][..], &["plan", "-", "--json"], &["sheet", "show", "-"]] {
        let mut command = witmark(words);
        let output =
            command.write_stdin(hostile.clone()).assert().success().get_output().clone();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(!text.contains(['\u{1b}', '\u{202e}']), "{text}");
    }
}

#[test]
fn help_version_completions_and_manual_are_answers() {
    assert!(page(&["--help"]).contains("plan"));
    assert!(page(&["-V"]).starts_with("witmark "));
    assert!(page(&["completions", "bash"]).contains("_witmark"));
    assert!(page(&["man"]).contains(".TH witmark"));
    assert!(page(&["man", "plan"]).contains("witmark\\-plan"));
}
