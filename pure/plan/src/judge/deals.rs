//! The actions that are there: what they cost and what they ask of the items.

use sheet::{Item, ItemIx, ItemSet, ProofKind, Sheet, Way};

use super::{JudgeAsk, JudgeKind};

/// What may be off while something is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Allows {
    /// Anything.
    Anything,
    /// Items whose closure is covers only (`assembled`).
    Covers,
    /// Nothing at all.
    Nothing,
}

/// What one way of an action asks of the items.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Demand {
    pub(crate) off: ItemSet,
    pub(crate) on: ItemSet,
    pub(crate) allows: Allows,
}

/// An action that is there: equipped for and not refused.
#[derive(Debug)]
pub(crate) struct Deal {
    pub(crate) kind: JudgeKind,
    pub(crate) place: usize,
    pub(crate) ways: Vec<Demand>,
    pub(crate) pay: f64,
}

/// cl(i) of every item: itself and all it lies behind, all the way.
pub(super) fn closures(items: &[Item]) -> Vec<ItemSet> {
    let mut sets: Vec<ItemSet> =
        (0..items.len()).map(|place| ItemSet::one(ItemIx::from(place))).collect();
    // Each pass reaches one item further; no chain is longer than the list.
    for _ in 0..items.len() {
        for (place, item) in items.iter().enumerate() {
            sets[place] = item
                .behind
                .iter()
                .fold(sets[place], |set, in_front| set.union(sets[in_front.at()]));
        }
    }
    sets
}

/// The actions that are there, in the order in which ties are settled.
pub(super) fn deals(sheet: &Sheet, ask: &JudgeAsk, closures: &[ItemSet]) -> Vec<Deal> {
    let equipped = |needs: &[String]| {
        ask.has.as_ref().is_none_or(|has| needs.iter().all(|need| has.contains(need)))
    };
    let demands = |ways: &[Way], on: ItemSet, assembled: bool| -> Vec<Demand> {
        let allows = if assembled { Allows::Covers } else { Allows::Anything };
        let closed = |way: &Way| {
            way.named
                .iter()
                .fold(ItemSet::EMPTY, |set, item| set.union(closures[item.at()]))
        };
        ways.iter().map(|way| Demand { off: closed(way), on, allows }).collect()
    };
    let price = |minutes, wait_min, money: f64| {
        ask.economy.work(minutes) + ask.economy.waiting(wait_min) + money
    };
    let checks = sheet.checks.iter().enumerate().filter(|(_, c)| equipped(&c.needs)).map(
        |(place, c)| Deal {
            kind: JudgeKind::Check,
            place,
            ways: demands(&c.ways, c.on, c.assembled),
            pay: price(c.minutes, c.wait_min, c.cost),
        },
    );
    let repairs =
        sheet.repairs.iter().enumerate().filter(|(_, r)| equipped(&r.needs)).map(
            |(place, r)| Deal {
                kind: JudgeKind::Repair,
                place,
                ways: demands(&r.ways, r.on, r.assembled),
                pay: price(r.minutes, r.wait_min, r.parts_price),
            },
        );
    let proofs = sheet.proofs.iter().enumerate().filter_map(|(place, p)| {
        let kind = JudgeKind::Proof;
        let ProofKind::Repeat { check, .. } = &p.kind else {
            let nothing = Demand {
                off: ItemSet::EMPTY,
                on: ItemSet::EMPTY,
                allows: Allows::Nothing,
            };
            let pay = price(p.minutes, p.wait_min, p.cost);
            let counted =
                matches!(p.kind, ProofKind::Shows(_)) || ask.odds.count.is_some();
            return (counted && equipped(&p.needs)).then(|| Deal {
                kind,
                place,
                ways: vec![nothing],
                pay,
            });
        };
        let c = &sheet.checks[check.at()];
        (equipped(&p.needs) && equipped(&c.needs)).then(|| Deal {
            kind,
            place,
            ways: demands(&c.ways, c.on, c.assembled),
            pay: price(c.minutes, c.wait_min, c.cost),
        })
    });
    checks
        .chain(repairs)
        .chain(proofs)
        .filter(|deal| !ask.without.contains(&(deal.kind, deal.place)))
        .collect()
}
