//! Money in one currency; never converted, never mixed.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

/// A currency code of the ISO 4217 form: three capital letters.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(try_from = "String", into = "String")]
pub struct Currency([u8; 3]);

/// An amount in a currency; finite.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "TypedMoney")]
pub struct Money {
    amount: f64,
    currency: Currency,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct TypedMoney {
    amount: f64,
    currency: Currency,
}

/// What can be wrong with a currency or an amount.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MoneyError {
    /// Not three capital letters.
    BadCurrency(String),
    /// NaN or without end.
    NotFinite,
    /// Two currencies in one sum.
    Mixed(Currency, Currency),
}

impl Currency {
    /// Reads a code such as `EUR`.
    ///
    /// # Errors
    /// [`MoneyError::BadCurrency`] unless it is three capital letters A-Z.
    pub fn parse(text: &str) -> Result<Self, MoneyError> {
        match text.as_bytes() {
            [a, b, c] if [a, b, c].iter().all(|x| x.is_ascii_uppercase()) => {
                Ok(Self([*a, *b, *c]))
            }
            _ => Err(MoneyError::BadCurrency(text.chars().take(20).collect())),
        }
    }

    /// The code.
    pub fn code(self) -> String {
        self.0.iter().map(|b| char::from(*b)).collect()
    }
}

impl Money {
    /// An amount in a currency.
    ///
    /// # Errors
    /// [`MoneyError::NotFinite`].
    pub fn new(amount: f64, currency: Currency) -> Result<Self, MoneyError> {
        if amount.is_finite() {
            Ok(Self { amount, currency })
        } else {
            Err(MoneyError::NotFinite)
        }
    }

    /// The amount, unrounded.
    pub fn amount(self) -> f64 {
        self.amount
    }

    /// The currency.
    pub fn currency(self) -> Currency {
        self.currency
    }

    /// The sum of two amounts of one currency.
    ///
    /// # Errors
    /// [`MoneyError::Mixed`] for two currencies, [`MoneyError::NotFinite`] on overflow.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::Mixed(self.currency, other.currency));
        }
        Self::new(self.amount + other.amount, self.currency)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.code())
    }
}

impl fmt::Display for Money {
    /// Two decimals and the code, as in `12.50 EUR`; never a negative zero.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = format!("{:.2}", self.amount);
        let shown = if shown == "-0.00" { "0.00" } else { &shown };
        write!(f, "{shown} {}", self.currency)
    }
}

impl TryFrom<String> for Currency {
    type Error = MoneyError;

    fn try_from(text: String) -> Result<Self, MoneyError> {
        Self::parse(&text)
    }
}

impl From<Currency> for String {
    fn from(currency: Currency) -> Self {
        currency.code()
    }
}

impl std::str::FromStr for Currency {
    type Err = MoneyError;

    fn from_str(text: &str) -> Result<Self, MoneyError> {
        Self::parse(text)
    }
}

impl TryFrom<TypedMoney> for Money {
    type Error = MoneyError;

    fn try_from(typed: TypedMoney) -> Result<Self, MoneyError> {
        Self::new(typed.amount, typed.currency)
    }
}

impl JsonSchema for Currency {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "Currency".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({ "type": "string", "pattern": "^[A-Z]{3}$" })
    }
}

impl fmt::Display for MoneyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::BadCurrency(text) => write!(
                f,
                "`{text}` is not a currency code: write three capital letters, as in EUR"
            ),
            Self::NotFinite => f.write_str("an amount of money must be a finite number"),
            Self::Mixed(a, b) => {
                write!(
                    f,
                    "{a} and {b} cannot be added: keep one currency for the whole job"
                )
            }
        }
    }
}

impl std::error::Error for MoneyError {}
