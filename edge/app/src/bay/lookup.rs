//! Ids that were typed, looked up on the sheet of the job.

use sheet::{Check, Item, Proof, Repair};

use super::{Problem, car::Car};
use crate::near::known_names;

fn missing<'a>(what: &str, id: &str, known: impl Iterator<Item = &'a str>) -> Problem {
    Problem::wrong("unknown-id", format!("the sheet of this job has no {what} `{id}`"))
        .maybe_hint(known_names(id, known))
}

impl Car {
    pub(crate) fn check(&self, id: &str) -> Result<(usize, &Check), Problem> {
        let found =
            self.sheet.checks.iter().enumerate().find(|(_, entry)| entry.id == id);
        let known = || self.sheet.checks.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing("check", id, known()))
    }

    pub(crate) fn repair(&self, id: &str) -> Result<(usize, &Repair), Problem> {
        let found =
            self.sheet.repairs.iter().enumerate().find(|(_, entry)| entry.id == id);
        let known = || self.sheet.repairs.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing("repair", id, known()))
    }

    pub(crate) fn proof(&self, id: &str) -> Result<(usize, &Proof), Problem> {
        let found =
            self.sheet.proofs.iter().enumerate().find(|(_, entry)| entry.id == id);
        let known = || self.sheet.proofs.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing("proof", id, known()))
    }

    pub(crate) fn item(&self, id: &str) -> Result<(usize, &Item), Problem> {
        let found = self.sheet.items.iter().enumerate().find(|(_, entry)| entry.id == id);
        let known = || self.sheet.items.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing("item", id, known()))
    }

    pub(crate) fn duty(&self, id: &str) -> Result<&sheet::Duty, Problem> {
        let known = || self.sheet.duties.iter().map(|entry| entry.id.as_str());
        let found = self.sheet.duties.iter().find(|entry| entry.id == id);
        found.ok_or_else(|| missing("duty", id, known()))
    }

    pub(crate) fn fastener(&self, item: &str, id: &str) -> Result<u32, Problem> {
        let listed = &self.item(item)?.1.fasteners;
        let found = listed.iter().find(|entry| entry.id == id).map(|entry| entry.count);
        let known = listed.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing(&format!("fastener of `{item}` named"), id, known))
    }

    pub(crate) fn seal(&self, item: &str, id: &str) -> Result<u32, Problem> {
        let listed = &self.item(item)?.1.seals;
        let found = listed.iter().find(|entry| entry.id == id).map(|entry| entry.count);
        let known = listed.iter().map(|entry| entry.id.as_str());
        found.ok_or_else(|| missing(&format!("seal of `{item}` named"), id, known))
    }

    /// `check:ID`, `repair:ID`, `proof:ID` or `more`, as it stands on the sheet.
    pub(crate) fn action(&self, named: &str) -> Result<(), Problem> {
        match named.split_once(':') {
            _ if named == "more" => Ok(()),
            Some(("check", id)) => self.check(id).map(|_| ()),
            Some(("repair", id)) => self.repair(id).map(|_| ()),
            Some(("proof", id)) => self.proof(id).map(|_| ()),
            _ => Err(Problem::wrong(
                "form",
                format!("`{named}` names nothing that can be declined"),
            )
            .hint("check:ID, repair:ID, proof:ID or more")),
        }
    }
}
