//! The judge's one bound: what a plan would pay that is told the cause and sees at once,
//! for nothing, whether a repair held. No plan that is told less is cheaper, because least
//! costs are concave in the odds.

use sheet::{ItemSet, Sheet};

use super::deals::Deal;
use super::state::{State, bit};
use super::{Judge, JudgeAsk, JudgeKind, JudgeSkips};

/// Causes with more actions that may put them right than this get the bound 0.
const FIXERS_MAX: usize = 10;

/// One action that may put a cause right.
#[derive(Debug)]
struct Fixer {
    deal: usize,
    fixes: f64,
    pay: f64,
}

/// What a cause costs at least, by which of its fixers are done.
#[derive(Debug)]
pub(super) struct Told {
    fixers: Vec<Fixer>,
    /// Indexed by the set of fixers done; without moving.
    least: Vec<f64>,
}

/// The bound of every cause, `unlisted` last.
pub(super) fn told(sheet: &Sheet, ask: &JudgeAsk, deals: &[Deal]) -> Vec<Told> {
    let end = ask.economy.comeback.min(ask.economy.pass_on);
    (0..sheet.causes())
        .map(|cause| {
            let fixers: Vec<Fixer> = deals
                .iter()
                .enumerate()
                .filter_map(|(at, deal)| {
                    let (fixes, again) = match deal.kind {
                        JudgeKind::Check => (sheet.checks[deal.place].fixes[cause], 0.0),
                        JudgeKind::Repair => {
                            let repair = &sheet.repairs[deal.place];
                            (repair.fixes[cause], repair.again)
                        }
                        JudgeKind::Close | JudgeKind::PassOn | JudgeKind::Proof => {
                            (0.0, 0.0)
                        }
                    };
                    let pay = deal.pay + ask.economy.comeback * again * fixes;
                    (fixes > 0.0).then_some(Fixer { deal: at, fixes, pay })
                })
                .collect();
            if ask.skips == JudgeSkips::Nothing || fixers.len() > FIXERS_MAX {
                return Told { fixers: Vec::new(), least: Vec::new() };
            }
            let mut least = vec![end; 1 << fixers.len()];
            // A set of done fixers is a larger number than any that it holds.
            for done in (0..least.len()).rev() {
                for (at, fixer) in fixers.iter().enumerate() {
                    if done >> at & 1 == 0 {
                        let then =
                            fixer.pay + (1.0 - fixer.fixes) * least[done | 1 << at];
                        least[done] = least[done].min(then);
                    }
                }
            }
            Told { fixers, least }
        })
        .collect()
}

impl Judge<'_> {
    /// No plan from this state costs less: what is off goes back, and every cause costs at
    /// least what it would if it were known, the way in to its first fixer with it.
    pub(super) fn floor(&self, state: &State) -> f64 {
        if self.ask.skips == JudgeSkips::Nothing {
            return 0.0;
        }
        let causes: f64 = self
            .told
            .iter()
            .zip(&state.present)
            .filter(|(_, odds)| **odds > 0.0)
            .map(|(told, odds)| odds * self.floor_of(told, state))
            .sum();
        self.to_put_back(state.off) + causes
    }

    fn floor_of(&self, told: &Told, state: &State) -> f64 {
        if told.least.is_empty() {
            return 0.0;
        }
        let there = |fixer: &Fixer| {
            let deal = &self.deals[fixer.deal];
            let done =
                if deal.kind == JudgeKind::Check { state.checks } else { state.repairs };
            done & bit(deal.place) == 0
        };
        let done = told
            .fixers
            .iter()
            .enumerate()
            .fold(0, |set, (at, fixer)| set | usize::from(!there(fixer)) << at);
        let end = self.ask.economy.comeback.min(self.ask.economy.pass_on);
        told.fixers
            .iter()
            .enumerate()
            .filter(|(at, _)| done >> at & 1 == 0)
            .map(|(at, fixer)| {
                let in_and_out = self.deals[fixer.deal]
                    .ways
                    .iter()
                    .map(|way| {
                        let more = way.off.minus(state.off);
                        self.moving_cost(ItemSet::EMPTY, more) + self.to_put_back(more)
                    })
                    .fold(f64::INFINITY, f64::min);
                let then = (1.0 - fixer.fixes) * told.least[done | 1 << at];
                in_and_out + fixer.pay + then
            })
            .fold(end, f64::min)
    }
}
