//! Golden cases: a base sheet with one place changed, and the remarks that it must give.
//!
//! The cases stand in `cases/sheet-*.txt`; the marks § in them are the expected places, so
//! that lines and columns are counted here and not by the crate under test.
#![cfg(test)]

use std::fmt::Write as _;
use std::path::Path;

use sheet::{Remark, RemarkKind};

#[expect(clippy::disallowed_methods, reason = "a test reads its cases from files")]
fn case_file(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    std::fs::read_to_string(folder.join(name)).unwrap()
}

/// One case: its title, its change lines, its expected remarks.
struct Case<'a> {
    title: &'a str,
    changes: Vec<&'a str>,
    expected: Vec<&'a str>,
}

fn cases(text: &str) -> Vec<Case<'_>> {
    let mut cases: Vec<Case<'_>> = Vec::new();
    for line in text.lines() {
        if let Some(title) = line.strip_prefix("== ") {
            cases.push(Case { title, changes: Vec::new(), expected: Vec::new() });
        } else if let Some(case) = cases.last_mut() {
            if line.starts_with(['-', '+']) {
                case.changes.push(line);
            } else if !line.is_empty() {
                case.expected.push(line);
            }
        }
    }
    cases
}

/// A change line without its sign.
fn content(line: &str) -> &str {
    line.get(2..).unwrap_or("")
}

/// The base text with the changes of a case; each run of - lines is there exactly once.
fn changed(base: &str, case: &Case<'_>) -> String {
    let mut lines: Vec<&str> = base.lines().collect();
    let mut changes = case.changes.as_slice();
    while !changes.is_empty() {
        let out = changes.iter().take_while(|line| line.starts_with('-')).count();
        let more = changes[out..].iter().take_while(|line| line.starts_with('+')).count();
        let (from, rest) = changes.split_at(out);
        let (to, rest) = rest.split_at(more);
        let from: Vec<&str> = from.iter().map(|line| content(line)).collect();
        let places: Vec<usize> =
            (0..lines.len()).filter(|at| lines[*at..].starts_with(&from)).collect();
        assert_eq!(places.len(), 1, "{}: {from:?} must be there once", case.title);
        lines.splice(places[0]..places[0] + out, to.iter().map(|line| content(line)));
        changes = rest;
    }
    lines.join("\n") + "\n"
}

/// The text without its marks, and line and column of each mark.
fn unmarked(text: &str) -> (String, Vec<(u32, u32)>) {
    let mut plain = String::new();
    let mut marks = Vec::new();
    let (mut line, mut column) = (1, 1);
    for c in text.chars() {
        match c {
            '§' => marks.push((line, column)),
            '\n' => {
                (line, column) = (line + 1, 1);
                plain.push(c);
            }
            c => {
                column += 1;
                plain.push(c);
            }
        }
    }
    (plain, marks)
}

fn shown(remark: &Remark) -> String {
    let kind = match remark.kind {
        RemarkKind::Error => "E",
        RemarkKind::Warning => "W",
    };
    let mut line = format!("{kind} {}: {}", remark.code, remark.what);
    if let Some(hint) = &remark.hint {
        write!(line, " => {hint}").unwrap();
    }
    line
}

fn check(file: &str, kind: RemarkKind) -> usize {
    let base = case_file("sheet-base.txt");
    let text = case_file(file);
    let cases = cases(&text);
    let mut wrong = String::new();
    for case in &cases {
        let (plain, marks) = unmarked(&changed(&base, case));
        let read = sheet::read(&plain);
        let places: Vec<_> =
            read.remarks.iter().map(|remark| (remark.line, remark.column)).collect();
        let lines: Vec<String> = read.remarks.iter().map(shown).collect();
        let usable = read.sheet.is_some() == (kind == RemarkKind::Warning);
        if places != marks || lines != case.expected || !usable {
            writeln!(wrong, "== {}\n{}", case.title, case.changes.join("\n")).unwrap();
            writeln!(wrong, "{}", lines.join("\n")).unwrap();
            if places != marks {
                writeln!(wrong, "#places {places:?}, expected {marks:?}").unwrap();
            }
        }
    }
    assert!(wrong.is_empty(), "these cases differ; what was found:\n{wrong}");
    cases.len()
}

#[test]
fn the_base_sheet_has_nothing_to_remark() {
    let read = sheet::read(&case_file("sheet-base.txt"));
    assert_eq!(read.remarks, []);
    assert!(read.sheet.is_some());
}

#[test]
fn every_mistake_is_named_with_its_place_and_what_is_right() {
    assert!(check("sheet-errors.txt", RemarkKind::Error) >= 60);
}

#[test]
fn every_warning_is_given_and_the_sheet_is_still_read() {
    assert!(check("sheet-warnings.txt", RemarkKind::Warning) >= 10);
}
