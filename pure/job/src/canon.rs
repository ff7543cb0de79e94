//! Canonical JSON: keys sorted by their bytes, no spaces, numbers and texts in one form.
//!
//! RFC 8785 in spirit; numbers are written as the shortest decimal that reads back as the
//! same double, and whole floats keep their `.0`, so that bytes are stable under re-reading.

use serde_json::Value;

/// The canonical text of a value. Its depth is bounded: values come from [`parse`], which
/// stops at 128, or from bodies, which are flat.
#[must_use]
pub fn canonical(value: &Value) -> String {
    let mut out = String::new();
    write_value(value, &mut out);
    out
}

fn write_value(value: &Value, out: &mut String) {
    match value {
        Value::Object(members) => {
            let mut sorted: Vec<(&String, &Value)> = members.iter().collect();
            sorted.sort_by(|left, right| left.0.as_bytes().cmp(right.0.as_bytes()));
            out.push('{');
            for (place, (key, member)) in sorted.into_iter().enumerate() {
                if place > 0 {
                    out.push(',');
                }
                write_text(key, out);
                out.push(':');
                write_value(member, out);
            }
            out.push('}');
        }
        Value::Array(entries) => {
            out.push('[');
            for (place, entry) in entries.iter().enumerate() {
                if place > 0 {
                    out.push(',');
                }
                write_value(entry, out);
            }
            out.push(']');
        }
        Value::String(text) => write_text(text, out),
        Value::Null | Value::Bool(_) | Value::Number(_) => {
            out.push_str(&value.to_string());
        }
    }
}

/// A text in quotes; the escapes are those of RFC 8785, section 3.2.2.2.
fn write_text(text: &str, out: &mut String) {
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\u{8}' => out.push_str("\\b"),
            '\t' => out.push_str("\\t"),
            '\n' => out.push_str("\\n"),
            '\u{c}' => out.push_str("\\f"),
            '\r' => out.push_str("\\r"),
            control if u32::from(control) < 0x20 => {
                let code = format!("\\u{:04x}", u32::from(control));
                out.push_str(&code);
            }
            other => out.push(other),
        }
    }
    out.push('"');
}

/// The value of JSON bytes.
///
/// # Errors
/// What is wrong with them, in words.
pub fn parse(bytes: &[u8]) -> Result<Value, String> {
    serde_json::from_slice(bytes).map_err(|problem| problem.to_string())
}

/// Whether the bytes are canonical: reading and writing them gives them back.
#[must_use]
pub fn is_canonical(bytes: &[u8]) -> bool {
    parse(bytes).is_ok_and(|value| canonical(&value).as_bytes() == bytes)
}
