//! Numbers of 16 bits.

/// A number of 16 bits (IEEE 754 binary16); what is not finite is `NaN`.
pub(crate) fn half(bits: u16) -> f64 {
    let (power, part) = (i32::from(bits >> 10 & 0x1f), f64::from(bits & 0x3ff));
    let size = match power {
        0 => part * 2_f64.powi(-24),
        0x1f => f64::NAN,
        _ => (1.0 + part / 1_024.0) * 2_f64.powi(power - 15),
    };
    if bits >> 15 == 1 { -size } else { size }
}
