//! `plan --json` against least costs and first steps by an independent dynamic program
//! (`shared/data/plan/expected.toml`; made outside this project), and the fields of the
//! contract. Skipped, and said so, where the data is not there.
#![cfg(test)]

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;

/// Relative difference of two costs by different programs in double precision.
const AGREES: f64 = 1e-6;

/// Design section 5: fields that are always there.
const FIELDS: [&str; 20] = [
    "witmark",
    "sheet",
    "inputs",
    "expected_cost",
    "lower_bound",
    "gap",
    "proven",
    "currency",
    "next",
    "choices",
    "odds",
    "cost",
    "bill",
    "minutes",
    "ends",
    "over_limit",
    "parts",
    "holds_while",
    "remarks",
    "tree",
];
const NEXT: [&str; 11] = [
    "kind", "id", "title", "way", "act", "move", "strip", "refit", "outcomes",
    "cautions", "why",
];
const CHOICE: [&str; 7] =
    ["kind", "id", "way", "expected_cost", "lower_bound", "more", "wasted"];
const FIGURES: [&str; 5] = ["mean", "p10", "p50", "p90", "binned"];

#[expect(clippy::print_stdout, reason = "a skipped test says so")]
fn data() -> Option<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/plan");
    let there = folder.join("expected.toml").is_file();
    if !there {
        println!("skipped: shared/data/plan is not there");
    }
    there.then_some(folder)
}

fn plan(folder: &Path, case: &toml::Table) -> Value {
    let text = |key: &str| case[key].as_str().unwrap();
    let list = |key: &str| -> Vec<&str> {
        case[key]
            .as_array()
            .unwrap()
            .iter()
            .map(|entry| entry.as_str().unwrap())
            .collect()
    };
    let mut command = Command::cargo_bin("witmark").unwrap();
    // A case must not depend on how busy the machine is.
    command
        .args(["plan", "--json", "--budget-ms", "120000"])
        .arg(folder.join(text("sheet")));
    for fact in list("facts") {
        command.args(["--done", fact]);
    }
    command.arg("--off").arg(list("off").join(","));
    let output = command.assert().success().get_output().clone();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn least_costs_and_first_steps_are_those_of_an_independent_program() {
    let Some(folder) = data() else { return };
    let expected = std::fs::read_to_string(folder.join("expected.toml")).unwrap();
    let expected: toml::Table = expected.parse().unwrap();
    let cases = expected["case"].as_array().unwrap();
    assert!(cases.len() >= 10, "only {} cases", cases.len());
    for case in cases {
        let case = case.as_table().unwrap();
        let answer = plan(&folder, case);
        let cost = answer["expected_cost"].as_f64().unwrap();
        let least = case["expected_cost"].as_float().unwrap();
        assert!((cost - least).abs() <= AGREES * least.max(1.0), "{case}: {cost}");
        assert_eq!(answer["proven"], true, "{case}");
        let next = &answer["next"];
        let (kind, id) = (next["kind"].as_str().unwrap(), next["id"].as_str().unwrap());
        // The file writes the id apart only where it differs from the kind.
        let first = if kind == id { kind.to_owned() } else { format!("{kind}:{id}") };
        assert_eq!(first, case["first"].as_str().unwrap(), "{case}");
    }
}

#[test]
fn every_field_of_the_contract_is_there_and_the_sums_are_right() {
    let Some(folder) = data() else { return };
    let case: toml::Table =
        "sheet = \"two-covers.toml\"\nfacts = []\noff = []".parse().unwrap();
    let answer = plan(&folder, &case);
    let has = |value: &Value, keys: &[&str]| {
        for key in keys {
            assert!(value.get(key).is_some(), "{key} is missing in {value}");
        }
    };
    has(&answer, &FIELDS);
    assert_eq!(answer.as_object().unwrap()["witmark"], "plan/1");
    has(&answer["sheet"], &["id", "version", "hash"]);
    has(&answer["next"], &NEXT);
    has(&answer["next"]["act"], &["cost", "minutes"]);
    has(&answer["next"]["move"], &["cost", "minutes"]);
    has(&answer["next"]["outcomes"][0], &["id", "title", "probability", "then"]);
    has(&answer["choices"][0], &CHOICE);
    for spread in ["cost", "bill", "minutes"] {
        has(&answer[spread], &FIGURES);
    }
    has(&answer["holds_while"][0], &["suspect", "from", "to", "now"]);
    let number = |value: &Value| value.as_f64().unwrap();
    let ends = &answer["ends"];
    let sum: f64 =
        ["fixed", "comeback", "passed_on"].iter().map(|end| number(&ends[end])).sum();
    assert!((sum - 1.0).abs() < 1e-9);
    let odds = answer["odds"].as_array().unwrap();
    let total: f64 = odds.iter().map(|entry| number(&entry["p"])).sum();
    assert!((total - 1.0).abs() < 1e-9);
    assert_eq!(odds[odds.len() - 1]["id"], "fixed");
    assert!(
        (number(&answer["cost"]["mean"]) - number(&answer["expected_cost"])).abs() < 1e-9
    );
}

#[test]
fn the_tag_comes_first_and_the_same_input_gives_the_same_bytes() {
    let run = || {
        let mut command = Command::cargo_bin("witmark").unwrap();
        command.args(["torque", "--thread", "M8", "--class", "8.8", "--json"]);
        command.assert().success().get_output().stdout.clone()
    };
    let text = String::from_utf8(run()).unwrap();
    assert!(text.starts_with("{\"witmark\":\"torque/1\","), "{text}");
    assert_eq!(text.lines().count(), 1);
    assert_eq!(text.as_bytes(), run());
}
