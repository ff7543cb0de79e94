//! Runs every file in `cases/` that begins with a command line: the command above the
//! `----` line, the page it prints below. `UPDATE_CASES=1` rewrites the page, so that the
//! change is reviewed as a diff.
#![cfg(test)]

use std::path::Path;
use std::{env, fs};

use assert_cmd::Command;

/// What the command prints: standard output, then standard error, then its exit status
/// where that is not 0.
fn page_of(line: &str, folder: &Path) -> String {
    let words = words(line);
    let output = Command::cargo_bin("witmark")
        .unwrap()
        .args(&words[1..])
        .current_dir(folder)
        .env("COLUMNS", "90")
        .env_remove("WITMARK_STORE")
        .output()
        .unwrap();
    let mut page = String::from_utf8(output.stdout).unwrap();
    page.push_str(&String::from_utf8(output.stderr).unwrap());
    match output.status.code() {
        Some(0) => page,
        code => format!("{page}exit {code:?}\n"),
    }
}

/// Words at blanks; single quotes keep blanks together.
fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, part) in line.trim().split('\'').enumerate() {
        if at % 2 == 1 {
            words.push(part.to_owned());
        } else {
            words.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    words
}

#[test]
fn every_case_prints_its_page() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    let update = env::var_os("UPDATE_CASES").is_some();
    let mut paths: Vec<_> =
        fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let (mut failures, mut ran) = (Vec::new(), 0);
    for path in paths.iter().filter(|path| path.is_file()) {
        let case = fs::read_to_string(path).unwrap();
        if !case.starts_with("witmark ") {
            continue;
        }
        ran += 1;
        let (input, expected) = case.split_once("----\n").unwrap();
        let actual = page_of(input, &folder);
        if actual == expected {
            continue;
        }
        if update {
            fs::write(path, format!("{input}----\n{actual}")).unwrap();
        } else {
            failures.push(format!("{}\n{expected}\n-- got --\n{actual}", path.display()));
        }
    }
    assert!(ran >= 5, "only {ran} cases were found");
    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
}
