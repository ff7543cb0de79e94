//! Each rule that blocks a refit, a start, a drive or the hand-over, and how it is settled.
#![cfg(test)]
#![expect(clippy::float_cmp, reason = "sums of few whole or listed amounts are exact")]

mod support;

use job::body::{
    AlsoAnswer, AlsoAnswered, CapMove, CapNoted, FastenerState, FluidIn, FluidOut,
    HandedOver, LooseEndAccepted, LooseEndRaised, LooseEndSettled, SealState, Urgency,
};
use job::fold::{Blocks, EndKind};
use support::{Pen, also, bolt, cleaned, did, flap, off, on, seal};

fn refit(pen: &Pen, item: &str) -> Vec<String> {
    pen.fold().can_refit(&flap(), item)
}

fn hand_over(pen: &Pen) -> Vec<String> {
    pen.fold().can_hand_over(&flap())
}

fn accept(pen: &mut Pen, end: &str) {
    pen.write(LooseEndAccepted { of: end.into(), by: "owner".into(), blob: None });
}

/// *Common practice*: a seal that is not found may lie in the bore; after the refit nobody
/// can look.
#[test]
fn a_missing_seal_blocks_the_refit_until_found() {
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    assert_eq!(refit(&pen, "pipe"), [""; 0]);
    pen.write(seal(SealState::NotFound, 1));
    pen.write(seal(SealState::Found, 1));
    let mut found = pen.fold();
    assert_eq!(found.can_refit(&flap(), "pipe").len(), 1, "1 of 2 still unaccounted for");
    pen.write(seal(SealState::Found, 1));
    assert_eq!(refit(&pen, "pipe"), [""; 0]);
    pen.write(seal(SealState::NotFound, 1));
    let reasons = refit(&pen, "pipe");
    assert_eq!(reasons.len(), 1);
    assert!(reasons[0].contains("not found"), "{reasons:?}");
    pen.write(seal(SealState::Renewed, 1));
    assert_eq!(refit(&pen, "pipe").len(), 1, "a new one does not bring the old one out");
    found = pen.fold();
    assert!(matches!(&found.loose_ends[0].blocks, Blocks::Refit(item) if item == "pipe"));
}

#[test]
fn a_missing_seal_can_be_accepted_in_writing_and_opens_again() {
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    pen.write(seal(SealState::NeverFitted, 2));
    assert_eq!(refit(&pen, "pipe").len(), 1);
    accept(&mut pen, "seal:pipe/washer:not-found");
    assert_eq!(refit(&pen, "pipe"), [""; 0]);
    let ends = pen.fold().loose_ends;
    assert_eq!(ends.len(), 2, "the seal, as accepted, and the leak look: {ends:?}");
    assert!(!ends[0].is_open());
    pen.write(seal(SealState::Renewed, 2));
    assert_eq!(refit(&pen, "pipe"), [""; 0], "new ones do not take the writing back");
    pen.write(seal(SealState::NotFound, 1));
    assert_eq!(refit(&pen, "pipe").len(), 1);
}

#[test]
fn a_damaged_seal_blocks_until_renewed_and_two_are_too_many() {
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    pen.write(seal(SealState::Damaged, 1));
    assert_eq!(refit(&pen, "pipe").len(), 1);
    pen.write(seal(SealState::Renewed, 1));
    assert_eq!(refit(&pen, "pipe"), [""; 0]);
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    pen.write(seal(SealState::Found, 2));
    pen.write(seal(SealState::Renewed, 3));
    assert!(refit(&pen, "pipe")[0].contains("one seal upon another"));
}

#[test]
fn a_refit_against_advice_is_a_fact_and_the_seal_still_blocks_the_hand_over() {
    let mut pen = Pen::new("w");
    for item in ["cover", "shield", "pipe"] {
        pen.write(off(item));
    }
    pen.write(seal(SealState::NotFound, 2));
    for item in ["pipe", "shield"] {
        pen.write(on(item));
    }
    pen.write(did("leaks"));
    pen.write(on("cover"));
    let facts = pen.fold();
    assert!(facts.off.is_empty());
    assert_eq!(hand_over(&pen).len(), 1);
    pen.write(LooseEndSettled { of: "seal:pipe/washer:not-found".into(), how: None });
    assert_eq!(hand_over(&pen), [""; 0]);
}

#[test]
fn fasteners_block_the_hand_over() {
    for (state, word, mended) in [
        (FastenerState::Missing, "missing", FastenerState::Replaced),
        (FastenerState::Missing, "missing", FastenerState::FoundElsewhere),
        (FastenerState::Broken, "broken", FastenerState::Replaced),
        (FastenerState::LeftOver, "left over", FastenerState::Back),
    ] {
        let mut pen = Pen::new("w");
        pen.write(off("cover"));
        pen.write(off("shield"));
        pen.write(bolt(state, 1));
        pen.write(on("shield"));
        pen.write(on("cover"));
        let reasons = hand_over(&pen);
        assert_eq!(reasons.len(), 1, "{reasons:?}");
        assert!(reasons[0].contains(word), "{reasons:?}");
        pen.write(bolt(mended, 1));
        pen.write(bolt(FastenerState::Back, 1));
        assert_eq!(hand_over(&pen), [""; 0], "{state:?} {mended:?}");
    }
}

/// A bolt that turns up after the refit lies in the tray until it is fitted.
#[test]
fn a_bolt_found_late_is_named_until_it_is_back() {
    let mut pen = Pen::new("w");
    pen.write(off("shield"));
    pen.write(bolt(FastenerState::Missing, 1));
    pen.write(on("shield"));
    pen.write(on("cover"));
    pen.write(bolt(FastenerState::FoundElsewhere, 1));
    assert!(hand_over(&pen)[0].contains("in the tray"));
    pen.write(bolt(FastenerState::Back, 1));
    assert_eq!(hand_over(&pen), [""; 0]);
}

#[test]
fn caps_fitted_must_equal_caps_removed() {
    let mut pen = Pen::new("w");
    let cap = |moved, count| CapNoted { item: "pipe".into(), moved, count };
    pen.write(off("pipe"));
    pen.write(cap(CapMove::Fitted, 2));
    assert_eq!(refit(&pen, "pipe").len(), 1);
    pen.write(cap(CapMove::Removed, 1));
    assert_eq!(refit(&pen, "pipe").len(), 1);
    pen.write(cap(CapMove::Removed, 1));
    assert_eq!(refit(&pen, "pipe"), [""; 0]);
    pen.write(cap(CapMove::Removed, 1));
    assert_eq!(refit(&pen, "pipe").len(), 1);
}

#[test]
fn what_lies_behind_goes_back_first() {
    let mut pen = Pen::new("w");
    pen.write(off("bracket"));
    pen.write(off("pipe"));
    let reasons = refit(&pen, "shield");
    assert_eq!(reasons, ["Oil feed pipe lies behind it and is still off"]);
    assert_eq!(
        refit(&pen, "bracket"),
        ["Heat shield goes back before it and is still off"]
    );
    pen.write(on("shield"));
    let ends = pen.fold().loose_ends;
    let found = ends.iter().find(|end| end.kind == EndKind::Contradiction).unwrap();
    assert_eq!(found.blocks, Blocks::Nothing);
    let facts = pen.fold();
    assert_ne!(facts.off_closed(&flap()), facts.off, "the planner gets a closed set");
}

/// The leak look comes before the covers: *common practice*.
#[test]
fn duties_block_covers_and_hand_over_and_arise_again() {
    let mut pen = Pen::new("w");
    pen.write(off("pipe"));
    pen.write(on("pipe"));
    pen.write(on("shield"));
    assert_eq!(refit(&pen, "cover"), ["Look for leaks is still to be done"]);
    pen.write(did("leaks"));
    assert_eq!(refit(&pen, "cover"), [""; 0]);
    pen.write(on("cover"));
    assert_eq!(hand_over(&pen), [""; 0]);
    pen.write(off("pipe"));
    assert!(!pen.fold().duties[0].done);
    let mut pen = Pen::new("w");
    pen.write(cleaned());
    assert_eq!(hand_over(&pen).len(), 1);
    accept(&mut pen, "duty:learn");
    assert_eq!(hand_over(&pen), [""; 0]);
    pen.write(cleaned());
    assert_eq!(hand_over(&pen).len(), 1, "a second repair brings the duty up again");
}

#[test]
fn something_unsafe_wants_an_answer_and_a_signature_if_it_stays() {
    let mut pen = Pen::new("w");
    pen.write(also(Urgency::Soon));
    assert_eq!(hand_over(&pen), [""; 0]);
    let of = pen.write(also(Urgency::Unsafe));
    let answer = |answer, signed: Option<&str>| AlsoAnswered {
        of: of.clone(),
        answer,
        by: "owner".into(),
        signed: signed.map(str::to_owned),
        price: None,
    };
    assert_eq!(hand_over(&pen).len(), 1);
    pen.write(answer(AlsoAnswer::No, None));
    assert_eq!(hand_over(&pen).len(), 1);
    pen.write(answer(AlsoAnswer::No, Some("blob")));
    assert_eq!(hand_over(&pen), [""; 0]);
    pen.write(answer(AlsoAnswer::DoNow, None));
    assert_eq!(hand_over(&pen).len(), 1);
    pen.write(answer(AlsoAnswer::Done, None));
    assert_eq!(hand_over(&pen), [""; 0]);
    assert_eq!(pen.fold().spent.extras, 27.3);
}

#[test]
fn an_item_left_off_is_named_before_and_after_the_hand_over() {
    let mut pen = Pen::new("w");
    pen.write(off("bracket"));
    assert_eq!(hand_over(&pen), ["Bracket is off"]);
    assert_eq!(pen.fold().loose_ends, []);
    pen.write(HandedOver::default());
    let ends = pen.fold().loose_ends;
    assert_eq!(ends.len(), 1);
    assert_eq!(ends[0].kind, EndKind::ItemOff);
    pen.write(on("bracket"));
    assert_eq!(pen.fold().loose_ends, []);
}

/// Design section 6: while an item with a fluid is off, do not start.
#[test]
fn an_open_fluid_forbids_the_start() {
    let mut pen = Pen::new("w");
    pen.write(off("shield"));
    assert_eq!(pen.fold().can_start(&flap()), [""; 0]);
    pen.write(off("pipe"));
    assert_eq!(pen.fold().do_not_start, ["Oil feed pipe is off: `oil` is open"]);
    pen.write(FluidOut { fluid: "oil".into(), litres: Some(0.2), item: None });
    assert_eq!(pen.fold().do_not_start.len(), 2);
    pen.write(on("pipe"));
    assert_eq!(pen.fold().do_not_start, ["`oil` is out (0.2 l) and not filled in"]);
    pen.write(FluidIn { fluid: "oil".into(), ..FluidIn::default() });
    assert_eq!(pen.fold().can_start(&flap()), [""; 0]);
    assert_eq!(pen.fold().can_drive(&flap()).len(), 2, "shield off, leak look open");
}

#[test]
fn a_loose_end_raised_by_hand_blocks_what_it_says() {
    let mut pen = Pen::new("w");
    let nothing = pen.write(LooseEndRaised::default());
    assert_eq!(hand_over(&pen), [""; 0]);
    let raised = LooseEndRaised {
        blocks_refit: Some("pipe".into()),
        of: Some("item:pipe".into()),
        ..LooseEndRaised::default()
    };
    let end = pen.write(raised);
    assert_eq!((refit(&pen, "pipe").len(), hand_over(&pen).len()), (1, 1));
    for of in [end, nothing] {
        pen.write(LooseEndSettled { of, how: None });
    }
    assert_eq!(pen.fold().open_ends().count(), 0);
}

#[test]
fn twice_off_and_twice_on_are_loose_ends_that_block_nothing() {
    let mut pen = Pen::new("w");
    pen.write(off("bracket"));
    pen.write(off("bracket"));
    pen.write(on("bracket"));
    pen.write(on("bracket"));
    let facts = pen.fold();
    assert_eq!((facts.loose_ends.len(), facts.spent.labour_minutes), (2, 4.0));
    assert_eq!(hand_over(&pen), [""; 0]);
}
