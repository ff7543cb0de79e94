//! Random sheets of which much costs nothing: many plans tie, and many ways lead to one state.

use crate::generator::Dice;

/// The tables whose work, waiting, parts and consumables may cost nothing, with chances in a
/// hundred.
pub(crate) const FREE: [(&str, usize); 4] =
    [("[[check]]", 50), ("[[repair]]", 30), ("[[proof]]", 30), ("[[item]]", 30)];
const PRICES: [&str; 7] =
    ["minutes", "wait_min", "cost", "parts", "strip_min", "refit_min", "refit_parts"];

/// The sheet with much of it for nothing.
pub(crate) fn for_nothing(text: &str, seed: u64, tables: &[(&str, usize)]) -> String {
    let mut dice = Dice::new(seed ^ 0x71e5);
    let mut free = false;
    let line = |line: &str| {
        if line.trim().starts_with("[[") {
            let table = tables.iter().find(|(name, _)| *name == line.trim());
            free = match table {
                Some((_, chances)) => dice.percent(*chances),
                None => free && line.trim() == "[[item.snag]]",
            };
        } else if line.starts_with('[') && !line.starts_with("[check.given") {
            free = false;
        }
        match line.split_once(" = ") {
            Some((key, price))
                if free
                    && PRICES.contains(&key.trim())
                    && price.parse::<f64>().is_ok() =>
            {
                format!("{key} = 0.0\n")
            }
            Some(_) | None => format!("{line}\n"),
        }
    };
    text.lines().map(line).collect()
}
