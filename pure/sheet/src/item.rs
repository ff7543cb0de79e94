//! Suspects and items: what may be the cause, and what is in the way.

use std::ops::Range;

use crate::kinds::Kind;
use crate::names::Directory;
use crate::order::{circle, closures};
use crate::table::Table;
use crate::take::{Reader, Within};
use crate::{
    CheckIx, Fastener, Fluid, Goes, Item, ItemIx, ItemSet, Joint, Reuse, Seal, Snag,
    Suspect,
};
use toml::de::DeValue;

/// Weights that have a word (design section 4).
const WEIGHT_WORDS: [(&str, f64); 4] =
    [("rare", 0.3), ("seldom", 1.0), ("common", 3.0), ("usual", 10.0)];

/// The caution words (design section 15).
pub const CAUTIONS: [&str; 21] = [
    "hot",
    "hot-oil",
    "rotating",
    "spring",
    "crush",
    "raised",
    "fuel",
    "injection",
    "flammable-solvent",
    "chlorinated",
    "pressure",
    "high-voltage",
    "airbag",
    "battery",
    "refrigerant",
    "dust",
    "fumes",
    "eyes",
    "brake",
    "steering",
    "keep-clean",
];

/// Most fasteners, seals, snags, fluids or measures of one item.
pub(crate) const MOST_OF_AN_ITEM: usize = 64;

/// So many circles are told.
const MOST_CIRCLES: usize = 50;

/// References of the items to one another, with their places.
type Links = Vec<Vec<(usize, Range<usize>)>>;

impl<'a> Reader<'a> {
    /// Reads a suspect.
    pub(crate) fn suspect(&mut self, table: &Table<'a>, place: usize) -> Suspect {
        let id = self.names.suspects.id(place);
        let root = self.references(table, "root", Kind::Check);
        Suspect {
            id: id.to_owned(),
            title: self.title(table, id),
            weight: self.weight(table).unwrap_or(1.0),
            root: root.into_iter().map(CheckIx::from).collect(),
        }
    }

    /// A number above 0, or a word for one.
    fn weight(&mut self, table: &Table<'a>) -> Option<f64> {
        if let Some(value) = table.value("weight")
            && let DeValue::String(text) = value.get_ref()
        {
            const WORDS: [&str; 4] = ["rare", "seldom", "common", "usual"];
            let word = self.word_of("weight", (text, value.span()), &WORDS)?;
            return WEIGHT_WORDS.iter().find(|(name, _)| *name == word).map(|(_, w)| *w);
        }
        if !table.has("weight") {
            self.missing(table, "weight", "4.0, or rare, seldom, common, usual");
        }
        self.number(table, "weight", Within::Positive)
    }

    /// Reads all items and closes them under `behind`.
    pub(crate) fn items(&mut self, tables: &[Option<Table<'a>>]) -> Vec<Item> {
        let mut behind: Links = Vec::new();
        let mut refit_after: Links = Vec::new();
        let mut items = Vec::new();
        for (place, table) in tables.iter().enumerate() {
            let Some(table) = table else {
                behind.push(Vec::new());
                refit_after.push(Vec::new());
                items.push(blank());
                continue;
            };
            behind.push(self.links(table, "behind"));
            refit_after.push(self.links(table, "refit_after"));
            items.push(self.item(table, place));
        }
        let whole = self.break_circles(&mut behind, None);
        self.break_circles(&mut refit_after, Some(&behind));
        for (place, closure) in closures(&bare(&behind)).into_iter().enumerate() {
            let item = &mut items[place];
            item.closure = closure;
            item.behind =
                bare(&behind)[place].iter().copied().map(ItemIx::from).collect();
            item.refit_after =
                refit_after[place].iter().map(|(to, _)| ItemIx::from(*to)).collect();
        }
        for (place, table) in tables.iter().enumerate() {
            if let Some(table) = table {
                items[place].eased_by = self.eased_by(table, (place, &items));
            }
        }
        if whole {
            self.settle_covers(&mut items, tables);
        }
        items
    }

    /// A cover that lies behind something that is no cover is none.
    fn settle_covers(&mut self, items: &mut [Item], tables: &[Option<Table<'a>>]) {
        let covers: ItemSet = items
            .iter()
            .enumerate()
            .filter(|(_, item)| item.cover)
            .map(|(place, _)| ItemIx::from(place))
            .collect();
        for (place, table) in tables.iter().enumerate() {
            let others = items[place].closure.minus(covers);
            if let (true, Some(table), Some(other)) =
                (items[place].cover, table, others.iter().next())
            {
                let what = format!(
                    "`cover` has no effect: {} lies behind `{}`, which is no cover",
                    table.called,
                    items[other.at()].id
                );
                self.notes.warn("cover-behind", table.key_span("cover"), what);
                items[place].cover = false;
            }
        }
    }

    fn links(&mut self, table: &Table<'a>, key: &str) -> Vec<(usize, Range<usize>)> {
        let mut links: Vec<(usize, Range<usize>)> = Vec::new();
        for (id, span) in self.strings(table, key) {
            if let Some(place) = self.refer(Kind::Item, (id, span.clone()))
                && links.iter().all(|(known, _)| *known != place)
            {
                links.push((place, span));
            }
        }
        links
    }

    /// Remarks every circle at the reference that closes it, and takes that one out.
    /// With `behind`, the links are `refit_after`, and what lies behind is back first.
    /// True: there was none.
    fn break_circles(&mut self, links: &mut Links, behind: Option<&Links>) -> bool {
        for told in 0..MOST_CIRCLES {
            let mut graph = bare(links);
            for (place, nexts) in behind.into_iter().flatten().enumerate() {
                for (next, _) in nexts {
                    graph[*next].push(place);
                }
            }
            let Some(round) = circle(&graph) else { return told == 0 };
            let names: Vec<&str> = round
                .iter()
                .chain(&round[..1])
                .map(|at| self.names.items.id(*at))
                .collect();
            let closing = (0..round.len()).rev().find_map(|step| {
                let to = round[(step + 1) % round.len()];
                let link = links[round[step]].iter().position(|(next, _)| *next == to)?;
                Some((round[step], link))
            });
            let Some((place, link)) = closing else { break };
            let (_, span) = links[place].remove(link);
            let (said, joint, hint) = match behind {
                None => (
                    "items lie behind one another in a circle",
                    "` behind `",
                    "something must come off first: take one of these references out",
                ),
                Some(_) => (
                    "items are refitted after one another in a circle",
                    "` after `",
                    "what lies behind an item is back before it: take one reference out",
                ),
            };
            let what = format!("{said}: `{}`", names.join(joint));
            self.notes.error("circle", span, what).hint(hint);
        }
        // Whoever wrote so many circles has something to do before the rest is told.
        links.iter_mut().for_each(Vec::clear);
        false
    }

    fn item(&mut self, table: &Table<'a>, place: usize) -> Item {
        let id = self.names.items.id(place);
        let caution = self.cautions(table);
        let seals = self.parts_of(table, ("seal", Kind::Seal), Self::seal);
        let mut fasteners =
            self.parts_of(table, ("fastener", Kind::Fastener), Self::fastener);
        if seals.iter().any(|seal| !is_plain_ring(&seal.id)) {
            for fastener in &mut fasteners {
                fastener.joint = Joint::Soft;
            }
        }
        Item {
            id: id.to_owned(),
            title: self.title(table, id),
            strip_min: self.amount(table, "strip_min"),
            refit_min: self.amount(table, "refit_min"),
            wait_min: self.amount(table, "wait_min"),
            refit_parts: self.amount(table, "refit_parts"),
            goes: self.goes(table),
            cover: self.flag(table, "cover").unwrap_or(false),
            rotating: caution.iter().any(|word| word == "rotating"),
            position: self.label(table, "position"),
            caution,
            snags: self.snags(table),
            fasteners,
            seals,
            fluids: self.parts_of(table, ("fluid", Kind::Fluid), Self::fluid),
            measures: self.parts_of(table, ("measure", Kind::Measure), Self::measure),
            ..blank()
        }
    }

    fn goes(&mut self, table: &Table<'a>) -> Goes {
        const WORDS: [&str; 6] =
            ["off", "aside", "slack", "drained", "unplugged", "raised"];
        match self.word(table, "goes", &WORDS) {
            Some("aside") => Goes::Aside,
            Some("slack") => Goes::Slack,
            Some("drained") => Goes::Drained,
            Some("unplugged") => Goes::Unplugged,
            Some("raised") => Goes::Raised,
            _ => Goes::Off,
        }
    }

    /// The caution words of a table, each once.
    pub(crate) fn cautions(&mut self, table: &Table<'a>) -> Vec<String> {
        let mut words: Vec<String> = Vec::new();
        for named in self.strings(table, "caution") {
            if let Some(word) = self.word_of("caution", named, &CAUTIONS)
                && words.iter().all(|known| known != word)
            {
                words.push(word.to_owned());
            }
        }
        words
    }

    fn snags(&mut self, table: &Table<'a>) -> Vec<Snag> {
        let tables = self.subs(table, "snag", (Kind::Snag, MOST_OF_AN_ITEM));
        let mut snags = Vec::new();
        for table in tables.into_iter().flatten() {
            snags.push(Snag {
                title: self.title(&table, "snag"),
                p: self.required(&table, "p", Within::Share).unwrap_or(0.0),
                minutes: self.amount(&table, "minutes"),
                parts: self.amount(&table, "parts"),
            });
        }
        snags
    }

    /// Tables of an item that have ids of their own, unique within it.
    fn parts_of<T>(
        &mut self,
        table: &Table<'a>,
        (key, kind): (&str, Kind),
        read: impl Fn(&mut Self, &Table<'a>, &str) -> T,
    ) -> Vec<T> {
        let tables = self.subs(table, key, (kind, MOST_OF_AN_ITEM));
        let ids: Directory<'a> = self.directory(&tables);
        let mut list = Vec::new();
        for (place, table) in tables.iter().enumerate() {
            list.extend(table.as_ref().map(|table| read(self, table, ids.id(place))));
        }
        list
    }

    fn fastener(&mut self, table: &Table<'a>, id: &str) -> Fastener {
        const KINDS: [&str; 8] =
            ["bolt", "nut", "screw", "stud", "clip", "clamp", "plug", "connector"];
        const MATERIALS: [&str; 5] =
            ["steel", "cast-iron", "aluminium", "magnesium", "plastic"];
        Fastener {
            id: id.to_owned(),
            count: self.count(table, "count", (1, 999)).unwrap_or(1),
            kind: self.word(table, "kind", &KINDS).unwrap_or("bolt").to_owned(),
            thread: self.label(table, "thread"),
            class: self.label(table, "class"),
            length_mm: self.number(table, "length_mm", Within::Positive),
            head_mm: self.number(table, "head_mm", Within::Positive),
            torque_nm: self.number(table, "torque_nm", Within::Positive),
            angle_deg: self.amount(table, "angle_deg"),
            stack_mm: self.number(table, "stack_mm", Within::Amount),
            hole_mm: self.number(table, "hole_mm", Within::Amount),
            into: self.word(table, "into", &MATERIALS).map(str::to_owned),
            single_use: self.flag(table, "single_use").unwrap_or(false),
            loose: self.flag(table, "loose").unwrap_or(false),
            joint: Joint::Hard,
        }
    }

    fn seal(&mut self, table: &Table<'a>, id: &str) -> Seal {
        if !table.has("reuse") {
            self.missing(table, "reuse", "\"never\", \"if-undamaged\" or \"yes\"");
        }
        let reuse = match self.word(table, "reuse", &["never", "if-undamaged", "yes"]) {
            Some("yes") => Reuse::Yes,
            Some("if-undamaged") => Reuse::IfUndamaged,
            _ => Reuse::Never,
        };
        let count = self.count(table, "count", (1, 999)).unwrap_or(1);
        Seal { id: id.to_owned(), count, reuse }
    }

    fn fluid(&mut self, table: &Table<'a>, id: &str) -> Fluid {
        Fluid { id: id.to_owned(), litres: self.amount(table, "litres") }
    }
}

fn bare(links: &Links) -> Vec<Vec<usize>> {
    links.iter().map(|list| list.iter().map(|(to, _)| *to).collect()).collect()
}

/// A ring in a groove lets the metal meet; every other seal lies between and gives way.
fn is_plain_ring(id: &str) -> bool {
    id.split('-').any(|word| ["ring", "rings", "oring", "orings"].contains(&word))
}

/// An item of which nothing is known yet.
fn blank() -> Item {
    Item {
        id: String::new(),
        title: crate::Text::default(),
        behind: Vec::new(),
        closure: ItemSet::EMPTY,
        strip_min: 0.0,
        refit_min: 0.0,
        wait_min: 0.0,
        refit_parts: 0.0,
        goes: Goes::Off,
        cover: false,
        rotating: false,
        position: None,
        refit_after: Vec::new(),
        eased_by: Vec::new(),
        caution: Vec::new(),
        snags: Vec::new(),
        fasteners: Vec::new(),
        seals: Vec::new(),
        fluids: Vec::new(),
        measures: Vec::new(),
    }
}
