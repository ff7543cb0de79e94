//! Sizes and shapes of the benchmark's sheets.

use std::fmt::Write;

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
