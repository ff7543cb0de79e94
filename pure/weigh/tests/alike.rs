//! Two looks at the same thing by the same method count once: the odds that the page on
//! sheets works out by hand, from the sheet that stands there.
#![cfg(test)]

use std::path::Path;

use job::Fact;
use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx, Sheet};
use weigh::{Odds, OddsError, weigh};

/// Bayes' rule by hand is exact here but for the last bits.
const ROUNDING: f64 = 1e-12;

const MIRROR: u8 = 0;
const CAMERA: u8 = 1;
const BRIGHT: u8 = 0;
const GREEN: u8 = 1;
/// Cleans the plug: right with a probability of one half.
const CLEAN: Fact = Fact::Repair { repair: RepairIx(0) };

#[expect(clippy::disallowed_methods, reason = "a test reads its sheet from the page")]
fn page() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/sheet-format.md");
    std::fs::read_to_string(path).unwrap()
}

fn documented() -> String {
    let page = page();
    let sheets = page.split("```toml\n").skip(1).map(|part| part.split_once("```"));
    let mut texts = sheets.map(|part| part.unwrap().0);
    texts.find(|text| text.contains("same_as")).unwrap().to_owned()
}

fn sheet_of(text: &str) -> Sheet {
    let read = sheet::read(text);
    read.sheet.unwrap_or_else(|| panic!("{:#?}", read.remarks))
}

fn check(check: u8, outcome: u8) -> Fact {
    Fact::Check { check: CheckIx(check), outcome: OutcomeIx(outcome) }
}

fn odds(sheet: &Sheet, facts: &[Fact]) -> Odds {
    weigh(sheet, &sheet.economy, None, facts).unwrap()
}

#[track_caller]
fn corroded(odds: &Odds, by_hand: f64) {
    assert!((odds.present[0] - by_hand).abs() < ROUNDING, "{odds:?}");
}

#[test]
fn the_odds_of_the_page_are_those_by_hand() {
    let text = documented();
    let sheet = sheet_of(&text);
    corroded(&odds(&sheet, &[]), 0.5);
    let once = odds(&sheet, &[check(MIRROR, GREEN)]);
    corroded(&once, 0.5 * 0.8 / (0.5 * 0.8 + 0.5 * 0.2));
    assert_eq!(once.remarks, [""; 0]);
    let twice = odds(&sheet, &[check(MIRROR, GREEN), check(CAMERA, GREEN)]);
    assert_eq!((twice.present, twice.done), (once.present.clone(), once.done));
    let apart = sheet_of(&text.replace("same_as = \"plug-mirror\"\n", ""));
    let counted = odds(&apart, &[check(MIRROR, GREEN), check(CAMERA, GREEN)]);
    corroded(&counted, 0.64 / (0.64 + 0.04));
    let after = odds(&sheet, &[check(MIRROR, GREEN), CLEAN, check(CAMERA, GREEN)]);
    corroded(&after, 0.4 * 0.8 / (0.4 * 0.8 + 0.2 * 0.2 + 0.4 * 0.2));
    assert_eq!(after.remarks, [""; 0]);
    // What the page says, to its three digits.
    let page = page();
    for (odds, row) in [
        (&once, "| `plug-mirror` = green |"),
        (&counted, "| without `same_as`, both green |"),
        (&after, "| `plug-mirror` = green, `clean-plug`, `plug-camera` = green |"),
    ] {
        assert!(page.contains(&format!("{row} {:.3} |", odds.present[0])), "{row}");
    }
}

#[test]
fn a_second_look_is_remarked_and_a_different_one_twice() {
    let sheet = sheet_of(&documented());
    let same = odds(&sheet, &[check(CAMERA, GREEN), check(MIRROR, GREEN)]);
    assert_eq!(same.remarks.len(), 1);
    assert!(
        same.remarks[0].starts_with("Check `plug-mirror` sees the same as `plug-camera`")
    );
    let other = odds(&sheet, &[check(MIRROR, GREEN), check(CAMERA, BRIGHT)]);
    corroded(&other, 0.8);
    assert_eq!(other.remarks.len(), 2);
    for word in ["green", "bright", "`plug-mirror`", "`plug-camera`"] {
        assert!(other.remarks[1].contains(word), "{word}: {}", other.remarks[1]);
    }
}

#[test]
fn a_reading_differs_only_where_it_names_an_outcome() {
    let sheet = sheet_of(&documented());
    let reading = |weights: &[f64]| Fact::Reading {
        check: CheckIx(CAMERA),
        weights: weights.to_vec(),
    };
    for (weights, remarks) in [([0.9, 0.1], 2), ([0.1, 0.9], 1), ([0.5, 0.5], 1)] {
        let odds = odds(&sheet, &[check(MIRROR, GREEN), reading(&weights)]);
        corroded(&odds, 0.8);
        assert_eq!(odds.remarks.len(), remarks, "{weights:?}");
    }
}

#[test]
fn what_could_not_tell_leaves_its_family() {
    let sheet = sheet_of(&documented());
    let skipped = Fact::CouldNotTell { check: CheckIx(MIRROR) };
    assert_eq!(odds(&sheet, std::slice::from_ref(&skipped)).done.checks, 0b01);
    let then = odds(&sheet, &[skipped, check(CAMERA, GREEN)]);
    corroded(&then, 0.8);
    assert_eq!((then.done.checks, then.remarks.len()), (0b11, 0));
    assert_eq!(odds(&sheet, &[check(CAMERA, GREEN)]).done.checks, 0b11);
    // No repair makes the family available again.
    assert_eq!(odds(&sheet, &[check(CAMERA, GREEN), CLEAN]).done.checks, 0b11);
}

#[test]
fn a_check_that_cures_lies_between_and_its_cure_acts_in_any_case() {
    let fixes = "fixes = { plug-corroded = 0.5 }\noutcomes = [\"bright\", \"green\"]";
    let (first, second) =
        ("outcomes = [\"bright\", \"green\"]", "same_as = \"plug-mirror\"\n");
    let text = documented();
    // The mirror cures after it was answered, so the camera sees something new: as after
    // `clean-plug` above.
    let cured = sheet_of(&text.replacen(first, fixes, 1));
    let after = odds(&cured, &[check(MIRROR, GREEN), check(CAMERA, GREEN)]);
    corroded(&after, 0.4 * 0.8 / (0.4 * 0.8 + 0.2 * 0.2 + 0.4 * 0.2));
    assert_eq!(after.remarks, [""; 0]);
    // The camera cures: what it says does not count, its cure does, and proofs open again.
    let curing = "same_as = \"plug-mirror\"\nfixes = { plug-corroded = 0.5 }\n";
    let proof = "[[proof]]\nid = \"p\"\ntitle = \"P\"\nshows = 0.5\nfalse = 0.5\n";
    let curing = sheet_of(&(text.replace(second, curing) + proof));
    let clear = Fact::Proof { proof: ProofIx(0), shown: false, exposure: None };
    let after = odds(&curing, &[check(MIRROR, GREEN), clear, check(CAMERA, GREEN)]);
    corroded(&after, 0.4);
    assert_eq!((after.done.proofs, after.remarks.len()), (0, 1));
}

#[test]
fn a_second_look_can_neither_be_impossible_nor_the_same_check() {
    let row = "plug-corroded = { bright = 0.2, green = 0.8 }";
    let text = documented();
    let from = text.rfind(row).unwrap();
    let never = "fine = { green = 1.0 }\n  plug-corroded = { green = 1.0 }";
    let fine = text[..from].rfind("fine").unwrap();
    let sheet = sheet_of(&(text[..fine].to_owned() + never + &text[from + row.len()..]));
    let alone = weigh(&sheet, &sheet.economy, None, &[check(CAMERA, BRIGHT)]);
    assert!(matches!(alone, Err(OddsError::Impossible { .. })), "{alone:?}");
    corroded(&odds(&sheet, &[check(MIRROR, GREEN), check(CAMERA, BRIGHT)]), 0.8);
    let twice = [check(CAMERA, GREEN), check(MIRROR, GREEN), check(CAMERA, GREEN)];
    let error = weigh(&sheet, &sheet.economy, None, &twice).unwrap_err();
    assert_eq!(error, OddsError::CheckTwice { check: "plug-camera".to_owned() });
}
