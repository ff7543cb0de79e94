//! `job tray`: where every fastener of what was touched lies, cell by cell, and what is off.

use job::body::{HoleAt, Kind};
use job::fold::{Hole, PhotoLine, TrayItem as Touched};
use pages::{
    CellState, MapItem, MapState, Photo, PhotoMark, Shown, TrayCell, TrayItem, TrayKind,
};
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{Fastener, ItemIx, ItemSet, Way};
use strip::Step;

use super::{
    Bay, Problem,
    car::Car,
    measures::{self, MeasureLine},
    paper_file::{QUIET, fastener_words},
    tray::{in_front_first, mix_up_words, strip_from},
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
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct KindOf {
    /// Its id.
    pub fastener: String,
    /// Kind, thread and length in words.
    pub what: String,
    /// Torque on the way back, N·m; null: none.
    pub torque_nm: Option<f64>,
    /// Angle after the torque, degrees; null: none.
    pub angle_deg: Option<f64>,
    /// `maker` or what marks a computed value; null without a torque.
    pub torque_source: Option<String>,
    /// Why there is no torque, where one would be looked for.
    pub no_torque_because: Option<String>,
    /// Never used twice.
    pub single_use: bool,
    /// Its cells.
    pub cells: Vec<CellOf>,
    /// Left over: there is no hole for them.
    pub left_over: u32,
}

/// An item that was touched.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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

/// A hole on a photo.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HoleOn {
    /// Number of its cell.
    pub cell: u32,
    /// State of the hole.
    pub state: Hole,
    /// From the left edge, as a share of the width.
    pub x: f64,
    /// From the upper edge, as a share of the height.
    pub y: f64,
}

/// The latest photo of an item that was touched.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PhotoOf {
    /// Id of its event.
    pub event: String,
    /// The item.
    pub item: String,
    /// Its title.
    pub title: String,
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// The holes that are marked on it.
    pub holes: Vec<HoleOn>,
}

/// An item of the map.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct MapOf {
    /// Its id.
    pub item: String,
    /// Its title.
    pub title: String,
    /// on, off, back, or next: it comes off for the step that is advised.
    pub state: String,
    /// Ids of what lies in front of it.
    pub behind: Vec<String>,
}

/// Answer `tray/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
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
    /// Photos of what was touched, with its holes as far as they are marked.
    pub photos: Vec<PhotoOf>,
    /// What is measured at what was touched or comes off next, in sheet order.
    pub measures: Vec<MeasureLine>,
}

impl Answer for TrayAnswer {
    const NAME: &'static str = "tray/1";
}

impl TrayAnswer {
    /// The cells as a drawing shows them; what is wholly back is left out where `open` says so.
    #[must_use]
    pub fn drawn(&self, open: bool, shown: Shown) -> Vec<TrayItem> {
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
        self.items.iter().filter(settled).map(|item| item.drawn(shown)).collect()
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
    pub(super) fn drawn(&self, shown: Shown) -> TrayItem {
        let state = |hole: Hole| match hole {
            Hole::InPlace => CellState::Waits,
            Hole::InTray => CellState::Lies,
            Hole::NewInTray => CellState::New,
            Hole::Back => CellState::Back,
            Hole::Missing => CellState::Missing,
            Hole::Broken => CellState::Broken,
        };
        let kinds = self.kinds.iter().map(|kind| TrayKind {
            what: kind.words(shown),
            cells: kind
                .cells
                .iter()
                .map(|cell| TrayCell { cell: cell.cell, state: state(cell.state) })
                .collect(),
        });
        let title = match self.caps {
            0 => self.title.clone(),
            caps => {
                format!("{} ({} on)", self.title, pages::say::count(caps, "cap", "caps"))
            }
        };
        TrayItem { title, kinds: kinds.collect() }
    }
}

impl KindOf {
    /// What they are, how they go back, and what is left over.
    fn words(&self, shown: Shown) -> String {
        let mut notes: Vec<String> = self
            .torque_words(shown)
            .or_else(|| self.no_torque_because.clone())
            .into_iter()
            .collect();
        if self.single_use {
            notes.push("new each time".to_owned());
        }
        if self.left_over > 0 {
            notes.push(format!("{} LEFT OVER", self.left_over));
        }
        if notes.is_empty() {
            self.what.clone()
        } else {
            format!("{}: {}", self.what, notes.join(", "))
        }
    }

    /// Torque and angle, with what marks a computed value; none: no torque.
    pub(super) fn torque_words(&self, shown: Shown) -> Option<String> {
        let torque = pages::say::torque(self.torque_nm?, shown);
        let then = self.angle_deg.map_or_else(String::new, |degrees| {
            format!(", then {}° more", pages::say::trimmed(degrees, 0))
        });
        Some(match self.torque_source.as_deref() {
            Some("maker") | None => format!("{torque}{then}"),
            Some(source) => format!("{torque}{then} ({source})"),
        })
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
        let look_alikes = now.mix_ups.iter().map(|mix_up| mix_up_words(&car, mix_up));
        let items = items(&car)?;
        Ok(TrayAnswer {
            plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
            photos: photos(self, &car, &items)?.into_iter().map(|(of, _)| of).collect(),
            items,
            measures: measures::all(&car, car.facts.ever_off.union(coming(&car))),
            map: map(&car),
            look_alikes: look_alikes.collect(),
            do_not_start: car.facts.do_not_start.clone(),
            remarks: car.remarks.clone(),
            job: car.job.clone(),
        })
    }
}

/// The photos on which holes are marked, for paper.
pub(super) fn marked_photos(
    bay: &Bay,
    car: &Car,
    items: &[ItemOf],
) -> Result<Vec<Photo>, Problem> {
    let all = photos(bay, car, items)?.into_iter();
    let marked = all.filter(|(of, _)| !of.holes.is_empty());
    let with_marks = |(of, photo): (PhotoOf, Photo)| {
        let mark = |hole: &HoleOn| PhotoMark {
            label: hole.cell.to_string(),
            x: hole.x,
            y: hole.y,
            settled: hole.state == Hole::Back,
        };
        Photo {
            caption: of.title.as_str().into(),
            marks: of.holes.iter().map(mark).collect(),
            ..photo
        }
    };
    Ok(marked.map(with_marks).collect())
}

/// The latest photo of each item, where its size can be read.
fn photos(
    bay: &Bay,
    car: &Car,
    items: &[ItemOf],
) -> Result<Vec<(PhotoOf, Photo)>, Problem> {
    let mut photos = Vec::new();
    for item in items {
        let of = format!("item:{}", item.item);
        let own = |said: &&PhotoLine| said.what.of.as_deref() == Some(of.as_str());
        let Some(said) = car.facts.photos.iter().rev().find(own) else { continue };
        let Some(bytes) = bay.blob(&said.what.blob)? else { continue };
        let photo = Photo::plain("", bytes);
        let Some((width, height)) = photo.size() else { continue };
        let hole = |at: &HoleAt| {
            let kind = item.kinds.iter().find(|kind| kind.fastener == at.fastener)?;
            let cell = kind.cells.get(usize::try_from(at.hole).ok()?.checked_sub(1)?)?;
            Some(HoleOn { cell: cell.cell, state: cell.state, x: at.x, y: at.y })
        };
        let of = PhotoOf {
            event: said.id.clone(),
            item: item.item.clone(),
            title: item.title.clone(),
            width,
            height,
            holes: said.what.holes.iter().filter_map(hole).collect(),
        };
        photos.push((of, photo));
    }
    Ok(photos)
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
                torque_nm: shown.and_then(|shown| shown.torque_nm),
                angle_deg: shown.map(|shown| shown.angle_deg).filter(|deg| *deg > 0.0),
                torque_source: shown.and_then(|shown| shown.torque_source.clone()),
                no_torque_because: shown
                    .filter(|shown| shown.torque_nm.is_none() && turned(&shown.kind))
                    .and_then(|shown| shown.no_torque_because.clone()),
                single_use: shown.is_some_and(|shown| shown.single_use),
                cells,
                left_over: kind.left_over,
            }
        })
        .collect()
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
    let next = coming(car);
    let mut near = strip::reach::closed(sheet, car.facts.ever_off.union(off)).union(next);
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
            } else if next.has(ix) {
                "next"
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

/// Entries on the way to a step: it is still to come.
const ON_THE_WAY: [Kind; 9] = [
    Kind::ItemOff,
    Kind::Reading,
    Kind::SnagMet,
    Kind::FastenerNoted,
    Kind::SealNoted,
    Kind::CapNoted,
    Kind::FluidOut,
    Kind::Photo,
    Kind::Note,
];

/// What is still to come off for the step that was advised last, unless more than the way to it
/// was entered since.
pub(super) fn coming(car: &Car) -> ItemSet {
    let Some(advised) = &car.facts.advised else { return ItemSet::EMPTY };
    let still_to_come = |kind: &str| {
        Kind::of_word(kind)
            .is_some_and(|kind| QUIET.contains(&kind) || ON_THE_WAY.contains(&kind))
    };
    let later = car.facts.history.iter().rev().take_while(|line| line.id != advised.id);
    if later.filter(|line| line.counts()).any(|line| !still_to_come(&line.kind)) {
        return ItemSet::EMPTY;
    }
    let next = &advised.what.next;
    let ways: &[Way] = match next.kind.as_str() {
        "check" => car.sheet.checks.iter().find(|c| c.id == next.id).map(|c| &c.ways[..]),
        "repair" => {
            car.sheet.repairs.iter().find(|r| r.id == next.id).map(|r| &r.ways[..])
        }
        _ => None,
    }
    .unwrap_or_default();
    let way = next.way.and_then(|way| ways.get(usize::try_from(way).ok()?));
    way.map_or(ItemSet::EMPTY, |way| way.closed.minus(car.off()))
}
