//! Every command in the documentation runs and prints what stands below it.
//! `UPDATE_CASES=1` rewrites what stands there, so that the change is read as a diff.
#![cfg(test)]

use std::{env, fs, path::Path, process::Command};

/// What a command prints: standard output, then standard error.
fn printed(root: &Path, line: &str) -> String {
    let words: Vec<&str> = line.split_whitespace().collect();
    assert_eq!(words[0], "witmark", "{line}");
    let output = Command::new(env!("CARGO_BIN_EXE_witmark"))
        .args(&words[1..])
        .current_dir(root)
        .env("COLUMNS", "80")
        .output()
        .unwrap();
    let text = [output.stdout, output.stderr].concat();
    String::from_utf8(text).unwrap()
}

/// The page with every console block as it is now, and how many commands ran.
fn run(root: &Path, page: &str) -> (String, usize) {
    let mut text = String::new();
    let (mut inside, mut commands) = (false, 0);
    for line in page.lines() {
        let fence = line.starts_with("```");
        if let Some(command) = line.strip_prefix("$ ").filter(|_| inside) {
            text += line;
            text.push('\n');
            text += &printed(root, command);
            commands += 1;
        } else if !inside || fence {
            text += line;
            text.push('\n');
        }
        if fence {
            inside = line == "```console" && !inside;
        }
    }
    (text, commands)
}

#[test]
fn every_documented_command_prints_what_stands_below_it() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut commands = 0;
    for entry in fs::read_dir(root.join("docs")).unwrap() {
        let path = entry.unwrap().path();
        let page = fs::read_to_string(&path).unwrap();
        let (now, ran) = run(&root, &page);
        commands += ran;
        if now != page && env::var_os("UPDATE_CASES").is_some() {
            fs::write(&path, &now).unwrap();
        } else {
            assert_eq!(now, page, "{}", path.display());
        }
    }
    assert!(commands >= 5, "only {commands} commands were run");
}
