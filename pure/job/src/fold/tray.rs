//! The tray: every hole of the items that were touched, their seals and caps.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;
use sheet::Item;

use crate::body::{
    CapMove, CapNoted, FastenerNoted, FastenerState, SealNoted, SealState,
};

/// Most holes that are kept of one kind of fastener.
const MAX_HOLES: u32 = 256;

/// Steps by the word that a loose end's id ends in.
pub(super) type Raised = BTreeMap<&'static str, usize>;

/// State of one hole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hole {
    /// Its fastener was never out.
    InPlace,
    /// Its fastener lies in its cell of the tray.
    InTray,
    /// A new fastener lies in its cell of the tray.
    NewInTray,
    /// Its fastener is back.
    Back,
    /// Its fastener is missing.
    Missing,
    /// Its fastener is broken.
    Broken,
}

/// The fasteners of one kind of an item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TrayFastener {
    /// Its id.
    pub id: String,
    /// Its holes, one cell a hole, in the order of their labels.
    pub holes: Vec<Hole>,
    /// Left over: there is no hole for them.
    pub left_over: u32,
    /// Step at which each kind of trouble was noted last.
    #[serde(skip)]
    pub(super) raised: Raised,
}

impl TrayFastener {
    /// How many holes are in that state.
    #[must_use]
    pub fn count(&self, state: Hole) -> usize {
        self.holes.iter().filter(|hole| **hole == state).count()
    }

    /// Turns up to `count` holes into `to`, those named first, then by the order of `from`.
    fn turn(&mut self, from: &[Hole], to: Hole, noted: &FastenerNoted) -> u32 {
        let mut left = noted.count;
        let named: Vec<usize> = noted
            .holes
            .iter()
            .filter_map(|hole| usize::try_from(*hole).ok()?.checked_sub(1))
            .collect();
        for place in named {
            if let Some(hole) = self.holes.get_mut(place).filter(|_| left > 0) {
                *hole = to;
                left -= 1;
            }
        }
        for state in from {
            for hole in self.holes.iter_mut().filter(|hole| *hole == state) {
                if left == 0 {
                    return 0;
                }
                *hole = to;
                left -= 1;
            }
        }
        left
    }
}

/// The seals of one kind of an item.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TraySeal {
    /// Its id.
    pub id: String,
    /// How many there should be.
    pub count: u32,
    /// How many were found; none: nobody was asked.
    pub found: Option<u32>,
    /// How many were not found, or never fitted.
    pub not_found: u32,
    /// How many are damaged.
    pub damaged: u32,
    /// How many new ones are in.
    pub renewed: u32,
    /// Step at which each kind of trouble was noted last.
    #[serde(skip)]
    pub(super) raised: Raised,
}

impl TraySeal {
    /// How many are neither found nor known to be missing, once counting has begun.
    #[must_use]
    pub fn unaccounted(&self) -> u32 {
        self.found.map_or(0, |found| {
            self.count.saturating_sub(found).saturating_sub(self.not_found)
        })
    }
}

/// An item that was touched.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TrayItem {
    /// Its id.
    pub item: String,
    /// Its title, or its id where the sheet does not know it.
    pub title: String,
    /// Whether it is off.
    pub off: bool,
    /// Taken as off because something behind it came off.
    pub implied: bool,
    /// It broke.
    pub broken: bool,
    /// When it came off last.
    pub since: Option<String>,
    /// Its fasteners.
    pub fasteners: Vec<TrayFastener>,
    /// Its seals.
    pub seals: Vec<TraySeal>,
    /// Caps that are on its open ports.
    pub caps: u32,
    /// Caps removed beyond those that were fitted.
    pub caps_too_many: u32,
    /// Step at which its caps were noted last.
    #[serde(skip)]
    pub(super) caps_noted: usize,
}

impl TrayItem {
    /// The tray of an item, nothing touched yet.
    pub(super) fn new(id: &str, item: Option<&Item>) -> Self {
        let fasteners = item.map_or(&[][..], |item| &item.fasteners).iter();
        let seals = item.map_or(&[][..], |item| &item.seals).iter();
        Self {
            item: id.to_owned(),
            title: item.map_or(id, |item| item.title.in_language("en")).to_owned(),
            off: false,
            implied: false,
            broken: false,
            since: None,
            fasteners: fasteners
                .map(|fastener| new_fastener(&fastener.id, fastener.count))
                .collect(),
            seals: seals.map(|seal| new_seal(&seal.id, seal.count)).collect(),
            caps: 0,
            caps_too_many: 0,
            caps_noted: 0,
        }
    }

    /// All of its fasteners go into the tray.
    pub(super) fn strip(&mut self) {
        self.off = true;
        for hole in self.fasteners.iter_mut().flat_map(|fastener| &mut fastener.holes) {
            match hole {
                Hole::InPlace | Hole::Back => *hole = Hole::InTray,
                Hole::InTray | Hole::NewInTray | Hole::Missing | Hole::Broken => {}
            }
        }
    }

    /// All that lies in the tray goes back; what is missing or broken stays so.
    pub(super) fn refit(&mut self) {
        self.off = false;
        self.implied = false;
        for hole in self.fasteners.iter_mut().flat_map(|fastener| &mut fastener.holes) {
            match hole {
                Hole::InTray | Hole::NewInTray => *hole = Hole::Back,
                Hole::InPlace | Hole::Back | Hole::Missing | Hole::Broken => {}
            }
        }
    }

    /// Notes something about fasteners; the answer is how many it could not mean.
    pub(super) fn note_fastener(&mut self, noted: &FastenerNoted, step: usize) -> u32 {
        let off = self.off;
        let fastener = find_fastener(&mut self.fasteners, &noted.fastener);
        let word = match noted.state {
            FastenerState::Missing => "missing",
            FastenerState::Broken => "broken",
            FastenerState::LeftOver => "left-over",
            FastenerState::Back
            | FastenerState::Replaced
            | FastenerState::FoundElsewhere => "in-tray",
        };
        fastener.raised.insert(word, step);
        match noted.state {
            FastenerState::Back => {
                let from = [Hole::InTray, Hole::NewInTray, Hole::Missing, Hole::Broken];
                let rest = fastener.turn(&from, Hole::Back, noted);
                let placed = rest.min(fastener.left_over);
                fastener.left_over -= placed;
                rest - placed
            }
            FastenerState::Missing => {
                let from = [Hole::InTray, Hole::NewInTray, Hole::InPlace, Hole::Back];
                fastener.turn(&from, Hole::Missing, noted)
            }
            FastenerState::Broken => {
                let from = [Hole::InTray, Hole::InPlace, Hole::NewInTray, Hole::Back];
                fastener.turn(&from, Hole::Broken, noted)
            }
            FastenerState::Replaced => {
                let from = [
                    Hole::Broken,
                    Hole::Missing,
                    Hole::InTray,
                    Hole::Back,
                    Hole::InPlace,
                ];
                let to = if off { Hole::NewInTray } else { Hole::Back };
                fastener.turn(&from, to, noted)
            }
            FastenerState::FoundElsewhere => {
                fastener.turn(&[Hole::Missing], Hole::InTray, noted)
            }
            FastenerState::LeftOver => {
                fastener.left_over =
                    fastener.left_over.saturating_add(noted.count).min(MAX_HOLES);
                0
            }
        }
    }

    /// Notes something about seals.
    pub(super) fn note_seal(&mut self, noted: &SealNoted, step: usize) {
        let seal = find_seal(&mut self.seals, noted);
        let word = match noted.state {
            SealState::Found => "unaccounted",
            SealState::NotFound | SealState::NeverFitted => "not-found",
            SealState::Damaged => "damaged",
            SealState::Renewed => "two",
        };
        seal.raised.insert(word, step);
        let count = noted.count.min(MAX_HOLES);
        match noted.state {
            SealState::Found => {
                seal.found = Some(seal.found.unwrap_or(0).saturating_add(count));
                seal.not_found = seal.not_found.saturating_sub(count);
            }
            SealState::NotFound | SealState::NeverFitted => {
                let count = if count == 0 { seal.count.max(1) } else { count };
                seal.not_found = seal.not_found.saturating_add(count).min(MAX_HOLES);
                seal.found = Some(seal.found.unwrap_or(0));
            }
            SealState::Damaged => {
                seal.damaged = seal.damaged.saturating_add(count).min(MAX_HOLES);
            }
            SealState::Renewed => {
                seal.renewed = seal.renewed.saturating_add(count).min(MAX_HOLES);
            }
        }
    }

    /// Notes caps.
    pub(super) fn note_caps(&mut self, noted: &CapNoted, step: usize) {
        self.caps_noted = step;
        let count = noted.count.min(MAX_HOLES);
        match noted.moved {
            CapMove::Fitted => self.caps = self.caps.saturating_add(count),
            CapMove::Removed => {
                self.caps_too_many =
                    self.caps_too_many.saturating_add(count.saturating_sub(self.caps));
                self.caps = self.caps.saturating_sub(count);
            }
        }
    }
}

fn new_fastener(id: &str, count: u32) -> TrayFastener {
    TrayFastener {
        id: id.to_owned(),
        holes: (0..count.min(MAX_HOLES)).map(|_| Hole::InPlace).collect(),
        left_over: 0,
        raised: Raised::new(),
    }
}

fn new_seal(id: &str, count: u32) -> TraySeal {
    TraySeal {
        id: id.to_owned(),
        count,
        found: None,
        not_found: 0,
        damaged: 0,
        renewed: 0,
        raised: Raised::new(),
    }
}

fn find_fastener<'t>(list: &'t mut Vec<TrayFastener>, id: &str) -> &'t mut TrayFastener {
    let place = list.iter().position(|entry| entry.id == id).unwrap_or_else(|| {
        list.push(new_fastener(id, 0));
        list.len() - 1
    });
    &mut list[place]
}

fn find_seal<'t>(list: &'t mut Vec<TraySeal>, noted: &SealNoted) -> &'t mut TraySeal {
    let place =
        list.iter().position(|entry| entry.id == noted.seal).unwrap_or_else(|| {
            list.push(new_seal(&noted.seal, noted.count.clamp(1, MAX_HOLES)));
            list.len() - 1
        });
    &mut list[place]
}
