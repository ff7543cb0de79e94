//! How likely each suspect is now, and how likely it is that the vehicle is fixed.

use std::fmt;

use job::Fact;
use sheet::{CheckIx, Economy, Proof, ProofIx, ProofKind, Recurrence, RepairIx, Sheet};

use crate::Count;
use crate::looks::{Looks, Seen};

/// What is no longer to be proposed: one bit an action, in sheet order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct Done {
    /// Checks done, could not tell, spoiled, or of the family of one that was answered.
    pub checks: u128,
    /// Repairs done.
    pub repairs: u128,
    /// Proofs made since the latest repair.
    pub proofs: u128,
}

/// The state of belief after some facts (design section 5).
#[derive(Debug, Clone, PartialEq)]
pub struct Odds {
    /// b(s): probability that s is the cause and still present; `unlisted` last.
    pub present: Vec<f64>,
    /// Probability that s was the cause and has been put right; sums to f.
    pub fixed_from: Vec<f64>,
    /// What is done.
    pub done: Done,
    /// n, T, D and where the window ends; `None`: nothing is claimed from driving.
    pub count: Option<Count>,
    /// What the reader should know about these odds.
    pub remarks: Vec<String>,
}

/// Facts that cannot stand together, or that the sheet cannot carry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OddsError {
    /// A check was given twice with no repair between.
    CheckTwice {
        /// Its id.
        check: String,
    },
    /// The sheet holds this fact impossible and knows no other cause.
    Impossible {
        /// The fact in words.
        fact: String,
    },
    /// All suspects together have no weight.
    NoWeight,
}

impl fmt::Display for OddsError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CheckTwice { check } => write!(
                out,
                "check `{check}` is given twice with no repair between: keep one of them"
            ),
            Self::Impossible { fact } => write!(
                out,
                "nothing on this sheet explains {fact}, and it has no `[unlisted]` weight: \
                 give it one, or correct the fact"
            ),
            Self::NoWeight => write!(out, "no suspect has a weight: nothing to weigh"),
        }
    }
}

impl std::error::Error for OddsError {}

impl Odds {
    /// Odds before any fact: b ∝ weights, f = 0.
    ///
    /// # Errors
    /// [`OddsError::NoWeight`] where all weights are 0.
    pub fn at_first(
        sheet: &Sheet,
        recurrence: Option<&Recurrence>,
    ) -> Result<Self, OddsError> {
        let weights = sheet.weights();
        let total: f64 = weights.iter().sum();
        if total <= 0.0 {
            return Err(OddsError::NoWeight);
        }
        Ok(Self {
            present: weights.iter().map(|weight| weight / total).collect(),
            fixed_from: vec![0.0; weights.len()],
            done: Done::default(),
            count: recurrence.and_then(Count::from_recurrence),
            remarks: Vec::new(),
        })
    }

    /// f: probability that the vehicle is fixed.
    #[must_use]
    pub fn fixed(&self) -> f64 {
        self.fixed_from.iter().sum()
    }

    /// Multiplies every b(s) and f by its likelihood and divides by the total.
    ///
    /// Returns the total: the probability of what was seen.
    fn see(&mut self, likelihood: impl Fn(usize) -> f64, fixed: f64) -> f64 {
        for (cause, odds) in self.present.iter_mut().enumerate() {
            *odds *= likelihood(cause);
        }
        for odds in &mut self.fixed_from {
            *odds *= fixed;
        }
        let total = self.present.iter().sum::<f64>() + self.fixed();
        if total > 0.0 {
            for odds in self.present.iter_mut().chain(&mut self.fixed_from) {
                *odds /= total;
            }
        }
        total
    }

    /// b(s) → b(s)·(1 − fixes[s]), f takes what moved. Returns what moved.
    fn put_right(&mut self, fixes: &[f64]) -> f64 {
        let mut moved = 0.0;
        for (cause, share) in fixes.iter().enumerate() {
            let part = self.present[cause] * share;
            self.present[cause] -= part;
            self.fixed_from[cause] += part;
            moved += part;
        }
        moved
    }

    fn everything_to_unlisted(
        &mut self,
        sheet: &Sheet,
        fact: String,
    ) -> Result<(), OddsError> {
        if sheet.unlisted_weight <= 0.0 {
            return Err(OddsError::Impossible { fact });
        }
        self.present.fill(0.0);
        self.fixed_from.fill(0.0);
        self.present[sheet.unlisted().at()] = 1.0;
        self.remarks.push(format!(
            "Nothing on this sheet explains {fact}: something else it is."
        ));
        Ok(())
    }

    fn check_seen(
        &mut self,
        sheet: &Sheet,
        looks: &mut Looks,
        seen: Seen,
    ) -> Result<(), OddsError> {
        looks.give(sheet, seen.check)?;
        let entry = &sheet.checks[seen.check.at()];
        if let Some(remarks) = looks.seen_before(sheet, &seen) {
            self.remarks.extend(remarks);
        } else if self.see(|cause| seen.by_cause[cause], seen.fine) <= 0.0 {
            self.everything_to_unlisted(sheet, seen.words)?;
        }
        looks.answered(seen.check, seen.outcome);
        if self.put_right(&entry.fixes) > 0.0 {
            self.done.proofs = 0;
            looks.changed();
        }
        self.done.checks |= bit(seen.check.at());
        self.spoil(&entry.spoils);
        self.spoil(&entry.alike);
        Ok(())
    }

    fn spoil(&mut self, checks: &[CheckIx]) {
        for check in checks {
            self.done.checks |= bit(check.at());
        }
    }

    fn proof_seen(
        &mut self,
        (sheet, economy): (&Sheet, &Economy),
        proof: ProofIx,
        shown: bool,
        exposure: Option<f64>,
    ) -> Result<(), OddsError> {
        let entry = &sheet.proofs[proof.at()];
        self.done.proofs |= bit(proof.at());
        let words = format!(
            "proof `{}` {}",
            entry.id,
            if shown { "showing the fault" } else { "staying clear" }
        );
        match &entry.kind {
            ProofKind::Exposure(sheet_exposure) => {
                let amount = exposure.unwrap_or(sheet_exposure.amount);
                self.driven(
                    sheet,
                    &Drive { amount, shown, falsely: entry.shows_falsely, words },
                )
            }
            ProofKind::Shows(_) | ProofKind::Repeat { .. } => {
                let (shows, falsely) = shows(sheet, economy, entry);
                let total = self.see(
                    |cause| if shown { shows[cause] } else { 1.0 - shows[cause] },
                    if shown { falsely } else { 1.0 - falsely },
                );
                if total <= 0.0 {
                    self.everything_to_unlisted(sheet, words)
                } else {
                    Ok(())
                }
            }
        }
    }

    fn driven(&mut self, sheet: &Sheet, drive: &Drive) -> Result<(), OddsError> {
        let Drive { amount, shown, falsely, .. } = *drive;
        let total = match self.count {
            None => {
                self.remarks.push(
                    "How often the fault set is not known: driving clear claims nothing."
                        .to_owned(),
                );
                if shown { self.see(|_| 1.0, falsely) } else { 1.0 }
            }
            Some(count) => {
                let next = if shown {
                    count.after_set(amount)
                } else {
                    count.after_clear(amount)
                };
                self.count = Some(next);
                if shown {
                    let shows = count.shows(amount);
                    self.see(|_| shows, falsely)
                } else {
                    let silent = count.ln_silent(amount).exp();
                    self.see(|_| silent, 1.0 - falsely)
                }
            }
        };
        if total <= 0.0 {
            return self.everything_to_unlisted(sheet, drive.words.clone());
        }
        Ok(())
    }

    fn repaired(&mut self, sheet: &Sheet, repair: RepairIx) {
        let entry = &sheet.repairs[repair.at()];
        self.put_right(&entry.fixes);
        self.done.repairs |= bit(repair.at());
        self.done.proofs = 0;
        self.spoil(&entry.spoils);
    }
}

/// A drive, clear or not.
struct Drive {
    amount: f64,
    shown: bool,
    falsely: f64,
    words: String,
}

/// The bit of an action in [`Done`].
#[must_use]
pub fn bit(place: usize) -> u128 {
    1_u128 << (place & 127)
}

/// How likely a proof that is not one of exposure shows, by cause (`unlisted` last), and
/// how likely it shows although fixed. A repeated check shows with the probability that its
/// outcome is not among the clear ones.
#[must_use]
pub fn shows(sheet: &Sheet, economy: &Economy, proof: &Proof) -> (Vec<f64>, f64) {
    match &proof.kind {
        ProofKind::Exposure(_) => (vec![0.0; sheet.causes()], proof.shows_falsely),
        ProofKind::Shows(by_cause) => (by_cause.clone(), proof.shows_falsely),
        ProofKind::Repeat { check, clear } => {
            let entry = &sheet.checks[check.at()];
            let not_clear = |chance: &dyn Fn(usize) -> f64| -> f64 {
                let shown: f64 =
                    (0..clear.len()).filter(|o| !clear[*o]).map(chance).sum();
                shown.clamp(0.0, 1.0)
            };
            let by_cause = (0..sheet.causes())
                .map(|cause| {
                    not_clear(&|outcome| entry.chance(cause, outcome, economy.active))
                })
                .collect();
            (by_cause, not_clear(&|outcome| entry.fine[outcome]))
        }
    }
}

/// Folds facts, in order, into the odds (design section 5, *Answer*: facts cost nothing).
/// An answer of a check whose family has answered already, with no repair between, moves
/// nothing by what it says: whoever looks a second time sees what he saw before.
///
/// # Errors
/// A check given twice with no repair between; a fact that the sheet holds impossible where
/// it has no `unlisted`.
pub fn weigh(
    sheet: &Sheet,
    economy: &Economy,
    recurrence: Option<&Recurrence>,
    facts: &[Fact],
) -> Result<Odds, OddsError> {
    let mut odds = Odds::at_first(sheet, recurrence)?;
    let mut looks = Looks::default();
    for fact in facts {
        match fact {
            Fact::Check { check, outcome } => {
                let seen = Seen::outcome(sheet, economy, (*check, *outcome));
                odds.check_seen(sheet, &mut looks, seen)?;
            }
            Fact::Reading { check, weights } => {
                let seen = Seen::reading(sheet, economy, (*check, weights));
                odds.check_seen(sheet, &mut looks, seen)?;
            }
            Fact::CouldNotTell { check } => odds.done.checks |= bit(check.at()),
            Fact::Repair { repair } => {
                looks = Looks::default();
                odds.repaired(sheet, *repair);
            }
            Fact::Proof { proof, shown, exposure } => {
                odds.proof_seen((sheet, economy), *proof, *shown, *exposure)?;
            }
            Fact::Driven { amount, shown } => {
                let words = "the drive that was told".to_owned();
                let drive = Drive { amount: *amount, shown: *shown, falsely: 0.0, words };
                odds.driven(sheet, &drive)?;
            }
        }
    }
    Ok(odds)
}
