//! `job tray`: where every fastener of what was touched lies, cell by cell, and what is off.

use job::fold::{Hole, TrayItem as Touched};
use pages::{CellState, MapItem, MapState, TrayCell, TrayItem, TrayKind};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{Fastener, ItemIx, ItemSet};
use strip::{FastenerStep, Step};

use super::{
    Bay, Problem,
    car::Car,
    paper_file::fastener_words,
    tray::{in_front_first, strip_from, swap_words},
};
use crate::Answer;

/// A cell of the tray: one hole.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CellOf {
    /// Its number, as on its label; it stays the same for the whole job.
    pub cell: u32,
    /// in-place, in-tray, new-in-tray, back, missing or broken.
    pub state: Hole,
}

/// Fasteners of one kind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct KindOf {
    /// Its id.
    pub fastener: String,
    /// Kind, thread and length in words.
    pub what: String,
    /// How it goes back: its torque and angle, or why there is none; null: nothing is known.
    pub back: Option<String>,
    /// Its cells.
    pub cells: Vec<CellOf>,
    /// Left over: there is no hole for them.
    pub left_over: u32,
}

/// An item that was touched.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ItemOf {
    /// Its id.
    pub item: String,
    /// Its title.
    pub title: String,
    /// Whether it is off now.
    pub off: bool,
    /// Its fasteners.
    pub kinds: Vec<KindOf>,
    /// Caps that are on its open ports.
    pub caps: u32,
}

/// An item of the map.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MapOf {
    /// Its id.
    pub item: String,
    /// Its title.
    pub title: String,
    /// on, off, back or next.
    pub state: String,
    /// Ids of what lies in front of it.
    pub behind: Vec<String>,
}

/// Answer `tray/1`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TrayAnswer {
    /// The job.
    pub job: String,
    /// Its plate; null: not known.
    pub plate: Option<String>,
    /// What was touched, in the order in which it came off.
    pub items: Vec<ItemOf>,
    /// What lies behind what, in sheet order; items that nothing touched lies near are left out.
    pub map: Vec<MapOf>,
    /// What is easily mixed up now, and what a swap would do.
    pub look_alikes: Vec<String>,
    /// Why the engine must not be started; empty: it may.
    pub do_not_start: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

impl Answer for TrayAnswer {
    const NAME: &'static str = "tray/1";
}

impl TrayAnswer {
    /// The cells as a drawing shows them; what is wholly back is left out where `open` says so.
    #[must_use]
    pub fn drawn(&self, open: bool) -> Vec<TrayItem> {
        let settled = |item: &&ItemOf| {
            let left = item.kinds.iter().any(|kind| {
                kind.left_over > 0
                    || kind
                        .cells
                        .iter()
                        .any(|cell| !matches!(cell.state, Hole::Back | Hole::InPlace))
            });
            !open || item.off || left
        };
        self.items.iter().filter(settled).map(ItemOf::drawn).collect()
    }

    /// The map as a drawing shows it.
    #[must_use]
    pub fn mapped(&self) -> Vec<MapItem> {
        let place = |id: &String| self.map.iter().position(|item| item.item == *id);
        let state = |word: &str| match word {
            "off" => MapState::Off,
            "back" => MapState::Back,
            "next" => MapState::Next,
            _ => MapState::On,
        };
        self.map
            .iter()
            .map(|item| MapItem {
                title: item.title.clone(),
                state: state(&item.state),
                behind: item.behind.iter().filter_map(place).collect(),
            })
            .collect()
    }
}

impl ItemOf {
    /// The item as a drawing shows it.
    pub(super) fn drawn(&self) -> TrayItem {
        let state = |hole: Hole| match hole {
            Hole::InPlace => CellState::Waits,
            Hole::InTray => CellState::Lies,
            Hole::NewInTray => CellState::New,
            Hole::Back => CellState::Back,
            Hole::Missing => CellState::Missing,
            Hole::Broken => CellState::Broken,
        };
        let kinds = self.kinds.iter().map(|kind| TrayKind {
            what: match &kind.back {
                Some(back) => format!("{}: {back}", kind.what),
                None => kind.what.clone(),
            },
            cells: kind
                .cells
                .iter()
                .map(|cell| TrayCell { cell: cell.cell, state: state(cell.state) })
                .collect(),
        });
        TrayItem { title: self.title.clone(), kinds: kinds.collect() }
    }
}

impl Bay {
    /// Where every fastener lies.
    ///
    /// # Errors
    /// No such job, or a sheet that does not fit.
    pub fn tray(&self, name: &str) -> Result<TrayAnswer, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let off = in_front_first(&car, car.off());
        let now = strip_from(&car, &off, Vec::new())?;
        let look_alikes = now.swaps.iter().map(|swap| swap_words(&car, swap));
        Ok(TrayAnswer {
            plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
            items: items(&car)?,
            map: map(&car),
            look_alikes: look_alikes.collect(),
            do_not_start: car.facts.do_not_start.clone(),
            remarks: car.remarks.clone(),
            job: car.job.clone(),
        })
    }
}

/// What was touched with its cells, numbered in the order in which it came off, so that a later
/// item never changes a label that is stuck on.
pub(super) fn items(car: &Car) -> Result<Vec<ItemOf>, Problem> {
    let all: ItemSet = strip::reach::closed(&car.sheet, car.facts.ever_off);
    let order: Vec<ItemIx> = in_front_first(car, all);
    let back = strip_from(car, &order, Vec::new())?;
    let mut next = 1;
    let mut items = Vec::new();
    for touched in &car.facts.tray {
        let listed = car.sheet.items.iter().find(|item| item.id == touched.item);
        let step = back.refit.iter().find(|step| step.item == touched.item);
        let title = listed
            .map_or(touched.title.as_str(), |item| item.title.in_language(&car.language));
        let fasteners = listed.map_or(&[][..], |item| &item.fasteners);
        items.push(ItemOf {
            item: touched.item.clone(),
            title: title.to_owned(),
            off: touched.off,
            kinds: kinds(touched, fasteners, (step, &mut next)),
            caps: touched.caps,
        });
    }
    Ok(items)
}

fn kinds(
    touched: &Touched,
    fasteners: &[Fastener],
    (step, next): (Option<&Step>, &mut u32),
) -> Vec<KindOf> {
    let words = |id: &str| {
        let listed = fasteners.iter().find(|fastener| fastener.id == id);
        listed.map_or_else(|| id.to_owned(), fastener_words)
    };
    let alike = |what: &String| {
        touched.fasteners.iter().filter(|kind| words(&kind.id) == *what).count() > 1
    };
    touched
        .fasteners
        .iter()
        .map(|kind| {
            let mut what = words(&kind.id);
            if alike(&what) {
                what = format!("{what} ({})", kind.id);
            }
            let shown =
                step.and_then(|step| step.fasteners.iter().find(|f| f.id == kind.id));
            let cells = (*next..).zip(&kind.holes);
            let cells: Vec<CellOf> =
                cells.map(|(cell, state)| CellOf { cell, state: *state }).collect();
            *next += u32::try_from(cells.len()).unwrap_or(0);
            KindOf {
                fastener: kind.id.clone(),
                what,
                back: shown.and_then(back_words),
                cells,
                left_over: kind.left_over,
            }
        })
        .collect()
}

/// How a fastener goes back, in words.
fn back_words(shown: &FastenerStep) -> Option<String> {
    let mut words = match shown.torque_nm {
        Some(torque_nm) => {
            let mut words = pages::say::torque(torque_nm, pages::Shown::Metric);
            if shown.angle_deg > 0.0 {
                let angle = pages::say::trimmed(shown.angle_deg, 0);
                words = format!("{words}, then {angle}° more");
            }
            match shown.torque_source.as_deref() {
                Some("maker") | None => words,
                Some(source) => format!("{words} ({source})"),
            }
        }
        None if turned(&shown.kind) => {
            shown.no_torque_because.clone().unwrap_or_default()
        }
        None => String::new(),
    };
    if shown.single_use {
        words = if words.is_empty() {
            "new each time".to_owned()
        } else {
            format!("{words}, new each time")
        };
    }
    Some(words).filter(|words| !words.is_empty())
}

/// Whether anybody would look for a torque.
fn turned(kind: &str) -> bool {
    matches!(kind, "bolt" | "nut" | "screw" | "stud" | "plug")
}

/// What was touched, what lies in front of it, and what lies right behind what is off.
fn map(car: &Car) -> Vec<MapOf> {
    let sheet = &car.sheet;
    let off = car.off();
    let touched = |id: &str| car.facts.tray.iter().any(|item| item.item == id);
    let mut near = strip::reach::closed(sheet, car.facts.ever_off.union(off));
    for (at, item) in sheet.items.iter().enumerate() {
        let in_front = item.closure.minus(ItemSet::one(at.into()));
        if in_front.meet(off) == in_front {
            near = near.union(ItemSet::one(at.into()));
        }
    }
    near.iter()
        .filter_map(|ix| Some((ix, sheet.items.get(ix.at())?)))
        .map(|(ix, item)| MapOf {
            item: item.id.clone(),
            title: item.title.in_language(&car.language).to_owned(),
            state: if off.has(ix) {
                "off"
            } else if touched(&item.id) {
                "back"
            } else {
                "on"
            }
            .to_owned(),
            behind: item
                .behind
                .iter()
                .filter_map(|front| Some(sheet.items.get(front.at())?.id.clone()))
                .collect(),
        })
        .collect()
}
