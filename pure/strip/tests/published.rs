//! The order solver on public instances of the sequential ordering problem (TSPLIB 95,
//! G. Reinelt, Universität Heidelberg, class SOP; least lengths as published with it).
#![cfg(test)]

use std::{fs, path::Path};

use strip::order::{Budget, Problem, solve};

/// Reads an instance: -1 in row i, column j says that j comes before i.
#[expect(clippy::print_stderr, reason = "says what was skipped")]
fn instance(name: &str) -> Option<Problem> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/sop");
    #[expect(clippy::disallowed_methods, reason = "a test reads its instances")]
    let Ok(text) = fs::read_to_string(folder.join(format!("{name}.sop"))) else {
        eprintln!("skipped: {name}.sop is not there");
        return None;
    };
    let (_, section) = text.split_once("EDGE_WEIGHT_SECTION").unwrap();
    let mut numbers =
        section.split_whitespace().map_while(|word| word.parse::<i64>().ok());
    let count = usize::try_from(numbers.next().unwrap()).unwrap();
    let mut costs: Vec<Vec<i64>> =
        (0..count).map(|_| numbers.by_ref().take(count).collect()).collect();
    let mut pairs = Vec::new();
    for (later, row) in costs.iter_mut().enumerate() {
        for (first, cost) in row.iter_mut().enumerate().filter(|(_, cost)| **cost < 0) {
            pairs.push((first, later));
            *cost = 0;
        }
    }
    Some(Problem::from_matrix(costs, vec![0; count], &pairs).unwrap())
}

fn has_least_length(name: &str, published: i64) {
    let Some(problem) = instance(name) else { return };
    let found = solve(&problem, &Budget::USUAL);
    assert_eq!((found.cost, found.proven), (published, true), "{name}");
    assert_eq!(found.nodes.first(), Some(&0));
    assert_eq!(found.nodes.last(), Some(&(problem.len() - 1)));
    let length: i64 =
        found.nodes.windows(2).map(|pair| problem.cost(pair[0], pair[1])).sum();
    assert_eq!(length, published, "{name}");
}

#[test]
fn least_lengths_as_published() {
    has_least_length("ESC07", 2125);
    has_least_length("ESC11", 2075);
    has_least_length("ESC12", 1675);
    has_least_length("br17.10", 55);
    has_least_length("br17.12", 55);
    has_least_length("ESC25", 1681);
}

/// Too large to prove here: the bounds must still enclose the published length.
#[test]
fn bounds_enclose_what_is_published() {
    for (name, published) in [("p43.4", 83005), ("ry48p.4", 31446), ("ft53.4", 14425)] {
        let Some(problem) = instance(name) else { continue };
        let found = solve(&problem, &Budget { nodes: 30_000, keep_on: &|| true });
        assert!(found.lower_bound <= published, "{name}: {}", found.lower_bound);
        assert!(published <= found.cost, "{name}: {}", found.cost);
    }
}
