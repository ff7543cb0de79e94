//! `plan --certificate` and `plan verify` from the command line: what holds, what was changed,
//! cut short or is about another sheet.
#![cfg(test)]

use std::fs;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;

fn sheet() -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    root.join("cases/two-covers.toml").to_str().unwrap().to_owned()
}

/// Exit status, standard output, standard error.
fn witmark(words: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("witmark").unwrap();
    let output = command.args(words).env("COLUMNS", "90").output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn written(folder: &Path, more: &[&str]) -> (PathBuf, String) {
    let file = folder.join("plan.certificate");
    let path = file.to_str().unwrap();
    let sheet = sheet();
    let words = [&["plan", &sheet, "--certificate", path], more].concat();
    let (exit, _, errors) = witmark(&words);
    assert_eq!((exit, errors.as_str()), (0, ""));
    let text = fs::read_to_string(&file).unwrap();
    (file, text)
}

fn verify(file: &Path, text: &str) -> (i32, String) {
    fs::write(file, text).unwrap();
    let (exit, out, errors) =
        witmark(&["plan", "verify", file.to_str().unwrap(), &sheet()]);
    assert_eq!(out.is_empty(), exit != 0, "{out}{errors}");
    (exit, errors)
}

#[test]
fn what_was_written_holds_and_is_the_same_each_time() {
    let folder = tempfile::tempdir().unwrap();
    let (file, text) = written(folder.path(), &[]);
    assert_eq!(written(folder.path(), &[]).1, text);
    let path = file.to_str().unwrap();
    let (exit, out, _) = witmark(&["plan", "verify", path, &sheet(), "--json"]);
    assert_eq!(exit, 0);
    let said: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(said["witmark"], "plan-verify/1");
    // 20291/2000, exact rational arithmetic of planner research notes, section 2.10.
    assert!((said["lower_bound"].as_f64().unwrap() - 10.1455).abs() < 1e-9, "{said}");
    assert_eq!((&said["proven"], &said["steps"]), (&Value::Bool(true), &Value::from(8)));
    let facts = ["--done", "check:smoke=pos", "--off", "cover", "--comeback", "30"];
    let (file, text) = written(folder.path(), &facts);
    assert_eq!(verify(&file, &text).0, 0);
}

#[test]
fn every_changed_digit_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (file, text) = written(folder.path(), &[]);
    let digits: Vec<usize> = text
        .char_indices()
        .filter(|(_, c)| c.is_ascii_digit())
        .map(|(at, _)| at)
        .collect();
    for at in digits.iter().step_by(digits.len().div_euclid(40)) {
        let mut other = text.clone();
        let digit = if &text[*at..=*at] == "7" { "3" } else { "7" };
        other.replace_range(*at..=*at, digit);
        let (exit, errors) = verify(&file, &other);
        assert_eq!(exit, 1, "digit at {at}: {errors}");
        assert!(errors.contains("plan.certificate:"), "{errors}");
    }
}

#[test]
fn a_file_cut_short_and_another_sheet_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (file, text) = written(folder.path(), &[]);
    for lines in [0, 1, 5, 20] {
        let short: String = text.lines().take(lines).flat_map(|l| [l, "\n"]).collect();
        assert_eq!(verify(&file, &short).0, 1, "{lines} lines");
    }
    let (exit, errors) = verify(&file, &text[..text.len() - 30]);
    assert_eq!(exit, 1, "{errors}");
    fs::write(&file, &text).unwrap();
    let path = file.to_str().unwrap();
    let (exit, _, errors) = witmark(&["plan", "verify", path, "boost-vane-diesel"]);
    assert_eq!(exit, 1);
    assert!(errors.contains("is for sheet `two-covers`"), "{errors}");
    assert_eq!(witmark(&["plan", "verify", path]).0, 2);
    assert_eq!(witmark(&["plan"]).0, 2);
}
