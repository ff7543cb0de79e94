//! Small pieces of answers: cautions with their texts, moments and events in words.

use schemars::JsonSchema;
use serde::Serialize;

/// A caution with its short text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CautionText {
    /// The word.
    pub word: String,
    /// What it says.
    pub text: String,
    /// Asks for a licensed person.
    pub licensed: bool,
}

/// Cautions with their texts, each once, in the order in which they are shown.
pub(crate) fn cautions(words: &[String]) -> Vec<CautionText> {
    pages::cautions(words.iter().map(String::as_str))
        .into_iter()
        .map(|caution| CautionText {
            word: caution.word.as_str().to_owned(),
            text: caution.text.as_str().to_owned(),
            licensed: caution.licensed,
        })
        .collect()
}

/// The day of an RFC 3339 moment.
pub(crate) fn day(at: &str) -> String {
    at.get(..10).unwrap_or(at).to_owned()
}

/// Day and minute of an RFC 3339 moment.
pub(crate) fn minute(at: &str) -> String {
    match (at.get(..10), at.get(11..16)) {
        (Some(day), Some(time)) => format!("{day} {time}"),
        _ => at.to_owned(),
    }
}
