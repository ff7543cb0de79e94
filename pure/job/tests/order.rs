//! The order of events is the same for every store, and respects what each writer had seen.
#![cfg(test)]

mod support;

use job::in_order;
use proptest::prelude::*;
use support::{Pen, off};

fn ids(events: &[job::Stored]) -> Vec<String> {
    in_order(events).0.into_iter().map(|known| known.id).collect()
}

#[test]
fn what_was_seen_comes_first_whatever_the_clocks_say() {
    let mut late = Pen::new("late");
    late.minute = 300;
    let first = late.write(off("a"));
    let mut early = Pen::new("early");
    early.sees(&late);
    early.minute = 0;
    let second = early.write(off("b"));
    let free = Pen::new("alone").write(off("c"));
    let mut events = [late.events, early.events].concat();
    assert_eq!(ids(&events), [first.clone(), second.clone()]);
    let mut alone = Pen::new("alone");
    assert_eq!(alone.write(off("c")), free);
    events.extend(alone.events);
    assert_eq!(ids(&events), [free, first, second]);
}

#[test]
fn offsets_of_times_count() {
    let mut pen = Pen::new("a");
    pen.write(off("x"));
    let text = String::from_utf8(pen.events[0].bytes.clone()).unwrap();
    // 06:01 at +02:00 is 04:01 in UTC, before the other.
    let other = text
        .replace("06:01:00Z", "06:01:00+02:00")
        .replace("\"writer\":\"a\"", "\"writer\":\"b\"");
    let other = job::Stored::of_bytes(other.into_bytes());
    assert_eq!(
        ids(&[pen.events[0].clone(), other.clone()]),
        [other.id, pen.events[0].id.clone()]
    );
}

proptest! {
    /// Three writers who see each other now and then: any permutation gives the same order,
    /// each chain stays in its order, and nobody comes before what they had seen.
    #[test]
    fn any_permutation_gives_the_same_order(
        script in prop::collection::vec((0_usize..3, 0_usize..3, 0_u32..90), 1..40),
        seed in any::<u64>(),
    ) {
        let mut pens = [Pen::new("a"), Pen::new("b"), Pen::new("c")];
        for (writer, sees, minute) in script {
            let seen = Pen { heads: pens[sees].heads.clone(), ..Pen::new("x") };
            pens[writer].sees(&seen);
            pens[writer].minute = minute;
            pens[writer].write(off("x"));
        }
        let mut events: Vec<_> = pens.iter().flat_map(|pen| pen.events.clone()).collect();
        let expected = ids(&events);
        let mut state = seed;
        for at in (1..events.len()).rev() {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let other = usize::try_from((state >> 33) % (at as u64 + 1)).unwrap();
            events.swap(at, other);
        }
        prop_assert_eq!(&ids(&events), &expected);
        let place = |id: &str| expected.iter().position(|other| other == id).unwrap();
        for stored in &events {
            let event = stored.read().unwrap();
            for head in event.heads.values().map(|head| &head.id).chain(&event.prev) {
                prop_assert!(place(head) < place(&stored.id));
            }
        }
    }
}
