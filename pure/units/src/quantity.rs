//! The kinds of quantity that a repair measures.

use std::fmt;

use crate::unit::{Unit, UnitError, find_name};

/// A kind of quantity; units convert within one kind only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Plane angle; base unit degree.
    Angle,
    /// Inductance of a coil; base unit henry.
    Inductance,
    /// Electric current; base unit ampere.
    Current,
    /// Force; base unit newton.
    Force,
    /// Frequency; base unit hertz.
    Frequency,
    /// Length and distance; base unit metre.
    Length,
    /// Mass; base unit kilogram.
    Mass,
    /// Power; base unit watt.
    Power,
    /// Pressure; base unit pascal.
    Pressure,
    /// A share; base unit per cent.
    Ratio,
    /// Electric resistance; base unit ohm.
    Resistance,
    /// Turns a minute; base unit 1/min.
    RotationalSpeed,
    /// Speed; base unit metre a second.
    Speed,
    /// Temperature; base unit degree Celsius.
    Temperature,
    /// Duration; base unit second.
    Time,
    /// Torque; base unit newton metre.
    Torque,
    /// Electric potential difference; base unit volt.
    Voltage,
    /// Volume; base unit litre.
    Volume,
}

impl Quantity {
    /// Every quantity, in the order of its name.
    pub const ALL: [Self; 18] = [
        Self::Angle,
        Self::Current,
        Self::Force,
        Self::Frequency,
        Self::Inductance,
        Self::Length,
        Self::Mass,
        Self::Power,
        Self::Pressure,
        Self::Ratio,
        Self::Resistance,
        Self::RotationalSpeed,
        Self::Speed,
        Self::Temperature,
        Self::Time,
        Self::Torque,
        Self::Voltage,
        Self::Volume,
    ];

    /// The name as a sheet writes it, such as `rotational-speed`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Angle => "angle",
            Self::Current => "current",
            Self::Force => "force",
            Self::Frequency => "frequency",
            Self::Inductance => "inductance",
            Self::Length => "length",
            Self::Mass => "mass",
            Self::Power => "power",
            Self::Pressure => "pressure",
            Self::Ratio => "ratio",
            Self::Resistance => "resistance",
            Self::RotationalSpeed => "rotational-speed",
            Self::Speed => "speed",
            Self::Temperature => "temperature",
            Self::Time => "time",
            Self::Torque => "torque",
            Self::Voltage => "voltage",
            Self::Volume => "volume",
        }
    }

    /// Reads a quantity by its name.
    ///
    /// # Errors
    /// [`UnitError::UnknownQuantity`] with the known names.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        find_name(text, &Self::ALL, Self::name)
            .ok_or_else(|| UnitError::UnknownQuantity(text.chars().take(40).collect()))
    }

    /// The unit with factor 1 of this quantity.
    pub fn base_unit(self) -> Unit {
        Unit::base_of(self)
    }
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
