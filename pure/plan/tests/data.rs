//! Judge and search against the sheets of `shared/data/plan`, whose least expected costs and first
//! steps come from an independent dynamic program (`expected.toml` there says so).
#![cfg(test)]
#![expect(clippy::disallowed_methods, reason = "the sheets lie beside the project")]
#![expect(clippy::print_stderr, reason = "a test that was skipped says so")]

mod reading;
mod searching;

use std::path::Path;

use job::Fact;
use plan::judge::{JudgeKind, least_cost};
use serde::Deserialize;
use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx, Sheet};

/// The file gives eight decimals of values up to some 1000: this share of max(1, value).
const TOLERANCE: f64 = 1e-9;

#[derive(Deserialize)]
struct Expected {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    sheet: String,
    facts: Vec<String>,
    off: Vec<String>,
    expected_cost: f64,
    first: String,
}

#[test]
fn least_costs_and_first_steps_are_those_of_the_dynamic_program() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/plan");
    let Ok(text) = std::fs::read_to_string(folder.join("expected.toml")) else {
        eprintln!("skipped: no shared/data/plan beside the project");
        return;
    };
    let expected: Expected = toml::from_str(&text).unwrap();
    let mut wrong = Vec::new();
    for case in &expected.case {
        let text = std::fs::read_to_string(folder.join(&case.sheet)).unwrap();
        let sheet = reading::sheet_of(&text);
        let facts: Vec<_> = case.facts.iter().map(|text| fact(&sheet, text)).collect();
        let ask = reading::ask(&sheet, &facts, &case.off);
        let answer = least_cost(&sheet, &ask).unwrap();
        let (kind, id, _) = &answer.first;
        let first = match kind {
            JudgeKind::Close | JudgeKind::PassOn => id.clone(),
            JudgeKind::Check | JudgeKind::Repair | JudgeKind::Proof => {
                format!("{}:{id}", kind.word())
            }
        };
        let searched = searching::searched(&sheet, &ask, usize::MAX);
        let apart = (searched.expected_cost - case.expected_cost).abs();
        if !searched.proven
            || apart > TOLERANCE * case.expected_cost.max(1.0)
            || searching::first_step(&searched) != case.first
        {
            wrong.push(format!(
                "search: {} {:?}: {:.8} {}, expected {:.8} {}",
                case.sheet,
                case.facts,
                searched.expected_cost,
                searching::first_step(&searched),
                case.expected_cost,
                case.first
            ));
        }
        let off_by = (answer.cost - case.expected_cost).abs();
        if off_by > TOLERANCE * case.expected_cost.max(1.0) || first != case.first {
            wrong.push(format!(
                "{} {:?}: {:.8} {first}, expected {:.8} {}",
                case.sheet, case.facts, answer.cost, case.expected_cost, case.first
            ));
        }
    }
    assert!(!expected.case.is_empty(), "expected.toml has no case");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// `check:ID=OUTCOME`, `repair:ID`, `proof:ID=clear|shown`.
fn fact(sheet: &Sheet, text: &str) -> Fact {
    let (kind, rest) = text.split_once(':').unwrap();
    let (id, said) = rest.split_once('=').unwrap_or((rest, ""));
    match kind {
        "check" => {
            let check = sheet.checks.iter().position(|check| check.id == id).unwrap();
            let outcomes = &sheet.checks[check].outcomes;
            let outcome = outcomes.iter().position(|outcome| outcome.0 == said).unwrap();
            Fact::Check { check: CheckIx::from(check), outcome: OutcomeIx::from(outcome) }
        }
        "repair" => {
            let repair = sheet.repairs.iter().position(|repair| repair.id == id).unwrap();
            Fact::Repair { repair: RepairIx::from(repair) }
        }
        "proof" => {
            assert!(matches!(said, "clear" | "shown"), "{text}");
            let proof = sheet.proofs.iter().position(|proof| proof.id == id).unwrap();
            Fact::Proof {
                proof: ProofIx::from(proof),
                shown: said == "shown",
                exposure: None,
            }
        }
        other => panic!("`{other}` is no kind of fact"),
    }
}
