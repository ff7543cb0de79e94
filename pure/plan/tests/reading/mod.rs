//! Sheet text to a sheet, and the job of a sheet to the judge.

use job::Fact;
use plan::judge::{JudgeAsk, JudgeMoves, JudgeSkips};
use sheet::{ItemIx, Sheet};

/// The sheet of a text that must be right.
pub(crate) fn sheet_of(text: &str) -> Sheet {
    let read = sheet::read(text);
    let Some(sheet) = read.sheet else { panic!("{:#?}\n{text}", read.remarks) };
    sheet
}

/// The question about a sheet as it stands after these facts, all equipment there.
pub(crate) fn ask(sheet: &Sheet, facts: &[Fact], off: &[impl AsRef<str>]) -> JudgeAsk {
    let odds =
        weigh::weigh(sheet, &sheet.economy, sheet.recurrence.as_ref(), facts).unwrap();
    let place = |id: &str| sheet.items.iter().position(|item| item.id == id).unwrap();
    JudgeAsk {
        economy: sheet.economy.clone(),
        odds,
        off: off.iter().map(|id| ItemIx::from(place(id.as_ref()))).collect(),
        has: None,
        without: Vec::new(),
        limit_states: 5_000_000,
        moves: JudgeMoves::Late,
        skips: JudgeSkips::Dearer,
    }
}
