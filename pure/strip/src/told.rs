//! Ease and waiting in words, on the steps and beside them.

use sheet::{ItemIx, ItemSet, Sheet};

use crate::answer::{Easing, Step};
use crate::ease::{Ease, EasedWay, eases, longer};
use crate::waiting::{Timed, sooner};

/// Minutes shorter than this are not told.
const CLOSE: f64 = 1e-9;

/// Minutes in words: at most two decimals.
fn min(minutes: f64) -> String {
    format!("{} min", (minutes * 100.0).round() / 100.0)
}

/// Names as a list in words.
fn and(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn title(sheet: &Sheet, item: ItemIx, language: &str) -> String {
    let item = sheet.items.get(item.at());
    item.map_or_else(String::new, |item| item.title.in_language(language).to_owned())
}

fn sum(eases: &[Ease]) -> f64 {
    eases.iter().fold(0.0, |sum, ease| sum + ease.minutes)
}

/// Adds to each step what it takes longer, and says why; says on what comes off for ease alone
/// what it is good for.
pub(crate) fn ease(
    sheet: &Sheet,
    (off_now, eased): (ItemSet, &EasedWay),
    steps: &mut [Step],
    language: &str,
) -> Vec<Easing> {
    let order = &eased.way.items;
    let all: ItemSet = order.iter().copied().collect();
    let longer = longer(sheet, off_now, order);
    for (step, still) in steps.iter_mut().zip(&longer) {
        step.minutes += sum(still);
        for ease in still {
            let why = if all.has(ease.by) {
                "is still on then"
            } else {
                "stays on: taking it off does not pay"
            };
            step.warnings.push(format!(
                "{} more because {} {why}",
                min(ease.minutes),
                title(sheet, ease.by, language)
            ));
        }
    }
    let late: Vec<Ease> = longer.into_iter().flatten().collect();
    let saved: Vec<Ease> = eases(sheet, all)
        .into_iter()
        .filter(|ease| eased.taken.has(ease.by) && !late.contains(ease))
        .collect();
    let mut told = Vec::new();
    for (step, &ix) in steps.iter_mut().zip(order) {
        if !eased.taken.has(ix) {
            continue;
        }
        let own: Vec<Ease> = saved.iter().copied().filter(|ease| ease.by == ix).collect();
        if own.is_empty() {
            let later = order.iter().filter(|&&other| {
                let item = sheet.items.get(other.at());
                other != ix && item.is_some_and(|item| item.closure.has(ix))
            });
            let names: Vec<String> =
                later.map(|&other| title(sheet, other, language)).collect();
            step.warnings.push(format!(
                "not in the way itself: off so that {} can come off, which saves time",
                and(&names)
            ));
            continue;
        }
        let easing = easing(sheet, (ix, eased.taken), &own);
        let names: Vec<String> =
            own.iter().map(|ease| title(sheet, ease.item, language)).collect();
        step.warnings.push(format!(
            "not in the way itself: off because it saves {} on {} and costs {} off and on",
            min(easing.saves_minutes),
            and(&names),
            min(easing.costs_minutes)
        ));
        told.push(easing);
    }
    told
}

fn easing(sheet: &Sheet, (by, taken): (ItemIx, ItemSet), own: &[Ease]) -> Easing {
    let id = |ix: ItemIx| sheet.items.get(ix.at()).map(|item| item.id.clone());
    let with = sheet.items.get(by.at()).map_or(ItemSet::one(by), |item| item.closure);
    let items = with.meet(taken);
    let items = items.iter().filter_map(|ix| sheet.items.get(ix.at()));
    Easing {
        item: id(by).unwrap_or_default(),
        eases: own.iter().filter_map(|ease| id(ease.item)).collect(),
        saves_minutes: sum(own),
        costs_minutes: items.fold(0.0, |sum, item| sum + item.strip_min + item.refit_min),
    }
}

/// Says on each step that waits what goes on meanwhile.
pub(crate) fn waiting(timed: &Timed, steps: &mut [Step]) {
    let titles: Vec<String> = steps.iter().map(|step| step.title.clone()).collect();
    for (step, waited) in steps.iter_mut().zip(&timed.steps) {
        if step.wait_minutes <= 0.0 || waited.meanwhile.is_empty() {
            continue;
        }
        let meanwhile: Vec<String> =
            waited.meanwhile.iter().filter_map(|&at| titles.get(at).cloned()).collect();
        let left = if waited.idle > CLOSE {
            format!("then {} are left to wait", min(waited.idle))
        } else {
            "then nothing is left to wait".to_owned()
        };
        step.warnings.push(format!(
            "its {} of waiting go on while {} come{} off; {left}",
            min(step.wait_minutes),
            and(&meanwhile),
            if meanwhile.len() == 1 { "s" } else { "" }
        ));
    }
}

/// What else there is to say of ease and waiting.
pub(crate) fn remarks(sheet: &Sheet, off_now: ItemSet, eased: &EasedWay) -> Vec<String> {
    let mut remarks = Vec::new();
    let order = &eased.way.items;
    if let Some((other, elapsed)) = sooner(sheet, off_now, order) {
        let now = crate::waiting::timed(sheet, off_now, order).elapsed;
        let names: Vec<&str> = other
            .iter()
            .filter_map(|ix| sheet.items.get(ix.at()))
            .map(|item| item.id.as_str())
            .collect();
        remarks.push(format!(
            "in the order {} the waiting is used for other work: done {} sooner, moving \
             about counted",
            names.join(", "),
            min(now - elapsed)
        ));
    }
    let all: ItemSet = order.iter().copied().collect();
    if !eases(sheet, all).is_empty() {
        remarks.push(
            "`eased_by` counts here; what the plan reckons for getting there leaves it out"
                .to_owned(),
        );
    }
    remarks
}
