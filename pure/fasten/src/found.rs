//! `friction_found`: what friction a measured torque and preload tell (ISO 16047).

use std::f64::consts::PI;

use schemars::JsonSchema;
use serde::Serialize;

use crate::error::{FastenError, within};
use crate::thread::Thread;

/// `1/(2 cos 30°)` as ISO 16047 prints it.
const THREAD_PART: f64 = 0.577;

/// What was measured on a bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Torque at the head, N·m.
    pub torque_nm: f64,
    /// Preload that it gave, kN.
    pub preload_kn: f64,
    /// Of the torque, what reached the thread, N·m; where it was measured.
    pub thread_nm: Option<f64>,
}

/// Friction worked back from a measurement.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FrictionFound {
    /// Torque measured, N·m.
    pub torque_nm: f64,
    /// Preload measured, kN.
    pub preload_kn: f64,
    /// Friction if thread and head had the same, μtot.
    pub total: f64,
    /// Friction in the thread, μth; null where its torque was not measured.
    pub thread: Option<f64>,
    /// Friction under the head, μb; null likewise.
    pub head: Option<f64>,
    /// K in `T = K F d`.
    pub nut_factor: f64,
}

/// Works friction back from a measurement (ISO 16047, from memory):
/// `μtot = (T/F − P/2π) / (0.577 d2 + 0.5 Db)`, `μth = (Tth/F − P/2π) / (0.577 d2)`,
/// `μb = (T − Tth) / (0.5 Db F)`.
///
/// ```
/// use fasten::{Measured, friction_found};
///
/// let measured = Measured { torque_nm: 50.0, preload_kn: 30.0, thread_nm: Some(27.0) };
/// let found = friction_found("M10".parse()?, 12.815, measured)?;
/// assert!((found.total - 0.1229).abs() < 0.0005);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// When a number is out of range, or the torque is less than the pitch alone asks for.
pub fn friction_found(
    thread: Thread,
    bearing_mean_mm: f64,
    measured: Measured,
) -> Result<FrictionFound, FastenError> {
    let torque_nm = within("measured torque in N·m", measured.torque_nm, 0.01, 1e4)?;
    let preload_kn = within("measured preload in kN", measured.preload_kn, 0.01, 1e4)?;
    let pitch_nm = preload_kn * thread.pitch_mm() / (2.0 * PI);
    let in_thread_mm = THREAD_PART * thread.pitch_diameter_mm();
    let under_head_mm = 0.5 * bearing_mean_mm;
    let refuse = |torque_nm: f64| FastenError::Frictionless {
        torque_nm,
        preload_kn,
        pitch_nm,
        thread: thread.to_string(),
    };
    if torque_nm < pitch_nm {
        return Err(refuse(torque_nm));
    }
    let (mut in_thread, mut under_head) = (None, None);
    if let Some(thread_nm) = measured.thread_nm {
        let thread_nm = within("torque in the thread in N·m", thread_nm, 0.0, torque_nm)?;
        if thread_nm < pitch_nm {
            return Err(refuse(thread_nm));
        }
        in_thread = Some((thread_nm - pitch_nm) / preload_kn / in_thread_mm);
        under_head = Some((torque_nm - thread_nm) / preload_kn / under_head_mm);
    }
    Ok(FrictionFound {
        torque_nm,
        preload_kn,
        total: (torque_nm - pitch_nm) / preload_kn / (in_thread_mm + under_head_mm),
        thread: in_thread,
        head: under_head,
        nut_factor: torque_nm / preload_kn / thread.diameter_mm(),
    })
}

/// Torque in N·m by a nut factor, `T = K F d`.
///
/// ```
/// // Shigley, 9th ed., example 8-3b: K 0.2, 25 kip, 0.75 in: 3750 lbf·in.
/// let torque_nm = fasten::nut_factor_torque_nm(0.2, 25.0 * 4.448_222, 19.05);
/// assert!((torque_nm / 0.112_984_829 - 3750.0).abs() < 0.01);
/// ```
pub fn nut_factor_torque_nm(nut_factor: f64, preload_kn: f64, diameter_mm: f64) -> f64 {
    nut_factor * preload_kn * diameter_mm
}
