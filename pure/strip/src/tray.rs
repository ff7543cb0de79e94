//! The tray: one cell a hole, and the fasteners in it that are easily mixed up.

use std::collections::HashMap;

use fasten::{LengthFit, LengthInput, length_fit};
use sheet::{Fastener, Item, ItemIx, ItemSet, Sheet};

use crate::answer::{Cell, FastenerName, MixUp, Swap};
use crate::fastener::{class, material, thread};
use crate::sequence::across_flats;

/// Cells numbered at most; a tray beyond this is no tray.
const MOST_CELLS: u32 = 9_999;
/// Swaps told one by one at most.
const MOST_SWAPS: usize = 400;
/// Pairs of look-alikes looked at at most.
const MOST_PAIRS: usize = 50_000;
/// How a swap begins that does no harm by its length.
const HOLDS: &str = "would hold";

/// Numbers cells in the order in which they are asked for.
#[derive(Debug, Default)]
pub(crate) struct Tray {
    /// The cells so far.
    pub cells: Vec<Cell>,
    /// Whether there were too many holes.
    pub full: bool,
}

impl Tray {
    /// The cells of all holes of a fastener, one each.
    pub(crate) fn take(
        &mut self,
        item: &Item,
        title: &str,
        fastener: &Fastener,
    ) -> Vec<u32> {
        let next = u32::try_from(self.cells.len()).unwrap_or(MOST_CELLS) + 1;
        if fastener.count > MOST_CELLS + 1 - next.min(MOST_CELLS + 1) {
            self.full = true;
            return Vec::new();
        }
        let numbers: Vec<u32> = (next..next + fastener.count).collect();
        for (cell, hole) in numbers.iter().zip(1_u32..) {
            self.cells.push(Cell {
                cell: *cell,
                item: item.id.clone(),
                fastener: fastener.id.clone(),
                label: label(title, fastener, hole),
            });
        }
        numbers
    }
}

/// What is printed on a cell: item, fastener with its size, n of count.
fn label(title: &str, fastener: &Fastener, hole: u32) -> String {
    let size = size(fastener);
    format!("{title}: {}{size}, {hole} of {}", fastener.id, fastener.count)
}

/// Thread and length, each behind a blank.
fn size(fastener: &Fastener) -> String {
    match (&fastener.thread, fastener.length_mm) {
        (Some(thread), Some(length_mm)) => format!(" {thread} × {length_mm} mm"),
        (Some(thread), None) => format!(" {thread}"),
        (None, Some(length_mm)) => format!(" {length_mm} mm"),
        (None, None) => String::new(),
    }
}

/// Kind, size and class: what tells a fastener from those that look like it.
fn sort(fastener: &Fastener) -> String {
    let class = fastener.class.as_deref();
    let class =
        class.map_or_else(|| "class not known".to_owned(), |c| format!("class {c}"));
    format!("{}{}, {class}", fastener.kind, size(fastener))
}

/// Thread, across flats, and whether it is a nut.
type Looks = (String, Option<String>, bool);

/// A fastener that is off, with its item.
#[derive(Clone, Copy)]
struct Lying<'a> {
    item: &'a Item,
    fastener: &'a Fastener,
}

impl Lying<'_> {
    fn name(self) -> FastenerName {
        FastenerName { item: self.item.id.clone(), fastener: self.fastener.id.clone() }
    }

    /// Equal keys look alike: thread, across flats, and whether it is a nut.
    fn looks(self) -> Option<Looks> {
        let written = self.fastener.thread.as_deref()?.trim();
        let read = thread(self.fastener).map(|thread| thread.to_string());
        let thread = read.unwrap_or_else(|| written.to_lowercase());
        let head = self.fastener.head_mm.map(across_flats);
        Some((thread, head, self.fastener.kind == "nut"))
    }

    /// Whether it may go into the other's hole without harm: same length, same class.
    fn equal(self, other: Self) -> bool {
        let read = |of: &Fastener| class(of).map(|class| class.to_string());
        let written =
            |of: &Fastener| of.class.as_deref().map(|text| text.trim().to_lowercase());
        let same_class = match (read(self.fastener), read(other.fastener)) {
            (Some(one), Some(two)) => one == two,
            _ => written(self.fastener) == written(other.fastener),
        };
        let length = |of: &Fastener| of.length_mm.map(f64::to_bits);
        same_class && length(self.fastener) == length(other.fastener)
    }
}

/// What looks alike.
#[derive(Debug, Default)]
pub(crate) struct Alike {
    /// Groups of fasteners that look alike and are not.
    pub groups: Vec<Vec<FastenerName>>,
    /// What each swap would do.
    pub swaps: Vec<Swap>,
    /// What was left out, in words.
    pub left_out: Option<&'static str>,
    /// The same by size.
    pub mix_ups: Vec<MixUp>,
}

/// Finds the fasteners of what is off that are easily mixed up.
pub(crate) fn look_alikes(sheet: &Sheet, off: ItemSet) -> Alike {
    let place = |ix: ItemIx| sheet.items.get(ix.at());
    let lying: Vec<Lying<'_>> = off
        .iter()
        .filter_map(place)
        .flat_map(|item| {
            item.fasteners.iter().map(move |fastener| Lying { item, fastener })
        })
        .collect();
    let mut groups: Vec<(Looks, Vec<Lying<'_>>)> = Vec::new();
    for one in lying {
        let Some(looks) = one.looks() else { continue };
        match groups.iter_mut().find(|(known, _)| *known == looks) {
            Some((_, members)) => members.push(one),
            None => groups.push((looks, vec![one])),
        }
    }
    groups.retain(|(_, members)| members.iter().any(|one| !one.equal(members[0])));
    let mut alike = Alike::default();
    let (mut places, mut looked_at) = (HashMap::new(), 0);
    for (_, members) in &groups {
        let pairs =
            members.iter().flat_map(|one| members.iter().map(move |two| (*one, *two)));
        for (one, two) in pairs.filter(|(one, two)| !one.equal(*two)) {
            looked_at += 1;
            if looked_at > MOST_PAIRS {
                break;
            }
            let swap = swap(one, two);
            add(&mut alike.mix_ups, &mut places, (one.fastener, two.fastener), &swap);
            if alike.swaps.len() < MOST_SWAPS {
                alike.swaps.push(swap);
            }
        }
        alike.groups.push(members.iter().map(|one| one.name()).collect());
    }
    alike.left_out = if looked_at > MOST_PAIRS {
        Some("more look-alikes than can be told: not all of them are listed")
    } else if looked_at > MOST_SWAPS {
        Some(
            "more look-alikes than can be told one by one: not every swap is listed, but all \
             by size",
        )
    } else {
        None
    };
    alike
}

/// Where a mix-up stands: its sizes and what it does.
type Places = HashMap<(String, String, String), usize>;

/// Puts a swap with those that are like it.
fn add(
    mix_ups: &mut Vec<MixUp>,
    places: &mut Places,
    (one, two): (&Fastener, &Fastener),
    swap: &Swap,
) {
    if swap.consequence.starts_with(HOLDS) {
        return;
    }
    let (fastener, belongs) = (sort(one), sort(two));
    let consequence = swap.consequence.clone();
    let key = (fastener.clone(), belongs.clone(), consequence.clone());
    let at = *places.entry(key).or_insert_with(|| {
        let (of, into) = (Vec::new(), Vec::new());
        mix_ups.push(MixUp { fastener, of, belongs, into, consequence });
        mix_ups.len() - 1
    });
    let MixUp { of, into, .. } = &mut mix_ups[at];
    for (list, item) in [(of, &swap.fastener.item), (into, &swap.into.item)] {
        if !list.contains(item) {
            list.push(item.clone());
        }
    }
}

/// What the fastener `one` does in the hole of `two`.
fn swap(one: Lying<'_>, two: Lying<'_>) -> Swap {
    let (bolt, hole) = (one.fastener, two.fastener);
    let (mut engaged, mut needed) = (None, None);
    let mut told: Vec<String> = Vec::new();
    if bolt.length_mm.map(f64::to_bits) != hole.length_mm.map(f64::to_bits) {
        match fit(bolt, hole) {
            Some(fit) => {
                let told_fit = match fit {
                    LengthFit::Sound { engaged_mm, needed_mm } => {
                        (engaged, needed) = (Some(engaged_mm), Some(needed_mm));
                        format!("{HOLDS}: {fit}")
                    }
                    LengthFit::TooShort { engaged_mm, needed_mm } => {
                        (engaged, needed) = (Some(engaged_mm), Some(needed_mm));
                        fit.to_string()
                    }
                    LengthFit::TooLong { engaged_mm, .. } => {
                        engaged = Some(engaged_mm);
                        fit.to_string()
                    }
                };
                told.push(told_fit);
                if hole.hole_mm.is_none() && bolt.length_mm > hole.length_mm {
                    told.push("depth of the hole not known: may bottom".to_owned());
                }
            }
            None => told.push(by_length_alone(bolt, hole)),
        }
    }
    told.extend(by_class(bolt, hole));
    Swap {
        fastener: one.name(),
        into: two.name(),
        engaged_mm: engaged,
        needed_mm: needed,
        consequence: told.join("; "),
    }
}

fn fit(bolt: &Fastener, hole: &Fastener) -> Option<LengthFit> {
    let input = LengthInput {
        thread: thread(hole)?,
        length_mm: bolt.length_mm?,
        stack_mm: hole.stack_mm?,
        hole_depth_mm: hole.hole_mm.unwrap_or(0.0),
        into: material(hole),
    };
    length_fit(&input).ok()
}

fn by_length_alone(bolt: &Fastener, hole: &Fastener) -> String {
    let (Some(has), Some(wants)) = (bolt.length_mm, hole.length_mm) else {
        return "length not known: measure before it goes in".to_owned();
    };
    let by = (has - wants).abs();
    if has > wants {
        format!("{by} mm too long: may bottom and clamp nothing, or foul what is behind")
    } else {
        format!("{by} mm too short: may pull the thread")
    }
}

/// What another strength class does, where the classes differ.
fn by_class(bolt: &Fastener, hole: &Fastener) -> Option<String> {
    let (has, wants) = (bolt.class.as_deref(), hole.class.as_deref());
    if has == wants {
        return None;
    }
    let strength = |of: &Fastener| Some(class(of)?.strength(thread(of)?).ok()?.yield_mpa);
    let words = match (strength(bolt), strength(hole)) {
        (Some(one), Some(two)) if one < two => {
            "weaker: may stretch or shear at that torque"
        }
        (Some(one), Some(two)) if one > two => "stronger: may be harder and more brittle",
        (Some(_), Some(_)) => return None,
        _ => "strength not known to be enough",
    };
    let class = |of: Option<&str>| {
        of.map_or("class not known".to_owned(), |c| format!("class {c}"))
    };
    Some(format!("{} in place of {}: {words}", class(has), class(wants)))
}
