//! Values published for troubleshooting with and without strip-down, as sheets, against the
//! judge. Sections are those of references/planner.md.
//!
//! Not carried by the model, and why: 2.4 (AND-OR satisficing) is the price of one fixed
//! order, 2.428, which is not the least (milk first, then by p/c, costs 2.408); the orders
//! beside an optimum (2.1, 2.3, 2.5-2.8) are prices of given sequences, not of plans; 2.11
//! gives no probabilities. 2.9's spot values are odds, tested where odds are made.
#![cfg(test)]

mod published_sheets;
mod reading;
mod searching;

use plan::judge::least_cost;
use published_sheets as sheets;

/// Rounding of some dozens of sums and products, as a share of max(1, value).
const TOLERANCE: f64 = 1e-9;
/// A comeback or a specialist that no plan would pay.
const NEVER: f64 = 1e6;

/// One published least cost.
struct Published {
    /// Section of references/planner.md and what it is.
    source: &'static str,
    /// How far the value can be trusted.
    standing: &'static str,
    /// The sheet's body.
    body: &'static str,
    /// What handing back unfixed costs.
    comeback: f64,
    /// What is off at first.
    off: &'static [&'static str],
    /// Least expected cost.
    cost: f64,
    /// First step and its way, ties in the order of the sheet.
    first: (&'static str, usize),
}

const RECOMPUTED: &str = "data from memory, value recomputed";
const OWN: &str = "own data, value recomputed";

const fn case(source: &'static str, body: &'static str, cost: f64) -> Published {
    Published {
        source,
        standing: OWN,
        body,
        comeback: NEVER,
        off: &[],
        cost,
        first: ("", 0),
    }
}

const CASES: &[Published] = &[
    Published {
        standing: RECOMPUTED,
        first: ("repair:a3", 0),
        ..case(
            "2.1 dependent actions (style of Ottosen and Jensen 2008)",
            sheets::DEPENDENT,
            1.45,
        )
    },
    Published {
        standing: RECOMPUTED,
        first: ("check:t2", 0),
        ..case(
            "2.2 test sequencing (Pattipati and Alexandridis 1990): 2.18 + an answer of 100",
            sheets::SEQUENCING,
            102.18,
        )
    },
    Published {
        standing: "textbook exercise, value recomputed",
        first: ("check:look-y", 0),
        ..case(
            "2.3 three-part inspection: 91.637125 + an answer of 1000",
            sheets::SERIES,
            1_091.637_125,
        )
    },
    Published {
        first: ("repair:a4", 0),
        ..case("2.5 independent actions (p/c order)", sheets::INDEPENDENT, 20.5)
    },
    Published {
        first: ("check:look", 0),
        ..case(
            "2.6 cluster, result visible without refitting",
            sheets::CLUSTER_OPEN,
            24.6,
        )
    },
    Published {
        first: ("check:look", 0),
        ..case("2.6 cluster, all charged at opening", sheets::CLUSTER_AT_OPENING, 24.6)
    },
    Published {
        first: ("repair:a3", 0),
        ..case("2.6 cluster, refitted before every test", sheets::CLUSTER_REFITTED, 29.7)
    },
    Published {
        standing: "own data, least over all orders and all sets of tests left out",
        first: ("repair:a3", 0),
        ..case(
            "2.6 cluster, tests left out where they don't pay",
            sheets::CLUSTER_BATCHED,
            25.8,
        )
    },
    Published {
        first: ("repair:a1", 0),
        ..case("2.7 postponed test, one at the end", sheets::POSTPONED_EQUAL, 7.0)
    },
    Published {
        first: ("repair:a1", 0),
        ..case("2.7 postponed test, after each", sheets::POSTPONED_NEVER, 10.0)
    },
    Published {
        first: ("repair:a1", 0),
        ..case(
            "2.7 postponed test, {1,2} test {3,4} test",
            sheets::POSTPONED_FALLING,
            18.3,
        )
    },
    Published {
        first: ("repair:a1", 0),
        ..case("2.7 postponed test, after each is best", sheets::POSTPONED_DEAR, 16.0)
    },
    Published {
        first: ("repair:b", 0),
        ..case("2.8 min-sum set cover trap", sheets::SET_COVER, 1.5)
    },
    Published {
        comeback: 100.0,
        first: ("repair:r", 0),
        ..case("2.9 imperfect repair, once and handed over", sheets::IMPERFECT_ONCE, 38.0)
    },
    Published {
        comeback: 100.0,
        first: ("repair:r", 0),
        ..case(
            "2.9 imperfect repair, tested and done again",
            sheets::IMPERFECT_TWICE,
            35.6,
        )
    },
    Published {
        comeback: 5.0,
        first: ("check:live", 0),
        ..case("2.10 full model, B = 5 (24/5)", sheets::TWO_COVERS, 4.8)
    },
    Published {
        comeback: 10.0,
        first: ("check:live", 0),
        ..case(
            "2.10 full model, B = 10 (33517/4000)",
            sheets::TWO_COVERS,
            33_517.0 / 4_000.0,
        )
    },
    Published {
        comeback: 20.0,
        first: ("check:smoke", 0),
        ..case(
            "2.10 full model, B = 20 (20291/2000)",
            sheets::TWO_COVERS,
            20_291.0 / 2_000.0,
        )
    },
    Published {
        comeback: 40.0,
        first: ("check:live", 0),
        ..case(
            "2.10 full model, B = 40 (129031/10000)",
            sheets::TWO_COVERS,
            129_031.0 / 10_000.0,
        )
    },
    Published {
        comeback: 100.0,
        first: ("check:smoke", 0),
        ..case(
            "2.10 full model, B = 100 (41589/2000)",
            sheets::TWO_COVERS,
            41_589.0 / 2_000.0,
        )
    },
    Published {
        first: ("repair:t", 1),
        ..case("5 two ways in, nothing off", sheets::TWO_WAYS, 6.0)
    },
    Published {
        off: &["d"],
        first: ("repair:t", 0),
        ..case("5 two ways in, D off already", sheets::TWO_WAYS, 2.0)
    },
    Published {
        standing: "by hand: 11 + 100 + (11 + 11)/2",
        off: &["outer", "inner"],
        first: ("check:look", 0),
        ..case("design section 5, what must be on", sheets::BACK_WITH_IT, 122.0)
    },
];

/// The whole text of a case's sheet.
fn text(case: &Published) -> String {
    format!(
        "{}\n[sheet]\nformat = 1\nid = \"published\"\ntitle = \"Published\"\nversion = 1\n\
         codes = []\n[economy]\nlabour_per_hour = 60.0\ncomeback = {:.1}\npass_on = {NEVER:.1}\n",
        case.body, case.comeback
    )
}

#[test]
fn judge_and_search_find_every_published_value() {
    let mut wrong = Vec::new();
    for case in CASES {
        let sheet = reading::sheet_of(&text(case));
        let ask = reading::ask(&sheet, &[], case.off);
        let answer = least_cost(&sheet, &ask).unwrap();
        let (kind, id, way) = &answer.first;
        let first = (format!("{}:{id}", kind.word()), *way);
        let near = (answer.cost - case.cost).abs() <= TOLERANCE * case.cost.max(1.0);
        if !near || (first.0.as_str(), first.1) != case.first {
            wrong.push(format!(
                "{} ({}): {} {first:?}, published {} {:?}",
                case.source, case.standing, answer.cost, case.cost, case.first
            ));
        }
        let searched = searching::searched(&sheet, &ask, usize::MAX);
        let near =
            (searched.expected_cost - case.cost).abs() <= TOLERANCE * case.cost.max(1.0);
        let first = (searching::first_step(&searched), searched.next.way);
        if !near || !searched.proven || (first.0.as_str(), first.1) != case.first {
            wrong.push(format!(
                "search, {} ({}): {} {first:?}, published {} {:?}",
                case.source, case.standing, searched.expected_cost, case.cost, case.first
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
