//! What the judge refuses, and that it says what to do instead.
#![cfg(test)]

mod generator;
mod reading;

use generator::{Size, random_sheet};
use plan::judge::{JudgeAsk, JudgeError, JudgeKind, JudgeMoves, least_cost};
use sheet::Sheet;

fn sheet(items: usize) -> Sheet {
    let size = Size { suspects: 2, items, checks: 1, repairs: 1, proofs: 1 };
    // Any sheet with an item behind another one will do.
    (0..99)
        .map(|seed| reading::sheet_of(&random_sheet(seed, size)))
        .find(|sheet| sheet.items.iter().any(|item| !item.behind.is_empty()))
        .unwrap()
}

#[track_caller]
fn refused(sheet: &Sheet, ask: &JudgeAsk, says: &str) -> JudgeError {
    let error = least_cost(sheet, ask).unwrap_err();
    assert!(error.to_string().contains(says), "{error}");
    error
}

#[test]
fn off_that_is_not_closed_names_what_is_missing() {
    let sheet = sheet(3);
    let item = sheet.items.iter().find(|item| !item.behind.is_empty()).unwrap();
    let ask = reading::ask(&sheet, &[], &[&item.id]);
    refused(&sheet, &ask, &format!("`{}`", item.id));
    refused(&sheet, &ask, &format!("`{}`", sheet.items[item.behind[0].at()].id));
}

#[test]
fn no_end_left_is_an_error() {
    let sheet = sheet(3);
    let without = vec![(JudgeKind::Close, 0), (JudgeKind::PassOn, 0)];
    let ask = JudgeAsk { without, ..reading::ask(&sheet, &[], &[""; 0]) };
    assert_eq!(refused(&sheet, &ask, "allow one of them"), JudgeError::NoEnd);
}

#[test]
fn odds_of_another_sheet_are_an_error() {
    let sheet = sheet(3);
    let mut ask = reading::ask(&sheet, &[], &[""; 0]);
    ask.odds.present.push(0.0);
    assert_eq!(refused(&sheet, &ask, "another sheet"), JudgeError::OtherSheet);
}

#[test]
fn what_is_too_large_says_so() {
    let small = sheet(3);
    let ask = JudgeAsk { limit_states: 1, ..reading::ask(&small, &[], &[""; 0]) };
    refused(&small, &ask, "more than 1 states");
    let large = sheet(13);
    let ask = JudgeAsk { moves: JudgeMoves::Free, ..reading::ask(&large, &[], &[""; 0]) };
    refused(&large, &ask, "more than 12 items");
}
