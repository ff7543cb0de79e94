//! `labels`: tray labels with their codes, one a hole of all that is or was off.

use report::{Label, LabelSheet, Stamp};

use super::{Bay, Problem, car::Car, tray_view};

impl Bay {
    /// The labels as a PDF on plain label sheets; cells are numbered in the order in which
    /// the items came off, so a later item never changes a label that is stuck on.
    ///
    /// # Errors
    /// No such job, nothing that was off, or a sheet that does not fit.
    pub fn labels(&self, name: &str, sheet: &LabelSheet) -> Result<Vec<u8>, Problem> {
        let car = Car::load(self, &self.find(name)?)?;
        let labels = labels(&car)?;
        if labels.is_empty() {
            return Err(Problem::wrong(
                "nothing-off",
                "nothing has come off yet, so no cell needs a label",
            )
            .hint("did off:ITEM first"));
        }
        let stamp: Option<Stamp> = None;
        report::labels(&labels, sheet, stamp)
            .map_err(|error| Problem::could_not("paper", error))
    }
}

/// The labels of a job, cell 1 first.
pub(super) fn labels(car: &Car) -> Result<Vec<Label>, Problem> {
    let mut labels = Vec::new();
    for item in tray_view::items(car)? {
        for kind in &item.kinds {
            let count = kind.cells.len();
            for (cell, hole) in kind.cells.iter().zip(1_usize..) {
                let mut lines = vec![
                    kind.what.clone(),
                    format!("{} {hole} of {count}", kind.fastener),
                ];
                lines.extend(kind.torque_words(pages::Shown::Metric));
                if kind.single_use {
                    lines.push("new each time".to_owned());
                }
                labels.push(Label {
                    cell: cell.cell.to_string(),
                    title: item.title.clone(),
                    lines,
                    code: format!(
                        "witmark:{}/{}/{}/{hole}",
                        car.job, item.item, kind.fastener
                    ),
                });
            }
        }
    }
    Ok(labels)
}
