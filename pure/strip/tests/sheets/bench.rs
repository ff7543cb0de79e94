//! Small sheets for the tests, and asking them.

use sheet::{CheckIx, ItemIx, RepairIx, Sheet};
use strip::order::Budget;
use strip::{StripAnswer, StripAsk, StripError, Target, strip};

/// A sheet of these items, checks, repairs and duties, with the rest as little as it may be.
pub(crate) fn sheet_of(parts: &str) -> Sheet {
    let text = format!(
        r#"
        [sheet]
        format = 1
        id = "test"
        title = "Test"
        version = 1
        codes = []
        [economy]
        currency = "EUR"
        labour_per_hour = 60.0
        comeback = 400.0
        pass_on = 200.0
        [moving]
        position_min = 4.0
        tool_min = 0.5
        [[suspect]]
        id = "cause"
        title = "Cause"
        weight = 1.0
        {parts}
        [[repair]]
        id = "last"
        title = "Last"
        minutes = 1.0
        parts = 1.0
        fixes = {{ cause = 0.9 }}
        "#
    );
    let read = sheet::read(&text);
    read.sheet.unwrap_or_else(|| panic!("{:?}", read.remarks))
}

/// Asks for targets with these items off.
pub(crate) fn asked(
    sheet: &Sheet,
    reach: &[Target],
    off: &[&str],
) -> Result<StripAnswer, StripError> {
    strip(
        sheet,
        &StripAsk {
            reach: reach.to_vec(),
            off: off.iter().map(|id| item(sheet, id)).collect(),
            repairs: Vec::new(),
            economy: sheet.economy.clone(),
            language: "en".to_owned(),
            budget: &Budget::USUAL,
        },
    )
}

pub(crate) fn item(sheet: &Sheet, id: &str) -> ItemIx {
    sheet.items.iter().position(|item| item.id == id).unwrap().into()
}

pub(crate) fn to_item(sheet: &Sheet, id: &str) -> Target {
    Target::Item(item(sheet, id))
}

pub(crate) fn to_check(sheet: &Sheet, id: &str) -> Target {
    let place = sheet.checks.iter().position(|check| check.id == id).unwrap();
    Target::Check(CheckIx::from(place))
}

pub(crate) fn to_repair(sheet: &Sheet, id: &str) -> Target {
    let place = sheet.repairs.iter().position(|repair| repair.id == id).unwrap();
    Target::Repair(RepairIx::from(place))
}

pub(crate) fn ids(steps: &[strip::Step]) -> Vec<&str> {
    steps.iter().map(|step| step.item.as_str()).collect()
}
