//! Sizes and shapes of the benchmark's sheets.

use std::fmt::Write;

use crate::dice::Dice;
use crate::{full, plain};

/// How many of each kind a sheet has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Size {
    /// Named suspects.
    pub(crate) suspects: usize,
    /// Items.
    pub(crate) items: usize,
    /// Checks.
    pub(crate) checks: usize,
    /// Repairs.
    pub(crate) repairs: usize,
    /// Proofs.
    pub(crate) proofs: usize,
}

impl Size {
    /// Reads `suspects/items/checks/repairs/proofs`.
    ///
    /// # Errors
    /// Something else.
    pub(crate) fn read(text: &str) -> Result<Self, String> {
        let parts: Result<Vec<usize>, String> = text
            .split('/')
            .map(|part| part.trim().parse().map_err(|_| format!("`{part}` is no number")))
            .collect();
        match parts?[..] {
            [suspects, items, checks, repairs, proofs] if suspects > 0 && items > 0 => {
                Ok(Self { suspects, items, checks, repairs, proofs })
            }
            _ => Err(format!(
                "`{text}`: suspects/items/checks/repairs/proofs, as 3/3/2/3/1"
            )),
        }
    }
}

/// What kind of sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Shape {
    /// The measuring shape of the planner's sizes: see [`plain`].
    Plain,
    /// Every feature of a sheet that a plan depends on: see [`full`].
    Full,
}

/// A sheet of this shape and size as TOML text; the same for the same seed.
pub(crate) fn sheet_text(shape: Shape, seed: u64, size: Size) -> String {
    match shape {
        Shape::Plain => plain::sheet_text(seed, size),
        Shape::Full => full::sheet_text(seed, size),
    }
}

/// Adds a line.
pub(crate) fn line(text: &mut String, what: std::fmt::Arguments<'_>) {
    // Writing to a string does not fail.
    let _ = text.write_fmt(what);
    text.push('\n');
}

/// `["s0", "s3"]`.
pub(crate) fn ids(kind: char, places: &[usize]) -> String {
    let named: Vec<String> =
        places.iter().map(|one| format!("\"{kind}{one}\"")).collect();
    format!("[{}]", named.join(", "))
}

/// What an item lies behind: in 70 % an earlier one, in 35 % of these a second.
pub(crate) fn behind(dice: &mut Dice, place: usize) -> Vec<usize> {
    let mut behind = Vec::new();
    if place > 0 && dice.percent(70) {
        behind.push(dice.below(place));
        if dice.percent(35) {
            behind.push(dice.below(place));
        }
    }
    behind.sort_unstable();
    behind.dedup();
    behind
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_made_sheet_is_a_sheet_of_its_size() {
        let sizes = ["2/2/2/2/1", "8/8/6/8/1", "20/20/16/20/2", "64/128/96/96/16"];
        for size in sizes.map(|size| Size::read(size).unwrap()) {
            for (seed, shape) in
                (0..20).flat_map(|seed| [(seed, Shape::Plain), (seed, Shape::Full)])
            {
                let text = sheet_text(shape, seed, size);
                assert_eq!(text, sheet_text(shape, seed, size));
                let read = sheet::read(&text);
                let sheet = read.sheet.unwrap_or_else(|| panic!("{:?}", read.remarks));
                let made = [sheet.suspects.len(), sheet.items.len(), sheet.checks.len()];
                assert_eq!(made, [size.suspects, size.items, size.checks]);
                let made = [sheet.repairs.len(), sheet.proofs.len()];
                assert_eq!(made, [size.repairs, size.proofs]);
            }
        }
        assert!(Size::read("8/8/6").is_err() && Size::read("a/8/6/8/1").is_err());
    }
}
