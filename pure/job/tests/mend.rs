//! Withdrawn is as if it had not been, corrected as if it had been said so from the start.
#![cfg(test)]
#![expect(clippy::float_cmp, reason = "sums of few whole or listed amounts are exact")]

mod support;

use job::{
    Body, Facts, Kind, Stored,
    body::{Corrected, Withdrawn},
    fold::{Fate, Folding, lines},
};
use proptest::prelude::*;
use support::{Pen, cleaned, drove, flap, looked, off, on, pool};

fn withdraw(pen: &mut Pen, of: &str) -> String {
    pen.write(Withdrawn { of: of.to_owned(), why: None })
}

fn correct(pen: &mut Pen, of: &str, instead: impl Into<Body>) -> String {
    let instead = instead.into();
    pen.write(Corrected::new(of, &instead).unwrap())
}

/// All of the facts that do not name events, moments or words of remarks.
fn gist(facts: &Facts) -> String {
    let tray: Vec<_> = facts
        .tray
        .iter()
        .map(|item| {
            let holes: Vec<_> =
                item.fasteners.iter().map(|f| (&f.holes, f.left_over)).collect();
            let seals: Vec<_> = item
                .seals
                .iter()
                .map(|s| (s.found, s.not_found, s.damaged, s.renewed))
                .collect();
            format!(
                "{} {} {} {holes:?} {seals:?} {}",
                item.item, item.off, item.implied, item.caps
            )
        })
        .collect();
    let ends: Vec<_> = facts
        .loose_ends
        .iter()
        .map(|end| (end.kind, &end.what, &end.blocks, end.is_open()))
        .collect();
    format!(
        "{:?} {:?} {:?} {:?} {tray:?} {ends:?} {:?} {:?} {:?} {:?} {}",
        facts.evidence,
        facts.off,
        facts.ever_off,
        facts.spent,
        facts.duties,
        facts.do_not_start,
        facts.codes,
        facts.authorised.as_ref().map(|said| said.what.sum),
        facts.also.len(),
    )
}

#[test]
fn a_withdrawn_event_is_as_if_it_had_not_been() {
    let mut plain = Pen::new("w");
    plain.write(off("cover"));
    let mut slip = Pen::new("w");
    slip.write(off("cover"));
    let wrong = slip.write(cleaned());
    withdraw(&mut slip, &wrong);
    assert_eq!(gist(&slip.fold()), gist(&plain.fold()));
    assert_eq!(slip.fold().history.len(), 3);
    assert!(matches!(slip.fold().history[1].fate, Fate::Withdrawn(_)));
}

#[test]
fn undo_twice_takes_back_the_last_two() {
    let mut pen = Pen::new("w");
    let first = pen.write(off("cover"));
    let second = pen.write(off("shield"));
    let third = pen.write(looked("free"));
    for expected in [third, second] {
        let undo = pen.fold().undo.unwrap();
        assert_eq!(undo, expected);
        withdraw(&mut pen, &undo);
    }
    let facts = pen.fold();
    assert_eq!(facts.undo, Some(first));
    assert_eq!((facts.off.len(), facts.evidence.len()), (1, 0));
}

#[test]
fn a_withdrawal_can_be_withdrawn() {
    let mut pen = Pen::new("w");
    let wrong = pen.write(off("cover"));
    let undo = withdraw(&mut pen, &wrong);
    assert!(pen.fold().off.is_empty());
    let redo = withdraw(&mut pen, &undo);
    assert_eq!(pen.fold().off.len(), 1);
    withdraw(&mut pen, &redo);
    assert!(pen.fold().off.is_empty());
}

#[test]
fn a_corrected_event_counts_in_its_place() {
    let mut plain = Pen::new("w");
    plain.write(looked("stuck"));
    plain.write(cleaned());
    let mut slip = Pen::new("w");
    let wrong = slip.write(looked("free"));
    slip.write(cleaned());
    let first = correct(&mut slip, &wrong, drove(true));
    correct(&mut slip, &wrong, looked("stuck"));
    assert_eq!(gist(&slip.fold()), gist(&plain.fold()));
    // Undo takes the last correction back: the one before counts again.
    let undo = slip.fold().undo.unwrap();
    withdraw(&mut slip, &undo);
    assert!(matches!(&slip.fold().history[0].fate, Fate::Corrected(by) if *by == first));
    withdraw(&mut slip, &first);
    assert_eq!(slip.fold().history[0].fate, Fate::Counts);
}

#[test]
fn a_correction_of_a_correction_is_one_of_the_event() {
    let mut pen = Pen::new("w");
    let wrong = pen.write(off("cover"));
    let correction = correct(&mut pen, &wrong, off("shield"));
    correct(&mut pen, &correction, off("bracket"));
    let off: Vec<u8> = pen.fold().off.iter().map(|item| item.0).collect();
    assert_eq!(off, [3]);
}

#[test]
fn what_cannot_be_mended_is_a_remark() {
    let mut pen = Pen::new("w");
    withdraw(&mut pen, "nothing");
    let tap = pen.write(off("cover"));
    correct(&mut pen, "nothing", off("shield"));
    correct(&mut pen, &tap, Withdrawn { of: tap.clone(), why: None });
    let mut unknown = Corrected::new(&tap, &off("shield").into()).unwrap();
    "item.turned".clone_into(&mut unknown.instead.kind);
    pen.write(unknown);
    let facts = pen.fold();
    assert_eq!(facts.remarks.len(), 4, "{:?}", facts.remarks);
    assert_eq!(facts.off.len(), 1);
}

/// Two phones, each of which saw the other: the last word in the common order counts.
#[test]
fn mending_reaches_over_writers() {
    let mut phone = Pen::new("phone");
    let tap = phone.write(off("cover"));
    let mut bench = Pen::new("bench");
    bench.sees(&phone);
    withdraw(&mut bench, &tap);
    phone.events.extend(bench.events);
    assert!(phone.fold().off.is_empty());
    phone.events.reverse();
    assert!(phone.fold().off.is_empty());
}

fn written(script: &[usize]) -> Pen {
    let pool = pool();
    let mut pen = Pen::new("w");
    for at in script {
        pen.write(pool[at % pool.len()].clone());
    }
    pen
}

/// Two writers, slips and corrections: whatever people tap in a long day.
fn long_day(script: &[(usize, u8, usize)]) -> Vec<Stored> {
    let pool = pool();
    let mut pens = [Pen::new("bench"), Pen::new("phone")];
    for (at, way, target) in script {
        let known: Vec<String> =
            pens.iter().flat_map(|pen| pen.events.iter().map(|e| e.id.clone())).collect();
        let target = known.get(target % known.len().max(1)).cloned();
        let other =
            Pen { heads: pens[usize::from(way % 2)].heads.clone(), ..Pen::new("x") };
        let pen = &mut pens[usize::from(way / 2 % 2)];
        pen.sees(&other);
        let body = pool[at % pool.len()].clone();
        match (way / 4 % 4, target) {
            (0, Some(of)) => pen.write(Withdrawn { of, why: None }),
            (1, Some(of)) => pen.write(Corrected::new(&of, &body).unwrap()),
            _ => pen.write(body),
        };
    }
    pens.into_iter().flat_map(|pen| pen.events).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// The facts at a cut, carried on with the rest, are the facts of all at once; and the
    /// facts at the cut are those of the events up to it.
    #[test]
    fn a_cut_at_any_event_is_a_replay(
        script in prop::collection::vec(0_usize..100, 0..40),
        cut in 0_usize..40,
    ) {
        let sheet = flap();
        let events = written(&script).events;
        let cut = cut.min(events.len());
        let mut folding = Folding::new(&sheet);
        let all = lines(&events);
        for line in &all[..cut] {
            folding.step(line.clone());
        }
        prop_assert_eq!(&folding.facts(), &job::fold(&sheet, &events[..cut]));
        for line in &all[cut..] {
            folding.step(line.clone());
        }
        prop_assert_eq!(&folding.facts(), &job::fold(&sheet, &events));
    }

    /// A store may hand its events over in any order, and some of them twice.
    #[test]
    fn the_order_of_input_does_not_matter(
        script in prop::collection::vec((0_usize..100, any::<u8>(), any::<usize>()), 0..40),
        turn in 0_usize..40,
    ) {
        let sheet = flap();
        let mut events = long_day(&script);
        let expected = job::fold(&sheet, &events);
        prop_assert_eq!(expected.history.len(), events.len());
        let turn = turn.min(events.len());
        events.rotate_left(turn);
        events.extend(events.clone());
        prop_assert_eq!(&job::fold(&sheet, &events), &expected);
        events.reverse();
        prop_assert_eq!(&job::fold(&sheet, &events), &expected);
        prop_assert!(job::verify(&events, &[]).is_empty());
    }

    /// Withdrawing the event at any place gives the job that never had it.
    #[test]
    fn withdrawing_is_never_having_tapped(
        script in prop::collection::vec(0_usize..100, 1..30),
        slip in 0_usize..30,
    ) {
        let slip = slip % script.len();
        let mut with = written(&script);
        let of = with.events[slip].id.clone();
        let kind = with.events[slip].read().unwrap().kind;
        with.write(Withdrawn { of, why: None });
        let mut without = script.clone();
        without.remove(slip);
        prop_assume!(Kind::of_word(&kind).is_some());
        prop_assert_eq!(gist(&with.fold()), gist(&written(&without).fold()));
    }

    /// Correcting the event at any place gives the job in which it was right.
    #[test]
    fn correcting_is_having_tapped_right(
        script in prop::collection::vec(1_usize..100, 1..30),
        slip in 0_usize..30,
        right in 1_usize..100,
    ) {
        let slip = slip % script.len();
        let pool = pool();
        let instead = pool[right % pool.len()].clone();
        let fixed = [Kind::JobOpened];
        prop_assume!(!fixed.contains(&instead.kind()));
        prop_assume!(!script[slip].is_multiple_of(pool.len()));
        let mut with = written(&script);
        let of = with.events[slip].id.clone();
        with.write(Corrected::new(&of, &instead).unwrap());
        let mut without = script.clone();
        without[slip] = right;
        prop_assert_eq!(gist(&with.fold()), gist(&written(&without).fold()));
    }
}

#[test]
fn on_and_off_again_is_two_strips() {
    let mut pen = Pen::new("w");
    for _ in 0..2 {
        pen.write(off("bracket"));
        pen.write(on("bracket"));
    }
    assert_eq!(pen.fold().spent.labour_minutes, 8.0);
}
