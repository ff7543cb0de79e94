//! What is asked of [`crate::strip`], and what can be wrong with it.

use std::fmt;

use sheet::{CheckIx, Economy, ItemIx, ItemSet, RepairIx, Sheet};

use crate::order::Budget;

/// Something to get at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// A check, by the cheapest of its ways.
    Check(CheckIx),
    /// A repair, by the cheapest of its ways.
    Repair(RepairIx),
    /// An item, off itself.
    Item(ItemIx),
}

/// What to reach from where.
#[derive(Debug, Clone)]
pub struct StripAsk<'a> {
    /// What to get at, jointly; nothing: only the way out.
    pub reach: Vec<Target>,
    /// What is off already, in the order it came off where that is known.
    pub off: Vec<ItemIx>,
    /// Repairs done already: their duties arise too.
    pub repairs: Vec<RepairIx>,
    /// Prices and rust, for choosing between ways.
    pub economy: Economy,
    /// Language of the titles.
    pub language: String,
    /// Where the search for the order stops.
    pub budget: &'a Budget<'a>,
}

/// Why there is no way in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StripError {
    /// A target or an item that the sheet does not have.
    NotOnSheet(String),
    /// Items said to be off although something in front of them is on.
    NotClosed {
        /// (item said to be off, item in front of it that is not).
        missing: Vec<(String, String)>,
    },
    /// `behind` and `refit_after` together let none of these items go back first.
    RefitCircle(Vec<String>),
    /// Items lie behind one another in a circle.
    BehindCircle(Vec<String>),
}

impl fmt::Display for StripError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotOnSheet(what) => {
                write!(out, "{what} is not on this sheet: name one that is")
            }
            Self::NotClosed { missing } => {
                out.write_str("what is off does not fit together: ")?;
                for (place, (item, front)) in missing.iter().enumerate() {
                    let between = if place == 0 { "" } else { "; " };
                    write!(
                        out,
                        "{between}`{item}` is off but `{front}` in front of it is on"
                    )?;
                }
                out.write_str(": add what is missing to what is off")
            }
            Self::RefitCircle(items) => write!(
                out,
                "no item can go back first among {}: break the circle of `refit_after` and \
                 `behind` in the sheet",
                items.join(", ")
            ),
            Self::BehindCircle(items) => write!(
                out,
                "{} lie behind one another: break the circle of `behind` in the sheet",
                items.join(", ")
            ),
        }
    }
}

impl std::error::Error for StripError {}

/// The items off, each once, in the order given.
///
/// # Errors
/// An item that the sheet lacks, or one that is off while something in front of it is on.
pub(crate) fn checked_off(
    sheet: &Sheet,
    off: &[ItemIx],
) -> Result<Vec<ItemIx>, StripError> {
    let mut once: Vec<ItemIx> = Vec::with_capacity(off.len());
    let mut set = ItemSet::EMPTY;
    for &item in off {
        if sheet.items.get(item.at()).is_none() {
            return Err(StripError::NotOnSheet(format!("item {}", item.at())));
        }
        if !set.has(item) {
            set = set.union(ItemSet::one(item));
            once.push(item);
        }
    }
    let missing: Vec<(String, String)> = set
        .iter()
        .flat_map(|item| {
            let fronts = sheet.items[item.at()].closure.minus(set);
            fronts.iter().map(move |front| (item, front))
        })
        .filter_map(|(item, front)| Some((id(sheet, item)?, id(sheet, front)?)))
        .collect();
    if missing.is_empty() { Ok(once) } else { Err(StripError::NotClosed { missing }) }
}

fn id(sheet: &Sheet, item: ItemIx) -> Option<String> {
    sheet.items.get(item.at()).map(|found| found.id.clone())
}
