//! Pages that people meet every day, as they read in a terminal.

use pages::{
    CarView, EventLine, GoodBad, OddsLine, OptionsView, OwnerOption, Procedure, Step,
    car_page, options_page, procedure,
};
use report::text;

use crate::demo::s;

#[test]
fn options_are_money_chance_and_day() {
    let option = |title: &str, usual, above, holds| OwnerOption {
        title: s(title),
        usual,
        above,
        holds,
        ready: s("Thursday"),
        if_fails: s("we strip it again; you pay the parts only"),
    };
    let page = options_page(&OptionsView {
        vehicle: s("Tarnfell L2 van, EM 26 KLV"),
        language: s("en"),
        currency: s("EUR"),
        spent: 180.0,
        put_back: 55.0,
        authorised: Some(250.0),
        options: vec![
            option("Clean the vanes in place", 210.0, 480.0, Some(0.6)),
            option("Exchange the turbocharger", 1180.0, 1390.2, Some(0.98)),
        ],
        say: s("The next step takes us to 275.00 EUR; may we go on?"),
        remarks: Vec::new(),
    });
    assert_eq!(
        text(&page, 70),
        "\
What can be done
================

Vehicle          Tarnfell L2 van, EM 26 KLV
Spent until now  180.00 EUR
Agreed up to     250.00 EUR

Ring the owner first:

> The next step takes us to 275.00 EUR; may we go on?

Clean the vanes in place
------------------------

Price from here       usually 210 EUR, seldom above 480 EUR
Chance that it holds  about 6 in 10
Ready                 Thursday
If it does not hold   we strip it again; you pay the parts only

Exchange the turbocharger
-------------------------

Price from here       usually 1180 EUR, seldom above 1391 EUR
Chance that it holds  about 98 in 100
Ready                 Thursday
If it does not hold   we strip it again; you pay the parts only

Stop here
---------

Put back as found  55.00 EUR
To pay then        235.00 EUR
"
    );
}

#[test]
fn a_car_says_first_whether_it_may_be_started() {
    let page = car_page(&CarView {
        plate: s("EM 26 KLV"),
        vehicle: s("Tarnfell L2 van"),
        currency: s("EUR"),
        do_not_start: Some(s("the oil feed is open")),
        off: vec![s("Undertray"), s("Oil feed pipe")],
        loose_ends: vec![s("Sealing ring not found")],
        spent: 93.5,
        odds: vec![
            OddsLine { title: s("Vanes stick with soot"), p: 0.62 },
            OddsLine { title: s("something else"), p: 0.03 },
        ],
        events: vec![EventLine {
            id: s("84"),
            when: s("15:10"),
            what: s("Refit stopped"),
            undo: true,
        }],
        ..CarView::default()
    });
    assert_eq!(
        text(&page, 60),
        "\
EM 26 KLV
=========

!!! DO NOT START: the oil feed is open

Vehicle  Tarnfell L2 van
Spent    93.50 EUR

Next
----

Nothing is open here.

Off now
-------

- Undertray
- Oil feed pipe

Loose ends
----------

[ ] Sealing ring not found

How likely
----------

Vanes stick with soot  about 6 in 10
something else         about 3 in 100

What happened
-------------

When   What           Undo
-----------------------------
15:10  Refit stopped  undo 84
"
    );
}

#[test]
fn a_procedure_says_what_is_needed_before_it_starts() {
    let step = |title: &str, minutes, cautions: &[&str]| Step {
        title: s(title),
        how: s("Slowly.\nBoth ways."),
        minutes,
        position: s("under"),
        cautions: cautions.iter().map(|word| s(word)).collect(),
        ..Step::default()
    };
    let page = text(
        &procedure(&Procedure {
            title: s("Free the vanes"),
            learner_factor: 1.8,
            tools: vec![s("13 mm spanner, wobble bar")],
            renew: vec![s("1 × sealing ring")],
            checks: vec![GoodBad {
                step: step("Pump the pod by hand", 9.0, &["hot"]),
                good: s("smooth both ways, 8 to 12 mm"),
                bad: s("catches, then jumps"),
            }],
            way_in: vec![step("Heat shield off", 6.0, &["hot", "raised"])],
            afterwards: vec![s("Look for leaks, warm")],
            ..Procedure::default()
        }),
        72,
    );
    let places: Vec<usize> = [
        "Practised hands  15 min",
        "The first time   27 min",
        "Advice for a trained person.",
        "CAUTION raised",
        "CAUTION hot",
        "What you need before you start",
        "13 mm spanner",
        "1. Pump the pod by hand (9 min, under)",
        "Caution: hot.",
        "Slowly.",
        "Good  smooth both ways",
        "Bad   catches, then jumps",
        "The way in",
        "Caution: hot, raised.",
        "1. Look for leaks, warm",
    ]
    .iter()
    .map(|said| page.find(said).unwrap_or_else(|| panic!("{said}\n{page}")))
    .collect();
    let before = |a: usize, b: usize| assert!(places[a] < places[b], "{page}");
    before(3, 5);
    before(5, 7);
    before(7, 8);
    before(8, 9);
    before(12, 13);
}
