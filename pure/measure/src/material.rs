//! Resistance of a winding at another temperature.

use crate::reading::JudgeError;

/// Metal of a winding.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Material {
    /// Annealed copper (IEC 60028).
    Copper,
    /// Aluminium for conductors.
    Aluminium,
}

/// The temperature of the part when it was read, and the one its limits are given for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartTemperature {
    /// Metal of the winding.
    pub material: Material,
    /// Temperature of the part in °C.
    pub part_c: f64,
    /// Half-width of what is known of it, in K; `None`: taken as exact.
    pub part_half_width_k: Option<f64>,
    /// Temperature that the limits are given for, in °C; usually 20.
    pub reference_c: f64,
}

/// Least and greatest temperature in °C at which the straight line is used.
const LINE_HOLDS_C: [f64; 2] = [-100.0, 400.0];

impl Material {
    /// Reads `copper` or `aluminium`.
    ///
    /// # Errors
    /// [`JudgeError::Material`] with the known names.
    pub fn parse(text: &str) -> Result<Self, JudgeError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "copper" => Ok(Self::Copper),
            "aluminium" | "aluminum" => Ok(Self::Aluminium),
            other => Err(JudgeError::Material(other.chars().take(40).collect())),
        }
    }

    /// Temperature in °C at which the straight line through 20 °C reaches zero
    /// resistance: −234.5 for copper, −228 for aluminium.
    pub fn zero_resistance_c(self) -> f64 {
        match self {
            Self::Copper => -234.5,
            Self::Aluminium => -228.0,
        }
    }

    /// R(to) / R(from): how a resistance changes between two temperatures in °C.
    pub fn resistance_ratio(self, from_c: f64, to_c: f64) -> f64 {
        (to_c - self.zero_resistance_c()) / (from_c - self.zero_resistance_c())
    }
}

impl PartTemperature {
    /// What a resistance is multiplied by to bring it to the reference temperature.
    ///
    /// # Errors
    /// [`JudgeError::Temperature`] outside the range in which the line holds.
    pub fn factor(self) -> Result<f64, JudgeError> {
        let [least, greatest] = LINE_HOLDS_C;
        for c in [self.part_c, self.reference_c] {
            // Written so that NaN fails too.
            if !(least..=greatest).contains(&c) {
                return Err(JudgeError::Temperature(c));
            }
        }
        Ok(self.material.resistance_ratio(self.part_c, self.reference_c))
    }

    /// Relative standard uncertainty of the factor from the part's temperature.
    ///
    /// # Errors
    /// [`JudgeError::Temperature`] if the half-width is negative or not finite.
    pub fn relative_u(self) -> Result<f64, JudgeError> {
        let half = self.part_half_width_k.unwrap_or(0.0);
        if !half.is_finite() || half < 0.0 {
            return Err(JudgeError::Temperature(half));
        }
        Ok(half / 3.0_f64.sqrt() / (self.part_c - self.material.zero_resistance_c()))
    }
}
