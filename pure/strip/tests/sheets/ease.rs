//! Items that make others quicker, and waiting that other work goes on in.

use std::fmt::Write as _;

use proptest::prelude::*;
use sheet::{ItemIx, ItemSet, Sheet};
use strip::{StripAnswer, Target};

use crate::bench::{asked, ids, sheet_of, to_item};

/// Minutes on which sums of quarter hours agree.
const CLOSE: f64 = 1e-9;
/// Most items of a random sheet: all subsets in all orders are tried.
const MOST: usize = 6;

/// The strap is quick to take off, the two behind the cover are slower while it is on.
fn strap(strap_min: f64) -> Sheet {
    let text = format!(
        r#"
        [[item]]
        id = "cover"
        title = "Cover"
        strip_min = 2.0
        refit_min = 2.0
        [[item]]
        id = "starter"
        title = "Starter"
        behind = ["cover"]
        strip_min = 10.0
        refit_min = 12.0
        eased_by = {{ earth-strap = 4.0 }}
        [[item]]
        id = "bracket"
        title = "Bracket"
        behind = ["cover"]
        strip_min = 3.0
        refit_min = 3.0
        eased_by = {{ earth-strap = 4.0 }}
        [[item]]
        id = "earth-strap"
        title = "Earth strap"
        strip_min = {strap_min:.1}
        refit_min = {strap_min:.1}
        "#
    );
    sheet_of(&text)
}

/// By hand: 4 minutes saved for 2 off and on (or 6, which does not pay for one, but for both).
#[test]
fn what_makes_quicker_comes_off_where_it_pays() {
    let sheet = strap(1.0);
    let answer = asked(&sheet, &[to_item(&sheet, "starter")], &[]).unwrap();
    assert_eq!(ids(&answer.strip), ["cover", "earth-strap", "starter"]);
    assert!((answer.strip_minutes - 13.0).abs() < CLOSE);
    let easing = &answer.easing[0];
    assert_eq!((easing.item.as_str(), easing.eases.len()), ("earth-strap", 1));
    assert!((easing.saves_minutes - 4.0).abs() < CLOSE);
    assert!((easing.costs_minutes - 2.0).abs() < CLOSE);
    assert_eq!(
        answer.strip[1].warnings,
        [
            "not in the way itself: off because it saves 4 min on Starter and costs 2 min off and on"
        ]
    );
    assert!(answer.remarks.iter().any(|remark| remark.contains("leaves it out")));

    let sheet = strap(3.0);
    let one = asked(&sheet, &[to_item(&sheet, "starter")], &[]).unwrap();
    assert_eq!(ids(&one.strip), ["cover", "starter"]);
    assert!((one.strip[1].minutes - 14.0).abs() < CLOSE && one.easing.is_empty());
    assert!((one.strip_minutes - 16.0).abs() < CLOSE);
    let why = "4 min more because Earth strap stays on: taking it off does not pay";
    assert_eq!(one.strip[1].warnings, [why]);
    let reach = [to_item(&sheet, "starter"), to_item(&sheet, "bracket")];
    let both = asked(&sheet, &reach, &[]).unwrap();
    assert!(ids(&both.strip).contains(&"earth-strap"));
    assert!((both.easing[0].saves_minutes - 8.0).abs() < CLOSE);
}

#[test]
fn what_is_off_already_saves_and_what_is_not_used_is_not_told() {
    let sheet = strap(1.0);
    let off = asked(&sheet, &[to_item(&sheet, "starter")], &["earth-strap"]).unwrap();
    assert_eq!(ids(&off.strip), ["cover", "starter"]);
    assert!((off.strip_minutes - 12.0).abs() < CLOSE && off.easing.is_empty());
    let cover = asked(&sheet, &[to_item(&sheet, "cover")], &[]).unwrap();
    assert!(cover.remarks.is_empty(), "{:?}", cover.remarks);
}

/// By hand: the manifold cools for 20 min from the start; the undertray takes 5 of them, and
/// the sensor would take 6 more if it came before.
#[test]
fn other_work_goes_on_while_something_cools() {
    let sheet = sheet_of(
        r#"
        [[item]]
        id = "undertray"
        title = "Undertray"
        strip_min = 5.0
        [[item]]
        id = "manifold"
        title = "Manifold"
        strip_min = 10.0
        wait_min = 20.0
        [[item]]
        id = "sensor"
        title = "Sensor"
        strip_min = 6.0
        "#,
    );
    let reach = ["undertray", "manifold", "sensor"].map(|id| to_item(&sheet, id));
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(ids(&answer.strip), ["undertray", "manifold", "sensor"]);
    assert!((answer.wait_minutes - 20.0).abs() < CLOSE);
    assert!((answer.waiting_idle_minutes - 15.0).abs() < CLOSE);
    assert!((answer.elapsed_minutes - 36.0).abs() < CLOSE);
    assert_eq!(
        answer.strip[1].warnings,
        [
            "its 20 min of waiting go on while Undertray comes off; then 15 min are left to wait"
        ]
    );
    let told = "in the order undertray, sensor, manifold the waiting is used for other work: \
                done 6 min sooner, moving about counted";
    assert!(answer.remarks.iter().any(|remark| remark == told), "{:?}", answer.remarks);
}

#[derive(Debug, Clone)]
struct Drawn {
    position: usize,
    behind: Vec<bool>,
    eased: Vec<Option<u32>>,
    minutes: u32,
}

fn drawn() -> impl Strategy<Value = Vec<Drawn>> {
    let item = (
        0_usize..2,
        prop::collection::vec(prop::bool::weighted(0.2), MOST),
        prop::collection::vec(prop::option::weighted(0.25, 1_u32..20), MOST),
        1_u32..8,
    );
    let item = item.prop_map(|(position, behind, eased, minutes)| Drawn {
        position,
        behind,
        eased,
        minutes,
    });
    prop::collection::vec(item, 2..=MOST)
}

fn sheet_with(items: &[Drawn]) -> Sheet {
    let mut text = String::new();
    for (place, item) in items.iter().enumerate() {
        let fronts = (0..place).filter(|&other| item.behind[other]);
        let fronts: Vec<String> = fronts.map(|other| format!("\"i{other}\"")).collect();
        let eased = (0..items.len()).filter(|&other| other != place);
        let eased = eased.filter_map(|other| Some((other, item.eased[other]?)));
        let eased: Vec<String> =
            eased.map(|(other, minutes)| format!("i{other} = {minutes}.25")).collect();
        writeln!(
            text,
            "[[item]]\nid = \"i{place}\"\ntitle = \"I\"\nbehind = [{}]\neased_by = {{ {} }}\n\
             strip_min = {}.0\nrefit_min = {}.5\nposition = \"p{}\"",
            fronts.join(", "),
            eased.join(", "),
            item.minutes,
            item.minutes,
            item.position
        )
        .unwrap();
    }
    sheet_of(&text)
}

/// Minutes of an order: strip, refit, moving about, and what is not eased.
fn minutes_of(sheet: &Sheet, order: &[usize]) -> f64 {
    let mut sum = 0.0;
    for (at, &place) in order.iter().enumerate() {
        let item = &sheet.items[place];
        sum += item.strip_min + item.refit_min;
        if at > 0 && sheet.items[order[at - 1]].position != item.position {
            sum += 4.0;
        }
        let still =
            item.eased_by.iter().filter(|(by, _)| !order[..at].contains(&by.at()));
        sum += still.map(|(_, minutes)| minutes).sum::<f64>();
    }
    sum
}

/// Every legal order of every set that holds `goal` once, by plain recursion.
fn least(sheet: &Sheet, goal: usize, order: &mut Vec<usize>, best: &mut f64) {
    if order.contains(&goal) {
        *best = best.min(minutes_of(sheet, order));
    }
    for place in 0..sheet.items.len() {
        let done: ItemSet = order.iter().map(|&at| ItemIx::from(at)).collect();
        let own = ItemSet::one(ItemIx::from(place));
        if !order.contains(&place) && sheet.items[place].closure.minus(own).within(done) {
            order.push(place);
            least(sheet, goal, order, best);
            order.pop();
        }
    }
}

fn minutes_in(answer: &StripAnswer) -> f64 {
    answer.strip_minutes + answer.refit_minutes + answer.moving_minutes
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        ..ProptestConfig::with_cases(250)
    })]

    /// All subsets in all orders: none takes fewer minutes.
    #[test]
    fn no_choice_takes_less(items in drawn(), goal in 0..MOST) {
        let sheet = sheet_with(&items);
        let goal = goal % items.len();
        let answer = asked(&sheet, &[Target::Item(ItemIx::from(goal))], &[]).unwrap();
        let mut best = f64::INFINITY;
        least(&sheet, goal, &mut Vec::new(), &mut best);
        let order: Vec<usize> =
            answer.strip.iter().map(|step| step.item[1..].parse().unwrap()).collect();
        prop_assert!((minutes_of(&sheet, &order) - minutes_in(&answer)).abs() < CLOSE);
        prop_assert!((minutes_in(&answer) - best).abs() < CLOSE, "{} {best}", minutes_in(&answer));
        prop_assert!(answer.proven);
        prop_assert!((answer.elapsed_minutes - answer.strip_minutes - answer.moving_minutes).abs() < CLOSE);
    }
}
