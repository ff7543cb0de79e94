//! Waiting on the way in, and what other work goes on meanwhile.
//!
//! The waiting of an item (cooling down) begins when all that it lies behind is off, at once
//! where that is so already, and has to be over before its first bolt. Steps that come before
//! it in the order anyway go on meanwhile; what is left of the waiting then is idle.

use sheet::{ItemIx, ItemSet, Sheet};

use crate::ease::longer;
use crate::sequence::between;

/// Minutes nearer than this are no gain.
const CLOSE: f64 = 1e-9;

/// The waiting of one step.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Waited {
    /// Minutes of it with nothing to do.
    pub idle: f64,
    /// The steps that go on meanwhile, by their place in the order.
    pub meanwhile: Vec<usize>,
}

/// The way in by the clock.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Timed {
    /// One a step.
    pub steps: Vec<Waited>,
    /// Minutes from the first bolt to the last.
    pub elapsed: f64,
}

impl Timed {
    /// Minutes with nothing to do.
    pub(crate) fn idle(&self) -> f64 {
        self.steps.iter().fold(0.0, |sum, step| sum + step.idle)
    }
}

/// An order by the clock.
pub(crate) fn timed(sheet: &Sheet, off_now: ItemSet, order: &[ItemIx]) -> Timed {
    let mut now = 0.0;
    let mut ends: Vec<f64> = Vec::with_capacity(order.len());
    let mut steps = Vec::with_capacity(order.len());
    let longer = longer(sheet, off_now, order);
    for (at, ix) in order.iter().enumerate() {
        let Some(item) = sheet.items.get(ix.at()) else { continue };
        let before = at.checked_sub(1).and_then(|at| sheet.items.get(order[at].at()));
        now += before.map_or(0.0, |one| between(sheet.moving, one, item));
        let fronts = (0..ends.len()).filter(|&front| item.closure.has(order[front]));
        let free = fronts.map(|front| ends[front]).fold(0.0, f64::max);
        let ready = if item.wait_min > 0.0 { free + item.wait_min } else { now };
        let meanwhile = if item.wait_min > 0.0 {
            (0..ends.len()).filter(|&step| ends[step] > free + CLOSE).collect()
        } else {
            Vec::new()
        };
        let idle = (ready - now).max(0.0);
        steps.push(Waited { idle, meanwhile });
        let more = longer[at].iter().fold(0.0, |sum, ease| sum + ease.minutes);
        now += idle + item.strip_min + more;
        ends.push(now);
    }
    Timed { steps, elapsed: now }
}

/// Another order that is done sooner by putting what has to wait later, and its minutes; the
/// best that moving single items finds.
pub(crate) fn sooner(
    sheet: &Sheet,
    off_now: ItemSet,
    order: &[ItemIx],
) -> Option<(Vec<ItemIx>, f64)> {
    let whole = timed(sheet, off_now, order);
    if whole.idle() <= CLOSE {
        return None;
    }
    let mut best = (order.to_vec(), whole.elapsed);
    for _ in 0..order.len() {
        let mut found: Option<(Vec<ItemIx>, f64)> = None;
        let from = best.0.clone();
        for at in 0..from.len() {
            let mut tried = from.clone();
            for to in at + 1..from.len() {
                let behind = sheet
                    .items
                    .get(from[to].at())
                    .is_some_and(|i| i.closure.has(from[at]));
                if behind {
                    break;
                }
                tried.swap(to - 1, to);
                let elapsed = timed(sheet, off_now, &tried).elapsed;
                if elapsed < found.as_ref().map_or(best.1, |(_, least)| *least) - CLOSE {
                    found = Some((tried.clone(), elapsed));
                }
            }
        }
        let Some(found) = found else { break };
        best = found;
    }
    (best.1 < whole.elapsed - CLOSE).then_some(best)
}
