//! Golden pages in a terminal, and widths that hold for any text.

use pages::{
    Block, CarLine, Choice, DEFERS, Mark, NextKind, NextStep, Page, Table, WaitsFor,
    Words, cars_page, next_step_blocks, pair, wiper_sheet,
};
use report::{columns, text};

#[test]
fn the_sheet_under_the_wiper() {
    let page = wiper_sheet(&crate::demo::wiper());
    assert_eq!(
        text(&page, 46),
        "\
EM 26 KLV
=========

Vehicle  Tarnfell L2 van
Job      26-0117
Day      9 November 2026

!!! DO NOT START

The oil feed of the turbocharger is open.

Off now
-------

Undertray, Heat shield, Oil feed pipe

Loose ends
----------

[ ] Sealing ring of the pod not found
[ ] Caps fitted: 2, removed: 0

Ask: D. Falk, 0000 555 014
"
    );
}

#[test]
fn cars_on_hand() {
    let car = |plate: &str, waits_for, next: &str, loose_ends| CarLine {
        job: crate::demo::s("26-0117"),
        plate: crate::demo::s(plate),
        vehicle: crate::demo::s("Tarnfell L2 van"),
        waits_for,
        since: crate::demo::s("09:15"),
        next: crate::demo::s(next),
        loose_ends,
    };
    let page = cars_page(
        &[
            car(
                "EM 26 KLV",
                Some(WaitsFor::Me),
                "Pump up the pod by hand and watch the rod",
                2,
            ),
            car("EM 24 ROW", Some(WaitsFor::Trial), "Ring the owner", 0),
            car("EM 23 FEN", None, "", 0),
        ],
        "en",
    );
    assert_eq!(
        text(&page, 100),
        "\
Cars on hand
============

Plate      Vehicle          Waits for  Since  Next                  Loose ends
--------------------------------------------------------------------------------
EM 26 KLV  Tarnfell L2 van  me         09:15  Pump up the pod by …  2 loose ends
EM 24 ROW  Tarnfell L2 van  trial      09:15  Ring the owner
EM 23 FEN  Tarnfell L2 van  gone       09:15
"
    );
}

fn step() -> NextStep {
    let choice = |id: &str, text: &str, hint: &str| Choice {
        id: id.into(),
        text: text.into(),
        hint: hint.into(),
    };
    NextStep {
        kind: NextKind::Check,
        id: crate::demo::s("hand-pump"),
        title: "Pump the pod by hand".into(),
        how: vec!["Watch the rod both ways.".into()],
        minutes: 9.0,
        move_minutes: 5.0,
        cost: 15.4,
        currency: crate::demo::s("EUR"),
        strip: vec!["Undertray".into()],
        refit: Vec::new(),
        needs: vec!["hand pump".into()],
        cautions: pages::cautions(["hot"]),
        outcomes: vec![
            choice("free", "Moves freely", "Loaded drive"),
            choice("sticks", "Sticks", "Clean the vanes"),
        ],
        why: "About 4 in 10: Sticks, then Clean the vanes.".into(),
        turns: Words::default(),
    }
}

#[test]
fn the_next_step_shows_cautions_before_instructions() {
    let mut page = Page::new("EM 26 KLV", "en");
    page.blocks.extend(next_step_blocks(&step()));
    assert_eq!(
        text(&page, 60),
        "\
EM 26 KLV
=========

> Pump the pod by hand

Takes      9 min, 5 min to get there, about 15 EUR
Comes off  Undertray
Needs      hand pump

! CAUTION hot: Hot parts: let them cool or wear heat-proof
  gloves; exhaust parts stay hot for long.

Watch the rod both ways.

free    Moves freely → Loaded drive
sticks  Sticks → Clean the vanes

- Why: About 4 in 10: Sticks, then Clean the vanes.
"
    );
}

/// The words of a page without its line ends.
fn flat(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_owner_reads_five_answers_in_order() {
    let page = text(&pages::owner_report(&crate::demo::owner()), 72);
    let headings = [
        "What you told us",
        "What we found",
        "What we did",
        "How sure we are",
        "What to watch",
    ];
    let places: Vec<usize> = headings.iter().map(|h| page.find(h).unwrap()).collect();
    assert!(places.windows(2).all(|pair| pair[0] < pair[1]));
    for said in [
        "About 95 in 100 that it is fixed.",
        "It stayed away for 531 km, where it used to show about twice in 400 km.",
        "[/] Cleaned the vanes in place",
        "Quoted: usually 290 EUR, seldom above 420 EUR. Agreed up to 420.00 EUR.",
        "[ ] One undertray clip broken",
        "Engine mount, right, gone soft: have it done soon.",
    ] {
        assert!(flat(&page).contains(said), "{said}\n{page}");
    }
    let file = text(&pages::file_report(&crate::demo::file()), 100);
    for said in [
        "Torque record",
        "9f27c40a6be1d3358c02",
        "CAUTION flammable-solvent",
        "no. 2, 5-50 N·m",
        "Clamps nipped again after the drive: open",
        "3 h 35 min",
        DEFERS,
    ] {
        assert!(flat(&file).contains(said), "{said}\n{file}");
    }
}

/// A figure that the curve would not lead to stands without the curve.
#[test]
fn nothing_is_drawn_that_tells_otherwise() {
    let drawn = |report: &pages::OwnerReport| {
        let blocks = pages::owner_report(report).blocks;
        blocks.iter().any(|block| matches!(block, Block::Drawing(_)))
    };
    let mut report = crate::demo::owner();
    assert!(drawn(&report));
    report.sure.p_fixed = Some(0.5);
    assert!(!drawn(&report));
    report.sure.p_fixed = None;
    report.sure.count = None;
    let page = text(&pages::owner_report(&report), 80);
    assert!(page.contains("We put no number on it."));
    assert!(flat(&page).contains("that distance proves nothing by itself"), "{page}");
}

#[test]
fn no_line_is_wider_than_asked() {
    let long = "x".repeat(200);
    let mut page = Page::new(format!("Title {long}"), "en");
    page.paragraphs(&format!("{long} and äöü 漢字漢字漢字 {}", "word ".repeat(40)));
    page.facts(vec![pair("A rather long label that has to give way", long.as_str())]);
    let mut table = Table::new(&["First", ">Second", "Third"]);
    table.row(vec![
        Words::from(&long),
        "12".into(),
        "many words in the last cell".into(),
    ]);
    table.marked(Mark::Done, vec!["a".into(), Words::from(&long), Words::from(&long)]);
    page.table(table);
    page.list(true, [&long, &long]);
    page.stop("DO NOT START because of everything that is still off here");
    page.cautions(["injection"]);
    for width in [24, 40, 72, 120] {
        for line in text(&page, width).lines() {
            assert!(columns(line) <= width, "{width}: {line}");
        }
    }
}

#[test]
fn columns_follow_the_terminal() {
    assert_eq!(columns("N·m"), 3);
    assert_eq!(columns("漢字"), 4);
    assert_eq!(columns("e\u{301}"), 1);
}
