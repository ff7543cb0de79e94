//! `labels`: tray labels with their codes, one a hole of all that is or was off.

use report::{Label, LabelSheet, Stamp};
use sheet::{ItemIx, ItemSet};

use super::{
    Bay, Problem,
    car::Car,
    paper_file::fastener_words,
    tray::{in_front_first, strip_from},
};

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
    let all: ItemSet = car.facts.ever_off;
    let order: Vec<ItemIx> = in_front_first(car, strip::reach::closed(&car.sheet, all));
    let back = strip_from(car, &order, Vec::new())?;
    let mut labels = Vec::new();
    for tray in &car.facts.tray {
        let Some(item) = car.sheet.items.iter().find(|item| item.id == tray.item) else {
            continue;
        };
        let title = item.title.in_language(&car.language);
        for fastener in &item.fasteners {
            let step = back.refit.iter().find(|step| step.item == item.id);
            let shown =
                step.and_then(|s| s.fasteners.iter().find(|f| f.id == fastener.id));
            let torque = shown.and_then(|shown| {
                let nm = pages::say::torque(shown.torque_nm?, pages::Shown::Metric);
                Some(match shown.torque_source.as_deref() {
                    Some("maker") | None => nm,
                    Some(source) => format!("{nm} ({source})"),
                })
            });
            for hole in 1..=fastener.count {
                let cell = labels.len() + 1;
                let mut lines = vec![
                    fastener_words(fastener),
                    format!("{} {hole} of {}", fastener.id, fastener.count),
                ];
                lines.extend(torque.clone());
                if fastener.single_use {
                    lines.push("new each time".to_owned());
                }
                labels.push(Label {
                    cell: cell.to_string(),
                    title: title.to_owned(),
                    lines,
                    code: format!(
                        "witmark:{}/{}/{}/{hole}",
                        car.job, item.id, fastener.id
                    ),
                });
            }
        }
    }
    Ok(labels)
}
