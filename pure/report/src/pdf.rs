//! Pages on A4 or A5 paper as a PDF: the same input gives the same bytes.

use pages::{Block, Drawing, Page, Photo, PhotoFormat, PhotoMark, Words, pieces};
use serde_json::{Value, json};
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::Timestamp;

use crate::{PAINT, ReportError, svg::svg, world::Closed};

const TEMPLATE: &str = include_str!("../paper/page.typ");

/// The most photos that one document carries.
pub const MOST_PHOTOS: usize = 200;

/// Runs of letters longer than this may be broken anywhere.
const LONGEST_RUN: usize = 24;

/// A sheet of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 148 × 210 mm.
    A5,
}

/// When the document was made, UTC; given by the caller, never read from a clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Year.
    pub year: i32,
    /// Month, 1-12.
    pub month: u8,
    /// Day, 1-31.
    pub day: u8,
    /// Hour, 0-23.
    pub hour: u8,
    /// Minute, 0-59.
    pub minute: u8,
    /// Second, 0-59.
    pub second: u8,
}

/// How pages go on paper.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfOptions {
    /// The paper.
    pub paper: Paper,
    /// Size of the running text, points; kept within 7 and 24.
    pub size_pt: f64,
    /// What stands at the foot of each sheet: the log head.
    pub footer: String,
    /// Who made it (document information).
    pub author: String,
    /// When it was made; `None`: the document does not say.
    pub stamp: Option<Stamp>,
}

impl PdfOptions {
    /// A report on A4.
    #[must_use]
    pub fn a4(footer: &str) -> Self {
        Self::on(Paper::A4, 10.0, footer)
    }

    /// A notice on A5, in larger type: it lies under a wiper.
    #[must_use]
    pub fn a5(footer: &str) -> Self {
        Self::on(Paper::A5, 12.5, footer)
    }

    fn on(paper: Paper, size_pt: f64, footer: &str) -> Self {
        Self {
            paper,
            size_pt,
            footer: footer.to_owned(),
            author: String::new(),
            stamp: None,
        }
    }
}

/// The pages as one PDF, each starting a new sheet.
///
/// A photo that can't be read is named in its place; it never stops the report.
///
/// # Errors
/// [`ReportError::Empty`] without pages, [`ReportError::Setting`] where the paper can't
/// be set.
pub fn pdf(pages: &[Page], options: &PdfOptions) -> Result<Vec<u8>, ReportError> {
    let Some(first) = pages.first() else { return Err(ReportError::Empty) };
    let (data, photos) = document(pages, first, options, MOST_PHOTOS)?;
    let has_photos = !photos.is_empty();
    match set(TEMPLATE, &data, photos, options.stamp) {
        Err(ReportError::Setting(_)) if has_photos => {
            let (data, none) = document(pages, first, options, 0)?;
            set(TEMPLATE, &data, none, options.stamp)
        }
        answer => answer,
    }
}

/// Sizes of the running text that a notice is tried in, points.
const NOTICE_SIZES_PT: [f64; 4] = [12.5, 11.0, 9.5, 8.0];

/// A page on one side of A5: it lies under a wiper, so nothing may stand overleaf. In the
/// largest type that fits; at the smallest, what is too much goes on.
///
/// # Errors
/// [`ReportError::Setting`] where the paper can't be set.
pub fn notice(page: &Page, options: &PdfOptions) -> Result<Vec<u8>, ReportError> {
    let mut last = None;
    for size_pt in NOTICE_SIZES_PT {
        let options = PdfOptions { paper: Paper::A5, size_pt, ..options.clone() };
        let (data, _) = document(std::slice::from_ref(page), page, &options, 0)?;
        let (bytes, sheets) = set_counted(TEMPLATE, &data, Vec::new(), options.stamp)?;
        if sheets <= 1 {
            return Ok(bytes);
        }
        last = Some(bytes);
    }
    last.ok_or(ReportError::Empty)
}

/// Height of a drawing that fits a sheet of paper beside its heading.
const MOST_HIGH: f64 = 860.0;
/// Of narrow ones, two of which stand side by side, a little smaller.
const MOST_HIGH_BESIDE: f64 = 980.0;
/// Share of the sheet up to which they do.
const NARROW: f64 = 0.6;

type Files = Vec<(String, Vec<u8>)>;

/// What the template reads: the pages as JSON, and the photos as files beside it.
fn document(
    pages: &[Page],
    first: &Page,
    options: &PdfOptions,
    most_photos: usize,
) -> Result<(Value, Files), ReportError> {
    let mut photos = Files::new();
    let mut sheets = Vec::new();
    for page in pages {
        let mut blocks = Vec::new();
        for block in &page.blocks {
            if let Block::Drawing(drawing) = block {
                blocks.extend(on_sheets(drawing));
            } else if let Block::Photo(photo) = block {
                blocks.push(pasted(photo, &mut photos, most_photos));
            } else {
                blocks.push(softened(to_value(block)?));
            }
        }
        sheets.push(json!({ "title": soft(page.title.as_str()), "blocks": blocks }));
    }
    let data = json!({
        "title": first.title,
        "author": Words::from(&options.author),
        "lang": language(first.language.as_str()),
        "paper": match options.paper { Paper::A4 => "a4", Paper::A5 => "a5" },
        "size": if options.size_pt.is_finite() { options.size_pt.clamp(7.0, 24.0) } else { 10.0 },
        "paint": PAINT,
        "footer": soft(Words::from(&options.footer).as_str()),
        "pages": sheets,
    });
    Ok((data, photos))
}

/// A drawing in as many pieces as it takes sheets for.
fn on_sheets(drawing: &Drawing) -> Vec<Value> {
    let whole = |one: &Drawing| json!({ "kind": "drawing", "is": drawn(one) });
    if drawing.height <= MOST_HIGH || share(drawing.width) > NARROW {
        return pieces(drawing, MOST_HIGH).iter().map(whole).collect();
    }
    let beside = |two: &[Drawing]| json!({ "kind": "beside", "is": two.iter().map(drawn).collect::<Vec<_>>() });
    pieces(drawing, MOST_HIGH_BESIDE).chunks(2).map(beside).collect()
}

fn drawn(drawing: &Drawing) -> Value {
    json!({
        "title": soft(drawing.title.as_str()),
        "summary": drawing.summary,
        "share": share(drawing.width),
        "svg": svg(drawing),
    })
}

fn pasted(photo: &Photo, photos: &mut Files, most: usize) -> Value {
    let format = photo.format().filter(|_| photos.len() < most);
    let file = format.map(|format| {
        let ending = match format {
            PhotoFormat::Jpeg => "jpg",
            PhotoFormat::Png => "png",
        };
        let path = format!("photo-{}.{ending}", photos.len());
        photos.push((path.clone(), photo.bytes.clone()));
        path
    });
    let caption = soft(photo.caption.as_str());
    let mark = |m: &PhotoMark| json!({ "label": m.label, "x": m.x, "y": m.y, "settled": m.settled });
    let marks: Vec<Value> = photo.marks.iter().map(mark).collect();
    json!({ "kind": "photo", "is": { "caption": caption, "file": file, "marks": marks } })
}

fn to_value(block: &Block) -> Result<Value, ReportError> {
    serde_json::to_value(block).map_err(|error| ReportError::Setting(error.to_string()))
}

/// A drawing of 640 units is as wide as the sheet.
fn share(width: f64) -> f64 {
    if width.is_finite() { (width / 640.0).clamp(0.05, 1.0) } else { 1.0 }
}

/// The ISO 639 part of a language, English where it is none.
fn language(tag: &str) -> &str {
    let first = tag.split(['-', '_']).next().unwrap_or_default();
    let fits =
        (2..=3).contains(&first.len()) && first.bytes().all(|b| b.is_ascii_lowercase());
    if fits { first } else { "en" }
}

/// Every text of a block with places to break long runs of letters.
fn softened(value: Value) -> Value {
    match value {
        Value::String(text) => Value::String(soft(&text)),
        Value::Array(values) => Value::Array(values.into_iter().map(softened).collect()),
        Value::Object(fields) => Value::Object(
            fields.into_iter().map(|(key, value)| (key, softened(value))).collect(),
        ),
        Value::Null | Value::Bool(_) | Value::Number(_) => value,
    }
}

/// A zero-width space after every so many letters without one, so that no run of letters
/// leaves the paper.
pub(crate) fn soft(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut run = 0_usize;
    for c in text.chars() {
        run = if c == ' ' { 0 } else { run + 1 };
        if run > LONGEST_RUN {
            out.push('\u{200b}');
            run = 1;
        }
        out.push(c);
    }
    out
}

/// Sets a template with its data and gives the PDF.
pub(crate) fn set(
    template: &str,
    data: &Value,
    files: Files,
    stamp: Option<Stamp>,
) -> Result<Vec<u8>, ReportError> {
    set_counted(template, data, files, stamp).map(|(bytes, _)| bytes)
}

/// As [`set`], with how many sides it takes.
fn set_counted(
    template: &str,
    data: &Value,
    mut files: Files,
    stamp: Option<Stamp>,
) -> Result<(Vec<u8>, usize), ReportError> {
    files.push(("data.json".to_owned(), data.to_string().into_bytes()));
    let world = Closed::new(template, files)?;
    let document = typst::compile::<PagedDocument>(&world).output.map_err(setting)?;
    let options = typst_pdf::PdfOptions {
        ident: Smart::Custom(data.to_string()),
        creator: Smart::Custom(Some("Witmark".to_owned())),
        timestamp: stamp.and_then(timestamp),
        ..typst_pdf::PdfOptions::default()
    };
    let bytes = typst_pdf::pdf(&document, &options).map_err(setting);
    let sides = document.pages().len();
    // A long-lived server must not keep the layout of every report that it ever set.
    typst::comemo::evict(0);
    bytes.map(|bytes| (bytes, sides))
}

fn timestamp(stamp: Stamp) -> Option<Timestamp> {
    let Stamp { year, month, day, hour, minute, second } = stamp;
    Datetime::from_ymd_hms(year, month, day, hour, minute, second).map(Timestamp::new_utc)
}

fn setting(
    errors: impl IntoIterator<Item = typst::diag::SourceDiagnostic>,
) -> ReportError {
    let said: Vec<String> =
        errors.into_iter().take(3).map(|error| error.message.to_string()).collect();
    ReportError::Setting(said.join("; "))
}
