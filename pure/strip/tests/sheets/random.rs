//! Random sheets, each answer against trying everything.

use std::fmt::Write as _;

use proptest::prelude::*;
use sheet::{ItemIx, ItemSet, Sheet};
use strip::{Step, StripAnswer, Target, move_cost};

use crate::bench::{asked, sheet_of};

/// Minutes on which sums of quarter hours agree.
const CLOSE: f64 = 1e-9;

#[derive(Debug, Clone)]
struct Drawn {
    position: usize,
    head: usize,
    behind: Vec<bool>,
    after: Vec<bool>,
    minutes: u32,
}

/// Up to seven items; `behind` points to earlier ones, so that there is no circle.
fn drawn() -> impl Strategy<Value = Vec<Drawn>> {
    let item = (
        0_usize..3,
        0_usize..3,
        prop::collection::vec(prop::bool::weighted(0.25), 7),
        prop::collection::vec(prop::bool::weighted(0.1), 7),
        1_u32..20,
    );
    let item = item.prop_map(|(position, head, behind, after, minutes)| Drawn {
        position,
        head,
        behind,
        after,
        minutes,
    });
    prop::collection::vec(item, 1..=7)
}

fn text_of(items: &[Drawn], ways: &str) -> String {
    let mut text = String::new();
    for (place, item) in items.iter().enumerate() {
        let names = |chosen: &[bool]| {
            let picked =
                chosen.iter().enumerate().take(place).filter(|(_, chosen)| **chosen);
            picked
                .map(|(other, _)| format!("\"i{other}\""))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let minutes = item.minutes;
        write!(
            text,
            "[[item]]\nid = \"i{place}\"\ntitle = \"I\"\nbehind = [{}]\n\
             strip_min = {minutes}.0\nrefit_min = {minutes}.5\n",
            names(&item.behind)
        )
        .unwrap();
        if item.position > 0 {
            writeln!(text, "position = \"p{}\"", item.position).unwrap();
        }
        text.push_str("[[item.fastener]]\nid = \"f\"\ncount = 2\nkind = \"bolt\"\n");
        if item.head > 0 {
            writeln!(text, "head_mm = 1{}.0", item.head).unwrap();
        }
    }
    text + ways
}

/// The sheet, with `refit_after` put in where the way out has no circle by it.
fn sheet_with(items: &[Drawn], ways: &str) -> Sheet {
    let mut sheet = sheet_of(&text_of(items, ways));
    for (place, item) in items.iter().enumerate() {
        let later = item.after.iter().enumerate().take(items.len()).skip(place + 1);
        let after =
            later.filter(|(_, chosen)| **chosen).map(|(other, _)| ItemIx::from(other));
        sheet.items[place].refit_after = after.collect();
    }
    sheet
}

/// Every order of `items` in which `may(item, done)` holds throughout, in lexicographic order.
fn every_order(
    items: &[usize],
    may: &dyn Fn(usize, &[usize]) -> bool,
    done: &mut Vec<usize>,
    visit: &mut dyn FnMut(&[usize]),
) {
    if done.len() == items.len() {
        visit(done);
    }
    for &item in items {
        if !done.contains(&item) && may(item, done) {
            done.push(item);
            every_order(items, may, done, visit);
            done.pop();
        }
    }
}

fn places(steps: &[Step]) -> Vec<usize> {
    steps.iter().map(|step| step.item[1..].parse().unwrap()).collect()
}

fn moving(items: &[Drawn], order: &[usize]) -> f64 {
    let between = |pair: &[usize]| {
        let (one, two) = (&items[pair[0]], &items[pair[1]]);
        let position = if one.position == two.position { 0.0 } else { 4.0 };
        let tool = if one.head == two.head { 0.0 } else { 0.5 };
        position + tool
    };
    order.windows(2).map(between).sum()
}

fn the_way_in_is_the_first_of_the_best(items: &[Drawn], answer: &StripAnswer) {
    let order = places(&answer.strip);
    let mut numbers = order.clone();
    numbers.sort_unstable();
    let may = |item: usize, done: &[usize]| {
        let fronts = items[item].behind.iter().enumerate().take(item);
        fronts.filter(|(_, is)| **is).all(|(front, _)| done.contains(&front))
    };
    let mut best: Option<(f64, Vec<usize>)> = None;
    every_order(&numbers, &may, &mut Vec::new(), &mut |order| {
        let minutes = moving(items, order);
        if best.as_ref().is_none_or(|(least, _)| minutes < least - CLOSE) {
            best = Some((minutes, order.to_vec()));
        }
    });
    let (minutes, first) = best.unwrap();
    assert_eq!(order, first);
    assert!((answer.moving_minutes - minutes).abs() < CLOSE);
    assert!(answer.proven && (answer.lower_bound - minutes).abs() < CLOSE);
}

/// Nearest the mirror, first by first: of all orders that are allowed, the least when each
/// item is named by its place in the mirror.
fn the_way_out_is_nearest_the_mirror(items: &[Drawn], answer: &StripAnswer) {
    let mirror: Vec<usize> = places(&answer.strip).into_iter().rev().collect();
    let may = |item: usize, done: &[usize]| {
        let first = |other: usize| {
            item < other && (items[other].behind[item] || items[item].after[other])
        };
        mirror.iter().all(|&other| !first(other) || done.contains(&other))
    };
    let mut nearest = None;
    every_order(&mirror, &may, &mut Vec::new(), &mut |order| {
        nearest.get_or_insert_with(|| order.to_vec());
    });
    assert_eq!(places(&answer.refit), nearest.unwrap());
}

fn every_fastener_goes_back_once(answer: &StripAnswer) {
    let all = |steps: &[Step]| {
        let every = steps.iter().flat_map(|step| {
            step.fasteners
                .iter()
                .map(|f| (step.item.clone(), f.id.clone(), f.cells.clone()))
        });
        let mut every: Vec<_> = every.collect();
        every.sort();
        every
    };
    assert_eq!(all(&answer.strip), all(&answer.refit));
    let cells: Vec<u32> = answer
        .strip
        .iter()
        .flat_map(|s| &s.fasteners)
        .flat_map(|f| f.cells.clone())
        .collect();
    let count = u32::try_from(cells.len()).unwrap();
    assert_eq!(cells, (1..=count).collect::<Vec<_>>());
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(1_000)
    })]

    #[test]
    fn in_and_out(items in drawn()) {
        let sheet = sheet_with(&items, "");
        let reach: Vec<Target> =
            (0..items.len()).map(|place| Target::Item(ItemIx::from(place))).collect();
        let answer = asked(&sheet, &reach, &[]).unwrap();
        prop_assert_eq!(answer.strip.len(), items.len());
        the_way_in_is_the_first_of_the_best(&items, &answer);
        the_way_out_is_nearest_the_mirror(&items, &answer);
        every_fastener_goes_back_once(&answer);
    }

    /// Two checks with two ways each: of the four combinations the cheapest is taken.
    #[test]
    fn ways_jointly(items in drawn(), named in prop::collection::vec(0_usize..7, 4)) {
        let name = |place: usize| named[place] % items.len();
        let check = |id: &str, one: usize, two: usize| format!(
            "[[check]]\nid = \"{id}\"\ntitle = \"C\"\nminutes = 1.0\n\
             off = [[\"i{}\"], [\"i{}\"]]\noutcomes = [\"good\", \"bad\"]\n\
             outcome = {{ good = \"Good\", bad = \"Bad\" }}\n\
             given = {{ fine = {{ good = 0.9, bad = 0.1 }}, cause = {{ good = 0.2, bad = 0.8 }} }}\n",
            name(one), name(two)
        );
        let sheet = sheet_with(&items, &(check("one", 0, 1) + &check("two", 2, 3)));
        let cost = |off: ItemSet| {
            move_cost(&sheet, &sheet.economy, ItemSet::EMPTY, off).cost
                + move_cost(&sheet, &sheet.economy, off, ItemSet::EMPTY).cost
        };
        let closure = |place: usize| sheet.items[name(place)].closure;
        let every = [(0, 2), (0, 3), (1, 2), (1, 3)];
        let least = every
            .iter()
            .map(|&(one, two)| cost(closure(one).union(closure(two))))
            .fold(f64::INFINITY, f64::min);
        let reach = [0, 1].map(|place| Target::Check(sheet::CheckIx(place)));
        let answer = asked(&sheet, &reach, &[]).unwrap();
        let off: ItemSet = places(&answer.strip).into_iter().map(ItemIx::from).collect();
        prop_assert!((cost(off) - least).abs() < CLOSE);
        let (one, two) = (answer.ways[0].way, answer.ways[1].way + 2);
        prop_assert_eq!(off, closure(one).union(closure(two)));
    }
}
