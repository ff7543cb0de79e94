//! In which order and in how many passes several bolts are tightened and loosened.

use crate::error::{FastenError, within};

/// Most bolts on one circle that are ordered.
const MOST_BOLTS: u32 = 256;

/// Shares of the torque, pass by pass, for more than two bolts (a gasket maker's guidance).
const STAGES: [f64; 3] = [0.3, 0.6, 1.0];

/// One pass over all bolts.
#[derive(Debug, Clone, PartialEq)]
pub struct Pass {
    /// Share of the full torque, 0 to 1.
    pub fraction: f64,
    /// Torque of this pass, N·m.
    pub torque_nm: f64,
    /// Bolt numbers in order; bolts are numbered around the circle from 1.
    pub order: Vec<u32>,
}

/// The crosswise order for `bolts` numbered around a circle from 1.
///
/// Counts that divide by four follow the star orders of ASME PCC-1 (from memory); other
/// even counts go pair by opposite pair; odd counts step nearly across each time.
///
/// ```
/// assert_eq!(fasten::crosswise(4)?, [1, 3, 2, 4]);
/// assert_eq!(fasten::crosswise(5)?, [1, 3, 5, 2, 4]);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When there is no bolt or there are more than 256.
pub fn crosswise(bolts: u32) -> Result<Vec<u32>, FastenError> {
    within("number of bolts", f64::from(bolts), 1.0, f64::from(MOST_BOLTS))?;
    if bolts % 2 == 1 {
        let step = bolts.saturating_sub(1) >> 1;
        return Ok((0..bolts).map(|turn| turn * step % bolts + 1).collect());
    }
    let half = bolts >> 1;
    if half % 2 == 1 {
        return Ok(spread(half).flat_map(|first| [first, first + half]).collect());
    }
    let quarter = half >> 1;
    let four = |first| [first, first + half, first + quarter, first + half + quarter];
    if quarter <= 3 {
        return Ok((1..=quarter).flat_map(four).collect());
    }
    Ok(spread(quarter).flat_map(four).collect())
}

/// 1, 3, 5 … and then 2, 4, 6 …, so that neighbours are not tightened one after the other.
fn spread(count: u32) -> impl Iterator<Item = u32> {
    (1..=count).step_by(2).chain((2..=count).step_by(2))
}

/// The passes that bring `bolts` to `torque_nm`: 30, 60 and 100 % crosswise, then once
/// around at full torque; a pair evenly in two passes; one bolt at once.
///
/// ```
/// let passes = fasten::tightening_passes(4, 20.0)?;
/// assert_eq!(passes.len(), 4);
/// assert_eq!(passes[0].torque_nm, 6.0);
/// assert_eq!(passes[3].order, [1, 2, 3, 4]);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When there is no bolt, there are more than 256, or the torque is out of range.
pub fn tightening_passes(bolts: u32, torque_nm: f64) -> Result<Vec<Pass>, FastenError> {
    let torque_nm = within("torque in N·m", torque_nm, 0.0, 10_000.0)?;
    let order = crosswise(bolts)?;
    let stages: &[f64] = match bolts {
        1 => &[1.0],
        2 => &[0.5, 1.0],
        _ => &STAGES,
    };
    let pass = |fraction: f64, order: Vec<u32>| Pass {
        fraction,
        torque_nm: fraction * torque_nm,
        order,
    };
    let mut passes: Vec<Pass> =
        stages.iter().map(|fraction| pass(*fraction, order.clone())).collect();
    if bolts > 2 {
        passes.push(pass(1.0, (1..=bolts).collect()));
    }
    Ok(passes)
}

/// The order to loosen in: the exact reverse of the crosswise order.
///
/// ```
/// assert_eq!(fasten::loosening(4)?, [4, 2, 3, 1]);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// As [`crosswise`].
pub fn loosening(bolts: u32) -> Result<Vec<u32>, FastenError> {
    let mut order = crosswise(bolts)?;
    order.reverse();
    Ok(order)
}
