//! Items off and on: what comes off first, what is mixed up easily, what may not go back.

use job::{
    Body,
    body::{ItemOff, ItemOn, Tightened, TorqueUsed},
    fold::Blocks,
};
use sheet::{ItemIx, ItemSet, Way};
use strip::{MixUp, StripAnswer, StripAsk, Target, order::Budget};

use super::{Problem, car::Car, measures};

/// States that the order of a way may take: plenty for a workshop's items.
const NODES: u64 = 200_000;

/// The way in to `reach` from what is off, with its tray and the way back.
pub(super) fn strip_from(
    car: &Car,
    off: &[ItemIx],
    reach: Vec<Target>,
) -> Result<StripAnswer, Problem> {
    let keep_on = || true;
    let ask = StripAsk {
        reach,
        off: off.to_vec(),
        repairs: Vec::new(),
        economy: car.economy.clone(),
        language: car.language.clone(),
        budget: &Budget { nodes: NODES, keep_on: &keep_on },
    };
    strip::strip(&car.sheet, &ask).map_err(|error| Problem::wrong("strip", error))
}

/// Items in an order in which they can come off: what lies in front first.
pub(super) fn in_front_first(car: &Car, items: ItemSet) -> Vec<ItemIx> {
    let mut order: Vec<ItemIx> = items.iter().collect();
    order.sort_by_key(|ix| {
        let closure = car.sheet.items.get(ix.at()).map_or(0, |item| item.closure.len());
        (closure, ix.at())
    });
    order
}

/// Items that came off, what lies in front first.
pub(super) fn come_off(car: &Car, items: ItemSet) -> Vec<Body> {
    in_front_first(car, items)
        .into_iter()
        .filter_map(|ix| car.sheet.items.get(ix.at()))
        .map(|item| ItemOff { item: item.id.clone(), ..ItemOff::default() }.into())
        .collect()
}

/// What must have come off before that item, and what is easily mixed up from now on.
pub(super) fn off_first(
    car: &Car,
    id: &str,
) -> Result<(Vec<Body>, Vec<String>), Problem> {
    if !car.has_sheet {
        return Ok((Vec::new(), Vec::new()));
    }
    let (at, item) = car.item(id)?;
    let off = car.off();
    let first = item.closure.minus(off).minus(ItemSet::one(at.into()));
    let mut remarks = mixed_up(car, off, item.closure)?;
    for fastener in item.fasteners.iter().filter(|fastener| fastener.loose) {
        remarks.push(format!(
            "{}: `{}` falls free once its bolts are out: hold a hand under it",
            item.title.in_language(&car.language),
            fastener.id
        ));
    }
    Ok((come_off(car, first), remarks))
}

/// Look-alikes that come together when `more` joins what is off.
fn mixed_up(car: &Car, off: ItemSet, more: ItemSet) -> Result<Vec<String>, Problem> {
    let now: Vec<ItemIx> = in_front_first(car, off.union(more));
    let new: Vec<&str> = more
        .minus(off)
        .iter()
        .filter_map(|ix| Some(car.sheet.items.get(ix.at())?.id.as_str()))
        .collect();
    let answer = strip_from(car, &now, Vec::new())?;
    let fresh = |item: &String| new.contains(&item.as_str());
    Ok(answer
        .mix_ups
        .iter()
        .filter(|mix_up| mix_up.of.iter().chain(&mix_up.into).any(fresh))
        .map(|mix_up| format!("look-alikes: {}", mix_up_words(car, mix_up)))
        .collect())
}

/// What is mixed up, and what that does.
pub(super) fn mix_up_words(car: &Car, mix_up: &MixUp) -> String {
    pages::say::mix_up(mix_up, |item| car.title("item", item))
}

/// The items of the cheapest way that are not off yet, as bodies; and what should have been
/// back on.
pub(super) fn way_open(
    car: &Car,
    ways: &[Way],
    (on, assembled): (ItemSet, bool),
) -> (Vec<Body>, Vec<String>) {
    let off = car.off();
    let cost = |way: &&Way| {
        let to = off.union(way.closed);
        strip::move_cost(&car.sheet, &car.economy, off, to).cost
            + strip::move_cost(&car.sheet, &car.economy, to, ItemSet::EMPTY).cost
    };
    let cheapest = ways.iter().min_by(|a, b| cost(a).total_cmp(&cost(b)));
    let wanted = cheapest.map_or(ItemSet::EMPTY, |way| way.closed);
    let to = strip::move_to(&car.sheet, off, wanted, on, assembled);
    let still: Vec<String> =
        off.minus(to).iter().map(|item| car.item_name(item).title).collect();
    let mut remarks = Vec::new();
    if !still.is_empty() {
        remarks.push(format!(
            "this wants {} back on, and the log says off: enter what went back",
            pages::say::and(&still)
        ));
    }
    (come_off(car, wanted.minus(off)), remarks)
}

/// The body of an item that went back.
pub(super) fn back_on(
    car: &Car,
    id: &str,
    how: Option<Tightened>,
    wrench: Option<&str>,
) -> Result<(ItemOn, Vec<String>), Problem> {
    let blocking: Vec<String> = car
        .facts
        .open_ends()
        .filter(|end| matches!(&end.blocks, Blocks::Refit(item) if item == id))
        .map(|end| format!("{} (`{}`)", end.what, end.id))
        .collect();
    if !blocking.is_empty() {
        return Err(Problem::wrong(
            "loose-end",
            format!("`{id}` can't go back yet: {}", blocking.join("; ")),
        )
        .hint("find it and say where, renew it, or accept it in writing: accept:LOOSE-END=WORDS"));
    }
    let mut on = ItemOn {
        item: id.to_owned(),
        how: how.unwrap_or_default(),
        wrench: wrench.map(str::to_owned).or_else(|| car.facts.wrench.clone()),
        ..ItemOn::default()
    };
    if !car.has_sheet {
        return Ok((on, Vec::new()));
    }
    let (at, item) = car.item(id)?;
    let mut remarks = car.facts.can_refit(&car.sheet, id);
    let order = in_front_first(car, item.closure);
    let back = strip_from(car, &order, Vec::new())?;
    let step = back.refit.iter().find(|step| step.item == id);
    let torques: Vec<TorqueUsed> = step
        .map_or(&[][..], |step| &step.fasteners)
        .iter()
        .filter(|fastener| fastener.torque_nm.is_some())
        .map(|fastener| TorqueUsed {
            fastener: fastener.id.clone(),
            torque_nm: fastener.torque_nm,
            angle_deg: (fastener.angle_deg > 0.0).then_some(fastener.angle_deg),
            source: fastener.torque_source.clone(),
        })
        .collect();
    on.how = how.unwrap_or(if torques.is_empty() {
        Tightened::Hand
    } else {
        Tightened::Torque
    });
    if matches!(on.how, Tightened::Torque | Tightened::TorqueAngle) {
        on.torques = torques;
    } else {
        on.wrench = None;
    }
    remarks.extend(unrenewed(car, id, &back));
    remarks.extend(measures::not_measured(car, at.into()));
    if !car.off().has(at.into()) {
        remarks.push(format!("`{id}` was not off by the log"));
    }
    Ok((on, remarks))
}

/// Seals that are renewed each time and are not entered as renewed.
fn unrenewed(car: &Car, id: &str, back: &StripAnswer) -> Vec<String> {
    let tray = car.facts.tray_of(id);
    let renewed = |seal: &str| {
        tray.is_some_and(|tray| tray.seals.iter().any(|s| s.id == seal && s.renewed > 0))
    };
    back.renew
        .iter()
        .filter(|renew| {
            renew.item == id && renew.when == "always" && renew.kind == "seal"
        })
        .filter(|renew| !renewed(&renew.id))
        .map(|renew| format!("`{}` is renewed each time: is a new one in?", renew.id))
        .collect()
}
