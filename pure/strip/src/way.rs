//! The verb of this crate: [`strip`] answers what comes off, in which order, and back.

use sheet::{Goes, Item, ItemIx, ItemSet, RepairIx, Sheet};

use crate::answer::{Loose, SnagDue, Step, StripAnswer, WayTaken};
use crate::ask::{StripAsk, StripError, Target, checked_off};
use crate::ease::{EasedWay, eased_way};
use crate::reach::{covers, move_cost};
use crate::sequence::{across_flats, tool, way_out};
use crate::tray::{Tray, look_alikes};
use crate::ways::{Chosen, choose};
use crate::{fastener, told, upkeep, waiting};

/// The way in to all targets jointly, the tray, and the way out of all that is then off.
///
/// # Errors
/// A target that the sheet lacks; items off with something in front of them on; a circle.
pub fn strip(sheet: &Sheet, ask: &StripAsk<'_>) -> Result<StripAnswer, StripError> {
    let off_before = checked_off(sheet, &ask.off)?;
    let off_now: ItemSet = off_before.iter().copied().collect();
    let chosen = choose(sheet, &ask.economy, off_now, &ask.reach)?;
    let needed = chosen.needed.minus(off_now);
    let eased = eased_way(sheet, (&ask.economy, off_now), needed, ask.budget)?;
    let (way, stripped) = (&eased.way, needed.union(eased.taken));
    let timed = waiting::timed(sheet, off_now, &way.items);
    let taken: Vec<ItemIx> = off_before.iter().chain(&way.items).copied().collect();
    let back = way_out(sheet, &taken)?;
    let off = off_now.union(stripped);
    let cost = move_cost(sheet, &ask.economy, off_now, off);
    let repairs = repairs(ask);

    let mut tray = Tray::default();
    let language = ask.language.as_str();
    let mut in_steps: Vec<Step> = items(sheet, &way.items)
        .map(|item| step_off(item, language, &mut tray))
        .collect();
    let easing = told::ease(sheet, (off_now, &eased), &mut in_steps, language);
    told::waiting(&timed, &mut in_steps);
    let out_steps: Vec<Step> =
        items(sheet, &back).map(|item| step_back(item, language, &in_steps)).collect();
    let alike = look_alikes(sheet, off);
    let held = upkeep::not_startable(sheet, &taken);
    let mut remarks = remarks(sheet, ask, &chosen, &eased);
    remarks.extend(told::remarks(sheet, off_now, &eased));
    remarks.extend(limits(&tray, alike.left_out, &in_steps, &off_before));

    Ok(StripAnswer {
        strip_minutes: minutes(&in_steps),
        refit_minutes: minutes(&out_steps),
        moving_minutes: way.moving_minutes,
        proven: way.proven,
        lower_bound: way.lower_bound,
        tools: tools(sheet, &taken),
        renew: upkeep::renew(sheet, &back),
        parts_cost: upkeep::parts_cost(sheet, &back),
        look_alikes: alike.groups,
        loose: items(sheet, &way.items).flat_map(|item| loose(item, language)).collect(),
        duties: upkeep::duties(sheet, off, &repairs, language),
        wait_minutes: cost.wait_min,
        swaps: alike.swaps,
        mix_ups: alike.mix_ups,
        tray: tray.cells,
        snags: snags(sheet, ask, &way.items),
        fluids: upkeep::fluids(sheet, &taken),
        caps: upkeep::caps(sheet, &taken),
        do_not_start: !held.is_empty(),
        do_not_start_because: held,
        ways: ways_taken(sheet, ask, &chosen),
        remarks,
        waiting_idle_minutes: timed.idle(),
        elapsed_minutes: timed.elapsed,
        easing,
        measures: upkeep::measures(sheet, (&taken, off_now), language),
        strip: in_steps,
        refit: out_steps,
    })
}

fn items<'a>(sheet: &'a Sheet, order: &'a [ItemIx]) -> impl Iterator<Item = &'a Item> {
    order.iter().filter_map(|ix| sheet.items.get(ix.at()))
}

/// Folded from +0: an empty sum of floats is −0, which would print as "-0".
fn minutes(steps: &[Step]) -> f64 {
    steps.iter().fold(0.0, |sum, step| sum + step.minutes)
}

/// Repairs done already and those to get at.
fn repairs(ask: &StripAsk<'_>) -> Vec<RepairIx> {
    let wanted = ask.reach.iter().filter_map(|target| match *target {
        Target::Repair(repair) => Some(repair),
        Target::Check(_) | Target::Item(_) => None,
    });
    ask.repairs.iter().copied().chain(wanted).collect()
}

/// A step without its fasteners and minutes.
fn bare(item: &Item, language: &str) -> Step {
    let goes = match item.goes {
        Goes::Off => "off",
        Goes::Aside => "aside",
        Goes::Slack => "slack",
        Goes::Drained => "drained",
        Goes::Unplugged => "unplugged",
        Goes::Raised => "raised",
    };
    Step {
        item: item.id.clone(),
        title: item.title.in_language(language).to_owned(),
        minutes: 0.0,
        position: item.position.clone(),
        tool: tool(item),
        cautions: item.caution.clone(),
        fasteners: Vec::new(),
        goes: goes.to_owned(),
        wait_minutes: 0.0,
        warnings: Vec::new(),
    }
}

fn step_off(item: &Item, language: &str, tray: &mut Tray) -> Step {
    let mut step = bare(item, language);
    for fastener in &item.fasteners {
        let cells = tray.take(item, &step.title, fastener);
        step.fasteners.push(fastener::shown(item, fastener, cells));
    }
    step.minutes = item.strip_min;
    step.wait_minutes = item.wait_min;
    step.warnings.extend(loose(item, language).map(|loose| loose.warning));
    if item.goes == Goes::Aside {
        step.warnings.push("tie it up; it must not hang by its hose or cable".to_owned());
    }
    if upkeep::is_open(item) {
        step.warnings.push("cap the open port at once and count the cap".to_owned());
    }
    for fluid in &item.fluids {
        step.warnings.push(format!("catch the {}: about {} l", fluid.id, fluid.litres));
    }
    step
}

fn step_back(item: &Item, language: &str, way_in: &[Step]) -> Step {
    let mut step = bare(item, language);
    let before = way_in.iter().find(|step| step.item == item.id);
    for fastener in &item.fasteners {
        let cells = before
            .and_then(|step| step.fasteners.iter().find(|taken| taken.id == fastener.id))
            .map(|taken| taken.cells.clone());
        step.fasteners.push(fastener::shown(item, fastener, cells.unwrap_or_default()));
    }
    step.minutes = item.refit_min;
    if upkeep::is_open(item) {
        step.warnings.push("take the cap off again: caps out equal caps in".to_owned());
    }
    for fluid in &item.fluids {
        step.warnings.push(format!("fill the {}: about {} l", fluid.id, fluid.litres));
    }
    if item.fasteners.iter().map(|fastener| fastener.count).fold(0, u32::saturating_add)
        > 1
    {
        step.warnings.push("start every thread by hand before tightening any".to_owned());
    }
    step
}

/// Parts of the item that fall free.
fn loose<'a>(item: &'a Item, language: &str) -> impl Iterator<Item = Loose> + use<'a> {
    let title = item.title.in_language(language).to_owned();
    let free = item.fasteners.iter().filter(|fastener| fastener.loose);
    free.map(move |fastener| Loose {
        item: item.id.clone(),
        fastener: fastener.id.clone(),
        warning: format!(
            "{title}: {} falls free as soon as it is undone: hold it before the last turn",
            fastener.id
        ),
    })
}

/// Every spanner that the fasteners want, in the order of the way in, each once.
fn tools(sheet: &Sheet, taken: &[ItemIx]) -> Vec<String> {
    let mut tools: Vec<String> = Vec::new();
    let heads =
        items(sheet, taken).flat_map(|item| &item.fasteners).filter_map(|f| f.head_mm);
    for name in heads.map(across_flats) {
        if !tools.contains(&name) {
            tools.push(name);
        }
    }
    tools
}

/// Snags of the way in, in its order.
fn snags(sheet: &Sheet, ask: &StripAsk<'_>, way: &[ItemIx]) -> Vec<SnagDue> {
    let every =
        items(sheet, way).flat_map(|item| item.snags.iter().map(move |s| (item, s)));
    every
        .map(|(item, snag)| SnagDue {
            item: item.id.clone(),
            title: snag.title.in_language(&ask.language).to_owned(),
            p: ask.economy.rust.snag_probability(snag.p),
            minutes: snag.minutes,
            parts: snag.parts,
        })
        .collect()
}

/// What a target is called: its kind and id.
fn named(sheet: &Sheet, target: Target) -> (&'static str, String) {
    let (kind, id) = match target {
        Target::Check(ix) => ("check", sheet.checks.get(ix.at()).map(|check| &check.id)),
        Target::Repair(ix) => {
            ("repair", sheet.repairs.get(ix.at()).map(|repair| &repair.id))
        }
        Target::Item(ix) => ("item", sheet.items.get(ix.at()).map(|item| &item.id)),
    };
    (kind, id.cloned().unwrap_or_default())
}

fn ways_taken(sheet: &Sheet, ask: &StripAsk<'_>, chosen: &Chosen) -> Vec<WayTaken> {
    let pairs = ask.reach.iter().zip(&chosen.ways);
    pairs
        .map(|(&target, &way)| {
            let (kind, id) = named(sheet, target);
            WayTaken { kind: kind.to_owned(), id, way }
        })
        .collect()
}

/// What a target wants of the rest of the vehicle: items that must be on, and whether all
/// but covers must be.
fn wants(sheet: &Sheet, target: Target) -> (ItemSet, bool) {
    match target {
        Target::Check(ix) => {
            sheet.checks.get(ix.at()).map(|check| (check.on, check.assembled))
        }
        Target::Repair(ix) => sheet.repairs.get(ix.at()).map(|r| (r.on, r.assembled)),
        Target::Item(_) => None,
    }
    .unwrap_or_default()
}

/// What has to go back on first for a target, and what of the answer is not proven.
fn remarks(
    sheet: &Sheet,
    ask: &StripAsk<'_>,
    chosen: &Chosen,
    EasedWay { way, taken, all_compared }: &EasedWay,
) -> Vec<String> {
    let mut remarks = Vec::new();
    let off_now: ItemSet = ask.off.iter().copied().collect();
    let off = off_now.union(chosen.needed).union(*taken);
    let covers = covers(sheet);
    for &target in &ask.reach {
        let (on, assembled) = wants(sheet, target);
        let names: Vec<&str> = off
            .iter()
            .filter_map(|ix| sheet.items.get(ix.at()))
            .filter(|item| {
                !item.closure.meet(on).is_empty()
                    || assembled && !item.closure.within(covers)
            })
            .map(|item| item.id.as_str())
            .collect();
        if !names.is_empty() {
            let (kind, id) = named(sheet, target);
            remarks.push(format!(
                "{kind} {id}: has to be on for it again: {}",
                names.join(", ")
            ));
        }
    }
    if !chosen.all_compared {
        remarks.push("too many combinations of ways: not all were compared".to_owned());
    }
    if !all_compared {
        remarks.push(
            "too many items make others quicker: not every choice was compared"
                .to_owned(),
        );
    }
    if !way.proven {
        remarks.push(format!(
            "the order is the best found; none moves about for less than {} minutes",
            way.lower_bound
        ));
    } else if !way.first {
        remarks
            .push("another order may be as good and earlier by sheet order".to_owned());
    }
    remarks
}

/// What was left out because there was too much of it, and what the tray does not know.
fn limits(
    tray: &Tray,
    left_out: Option<&str>,
    way_in: &[Step],
    off_before: &[ItemIx],
) -> Vec<String> {
    let mut remarks = Vec::new();
    if tray.full {
        let without = way_in.iter().flat_map(|step| &step.fasteners);
        let count = without.filter(|f| f.cells.is_empty() && f.count > 0).count();
        remarks.push(format!("the tray is full: {count} kinds of fastener have no cell"));
    }
    remarks.extend(left_out.map(str::to_owned));
    if !off_before.is_empty() {
        remarks.push("what was off before lies in the cells that it got then".to_owned());
    }
    remarks
}
