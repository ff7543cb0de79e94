//! Units by their symbols, with SI prefixes, and conversion within one quantity.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use crate::number::shorten;
use crate::quantity::Quantity;
use crate::table::{PREFIXES, Symbol, TABLE};

/// A unit with its SI prefix: value in base unit = value × factor + offset.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Unit {
    prefix: &'static str,
    prefix_factor: f64,
    symbol: &'static Symbol,
}

/// What can be wrong with a typed number, unit or quantity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum UnitError {
    /// No number where one was expected.
    NotANumber(String),
    /// A decimal comma.
    DecimalComma(String),
    /// Too large to be a number here.
    NotFinite(String),
    /// A number without a unit where one is needed.
    NoUnit(String),
    /// A unit that is not known, with a near one if there is one.
    UnknownUnit {
        /// What was given.
        given: String,
        /// A known unit that differs in upper and lower case only.
        near: Option<String>,
    },
    /// A quantity that is not known.
    UnknownQuantity(String),
    /// Two units of different quantities.
    Mismatch {
        /// The unit given.
        from: String,
        /// Its quantity.
        is: Quantity,
        /// The quantity wanted.
        wanted: Quantity,
    },
}

impl Unit {
    /// Reads a unit such as `ohm`, `kΩ`, `mbar`, `°C`, `N.m`, `lb-ft` or `1/min`.
    ///
    /// ```
    /// use units::{Quantity, Unit};
    /// assert_eq!(Unit::parse("kΩ").unwrap().symbol(), "kohm");
    /// assert_eq!(Unit::parse("Nm").unwrap().quantity(), Quantity::Torque);
    /// ```
    ///
    /// # Errors
    /// [`UnitError::UnknownUnit`], whose text lists the known units.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let plain = normal_form(text);
        if plain.len() <= 24
            && let Some(unit) = lookup(&plain)
        {
            return Ok(unit);
        }
        Err(UnitError::UnknownUnit { given: shorten(text), near: near(&plain) })
    }

    pub(crate) fn base_of(quantity: Quantity) -> Self {
        let at = TABLE.iter().position(|s| s.quantity == quantity && s.base).unwrap_or(0);
        let prefix = if quantity == Quantity::Mass { ("k", 1e3) } else { ("", 1.0) };
        Self { prefix: prefix.0, prefix_factor: prefix.1, symbol: &TABLE[at] }
    }

    /// The quantity that this unit measures.
    pub fn quantity(self) -> Quantity {
        self.symbol.quantity
    }

    /// The plain ASCII symbol, as files and JSON write it: `kohm`, `C`, `N.m`.
    pub fn symbol(self) -> String {
        format!("{}{}", self.prefix, self.symbol.ascii)
    }

    /// The symbol for screens and paper: `kΩ`, `°C`, `N·m`.
    pub fn shown(self) -> String {
        let prefix = if self.prefix == "u" { "µ" } else { self.prefix };
        format!("{prefix}{}", self.symbol.shown)
    }

    /// How many base units one of this unit is (for differences; no offset).
    pub fn factor(self) -> f64 {
        self.prefix_factor * self.symbol.factor
    }

    /// Converts a value on the scale of this unit to the scale of another.
    ///
    /// # Errors
    /// [`UnitError::Mismatch`] for another quantity, [`UnitError::NotFinite`] if the
    /// result overflows or the value is not finite.
    pub fn convert(self, value: f64, to: Self) -> Result<f64, UnitError> {
        let difference = self.convert_difference(value, to)?;
        let shifted = difference + (self.symbol.offset - to.symbol.offset) / to.factor();
        finite(shifted)
    }

    /// Converts a difference, an uncertainty or a half-width: factor only, no offset.
    ///
    /// # Errors
    /// As [`Unit::convert`].
    pub fn convert_difference(self, value: f64, to: Self) -> Result<f64, UnitError> {
        if self.quantity() != to.quantity() {
            return Err(UnitError::Mismatch {
                from: self.symbol(),
                is: self.quantity(),
                wanted: to.quantity(),
            });
        }
        if self == to {
            return finite(value);
        }
        finite(value * (self.factor() / to.factor()))
    }

    /// The plain symbols that are known, without prefixes, in table order.
    pub fn known() -> Vec<&'static str> {
        TABLE.iter().map(|s| s.ascii).collect()
    }
}

fn finite(value: f64) -> Result<f64, UnitError> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(UnitError::NotFinite(value.to_string()))
    }
}

/// One spelling for the signs that look alike; spaces and case stay significant.
fn normal_form(text: &str) -> String {
    let mut plain = String::new();
    for c in text.trim().chars().take(32) {
        match c {
            '\u{2126}' => plain.push('\u{3a9}'),
            '\u{b5}' | '\u{3bc}' => plain.push('u'),
            '\u{ba}' => plain.push('\u{b0}'),
            '\u{b7}' | '\u{22c5}' | '\u{2219}' | '*' => plain.push('.'),
            '\u{2103}' => plain.push_str("\u{b0}C"),
            c => plain.push(c),
        }
    }
    plain
}

fn lookup(plain: &str) -> Option<Unit> {
    let named = |name: &str| {
        TABLE
            .iter()
            .find(|s| s.ascii == name || s.shown == name || s.also.contains(&name))
    };
    if let Some(symbol) = named(plain) {
        return Some(Unit { prefix: "", prefix_factor: 1.0, symbol });
    }
    PREFIXES.iter().find_map(|(prefix, factor)| {
        let symbol = named(plain.strip_prefix(prefix)?).filter(|s| s.prefixes)?;
        Some(Unit { prefix, prefix_factor: *factor, symbol })
    })
}

/// A known unit that differs from the text only in upper and lower case.
fn near(plain: &str) -> Option<String> {
    let lower = plain.to_lowercase();
    let matches = |text: &str| text.to_lowercase() == lower;
    TABLE.iter().find_map(|s| {
        if matches(s.ascii) || s.also.iter().any(|a| matches(a)) {
            return Some(s.ascii.to_owned());
        }
        let prefixed = |(prefix, _): &(&str, f64)| {
            let joined = format!("{prefix}{}", s.ascii);
            (s.prefixes && matches(&joined)).then_some(joined)
        };
        // The common ones first: nobody means a nano-ohm.
        ["k", "m"]
            .iter()
            .find_map(|p| prefixed(&(p, 1.0)))
            .or_else(|| PREFIXES.iter().find_map(prefixed))
    })
}

/// The item of a list whose name the text is, whatever its case.
pub(crate) fn find_name<T: Copy>(
    text: &str,
    all: &[T],
    name: impl Fn(T) -> &'static str,
) -> Option<T> {
    let text = text.trim();
    all.iter().copied().find(|item| name(*item).eq_ignore_ascii_case(text))
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.prefix == other.prefix && self.symbol.ascii == other.symbol.ascii
    }
}

impl Eq for Unit {}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.symbol())
    }
}

impl std::str::FromStr for Unit {
    type Err = UnitError;

    fn from_str(text: &str) -> Result<Self, UnitError> {
        Self::parse(text)
    }
}

impl TryFrom<String> for Unit {
    type Error = UnitError;

    fn try_from(text: String) -> Result<Self, UnitError> {
        Self::parse(&text)
    }
}

impl From<Unit> for String {
    fn from(unit: Unit) -> Self {
        unit.symbol()
    }
}

impl JsonSchema for Unit {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Unit".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "description": "unit symbol, such as ohm or kPa" })
    }
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotANumber(text) => {
                write!(f, "`{text}` is not a number: write it like 7.9 or 1e3")
            }
            Self::DecimalComma(text) => {
                write!(f, "`{text}` has a decimal comma: write a point, as in 7.9")
            }
            Self::NotFinite(text) => write!(f, "`{text}` is too large to be a value"),
            Self::NoUnit(text) => {
                write!(f, "`{text}` has no unit: add one, as in {text}ohm")
            }
            Self::UnknownUnit { given, near } => {
                write!(f, "`{given}` is not a known unit")?;
                if let Some(near) = near {
                    write!(f, ": did you mean `{near}`?")?;
                }
                write!(
                    f,
                    "; known, some with a prefix as in mV or kPa: {}",
                    Unit::known().join(", ")
                )
            }
            Self::UnknownQuantity(text) => {
                let names: Vec<_> = Quantity::ALL.iter().map(|q| q.name()).collect();
                write!(f, "`{text}` is not a known quantity; known: {}", names.join(", "))
            }
            Self::Mismatch { from, is, wanted } => write!(
                f,
                "`{from}` measures {is}, but {wanted} is wanted here: use a unit such as `{}`",
                wanted.base_unit()
            ),
        }
    }
}

impl std::error::Error for UnitError {}
