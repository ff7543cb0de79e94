//! How often the fault set, and how silent a fault that is still there would be.

use sheet::{Exposure, Recurrence, WindowEnd};

/// The count of a job: `n` sets over `T`, and the exposure `D` driven clear since.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Count {
    /// n: sets counted in the window.
    pub seen: f64,
    /// T: length of the window, in the unit of the count.
    pub over: f64,
    /// D: exposure clear since the window closed.
    pub clear: f64,
    /// Where the window ends.
    pub ends: WindowEnd,
}

impl Count {
    /// The count of a sheet or job, where one can be claimed: T > 0, and n ≥ 1 where the
    /// window ends at a set.
    #[must_use]
    pub fn from_recurrence(recurrence: &Recurrence) -> Option<Self> {
        let Recurrence { seen, over: Exposure { amount, unit: _ }, ends } = *recurrence;
        let enough = match ends {
            WindowEnd::Set => seen >= 1,
            WindowEnd::Now => true,
        };
        (enough && amount > 0.0 && amount.is_finite()).then_some(Self {
            seen: f64::from(seen),
            over: amount,
            clear: 0.0,
            ends,
        })
    }

    /// m: n where the window ends at a set, n + ½ where it ends at a moment not chosen by
    /// the fault.
    #[must_use]
    pub fn exponent(&self) -> f64 {
        match self.ends {
            WindowEnd::Set => self.seen,
            WindowEnd::Now => self.seen + 0.5,
        }
    }

    /// ln of the probability that a fault that is still there stays silent over a further
    /// `exposure`: m · ln((T+D)/(T+D+d)).
    #[must_use]
    pub fn ln_silent(&self, exposure: f64) -> f64 {
        -self.exponent() * (exposure / (self.over + self.clear)).ln_1p()
    }

    /// Probability that a fault that is still there shows within a further `exposure`.
    #[must_use]
    pub fn shows(&self, exposure: f64) -> f64 {
        -self.ln_silent(exposure).exp_m1()
    }

    /// The count after `exposure` went by without a set.
    #[must_use]
    pub fn after_clear(&self, exposure: f64) -> Self {
        Self { clear: self.clear + exposure, ..*self }
    }

    /// The count after a set at the end of `exposure`: one more set over a window that now
    /// reaches to it.
    #[must_use]
    pub fn after_set(&self, exposure: f64) -> Self {
        Self {
            seen: self.seen + 1.0,
            over: self.over + self.clear + exposure,
            clear: 0.0,
            ends: WindowEnd::Set,
        }
    }
}
