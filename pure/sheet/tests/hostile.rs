//! Hostile and broken texts: every one is answered, none brings the program down.
#![cfg(test)]

use std::fmt::Write as _;
use std::path::Path;

use proptest::prelude::*;
use sheet::{MOST_BYTES, Read, read, read_settings};

#[expect(clippy::disallowed_methods, reason = "a test reads its cases from files")]
fn base() -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases");
    std::fs::read_to_string(folder.join("sheet-base.txt")).unwrap()
}

/// Whatever the text: a sheet if and only if there is no error, every place within it.
fn hold(text: &str) -> Read {
    let read = read(text);
    assert_eq!(read.sheet.is_none(), read.errors().count() > 0);
    assert!(read.remarks.len() <= 200);
    let lines = text.matches('\n').count() + 1;
    for remark in &read.remarks {
        assert!(remark.line >= 1 && usize::try_from(remark.line).unwrap() <= lines);
        assert!(remark.column >= 1 && !remark.what.is_empty());
        assert!(text.get(remark.span.0..remark.span.1).is_some(), "{remark:?}");
    }
    let places: Vec<_> = read.remarks.iter().map(|remark| remark.span.0).collect();
    assert!(places.is_sorted(), "{places:?}");
    read
}

fn first_code(text: &str) -> &'static str {
    hold(text).remarks[0].code
}

#[test]
fn nesting_is_kept_shallow_however_it_is_written() {
    let deep = "[".repeat(200_000);
    assert_eq!(first_code(&format!("x-a = {deep}")), "syntax");
    let closed = format!("x-a = {}{}", "[".repeat(60), "]".repeat(60));
    assert!(hold(&closed).remarks.iter().any(|remark| remark.code == "too-deep"));
    let braces = format!("x-a = {}", "{a=".repeat(100_000));
    assert!(!hold(&braces).remarks.is_empty());
    // Headers, dotted keys and braces together nest deeper than any of them alone.
    let dots = "a.".repeat(70);
    let tower = format!(
        "[x-a.{dots}b]\n{dots}c = {}1{}\n",
        format!("{{{dots}d=").repeat(70),
        "}".repeat(70)
    );
    assert!(hold(&tower).remarks.iter().any(|remark| remark.code == "too-deep"));
    let just = format!("x-a = {}{}\n", "[".repeat(16), "]".repeat(16));
    assert!(hold(&just).remarks.iter().all(|remark| remark.code != "too-deep"));
    let over = format!("x-a = {}{}\n", "[".repeat(17), "]".repeat(17));
    assert!(hold(&over).remarks.iter().any(|remark| remark.code == "too-deep"));
}

#[test]
fn a_file_that_is_too_large_is_refused_and_one_byte_less_is_not() {
    let mut text = base();
    text.push('#');
    text.push_str(&"x".repeat(MOST_BYTES - text.len()));
    assert!(hold(&text).sheet.is_some());
    text.push('x');
    assert_eq!(first_code(&text), "too-large");
}

/// A sheet with so many tables of one kind, all right, besides one suspect and one repair.
fn with_many(header: &str, body: &str, count: usize) -> String {
    let mut text = String::from(
        "[sheet]\nformat = 1\nid = \"a\"\ntitle = \"A\"\n\
         [economy]\nlabour_per_hour = 1\ncomeback = 2\npass_on = 1\n",
    );
    let needed = [("suspect", "weight = 1"), ("repair", "fixes = {}")];
    for (other, body) in needed.iter().filter(|(other, _)| *other != header) {
        writeln!(text, "[[{other}]]\nid = \"n0\"\n{body}").unwrap();
    }
    for n in 0..count {
        writeln!(text, "[[{header}]]\nid = \"n{n}\"\ntitle = \"N\"\n{body}").unwrap();
    }
    text
}

#[test]
fn more_of_a_kind_than_allowed_is_named_at_the_first_too_many() {
    let given = "outcomes = [\"a\", \"b\"]\n[check.given]\nfine = { a = 0.9, b = 0.1 }";
    let kinds = [
        ("suspect", "weight = 1", (sheet::MOST_SUSPECTS, 64)),
        ("item", "", (sheet::MOST_ITEMS, 128)),
        ("check", given, (sheet::MOST_CHECKS, 96)),
        ("repair", "fixes = { n0 = 0.5 }", (sheet::MOST_REPAIRS, 96)),
        ("proof", "shows = 0.5", (sheet::MOST_PROOFS, 16)),
        (
            "duty",
            "because = [\"repair:n0\"]\nbefore = \"drive\"",
            (sheet::MOST_DUTIES, 255),
        ),
    ];
    for (header, body, (most, design)) in kinds {
        assert_eq!(most, design);
        assert!(hold(&with_many(header, body, most)).sheet.is_some(), "{header}");
        let text = with_many(header, body, most + 1);
        let line_of_last = text
            .lines()
            .enumerate()
            .filter(|(_, line)| *line == format!("[[{header}]]"))
            .map(|(at, _)| u32::try_from(at + 1).unwrap())
            .max();
        let read = hold(&text);
        let errors: Vec<_> = read.errors().collect();
        assert_eq!(errors.len(), 1, "{header}: {errors:?}");
        assert_eq!((errors[0].code, Some(errors[0].line)), ("too-many", line_of_last));
    }
}

#[test]
fn a_flood_of_mistakes_is_answered_and_stays_bad() {
    let keys = (0..60_000).fold(String::new(), |text, n| text + &format!("q{n} = 1\n"));
    assert!(hold(&keys).sheet.is_none());
    let names = format!("[[suspect]]\nroot = [{}]\n", "\"qqqq\",".repeat(100_000));
    assert!(hold(&names).sheet.is_none());
    let items = (0..128).fold(String::new(), |text, n| {
        let all: Vec<String> = (0..128).map(|other| format!("\"i{other}\"")).collect();
        text + &format!("[[item]]\nid = \"i{n}\"\nbehind = [{}]\n", all.join(","))
    });
    assert!(hold(&items).sheet.is_none());
    assert!(hold(&"=\n".repeat(200_000)).sheet.is_none());
}

#[test]
fn odd_bytes_are_answered() {
    for text in
        ["", "\u{feff}", "\0", "\r", "[", "[[", "]", "=", "\"", "'''", "a.b.c", "ä = ö"]
    {
        hold(text);
    }
    let with_mark = format!("\u{feff}{}", base());
    assert_eq!(hold(&with_mark).remarks, []);
    assert_eq!(hold(&base().replace('\n', "\r\n")).remarks, []);
}

#[test]
fn columns_count_characters() {
    let text = "[sheet]\nid = \"a\"\ntitle = { de = \"äöü€\", qqqq = \"x\" }\n";
    let remark = hold(text).remarks.into_iter().find(|r| r.code == "unknown-language");
    assert_eq!(remark.map(|remark| (remark.line, remark.column)), Some((3, 24)));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_text_is_answered(text in "[\\x00-\\x7fäß€𝄞\\[\\]{}=\"'.,#\\n]{0,400}") {
        hold(&text);
        let _ = read_settings(&text);
    }

    #[test]
    fn any_lines_of_a_sheet_are_answered(
        picks in proptest::collection::vec((0_usize..200, 0_usize..4), 0..60),
    ) {
        let base = base();
        let lines: Vec<&str> = base.lines().collect();
        let mut text = String::new();
        for (at, how) in picks {
            let line = lines[at % lines.len()];
            let cut = line.chars().take(line.chars().count() >> how);
            text.extend(cut);
            text.push('\n');
        }
        hold(&text);
    }

    #[test]
    fn a_changed_sheet_is_answered(
        changes in proptest::collection::vec((0_usize..10_000, "[\\[\\]{}=\"',.#\\n 0-9a-z-]{0,3}", 0_usize..6), 1..6),
    ) {
        let mut text = base();
        for (at, put, out) in changes {
            let from = at % text.len();
            let to = (from + out).min(text.len());
            // The base has a few characters of several bytes; changes fall between them.
            if text.is_char_boundary(from) && text.is_char_boundary(to) {
                text.replace_range(from..to, &put);
            }
        }
        let read = hold(&text);
        if let Some(sheet) = read.sheet {
            for check in &sheet.checks {
                for row in check.given.iter().chain([&check.fine]) {
                    prop_assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-12);
                    prop_assert!(row.iter().all(|p| (0.0..=1.0).contains(p)));
                }
            }
        }
    }

    #[test]
    fn reading_twice_says_the_same(text in "[a-z\\[\\]=\"\\n ]{0,200}") {
        prop_assert_eq!(read(&text).remarks, read(&text).remarks);
    }
}
