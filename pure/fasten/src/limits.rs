//! Limits of size of ordinary threads: 6g bolt in 6H hole, and class 2A in 2B.

use crate::thread::{MM_PER_INCH, Series, Thread};

/// Internal pitch tolerance 6H over external 6g (ISO 965-1, from memory).
const METRIC_INTERNAL: f64 = 1.32;
/// Internal pitch tolerance 2B over external 2A (ASME B1.1, from memory).
const UNIFIED_INTERNAL: f64 = 1.30;

/// Limits of size in mm, from the formulas behind the tables (the tables round to 0.006 mm).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Greatest major diameter of the bolt.
    pub major_max_mm: f64,
    /// Least major diameter of the bolt, Ds,min.
    pub major_min_mm: f64,
    /// Greatest pitch diameter of the bolt.
    pub pitch_max_mm: f64,
    /// Least pitch diameter of the bolt, Es,min.
    pub pitch_min_mm: f64,
    /// Greatest pitch diameter of the hole, En,max.
    pub internal_pitch_max_mm: f64,
}

impl Thread {
    /// Limits of size: ISO 965-1 6g/6H for metric, ASME B1.1 2A/2B for unified threads.
    ///
    /// A measured stud below these limits is worn, or another thread.
    ///
    /// ```
    /// let m6: fasten::Thread = "M6".parse()?;
    /// assert!((m6.limits().major_min_mm - 5.794).abs() < 0.006); // ISO 965
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    pub fn limits(self) -> Limits {
        let (allowance, major, pitch, internal) = match self.series() {
            Series::Metric => metric_mm(self.diameter_mm(), self.pitch_mm()),
            Series::Unc | Series::Unf => unified_mm(self.diameter_mm(), self.pitch_mm()),
        };
        let major_max_mm = self.diameter_mm() - allowance;
        let pitch_max_mm = self.pitch_diameter_mm() - allowance;
        Limits {
            major_max_mm,
            major_min_mm: major_max_mm - major,
            pitch_max_mm,
            pitch_min_mm: pitch_max_mm - pitch,
            internal_pitch_max_mm: self.pitch_diameter_mm() + internal,
        }
    }
}

/// es(g), Td(6), Td2(6), TD2(6) in mm; ISO 965-1 gives the formulas in micrometres.
fn metric_mm(diameter_mm: f64, pitch_mm: f64) -> (f64, f64, f64, f64) {
    const BOUNDS: [f64; 8] = [0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0];
    let mean = BOUNDS
        .windows(2)
        .find_map(|pair| match pair {
            [low, high] if diameter_mm <= *high => Some((low * high).sqrt()),
            _ => None,
        })
        .unwrap_or(diameter_mm);
    let allowance = 15.0 + 11.0 * pitch_mm;
    let major = 180.0 * pitch_mm.cbrt().powi(2) - 3.15 / pitch_mm.sqrt();
    let pitch = 90.0 * pitch_mm.powf(0.4) * mean.powf(0.1);
    (allowance / 1e3, major / 1e3, pitch / 1e3, METRIC_INTERNAL * pitch / 1e3)
}

/// The same for class 2A/2B with the usual engagement of one diameter; ASME B1.1 in inches.
fn unified_mm(diameter_mm: f64, pitch_mm: f64) -> (f64, f64, f64, f64) {
    let diameter = diameter_mm / MM_PER_INCH;
    let pitch_two_thirds = (pitch_mm / MM_PER_INCH).cbrt().powi(2);
    let pitch =
        0.0015 * diameter.cbrt() + 0.0015 * diameter.sqrt() + 0.015 * pitch_two_thirds;
    let inches = [0.3 * pitch, 0.060 * pitch_two_thirds, pitch, UNIFIED_INTERNAL * pitch];
    let [allowance, major, pitch, internal] = inches.map(|value| value * MM_PER_INCH);
    (allowance, major, pitch, internal)
}
