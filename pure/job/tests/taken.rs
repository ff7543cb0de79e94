//! Measures taken on the way: evidence, also seen, and taken back in one go.
#![cfg(test)]

mod support;

use job::{
    Fact,
    body::{AlsoAnswer, AlsoAnswered, Verdict, Withdrawn},
};
use sheet::CheckIx;
use support::{Pen, play};

fn decided(of: &str, answer: AlsoAnswer) -> AlsoAnswered {
    let (of, by) = (of.to_owned(), "owner".to_owned());
    AlsoAnswered { of, answer, by, signed: None, price: None }
}

#[test]
fn a_measure_in_its_limits_is_a_reading_and_no_more() {
    let mut pen = Pen::new("w");
    pen.write(play(7.1, Verdict::In, false));
    pen.write(play(7.4, Verdict::NotSure, false));
    let facts = pen.fold();
    assert_eq!(facts.readings.len(), 2);
    assert_eq!((facts.evidence.len(), facts.also.len(), facts.done.len()), (0, 0, 0));
    let (line, taken) = facts.taken("shield", "play").unwrap();
    assert_eq!((line.measured.value, taken.verdict), (7.4, Verdict::NotSure));
    assert_eq!(facts.taken("shield", "end-play"), None);
}

#[test]
fn one_that_answers_a_check_is_that_check_done() {
    let mut pen = Pen::new("w");
    pen.write(play(7.9, Verdict::In, true));
    let facts = pen.fold();
    let weights = vec![0.25, 0.75];
    assert_eq!(facts.evidence, [Fact::Reading { check: CheckIx(0), weights }]);
    assert_eq!((&*facts.done[0].kind, &*facts.done[0].id), ("check", "look"));
    assert_eq!((facts.spent.labour_minutes, facts.spent.consumables), (4.0, 2.0));
    assert_eq!(facts.readings.len(), 1, "the reading stands once");
    assert_eq!(facts.readings[0].check.as_deref(), Some("look"));
}

#[test]
fn one_out_of_its_limits_is_also_seen_once_until_it_is_done() {
    let mut pen = Pen::new("w");
    let first = pen.write(play(7.9, Verdict::Out, true));
    pen.write(play(8.0, Verdict::Out, false));
    let facts = pen.fold();
    assert_eq!(facts.also.len(), 1);
    assert_eq!((&facts.also[0].id, facts.also[0].open_danger()), (&first, true));
    assert_eq!(facts.also[0].seen.item.as_deref(), Some("shield"));
    pen.write(decided(&first, AlsoAnswer::Done));
    pen.write(play(8.1, Verdict::Out, false));
    assert_eq!(pen.fold().also.len(), 2, "after the work it is out again");
}

#[test]
fn taking_it_back_takes_back_all_of_it() {
    let mut pen = Pen::new("w");
    let first = pen.write(play(7.9, Verdict::Out, true));
    assert_eq!(pen.fold().undo.as_ref(), Some(&first));
    pen.write(Withdrawn { of: first, why: None });
    let facts = pen.fold();
    assert_eq!((facts.readings.len(), facts.evidence.len()), (0, 0));
    assert_eq!((facts.also.len(), facts.done.len()), (0, 0));
    assert!(facts.spent.labour_minutes.abs() < 1e-12);
}
