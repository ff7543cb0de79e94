//! The order solver against trying every permutation.
#![cfg(test)]

use proptest::prelude::*;
use strip::order::{Budget, Changes, OrderError, Problem, solve};

/// All orders that keep the precedences, in lexicographic order, by plain recursion.
fn every_order(
    problem: &Problem,
    so_far: &mut Vec<usize>,
    visit: &mut dyn FnMut(&[usize]),
) {
    if so_far.len() == problem.len() {
        visit(so_far);
        return;
    }
    for node in 0..problem.len() {
        let done = so_far.iter().fold(0_u128, |all, at| all | 1 << at);
        if done >> node & 1 == 0 && problem.before(node) & !done == 0 {
            so_far.push(node);
            every_order(problem, so_far, visit);
            so_far.pop();
        }
    }
}

fn length(problem: &Problem, order: &[usize]) -> i64 {
    let start = order.first().map_or(0, |&node| problem.start(node));
    start + order.windows(2).map(|pair| problem.cost(pair[0], pair[1])).sum::<i64>()
}

/// The least cost and the first order that has it.
fn by_trying_all(problem: &Problem) -> (i64, Vec<usize>) {
    let mut best: Option<(i64, Vec<usize>)> = None;
    every_order(problem, &mut Vec::new(), &mut |order| {
        let cost = length(problem, order);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, order.to_vec()));
        }
    });
    best.unwrap()
}

fn is_what_trying_all_finds(problem: &Problem) {
    let (cost, order) = by_trying_all(problem);
    let found = solve(problem, &Budget::USUAL);
    assert_eq!((found.cost, found.nodes), (cost, order));
    assert!(found.proven && found.first);
    assert_eq!(found.lower_bound, cost);
}

/// Pairs (first, later) with first < later in a shuffled numbering, so never a circle.
fn pairs(count: usize) -> impl Strategy<Value = Vec<(usize, usize)>> {
    let places = Just((0..count).collect::<Vec<_>>()).prop_shuffle();
    let chosen = prop::collection::vec(prop::bool::weighted(0.25), count * count);
    (places, chosen).prop_map(move |(place, chosen)| {
        let all = (0..count).flat_map(|one| (0..count).map(move |two| (one, two)));
        let picked = all
            .zip(chosen)
            .filter(|&((one, two), chosen)| chosen && place[one] < place[two]);
        picked.map(|(pair, _)| pair).collect()
    })
}

fn matrices() -> impl Strategy<Value = Problem> {
    (0_usize..=7).prop_flat_map(|count| {
        let costs = prop::collection::vec(prop::collection::vec(0_i64..6, count), count);
        let start = prop::collection::vec(0_i64..6, count);
        (costs, start, pairs(count)).prop_map(|(costs, start, pairs)| {
            Problem::from_matrix(costs, start, &pairs).unwrap()
        })
    })
}

fn changes() -> impl Strategy<Value = Problem> {
    (0_usize..=7).prop_flat_map(|count| {
        let classes = || prop::collection::vec(0_usize..3, count);
        (0_i64..5, 0_i64..5, classes(), classes(), pairs(count)).prop_map(
            move |(far, near, places, tools, pairs)| {
                let layers = vec![
                    Changes { cost: far, class: places },
                    Changes { cost: near, class: tools },
                ];
                Problem::from_changes(count, layers, &pairs).unwrap()
            },
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(400)
    })]

    #[test]
    fn any_matrix(problem in matrices()) {
        is_what_trying_all_finds(&problem);
    }

    #[test]
    fn any_changes(problem in changes()) {
        is_what_trying_all_finds(&problem);
    }

    /// A budget that ends at once leaves a valid order and a bound that holds.
    #[test]
    fn a_short_budget_still_answers(problem in matrices()) {
        let (cost, _) = by_trying_all(&problem);
        let found = solve(&problem, &Budget { nodes: 1, keep_on: &|| false });
        prop_assert_eq!(length(&problem, &found.nodes), found.cost);
        prop_assert_eq!(found.nodes.len(), problem.len());
        prop_assert!(found.lower_bound <= cost && cost <= found.cost);
        prop_assert!(!found.proven || found.cost == cost);
    }
}

#[test]
fn a_circle_is_named() {
    let layers = vec![Changes { cost: 1, class: vec![0, 0, 0] }];
    let circle = Problem::from_changes(3, layers, &[(1, 2), (2, 1)]);
    assert_eq!(circle.unwrap_err(), OrderError::Circle(vec![1, 2]));
}

#[test]
fn nonsense_is_refused() {
    let misfit = Problem::from_matrix(vec![vec![0]], vec![], &[]);
    assert_eq!(misfit.unwrap_err(), OrderError::Misfit);
    let negative = Problem::from_matrix(vec![vec![-1]], vec![0], &[]);
    assert_eq!(negative.unwrap_err(), OrderError::Cost(-1));
    let many = Problem::from_changes(129, vec![], &[]);
    assert_eq!(many.unwrap_err(), OrderError::TooMany(129));
}

/// A generator of our own for cases like a sheet: few positions, few tools, a forest of
/// what lies behind what.
fn like_a_sheet(count: usize, (places, tools): (u64, u64), seed: u64) -> Problem {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    let mut next = move |below: u64| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        usize::try_from((state >> 11) % below.max(1)).unwrap()
    };
    let mut pairs = Vec::new();
    for later in 1..count {
        for _ in 0..2 {
            if next(100) < 45 {
                pairs.push((next(u64::try_from(later).unwrap()), later));
            }
        }
    }
    let place = (0..count).map(|_| next(places)).collect();
    let tool = (0..count).map(|_| next(tools)).collect();
    let layers =
        vec![Changes { cost: 8, class: place }, Changes { cost: 1, class: tool }];
    Problem::from_changes(count, layers, &pairs).unwrap()
}

/// Forty items (design section 6), as loosely and as densely tied as sheets are.
#[test]
fn forty_items_are_proven() {
    for classes in [(2, 4), (3, 6), (4, 8), (5, 10)] {
        for seed in 1..=3 {
            let problem = like_a_sheet(40, classes, seed);
            let found = solve(&problem, &Budget::USUAL);
            assert!(found.proven && found.first, "{classes:?}, seed {seed}");
            assert_eq!(length(&problem, &found.nodes), found.cost);
        }
    }
}

/// Far beyond forty, and with little time, there is still an order and a bound that holds.
#[test]
fn more_items_are_bounded() {
    let problem = like_a_sheet(128, (5, 10), 1);
    let found = solve(&problem, &Budget { nodes: 2_000, keep_on: &|| true });
    assert_eq!(length(&problem, &found.nodes), found.cost);
    assert!(0 < found.lower_bound && found.lower_bound <= found.cost);
    let mut seen = found.nodes.clone();
    seen.sort_unstable();
    assert_eq!(seen, (0..128).collect::<Vec<_>>());
}
