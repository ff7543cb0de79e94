//! Labels for tray cells: a QR code and a few words, on plain A4 label sheets.

use fast_qr::convert::{Builder, svg::SvgBuilder};
use fast_qr::{ECL, QRBuilder};
use pages::Words;
use serde_json::{Value, json};

use crate::ReportError;
use crate::pdf::{Stamp, set, soft};

const TEMPLATE: &str = include_str!("../paper/labels.typ");

/// The longest text that a label's code carries, bytes: still readable at 24 mm.
pub const LONGEST_CODE: usize = 300;

/// One label.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The tray cell, set large.
    pub cell: String,
    /// What lies there.
    pub title: String,
    /// Thread, length, torque, and the like; what does not fit is cut off.
    pub lines: Vec<String>,
    /// What the QR code opens.
    pub code: String,
}

/// How labels lie on a sheet, from its upper left corner, millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelSheet {
    /// Labels side by side.
    pub across: usize,
    /// Labels one below the other.
    pub down: usize,
    /// Width of one.
    pub width_mm: f64,
    /// Height of one.
    pub height_mm: f64,
    /// Left margin.
    pub left_mm: f64,
    /// Top margin.
    pub top_mm: f64,
    /// Labels already used on the first sheet.
    pub skip: usize,
}

impl Default for LabelSheet {
    /// Three by eight labels of 70 × 37 mm, the plain sheet without margins at the sides.
    fn default() -> Self {
        Self {
            across: 3,
            down: 8,
            width_mm: 70.0,
            height_mm: 37.0,
            left_mm: 0.0,
            top_mm: 0.5,
            skip: 0,
        }
    }
}

/// The labels in order, row by row, as one PDF.
///
/// # Errors
/// [`ReportError::Empty`] without labels, [`ReportError::Code`] for a code that is longer
/// than [`LONGEST_CODE`], [`ReportError::Sheet`] for a sheet that is not A4.
pub fn labels(
    labels: &[Label],
    sheet: &LabelSheet,
    stamp: Option<Stamp>,
) -> Result<Vec<u8>, ReportError> {
    if labels.is_empty() {
        return Err(ReportError::Empty);
    }
    check(sheet)?;
    let per_sheet = sheet.across * sheet.down;
    let mut cells = vec![Value::Null; sheet.skip.min(per_sheet - 1)];
    for label in labels {
        cells.push(one(label)?);
    }
    let sheets: Vec<&[Value]> = cells.chunks(per_sheet).collect();
    let data = json!({
        "title": "Tray labels",
        "across": sheet.across,
        "down": sheet.down,
        "width": sheet.width_mm,
        "height": sheet.height_mm,
        "left": sheet.left_mm,
        "top": sheet.top_mm,
        "sheets": sheets,
    });
    set(TEMPLATE, &data, Vec::new(), stamp)
}

fn check(sheet: &LabelSheet) -> Result<(), ReportError> {
    let fits = |count: usize, size: f64, margin: f64, paper: f64| {
        let count = u32::try_from(count).map_or(f64::INFINITY, f64::from);
        size > 10.0 && margin >= 0.0 && margin + count * size <= paper + 0.5
    };
    let good = (1..=20).contains(&sheet.across)
        && (1..=40).contains(&sheet.down)
        && fits(sheet.across, sheet.width_mm, sheet.left_mm, 210.0)
        && fits(sheet.down, sheet.height_mm, sheet.top_mm, 297.0);
    if good { Ok(()) } else { Err(ReportError::Sheet) }
}

fn one(label: &Label) -> Result<Value, ReportError> {
    let clean = |text: &str| soft(Words::new(text).as_str());
    let lines: Vec<String> = label.lines.iter().map(|line| clean(line)).collect();
    Ok(json!({
        "cell": clean(&label.cell),
        "title": clean(&label.title),
        "lines": lines,
        "alt": format!("QR code of cell {}", Words::new(&label.cell)),
        "qr": qr(&label.code)?,
    }))
}

/// A QR code (ISO/IEC 18004, level M) as SVG with a quiet zone of four modules.
///
/// # Errors
/// [`ReportError::Code`] for a text longer than [`LONGEST_CODE`] bytes.
pub fn qr(text: &str) -> Result<String, ReportError> {
    let too_long = || ReportError::Code { bytes: text.len() };
    if text.len() > LONGEST_CODE {
        return Err(too_long());
    }
    let code = QRBuilder::new(text).ecl(ECL::M).build().map_err(|_| too_long())?;
    Ok(SvgBuilder::default().margin(4).to_str(&code))
}
