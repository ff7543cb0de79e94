//! The order solver on public instances of the sequential ordering problem (TSPLIB 95,
//! G. Reinelt, Universität Heidelberg, class SOP; least lengths as published with it).
#![cfg(test)]

use std::fs;
use std::path::PathBuf;

use strip::order::{Budget, InstanceError, OrderError, read_instance, solve};

/// Nodes up to which an instance is settled at once.
const SMALL: usize = 27;

fn file(name: &str) -> Option<String> {
    let folder =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/sop");
    #[expect(clippy::disallowed_methods, reason = "a test reads its instances")]
    fs::read_to_string(folder.join(name)).ok()
}

/// The rows of the table in the folder's own page: instance, nodes, least length.
#[expect(clippy::print_stderr, reason = "says what was skipped")]
fn published() -> Vec<(String, usize, i64)> {
    let Some(page) = file("README.md") else {
        eprintln!("skipped: the instances are not there");
        return Vec::new();
    };
    let row = |line: &str| {
        let mut cells = line.split('|').map(str::trim).skip(1);
        let name = cells.next()?.to_owned();
        Some((name, cells.next()?.parse().ok()?, cells.next()?.parse().ok()?))
    };
    let rows: Vec<_> = page.lines().filter_map(row).collect();
    assert!(rows.len() >= 9, "{rows:?}");
    rows
}

fn has_least_length((name, nodes, length): &(String, usize, i64)) {
    let text = file(&format!("{name}.sop")).unwrap();
    let problem = read_instance(&text).unwrap().problem;
    assert_eq!(problem.len(), *nodes, "{name}");
    let found = solve(&problem, &Budget::USUAL);
    assert_eq!(
        (found.cost, found.lower_bound, found.proven),
        (*length, *length, true),
        "{name}"
    );
    assert_eq!(found.nodes.first(), Some(&0));
    assert_eq!(found.nodes.last(), Some(&(problem.len() - 1)));
    let walked: i64 =
        found.nodes.windows(2).map(|pair| problem.cost(pair[0], pair[1])).sum();
    assert_eq!(walked, *length, "{name}");
    for (place, node) in found.nodes.iter().enumerate() {
        let done = found.nodes[..place].iter().fold(0_u128, |all, at| all | 1 << at);
        assert_eq!(problem.before(*node) & !done, 0, "{name}: {node} too early");
    }
    // A million states are about a second: 2 s are allowed to the small, 60 s to the large.
    let most = if *nodes <= SMALL { 1_000_000 } else { 5_000_000 };
    assert!(found.states <= most, "{name}: {} states", found.states);
}

#[test]
fn least_lengths_as_published_up_to_27_nodes() {
    published().iter().filter(|row| row.1 <= SMALL).for_each(has_least_length);
}

#[test]
fn least_lengths_as_published_beyond() {
    published().iter().filter(|row| row.1 > SMALL).for_each(has_least_length);
}

/// With little to spend, the bounds must still enclose the published length.
#[test]
fn bounds_enclose_what_is_published() {
    for (name, _, length) in published() {
        let problem =
            read_instance(&file(&format!("{name}.sop")).unwrap()).unwrap().problem;
        for nodes in [1, 3_000, 60_000] {
            let found = solve(&problem, &Budget { nodes, keep_on: &|| true });
            assert!(found.lower_bound <= length, "{name}: {}", found.lower_bound);
            assert!(length <= found.cost, "{name}: {}", found.cost);
            assert_eq!(found.proven, found.lower_bound == found.cost, "{name}");
            let again = solve(&problem, &Budget { nodes, keep_on: &|| true });
            assert_eq!(found, again, "{name}");
        }
    }
}

#[test]
fn a_wrong_instance_says_where() {
    let with = |matrix: &str| {
        read_instance(&format!("TYPE: SOP\nEDGE_WEIGHT_SECTION\n{matrix}"))
    };
    let number = with("2\n0 x\n-1 0\nEOF\n").unwrap_err();
    assert_eq!(number.line(), Some(4));
    assert_eq!(
        with("2\n0 1\n-1\nEOF\n").unwrap_err(),
        InstanceError::Count { wanted: 4, found: 3 }
    );
    let circle = with("2\n0 -1\n-1 0\n").unwrap_err();
    assert_eq!(circle, InstanceError::Order(OrderError::Circle(vec![0, 1])));
    assert_eq!(with("").unwrap_err(), InstanceError::NoMatrix);
    assert_eq!(with("1\n0\n").unwrap().problem.len(), 1);
    assert_eq!(
        with("900\n").unwrap_err(),
        InstanceError::Order(OrderError::TooMany(900))
    );
    let other = read_instance("NAME: a\nTYPE: ATSP\n").unwrap_err();
    assert_eq!(other.to_string(), "`TYPE` is `ATSP`: only `SOP` is read");
    assert_eq!(other.line(), Some(2));
}
