//! The next step as a repairer needs it: minutes, what comes off, cautions, outcomes.

use serde::Serialize;

use crate::{Block, Caution, Choice, List, Mark, Pair, Words, pair, say};

/// What kind of step it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum NextKind {
    /// A check.
    Check,
    /// A repair.
    Repair,
    /// A proof.
    Proof,
    /// Hand the vehicle over.
    Close,
    /// Stop and pass it on.
    PassOn,
    /// Ring the owner before anything else.
    RingOwner,
    /// Record or note what is perishable before it is spoiled.
    RecordFirst,
}

/// The next step, resolved for a screen: the web crate draws its own buttons from this.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextStep {
    /// What kind.
    pub kind: NextKind,
    /// Its id in the sheet.
    pub id: String,
    /// What to do.
    pub title: Words,
    /// How; one entry a line.
    pub how: Vec<Words>,
    /// Minutes of work and waiting for the step itself.
    pub minutes: f64,
    /// Minutes of taking off and putting back before it.
    pub move_minutes: f64,
    /// What it costs, money, both together.
    pub cost: f64,
    /// ISO 4217 currency.
    pub currency: String,
    /// What comes off first.
    pub strip: Vec<Words>,
    /// What goes back first.
    pub refit: Vec<Words>,
    /// Equipment.
    pub needs: Vec<Words>,
    /// What can hurt.
    pub cautions: Vec<Caution>,
    /// What may be tapped.
    pub outcomes: Vec<Choice>,
    /// Why this and not something else.
    pub why: Words,
    /// Which outcome would turn the advice; empty: none.
    pub turns: Words,
}

impl NextStep {
    /// The figures in one line: minutes, moves, money.
    #[must_use]
    pub fn figures(&self) -> String {
        let mut parts = vec![say::minutes(self.minutes)];
        if self.move_minutes > 0.05 {
            parts.push(format!("{} to get there", say::minutes(self.move_minutes)));
        }
        if self.cost > 0.0 {
            parts.push(format!("about {}", say::whole_money(self.cost, &self.currency)));
        }
        parts.join(", ")
    }
}

/// The step as blocks: cautions stand before the instructions.
#[must_use]
pub fn next_step_blocks(step: &NextStep) -> Vec<Block> {
    let mut blocks = vec![Block::Lead(step.title.clone())];
    let joined = |words: &[Words]| {
        Words::from(words.iter().map(Words::as_str).collect::<Vec<_>>().join(", "))
    };
    let facts: Vec<Pair> = [
        pair("Takes", step.figures()),
        pair("Comes off", joined(&step.strip)),
        pair("Goes back", joined(&step.refit)),
        pair("Needs", joined(&step.needs)),
    ]
    .into_iter()
    .filter(|pair| !pair.value.is_empty())
    .collect();
    blocks.push(Block::Facts(facts));
    blocks.extend(step.cautions.iter().cloned().map(Block::Caution));
    blocks.extend(step.how.iter().cloned().map(Block::Paragraph));
    if !step.outcomes.is_empty() {
        blocks.push(Block::Choices(step.outcomes.clone()));
    }
    let mut reasons = Vec::new();
    // Where each outcome already says where it leads, that is not said twice.
    let told = step.outcomes.iter().any(|outcome| !outcome.hint.is_empty());
    let silent = Words::default();
    let turns = if told { &silent } else { &step.turns };
    for (lead, text) in [("Why", &step.why), ("What would change it", turns)] {
        if !text.is_empty() {
            reasons.push(crate::Entry {
                text: Words::from(format!("{lead}: {text}")),
                mark: Mark::None,
            });
        }
    }
    if !reasons.is_empty() {
        blocks.push(Block::List(List { ordered: false, entries: reasons }));
    }
    blocks
}
