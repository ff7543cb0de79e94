//! What `verify` finds in a damaged log, and that it finds nothing in a sound one.
#![cfg(test)]

mod support;

use job::{Seen, Stored, Trouble, verify};
use support::{Pen, off, on};

fn two_writers() -> (Pen, Pen) {
    let mut phone = Pen::new("phone");
    let mut bench = Pen::new("bench");
    phone.write(off("cover"));
    phone.write(off("shield"));
    bench.sees(&phone);
    bench.write(off("pipe"));
    phone.sees(&bench);
    phone.write(on("pipe"));
    (phone, bench)
}

fn all((phone, bench): &(Pen, Pen)) -> Vec<Stored> {
    phone.events.iter().chain(&bench.events).cloned().collect()
}

fn troubles(events: &[Stored], seen: &[Seen]) -> Vec<Trouble> {
    verify(events, seen).into_iter().map(|finding| finding.trouble).collect()
}

#[test]
fn a_sound_log_has_no_findings_in_any_order() {
    let mut events = all(&two_writers());
    assert_eq!(verify(&events, &[]), []);
    events.reverse();
    assert_eq!(verify(&events, &[]), []);
}

#[test]
fn every_flipped_bit_is_found() {
    let events = all(&two_writers());
    for at in 0..events.len() {
        for place in 0..events[at].bytes.len() {
            for bit in 0..8 {
                let mut damaged = events.clone();
                damaged[at].bytes[place] ^= 1 << bit;
                assert!(troubles(&damaged, &[]).contains(&Trouble::Changed));
            }
        }
    }
}

/// Somebody who changes an event and gives it its new id breaks the link of the next one,
/// or what another writer has seen, or a printed head.
#[test]
fn a_rewritten_event_is_found() {
    let pens = two_writers();
    let head = pens.0.events[2].id.clone();
    let events = all(&pens);
    for at in 0..events.len() {
        let mut damaged = events.clone();
        let text = String::from_utf8(damaged[at].bytes.clone()).unwrap();
        damaged[at] = Stored::of_bytes(text.replace("\"jo\"", "\"mo\"").into_bytes());
        let seen = [Seen { id: head.clone(), by: "the report".into() }];
        assert_ne!(troubles(&damaged, &seen), [], "event {at}");
    }
}

#[test]
fn every_missing_event_is_found() {
    let pens = two_writers();
    let head = pens.0.events[2].id.clone();
    let events = all(&pens);
    for at in 0..events.len() {
        let mut damaged = events.clone();
        damaged.remove(at);
        let seen = [Seen { id: head.clone(), by: "the report".into() }];
        assert_ne!(troubles(&damaged, &seen), [], "event {at}");
    }
}

#[test]
fn a_gap_is_named_with_its_places() {
    let mut pen = Pen::new("phone");
    for item in ["a", "b", "c", "d"] {
        pen.write(off(item));
    }
    pen.events.drain(1..3);
    let findings = verify(&pen.events, &[]);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].trouble, Trouble::Gap);
    assert_eq!(findings[0].what, "events 2 to 3 of writer phone are missing");
}

#[test]
fn a_wrong_link_is_found() {
    let mut pen = Pen::new("phone");
    pen.write(off("a"));
    pen.write(off("b"));
    let text = String::from_utf8(pen.events[1].bytes.clone()).unwrap();
    let other = text.replace(&pen.events[0].id, &"0".repeat(64));
    pen.events[1] = Stored::of_bytes(other.into_bytes());
    assert_eq!(troubles(&pen.events, &[]), [Trouble::WrongLink]);
}

#[test]
fn a_copied_writer_is_a_fork() {
    let mut pen = Pen::new("phone");
    pen.write(off("a"));
    let mut copy = Pen::new("phone");
    copy.events.clone_from(&pen.events);
    copy.heads.clone_from(&pen.heads);
    pen.write(off("b"));
    copy.write(off("c"));
    copy.write(off("d"));
    let mut events = pen.events.clone();
    events.extend(copy.events[1..].iter().cloned());
    let findings = verify(&events, &[]);
    assert_eq!(findings.len(), 1);
    assert_eq!((findings[0].trouble, findings[0].seq), (Trouble::Fork, Some(2)));
}

#[test]
fn a_chain_cut_short_is_found_by_what_another_writer_saw() {
    let pens = two_writers();
    let mut events = all(&pens);
    events.retain(|stored| !pens.1.events.contains(stored));
    let findings = verify(&events, &[]);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].trouble, Trouble::CutShort);
    assert_eq!(findings[0].writer.as_deref(), Some("bench"));
}

#[test]
fn a_chain_cut_short_is_found_by_a_printed_head() {
    let (phone, _) = two_writers();
    let printed = Seen { id: phone.events[1].id.clone(), by: "the report".into() };
    assert_eq!(troubles(&phone.events[..2], std::slice::from_ref(&printed)), []);
    let findings = verify(&phone.events[..1], &[printed]);
    assert_eq!(findings.len(), 1);
    assert!(findings[0].what.starts_with("the report names event"));
}

/// The same members in another order are another text: its hash fits, its form does not.
#[test]
fn another_form_of_the_same_event_is_found() {
    let mut pen = Pen::new("phone");
    pen.write(off("a"));
    let text = String::from_utf8(pen.events[0].bytes.clone()).unwrap();
    let spaced = text.replace(",\"v\":1", ", \"v\":1");
    assert_eq!(
        troubles(&[Stored::of_bytes(spaced.into_bytes())], &[]),
        [Trouble::Unreadable]
    );
}
