//! Pages to text, HTML, PDF and labels.
//!
//! Untrusted text is cleaned in [`pages::Words`] and escaped here; the paper is set by
//! a closed typesetter that reads two fonts, one template and the data, nothing else.

mod base64;
mod html;
mod labels;
mod pdf;
mod svg;
mod text;
mod world;

use std::fmt;

pub use html::{block, document, escape, html};
pub use labels::{LONGEST_CODE, Label, LabelSheet, labels, qr};
pub use pdf::{MOST_PHOTOS, Paper, PdfOptions, Stamp, notice, pdf};
pub use svg::svg;
pub use text::{LEAST_WIDTH, columns, text};

/// The one accent: the paint stripe.
pub const PAINT: &str = "#d9480f";

/// Why a paper could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReportError {
    /// There is nothing to print.
    Empty,
    /// A label's code is too long.
    Code {
        /// Its length.
        bytes: usize,
    },
    /// The label sheet does not fit on A4.
    Sheet,
    /// The typesetter gave up.
    Setting(String),
}

impl fmt::Display for ReportError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => out.write_str("there is nothing to print: give at least one"),
            Self::Code { bytes } => write!(
                out,
                "the text of a label's code has {bytes} bytes: {LONGEST_CODE} are the most that a phone reads at this size"
            ),
            Self::Sheet => out.write_str(
                "the label sheet does not fit on A4 (210 × 297 mm): check count, size and margins",
            ),
            Self::Setting(why) => write!(out, "the paper could not be set: {why}"),
        }
    }
}

impl std::error::Error for ReportError {}
