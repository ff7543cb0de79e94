//! Ways in and out of small sheets, worked by hand.

use crate::bench::{asked, ids, item, sheet_of, to_check, to_item, to_repair};
use sheet::{ItemIx, ItemSet};
use strip::{StripError, move_cost, move_to};

/// references/planner.md, section 5: a target needs (a and b) or c; a 1, b 1 behind d 5, c 6.
const TWO_WAYS: &str = r#"
    [[item]]
    id = "a"
    title = "A"
    strip_min = 1.0
    [[item]]
    id = "d"
    title = "D"
    strip_min = 5.0
    [[item]]
    id = "b"
    title = "B"
    behind = ["d"]
    strip_min = 1.0
    [[item]]
    id = "c"
    title = "C"
    strip_min = 6.0
    [[check]]
    id = "look"
    title = "Look"
    minutes = 1.0
    off = [["a", "b"], ["c"]]
    outcomes = ["good", "bad"]
    [check.outcome]
    good = "Good"
    bad = "Bad"
    [check.given]
    fine = { good = 0.9, bad = 0.1 }
    cause = { good = 0.2, bad = 0.8 }
    [[duty]]
    id = "leak-look"
    title = "Look for leaks"
    minutes = 4.0
    wait_min = 12.0
    because = ["item:c", "repair:last"]
    before = "hand-over"
"#;

/// Source of the values: references/planner.md, section 5 (by hand).
#[test]
fn the_way_flips_with_what_is_off() {
    let sheet = sheet_of(TWO_WAYS);
    let look = to_check(&sheet, "look");
    let from_outside = asked(&sheet, &[look], &[]).unwrap();
    assert_eq!((ids(&from_outside.strip), from_outside.ways[0].way), (vec!["c"], 1));
    assert!((from_outside.strip_minutes - 6.0).abs() < 1e-12);
    let with_d_off = asked(&sheet, &[look], &["d"]).unwrap();
    assert_eq!((ids(&with_d_off.strip), with_d_off.ways[0].way), (vec!["a", "b"], 0));
    assert!((with_d_off.strip_minutes - 2.0).abs() < 1e-12);
    assert_eq!(ids(&with_d_off.refit), ["b", "a", "d"]);
}

/// Reached jointly with b, the way over a and b costs 1 more, that over c 6 more.
#[test]
fn ways_are_chosen_jointly() {
    let sheet = sheet_of(TWO_WAYS);
    let reach = [to_check(&sheet, "look"), to_item(&sheet, "b")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(answer.ways[0].way, 0);
    assert_eq!(ids(&answer.strip), ["a", "d", "b"]);
}

#[test]
fn duties_arise_from_items_and_repairs() {
    let sheet = sheet_of(TWO_WAYS);
    let because =
        |answer: strip::StripAnswer| answer.duties.first().map(|d| d.because.clone());
    let c = asked(&sheet, &[to_item(&sheet, "c")], &[]).unwrap();
    assert_eq!(because(c), Some(vec!["c".to_owned()]));
    let last = asked(&sheet, &[to_repair(&sheet, "last")], &[]).unwrap();
    assert_eq!(because(last), Some(vec!["last".to_owned()]));
    assert_eq!(because(asked(&sheet, &[to_item(&sheet, "a")], &[]).unwrap()), None);
}

#[test]
fn what_is_off_must_fit_together() {
    let sheet = sheet_of(TWO_WAYS);
    let error = asked(&sheet, &[], &["b"]).unwrap_err();
    let missing = vec![("b".to_owned(), "d".to_owned())];
    assert_eq!(error, StripError::NotClosed { missing });
    assert!(error.to_string().contains("`b` is off but `d` in front of it is on"));
    let beyond = asked(&sheet, &[strip::Target::Item(ItemIx(99))], &[]).unwrap_err();
    assert_eq!(beyond, StripError::NotOnSheet("item 99".to_owned()));
}

const BATTERY: &str = r#"
    [[item]]
    id = "earth-lead"
    title = "Battery earth lead"
    position = "top"
    caution = ["battery"]
    refit_after = ["undertray"]
    goes = "unplugged"
    strip_min = 2.0
    refit_min = 3.0
    [[item]]
    id = "undertray"
    title = "Undertray"
    position = "under"
    cover = true
    strip_min = 5.0
    refit_min = 6.0
    [[item]]
    id = "oil-feed"
    title = "Oil feed pipe"
    behind = ["undertray"]
    position = "under"
    caution = ["hot-oil", "keep-clean"]
    strip_min = 8.0
    refit_min = 9.0
    wait_min = 20.0
    refit_parts = 2.5
      [[item.snag]]
      title = "Bolt seized"
      p = 0.25
      minutes = 12.0
      parts = 3.0
      [[item.seal]]
      id = "ring"
      count = 2
      reuse = "never"
      [[item.seal]]
      id = "o-ring"
      count = 1
      reuse = "if-undamaged"
      [[item.fluid]]
      id = "oil"
      litres = 0.2
"#;

/// Battery last, *common practice*: the earth lead goes back after the undertray although it
/// came off before it.
#[test]
fn the_mirror_is_corrected_by_refit_after() {
    let sheet = sheet_of(BATTERY);
    let reach = [to_item(&sheet, "earth-lead"), to_item(&sheet, "oil-feed")];
    let answer = asked(&sheet, &reach, &[]).unwrap();
    assert_eq!(ids(&answer.strip), ["earth-lead", "undertray", "oil-feed"]);
    assert_eq!(ids(&answer.refit), ["oil-feed", "undertray", "earth-lead"]);
    assert!((answer.moving_minutes - 4.0).abs() < 1e-12);
    assert!((answer.refit_minutes - 18.0).abs() < 1e-12);
    assert!((answer.wait_minutes - 20.0).abs() < 1e-12);
    assert!((answer.parts_cost - 2.5).abs() < 1e-12);
}

#[test]
fn a_circle_of_the_way_out_is_named() {
    let mut sheet = sheet_of(BATTERY);
    sheet.items[2].refit_after = vec![item(&sheet, "undertray")];
    let error = asked(&sheet, &[to_item(&sheet, "oil-feed")], &[]).unwrap_err();
    let circle = vec!["oil-feed".to_owned(), "undertray".to_owned()];
    assert_eq!(error, StripError::RefitCircle(circle));
}

#[test]
fn seals_fluids_caps_and_the_key_are_kept_account_of() {
    let sheet = sheet_of(BATTERY);
    let answer = asked(&sheet, &[to_item(&sheet, "oil-feed")], &[]).unwrap();
    let renew: Vec<_> =
        answer.renew.iter().map(|r| (r.id.as_str(), r.count, r.when.as_str())).collect();
    assert_eq!(renew, [("ring", 2, "always"), ("o-ring", 1, "if-damaged")]);
    assert_eq!(answer.fluids[0].fluid, "oil");
    assert_eq!(answer.caps, ["oil-feed"]);
    assert!(answer.do_not_start);
    assert_eq!(answer.do_not_start_because, ["oil-feed"]);
    assert_eq!(answer.strip[1].cautions, ["hot-oil", "keep-clean"]);
    let tray_alone = asked(&sheet, &[to_item(&sheet, "undertray")], &[]).unwrap();
    assert!(!tray_alone.do_not_start && tray_alone.caps.is_empty());
}

/// Nothing to reach and nothing off: an empty answer, and no −0 in it.
#[test]
fn nothing_asked_is_nothing_done() {
    let answer = asked(&sheet_of(BATTERY), &[], &[]).unwrap();
    assert!(answer.strip.is_empty() && answer.refit.is_empty() && answer.proven);
    for value in [answer.strip_minutes, answer.refit_minutes, answer.parts_cost] {
        assert_eq!(value.to_bits(), 0.0_f64.to_bits());
    }
}

/// Design section 5, *Moving*, by hand: 13 min of work at 1 a minute, a snag of
/// 0.25 × (12 + 3), 20 min of waiting at 0; back 15 min and 2.5 of parts.
#[test]
fn moves_cost_what_section_5_says() {
    let sheet = sheet_of(BATTERY);
    let oil_feed = item(&sheet, "oil-feed");
    let closed = sheet.items[oil_feed.at()].closure;
    let there = move_cost(&sheet, &sheet.economy, ItemSet::EMPTY, closed);
    assert!((there.cost - 16.75).abs() < 1e-12);
    assert!((there.minutes - 36.0).abs() < 1e-12);
    assert_eq!(there.snags.len(), 1);
    let back = move_cost(&sheet, &sheet.economy, closed, ItemSet::EMPTY);
    assert!((back.cost - 17.5).abs() < 1e-12 && back.snags.is_empty());
}

/// An assembled check leaves the undertray off, a cover, and wants the oil feed back; one
/// that needs the undertray on wants both back.
#[test]
fn moves_lead_where_section_5_says() {
    let sheet = sheet_of(BATTERY);
    let undertray = ItemSet::one(item(&sheet, "undertray"));
    let oil_feed = ItemSet::one(item(&sheet, "oil-feed"));
    let both = undertray.union(oil_feed);
    let none = ItemSet::EMPTY;
    assert_eq!(move_to(&sheet, both, none, none, true), undertray);
    assert_eq!(move_to(&sheet, both, none, undertray, false), none);
    assert_eq!(move_to(&sheet, both, none, oil_feed, false), undertray);
    assert_eq!(move_to(&sheet, none, both, none, false), both);
}
