//! The commented sheet that somebody starts from.

use crate::names::{as_id, is_id};

/// What a new sheet is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewSheet {
    /// Its title.
    pub title: String,
    /// Its id; made from the title where it is absent or can't be one.
    pub id: Option<String>,
    /// The fault codes.
    pub codes: Vec<String>,
}

/// The text of a new sheet: every table once, every key explained, and no error.
///
/// Codes that have not the form of SAE J2012 are left out.
///
/// ```
/// let new = sheet::NewSheet { title: "Cooling fan".to_owned(), ..Default::default() };
/// assert!(sheet::read(&sheet::new_sheet(&new)).sheet.is_some());
/// ```
#[must_use]
pub fn new_sheet(new: &NewSheet) -> String {
    let title = match new.title.trim() {
        "" => "New sheet",
        title => title,
    };
    let made = as_id(title);
    let id = match new.id.as_deref() {
        Some(id) if is_id(id) => id.to_owned(),
        _ if is_id(&made) => made,
        _ => "new-sheet".to_owned(),
    };
    let codes: Vec<String> = new
        .codes
        .iter()
        .filter(|code| crate::head::is_code(code))
        .map(|code| format!("\"{code}\""))
        .collect();
    STARTER
        .replace("%ID%", &id)
        .replace("%CODES%", &codes.join(", "))
        .replace("%TITLE%", &quoted(title))
}

/// A text as a TOML basic string.
fn quoted(text: &str) -> String {
    let mut quoted = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                quoted.push('\\');
                quoted.push(c);
            }
            c if c.is_control() => quoted.push(' '),
            c => quoted.push(c),
        }
    }
    quoted.push('"');
    quoted
}

/// The text, with `%ID%`, `%TITLE%` and `%CODES%` to fill in. All values are examples.
const STARTER: &str = include_str!("starter.toml");
