//! The whole plan as an outline with costs.

use plan::TreeStep;

use crate::{Table, Words, say};

/// More rows than anybody reads.
const MOST_ROWS: usize = 2_000;

/// A step by its title, and where it was told before, by its number.
fn name(step: &TreeStep) -> String {
    match (step.again, step.outcomes.is_empty()) {
        (true, _) => format!("{}: on as at {}", step.title, step.number),
        (false, true) => step.title.clone(),
        (false, false) => format!("{} [{}]", step.title, step.number),
    }
}

/// One row a step: what came out before it, what to do then, and what it costs from there.
pub(super) fn outline(tree: &TreeStep, currency: &str) -> Table {
    let mut table = Table::new(&["If", "Then", "Chance", ">From there"]);
    let mut open: Vec<(usize, String, Option<f64>, &TreeStep)> =
        vec![(0, String::new(), None, tree)];
    while let Some((depth, outcome, p, step)) = open.pop() {
        if table.rows.len() >= MOST_ROWS {
            let cut = "… the plan goes on; ask for less depth";
            table.row(vec![Words::from(cut)]);
            break;
        }
        table.row(vec![
            Words::from(format!("{} {outcome}", "–".repeat(depth))),
            Words::from(name(step)),
            Words::from(p.map_or_else(String::new, say::chance)),
            Words::from(say::whole_money(step.expected_cost, currency)),
        ]);
        for branch in step.outcomes.iter().rev() {
            open.push((
                depth + 1,
                branch.id.clone(),
                Some(branch.probability),
                &branch.then,
            ));
        }
    }
    table
}
