//! In which order and in how many passes several bolts are tightened and loosened.

use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut, within};
use crate::layout::{Place, circle, rows};

/// Most bolts of one joint that are ordered.
const MOST_BOLTS: u32 = 256;
/// Most rows of bolts.
const MOST_ROWS: u32 = 16;

/// Shares of the torque, pass by pass, for more than two bolts (a gasket maker's guidance).
const STAGES: [f64; 3] = [0.3, 0.6, 1.0];

/// How the bolts of a joint stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Around a circle, or around an edge: tightened crosswise.
    Crosswise {
        /// How many.
        bolts: u32,
    },
    /// In rows, as on a cylinder head or a pan: from the middle outward in a spiral.
    Spiral {
        /// How many.
        bolts: u32,
        /// In how many rows; where they are not equal the first ones hold one more.
        rows: u32,
    },
}

impl fmt::Display for Pattern {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Crosswise { .. } => "crosswise",
            Self::Spiral { .. } => "spiral",
        })
    }
}

impl Pattern {
    /// Crosswise around a circle.
    ///
    /// # Errors
    /// When there is no bolt or there are more than 256.
    pub fn crosswise(bolts: u32) -> Result<Self, FastenError> {
        within("number of bolts", f64::from(bolts), 1.0, f64::from(MOST_BOLTS))?;
        Ok(Self::Crosswise { bolts })
    }

    /// A spiral over rows.
    ///
    /// # Errors
    /// When there is no bolt, there are more than 256 or fewer than rows, or more than 16
    /// rows.
    pub fn spiral(bolts: u32, rows: u32) -> Result<Self, FastenError> {
        within("number of rows", f64::from(rows), 1.0, f64::from(MOST_ROWS))?;
        within(
            "number of bolts",
            f64::from(bolts),
            f64::from(rows),
            f64::from(MOST_BOLTS),
        )?;
        Ok(Self::Spiral { bolts, rows })
    }

    /// How many bolts.
    pub const fn bolts(self) -> u32 {
        match self {
            Self::Crosswise { bolts } | Self::Spiral { bolts, .. } => bolts,
        }
    }

    /// In how many rows; `None` around a circle.
    pub const fn rows(self) -> Option<u32> {
        match self {
            Self::Crosswise { .. } => None,
            Self::Spiral { rows, .. } => Some(rows),
        }
    }

    /// Where each bolt stands, bolt 1 first.
    pub fn places(self) -> Vec<Place> {
        match self {
            Self::Crosswise { bolts } => circle(bolts),
            Self::Spiral { bolts, rows: count } => rows(bolts, count),
        }
    }

    /// The order to tighten in, by the numbers of the bolts.
    ///
    /// Crosswise: counts that divide by four follow the star orders of ASME PCC-1 (from
    /// memory); other even counts go pair by opposite pair; odd counts step nearly across
    /// each time. Spiral: from the middle outward, going round (common practice).
    ///
    /// ```
    /// use fasten::Pattern;
    ///
    /// assert_eq!(Pattern::crosswise(4)?.order(), [1, 3, 2, 4]);
    /// assert_eq!(Pattern::crosswise(5)?.order(), [1, 3, 5, 2, 4]);
    /// // Two rows of five: 1 to 5 above, 6 to 10 below; 3 and 8 are the middle ones.
    /// assert_eq!(Pattern::spiral(10, 2)?.order(), [3, 8, 7, 2, 4, 9, 6, 1, 5, 10]);
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    pub fn order(self) -> Vec<u32> {
        match self {
            Self::Crosswise { bolts } => star(bolts),
            Self::Spiral { .. } => spiral(&self.places()),
        }
    }

    /// The order to loosen in: the exact reverse, so the outer ones of rows first.
    pub fn loosening(self) -> Vec<u32> {
        let mut order = self.order();
        order.reverse();
        order
    }
}

/// Shares of the torque, pass by pass, rising to 1.
///
/// ```
/// let stages: fasten::Stages = "50,100".parse()?;
/// assert_eq!(stages.shares(), [0.5, 1.0]);
/// assert!("60,30,100".parse::<fasten::Stages>().is_err());
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Stages(Vec<f64>);

impl Stages {
    /// What is usual for so many bolts: 30, 60, 100 %; a pair in two; one at once.
    pub fn usual(bolts: u32) -> Self {
        Self(match bolts {
            0 | 1 => vec![1.0],
            2 => vec![0.5, 1.0],
            _ => STAGES.to_vec(),
        })
    }

    /// The shares.
    pub fn shares(&self) -> &[f64] {
        &self.0
    }
}

impl FromStr for Stages {
    type Err = FastenError;

    /// Reads percents such as "30,60,100".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        let refuse = |why| FastenError::Stages { given: cut(text.trim()), why };
        let read: Result<Vec<f64>, _> = text
            .split(',')
            .map(|part| part.trim().trim_end_matches('%').trim_end().parse::<f64>())
            .collect();
        let percents = read.map_err(|_| refuse("one is no number"))?;
        if percents.len() > 12 {
            return Err(refuse("more than twelve"));
        }
        if percents.iter().any(|percent| !(*percent > 0.0 && *percent <= 100.0)) {
            return Err(refuse("each is above 0 and at most 100"));
        }
        if !percents.is_sorted_by(|one, next| one < next) {
            return Err(refuse("they don't rise"));
        }
        if percents.last().is_none_or(|last| *last < 100.0) {
            return Err(refuse("the last is not 100"));
        }
        Ok(Self(percents.into_iter().map(|percent| percent / 100.0).collect()))
    }
}

/// One pass over all bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Share of the full torque, 0 to 1.
    pub share: f64,
    /// Bolt numbers in order.
    pub order: Vec<u32>,
}

/// The passes over a joint: the stages in the order of the pattern, then, with more than two
/// bolts, once more at full torque until none turns: around a circle one after the other,
/// in rows in the order of the spiral.
///
/// ```
/// use fasten::{Pattern, Stages, passes};
///
/// let passes = passes(Pattern::crosswise(4)?, &Stages::usual(4));
/// assert_eq!(passes.len(), 4);
/// assert_eq!(passes[0].share, 0.3);
/// assert_eq!(passes[3].order, [1, 2, 3, 4]);
/// # Ok::<(), fasten::FastenError>(())
/// ```
pub fn passes(pattern: Pattern, stages: &Stages) -> Vec<Pass> {
    let order = pattern.order();
    let pass = |share: f64| Pass { share, order: order.clone() };
    let mut passes: Vec<Pass> = stages.0.iter().map(|share| pass(*share)).collect();
    if pattern.bolts() > 2 {
        let last = match pattern {
            Pattern::Crosswise { bolts } => (1..=bolts).collect(),
            Pattern::Spiral { .. } => order.clone(),
        };
        passes.push(Pass { share: 1.0, order: last });
    }
    passes
}

/// The crosswise order of bolts numbered around a circle from 1.
fn star(bolts: u32) -> Vec<u32> {
    if bolts % 2 == 1 {
        let step = bolts.saturating_sub(1) >> 1;
        return (0..bolts).map(|turn| turn * step % bolts + 1).collect();
    }
    let half = bolts >> 1;
    if half % 2 == 1 {
        return spread(half).flat_map(|first| [first, first + half]).collect();
    }
    let quarter = half >> 1;
    let four = |first| [first, first + half, first + quarter, first + half + quarter];
    if quarter <= 3 {
        return (1..=quarter).flat_map(four).collect();
    }
    spread(quarter).flat_map(four).collect()
}

/// 1, 3, 5 … and then 2, 4, 6 …, so that neighbours are not tightened one after the other.
fn spread(count: u32) -> impl Iterator<Item = u32> {
    (1..=count).step_by(2).chain((2..=count).step_by(2))
}

/// From the middle outward, ring by ring; each ring goes on clockwise from where the one
/// before it ended.
fn spiral(places: &[Place]) -> Vec<u32> {
    let mut left: Vec<(u32, Place)> = (1..).zip(places.iter().copied()).collect();
    let mut order = Vec::with_capacity(left.len());
    let mut at_deg = 0.0;
    while !left.is_empty() {
        let ring =
            left.iter().map(|(_, place)| place.ring()).fold(f64::INFINITY, f64::min);
        let (mut now, later): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|(_, place)| place.ring() - ring < 1e-9);
        let start_deg = at_deg;
        let ahead = |place: Place| {
            let turn = (place.clock_deg() - start_deg).rem_euclid(360.0);
            // The place where the last ring ended comes last: everything else lies ahead of it.
            if order.is_empty() || turn > 1e-9 { turn } else { 360.0 }
        };
        now.sort_by(|one, next| ahead(one.1).total_cmp(&ahead(next.1)));
        if let Some((_, last)) = now.last() {
            at_deg = last.clock_deg();
        }
        order.extend(now.iter().map(|(bolt, _)| *bolt));
        left = later;
    }
    order
}
