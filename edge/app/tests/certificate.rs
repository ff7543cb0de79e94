//! A certificate whose digest was made to fit again is refused for what it claims.
#![cfg(test)]

use std::fs;
use std::path::{Path, PathBuf};

use app::plan::{Effort, PlanInput, RecurrenceOver};
use app::{Problems, Source, certificate};

fn sheet() -> Source {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    Source::from(root.join("cases/two-covers.toml"))
}

fn written(file: &Path) -> String {
    let input = PlanInput {
        sheet: sheet(),
        workshop: None,
        done: Vec::new(),
        without: Vec::new(),
        off: Vec::new(),
        has: None,
        limit: None,
        economy: app::settings::EconomyOver::default(),
        recurrence: RecurrenceOver::default(),
        effort: Effort { budget_ms: 60_000, ..Effort::default() },
        tree: None,
        stats: false,
        language: "en".to_owned(),
    };
    assert!(certificate::plan(&input, file).unwrap().answer.proven);
    fs::read_to_string(file).unwrap()
}

fn check(file: &Path, text: &str) -> Result<f64, Problems> {
    fs::write(file, text).unwrap();
    let file = Source::from(PathBuf::from(file));
    certificate::check(&file, &sheet()).map(|answer| answer.lower_bound)
}

/// The text with a digest that fits.
fn sealed(text: &str) -> String {
    let body = &text[..=text.trim_end().rfind('\n').unwrap()];
    format!("{body}{{\"blake3\":\"{}\"}}\n", blake3::hash(body.as_bytes()).to_hex())
}

#[test]
fn a_claim_that_says_too_much_is_refused_with_its_line() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("plan.certificate");
    let text = written(&file);
    assert_eq!(sealed(&text), text);
    assert!(check(&file, &text).is_ok());
    for (from, to, line, words) in [
        ("\"lower_bound\":10.14", "\"lower_bound\":10.24", 1, "the lower bound claims"),
        ("\"expected_cost\":10.1", "\"expected_cost\":10.2", 1, "the plan costs 10.1"),
        ("\n[10.9", "\n[11.9", 11, "node 2 claims"),
        ("\"new-valve\",0,[3]", "\"new-hose\",0,[3]", 1, "the plan costs"),
    ] {
        assert!(text.contains(from), "{from}");
        let problems = check(&file, &sealed(&text.replacen(from, to, 1))).unwrap_err();
        let problem = &problems.list()[0];
        assert!(problem.what.contains(words), "{problem}");
        assert_eq!(problem.place.as_ref().unwrap().line, Some(line), "{problem}");
    }
}

#[test]
fn a_change_that_claims_less_is_found_by_the_digest() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("plan.certificate");
    let less = written(&file).replacen("\"lower_bound\":10.1", "\"lower_bound\":10.0", 1);
    assert_eq!(check(&file, &less).unwrap_err().list()[0].kind, "changed");
    assert!(check(&file, &sealed(&less)).unwrap() < 10.1, "it is true, and said anew");
}
