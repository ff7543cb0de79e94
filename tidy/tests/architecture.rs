//! The only allowed arrows between crates, and how every file opens. Adding an arrow is an
//! architecture change.
#![cfg(test)]

use std::{fs, path::Path, process::Command};

const ARROWS: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("sheet", &["units"]),
    ("job", &["sheet"]),
    ("fasten", &[]),
    ("fluids", &[]),
    ("logs", &["units"]),
    ("measure", &["units", "logs"]),
    ("weigh", &["sheet", "job"]),
    ("strip", &["sheet", "fasten"]),
    ("plan", &["sheet", "weigh", "strip"]),
    (
        "pages",
        &[
            "units", "sheet", "job", "fasten", "fluids", "measure", "weigh", "strip",
            "plan",
        ],
    ),
    ("report", &["pages"]),
    ("store", &["job"]),
    (
        "app",
        &[
            "units", "sheet", "job", "fasten", "fluids", "logs", "measure", "weigh",
            "strip", "plan", "pages", "store", "report",
        ],
    ),
    ("web", &["app", "pages", "report"]),
    ("cli", &["app", "pages", "web", "report"]),
    ("bench", &["sheet", "job", "weigh", "plan", "logs", "measure"]),
    ("tidy", &[]),
];

/// Arrows that tests alone may use, beyond those above.
const TEST_ARROWS: &[(&str, &[&str])] = &[("plan", &["job"]), ("cli", &["store", "job"])];

fn allowed(table: &[(&str, &[&str])], from: &str, to: &str) -> bool {
    table.iter().any(|(name, targets)| *name == from && targets.contains(&to))
}

#[test]
fn crates_depend_only_along_the_arrows() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--offline"])
        .current_dir(root)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    let names: Vec<&str> = packages.iter().map(|p| p["name"].as_str().unwrap()).collect();
    for name in &names {
        assert!(
            ARROWS.iter().any(|(known, _)| known == name),
            "{name} is not in the table"
        );
    }
    for package in packages {
        let from = package["name"].as_str().unwrap();
        for dependency in package["dependencies"].as_array().unwrap() {
            let to = dependency["name"].as_str().unwrap();
            let for_tests = dependency["kind"].as_str() == Some("dev");
            let fine = !names.contains(&to)
                || allowed(ARROWS, from, to)
                || for_tests && allowed(TEST_ARROWS, from, to);
            assert!(fine, "{from} -> {to}");
        }
    }
}

#[test]
fn every_file_opens_with_what_it_is_for_and_stays_short() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let mut folders =
        ["pure", "edge", "bench", "tidy"].map(|folder| root.join(folder)).to_vec();
    let mut read = 0;
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                assert!(text.starts_with("//!"), "{}: no opening line", path.display());
                assert!(text.lines().count() <= 500, "{}: too long", path.display());
                read += 1;
            }
        }
    }
    assert!(read > 50, "only {read} files were found");
}
