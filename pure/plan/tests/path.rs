//! Facts against the path that leads there: the plan's cost is what its first step costs and
//! the mean of the plans after its outcomes, each asked anew with the outcome as a fact and
//! with what is off then.
#![cfg(test)]

mod generator;
mod reading;
mod searching;

use generator::{Size, random_sheet};
use job::Fact;
use plan::PlanAnswer;
use sheet::{CheckIx, OutcomeIx, ProofIx, RepairIx, Sheet};

/// Both sides are proven to 1e-9 of the cost; odds meet at 2⁻⁴² in the search.
const TOLERANCE: f64 = 1e-8;
/// So many steps are followed from each sheet's start.
const STEPS: usize = 4;

fn fact(sheet: &Sheet, answer: &PlanAnswer, outcome: usize) -> Fact {
    let said = &answer.next.outcomes[outcome].id;
    let id = &answer.next.id;
    match answer.next.kind.as_str() {
        "check" => {
            let check = sheet.checks.iter().position(|check| check.id == *id).unwrap();
            let outcomes = &sheet.checks[check].outcomes;
            let outcome = outcomes.iter().position(|known| known.0 == *said).unwrap();
            Fact::Check { check: CheckIx::from(check), outcome: OutcomeIx::from(outcome) }
        }
        "repair" => {
            let repair =
                sheet.repairs.iter().position(|repair| repair.id == *id).unwrap();
            Fact::Repair { repair: RepairIx::from(repair) }
        }
        "proof" => {
            let proof = sheet.proofs.iter().position(|proof| proof.id == *id).unwrap();
            Fact::Proof {
                proof: ProofIx::from(proof),
                shown: said == "shown",
                exposure: None,
            }
        }
        other => panic!("{other} has no outcome"),
    }
}

/// Follows the likeliest outcome for some steps; returns how many held.
fn follow(seed: u64) -> usize {
    let size = Size { suspects: 4, items: 4, checks: 3, repairs: 3, proofs: 2 };
    let sheet = reading::sheet_of(&random_sheet(seed, size));
    let mut facts: Vec<Fact> = Vec::new();
    let mut off: Vec<String> = Vec::new();
    for step in 0..STEPS {
        let ask = reading::ask(&sheet, &facts, &off);
        let answer = searching::searched(&sheet, &ask, usize::MAX);
        assert!(answer.proven);
        if answer.next.outcomes.is_empty() {
            return step;
        }
        off.retain(|item| !answer.next.refit.contains(item));
        off.extend(answer.next.strip.iter().cloned());
        let mut sum = answer.next.act.cost + answer.next.moving.cost;
        for (place, outcome) in answer.next.outcomes.iter().enumerate() {
            let after: Vec<Fact> =
                facts.iter().cloned().chain([fact(&sheet, &answer, place)]).collect();
            let asked = reading::ask(&sheet, &after, &off);
            let then = searching::searched(&sheet, &asked, usize::MAX);
            sum += outcome.probability * then.expected_cost;
        }
        let name = searching::first_step(&answer);
        let level = TOLERANCE * answer.expected_cost.max(1.0);
        assert!(
            (sum - answer.expected_cost).abs() <= level,
            "seed {seed}, {name}: {sum}"
        );
        let probability = |place: &usize| answer.next.outcomes[*place].probability;
        let likeliest = (0..answer.next.outcomes.len())
            .max_by(|a, b| probability(a).total_cmp(&probability(b)))
            .unwrap();
        facts.push(fact(&sheet, &answer, likeliest));
    }
    STEPS
}

#[test]
fn facts_lead_where_the_path_leads() {
    let steps: usize = (500..540).map(follow).sum();
    assert!(steps >= 60, "only {steps} steps were followed");
}
