//! A thousand random sheets: after any legal sequence of ticks every fastener is accounted
//! for, and a single lost one is named.
#![cfg(test)]

mod support;

use std::fmt::Write as _;

use job::body::{FastenerNoted, FastenerState};
use job::fold::{EndKind, Hole};
use job::{Facts, fold};
use sheet::Sheet;
use support::{Pen, bolt, off, on};

/// Numbers that look like chance and are the same every time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 >> 11).unwrap() % end
    }
}

/// Up to five items, each behind some before it, with up to two kinds of fastener.
fn drawn(chance: &mut Chance) -> Sheet {
    let mut text = "[sheet]\nformat = 1\nid = \"any\"\ntitle = \"Any\"\nversion = 1\ncodes = []\n\
        [economy]\ncurrency = \"EUR\"\nlabour_per_hour = 60.0\ncomeback = 300.0\npass_on = 150.0\n\
        [[suspect]]\nid = \"worn\"\ntitle = \"Worn\"\nweight = 1.0\n\
        [[repair]]\nid = \"renew\"\ntitle = \"Renew\"\nfixes = { worn = 0.9 }\n"
        .to_owned();
    for place in 0..=chance.below(5) {
        let fronts = (0..place).filter(|_| chance.below(3) == 0);
        let fronts: Vec<String> = fronts.map(|front| format!("\"i{front}\"")).collect();
        write!(
            text,
            "[[item]]\nid = \"i{place}\"\ntitle = \"I{place}\"\nbehind = [{}]\n",
            fronts.join(", ")
        )
        .unwrap();
        for kind in 0..=chance.below(2) {
            let count = 1 + chance.below(4);
            write!(
                text,
                "[[item.fastener]]\nid = \"f{kind}\"\ncount = {count}\nkind = \"bolt\"\n"
            )
            .unwrap();
        }
    }
    let read = sheet::read(&text);
    read.sheet.unwrap_or_else(|| panic!("{:?}", read.remarks))
}

/// One of those left that may come next, by chance.
fn pick(chance: &mut Chance, may: &[usize]) -> usize {
    may[chance.below(may.len())]
}

fn noted(item: &str, fastener: &str, state: FastenerState) -> FastenerNoted {
    FastenerNoted {
        item: item.to_owned(),
        fastener: fastener.to_owned(),
        ..bolt(state, 1)
    }
}

fn ends(facts: &Facts) -> Vec<String> {
    let open = facts.loose_ends.iter().filter(|end| end.is_open());
    open.filter(|end| end.kind == EndKind::Fastener).map(|end| end.what.clone()).collect()
}

/// Everything off in a legal order, with one lost on the way where wanted, and back on.
fn worked(sheet: &Sheet, lost: Option<(&str, &str)>, chance: &mut Chance) -> Facts {
    let mut pen = Pen::new("w");
    let mut is_off = vec![false; sheet.items.len()];
    while is_off.contains(&false) {
        let may: Vec<usize> = (0..is_off.len())
            .filter(|&at| {
                let closure = sheet.items[at].closure;
                !is_off[at]
                    && closure.iter().all(|front| front.at() == at || is_off[front.at()])
            })
            .collect();
        let at = pick(chance, &may);
        pen.write(off(&sheet.items[at].id));
        is_off[at] = true;
    }
    let facts = fold(sheet, &pen.events);
    let mut kinds = facts.tray.iter().flat_map(|item| &item.fasteners);
    assert!(kinds.all(|kind| kind.count(Hole::InTray) == kind.holes.len()));
    if let Some((item, fastener)) = lost {
        pen.write(noted(item, fastener, FastenerState::Missing));
    }
    while is_off.contains(&true) {
        let may: Vec<usize> = (0..is_off.len())
            .filter(|&at| {
                let behind = |other: usize| {
                    other != at && sheet.items[other].closure.has(at.into())
                };
                is_off[at]
                    && !(0..is_off.len()).any(|other| is_off[other] && behind(other))
            })
            .collect();
        let at = pick(chance, &may);
        pen.write(on(&sheet.items[at].id));
        is_off[at] = false;
    }
    fold(sheet, &pen.events)
}

#[test]
fn every_fastener_is_accounted_for_and_a_lost_one_is_named() {
    let mut chance = Chance(0x9E37_79B9_7F4A_7C15);
    for round in 0..1_000 {
        let sheet = drawn(&mut chance);
        let item = &sheet.items[chance.below(sheet.items.len())];
        let fastener = &item.fasteners[chance.below(item.fasteners.len())];
        let whole = worked(&sheet, None, &mut chance);
        assert_eq!(ends(&whole), [""; 0], "round {round}");
        let lost = Some((item.id.as_str(), fastener.id.as_str()));
        let facts = worked(&sheet, lost, &mut chance);
        for (facts, missing) in [(&whole, 0), (&facts, 1)] {
            for listed in &sheet.items {
                let tray = facts.tray_of(&listed.id).unwrap();
                for (kind, lying) in listed.fasteners.iter().zip(&tray.fasteners) {
                    let is_lost = listed.id == item.id && kind.id == fastener.id;
                    let missing = if is_lost { missing } else { 0 };
                    let count = usize::try_from(kind.count).unwrap();
                    assert_eq!(lying.count(Hole::Missing), missing, "round {round}");
                    assert_eq!(lying.count(Hole::Back), count - missing, "round {round}");
                }
            }
        }
        let ends = ends(&facts);
        assert_eq!(ends.len(), 1, "round {round}: {ends:?}");
        let title = item.title.in_language("en");
        let named = ends[0].contains(&fastener.id)
            && (ends[0].contains(&item.id) || ends[0].contains(title));
        assert!(named, "round {round}: {ends:?}");
    }
}
