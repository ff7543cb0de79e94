//! The neutral page that every answer becomes before it is text, HTML or paper.

use serde::Serialize;

use crate::{Caution, Drawing, Words};

/// A page: a title and blocks in reading order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Page {
    /// Its heading.
    pub title: Words,
    /// BCP 47 language of its texts, `en` where not known.
    pub language: Words,
    /// What stands on it, in order.
    pub blocks: Vec<Block>,
}

/// One part of a page.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", content = "is", rename_all = "snake_case")]
pub enum Block {
    /// A section's heading.
    Heading(Words),
    /// A smaller heading inside a section.
    Subheading(Words),
    /// The one sentence that matters most, set large.
    Lead(Words),
    /// Plain text.
    Paragraph(Words),
    /// Small print.
    Quiet(Words),
    /// A banner that stops the reader: *do not start*.
    Stop(Words),
    /// Label and value, one below the other.
    Facts(Vec<Pair>),
    /// Label above value, side by side: the head of a report.
    Head(Vec<Pair>),
    /// Rows and columns.
    Table(Table),
    /// A list.
    List(List),
    /// What can hurt, before the instructions.
    Caution(Caution),
    /// What may be tapped or typed.
    Choices(Vec<Choice>),
    /// A drawing.
    Drawing(Drawing),
    /// A photo.
    Photo(Photo),
    /// Lines to sign on.
    Sign(Vec<Words>),
    /// On paper: what follows starts a new sheet.
    Break,
}

/// A label and its value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Pair {
    /// What it is.
    pub label: Words,
    /// Its value.
    pub value: Words,
}

/// Rows and columns.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Table {
    /// Columns with their headings.
    pub columns: Vec<Column>,
    /// Rows; each with as many cells as there are columns (missing ones are blank).
    pub rows: Vec<Row>,
}

/// A column.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its heading.
    pub heading: Words,
    /// Where its cells stand.
    pub align: Align,
}

/// Where the text of a cell stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Row {
    /// Its cells.
    pub cells: Vec<Words>,
    /// Whether it is done, or a sum.
    pub mark: Mark,
}

/// What is marked at a row or an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Nothing.
    #[default]
    None,
    /// Done: it carries the paint stripe.
    Done,
    /// Still open: an empty box to tick.
    Open,
    /// A sum or the row that counts.
    Sum,
}

/// A list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct List {
    /// Numbered in order.
    pub ordered: bool,
    /// Its entries.
    pub entries: Vec<Entry>,
}

/// An entry of a list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// Its text.
    pub text: Words,
    /// Whether it is done.
    pub mark: Mark,
}

/// Something to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Choice {
    /// What a command or a form sends.
    pub id: Words,
    /// What the repairer reads.
    pub text: Words,
    /// What it leads to, where known.
    pub hint: Words,
}

/// A photo. Bytes that are neither JPEG nor PNG are left out and named in its place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Photo {
    /// What it shows.
    pub caption: Words,
    /// JPEG or PNG.
    #[serde(skip)]
    pub bytes: Vec<u8>,
    /// What is marked on it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<PhotoMark>,
}

/// A place on a photo with a short word in a circle, a tenth of the photo wide.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PhotoMark {
    /// A number or two letters.
    pub label: String,
    /// From the left edge, as a share of the width.
    pub x: f64,
    /// From the upper edge, as a share of the height.
    pub y: f64,
    /// Whether it is dealt with and drawn grey.
    pub settled: bool,
}

/// The formats of a [`Photo`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoFormat {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
}

impl Photo {
    /// A photo on which nothing is marked.
    #[must_use]
    pub fn plain(caption: &str, bytes: Vec<u8>) -> Self {
        Self { caption: caption.into(), bytes, marks: Vec::new() }
    }

    /// The format by its first bytes, `None`: neither.
    #[must_use]
    pub fn format(&self) -> Option<PhotoFormat> {
        if self.bytes.starts_with(&[0xff, 0xd8, 0xff]) {
            Some(PhotoFormat::Jpeg)
        } else if self.bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
            Some(PhotoFormat::Png)
        } else {
            None
        }
    }

    /// Width and height, pixels, as its header says (PNG: IHDR; JPEG: the start of frame).
    #[must_use]
    pub fn size(&self) -> Option<(u32, u32)> {
        let (width, height) = match self.format()? {
            PhotoFormat::Png => {
                let four = |at: usize| {
                    let bytes = self.bytes.get(at..at + 4)?;
                    Some(u32::from_be_bytes(bytes.try_into().ok()?))
                };
                (four(16)?, four(20)?)
            }
            PhotoFormat::Jpeg => jpeg_size(&self.bytes)?,
        };
        (width > 0 && height > 0).then_some((width, height))
    }
}

/// Width and height of a JPEG: its segments are walked to the start of frame (ITU-T T.81, B.2.2).
fn jpeg_size(bytes: &[u8]) -> Option<(u32, u32)> {
    let two = |at: usize| {
        let bytes = bytes.get(at..at + 2)?;
        Some(u32::from(u16::from_be_bytes(bytes.try_into().ok()?)))
    };
    let mut at = 2;
    loop {
        let (mark, kind) = (*bytes.get(at)?, *bytes.get(at + 1)?);
        match (mark, kind) {
            (0xff, 0xff) => at += 1,
            // DHT, JPG and DAC lie among the starts of frame.
            (0xff, 0xc0..=0xcf) if !matches!(kind, 0xc4 | 0xc8 | 0xcc) => {
                return Some((two(at + 7)?, two(at + 5)?));
            }
            (0xff, _) => at += 2 + usize::try_from(two(at + 2)?).ok()?,
            _ => return None,
        }
    }
}

impl Page {
    /// A page with nothing on it yet.
    #[must_use]
    pub fn new(title: impl Into<Words>, language: &str) -> Self {
        let language = if language.is_empty() { "en" } else { language };
        Self { title: title.into(), language: language.into(), blocks: Vec::new() }
    }

    /// Adds a section's heading.
    pub fn heading(&mut self, text: impl Into<Words>) {
        self.blocks.push(Block::Heading(text.into()));
    }

    /// Adds a smaller heading.
    pub fn subheading(&mut self, text: impl Into<Words>) {
        self.blocks.push(Block::Subheading(text.into()));
    }

    /// Adds the sentence that matters most.
    pub fn lead(&mut self, text: impl Into<Words>) {
        self.blocks.push(Block::Lead(text.into()));
    }

    /// Adds one paragraph for each line of `text` that is not blank.
    pub fn paragraphs(&mut self, text: &str) {
        self.blocks.extend(Words::lines(text).into_iter().map(Block::Paragraph));
    }

    /// Adds small print, unless it is empty.
    pub fn quiet(&mut self, text: impl Into<Words>) {
        let text = text.into();
        if !text.is_empty() {
            self.blocks.push(Block::Quiet(text));
        }
    }

    /// Adds a banner that stops the reader.
    pub fn stop(&mut self, text: impl Into<Words>) {
        self.blocks.push(Block::Stop(text.into()));
    }

    /// Adds labels and values; pairs without a value are left out.
    pub fn facts(&mut self, pairs: Vec<Pair>) {
        let pairs: Vec<Pair> =
            pairs.into_iter().filter(|pair| !pair.value.is_empty()).collect();
        if !pairs.is_empty() {
            self.blocks.push(Block::Facts(pairs));
        }
    }

    /// Adds the head of a report; pairs without a value are left out.
    pub fn head(&mut self, pairs: Vec<Pair>) {
        let pairs: Vec<Pair> =
            pairs.into_iter().filter(|pair| !pair.value.is_empty()).collect();
        if !pairs.is_empty() {
            self.blocks.push(Block::Head(pairs));
        }
    }

    /// Adds a table unless it has no rows; columns that are blank in every row go.
    pub fn table(&mut self, table: Table) {
        if !table.rows.is_empty() {
            self.blocks.push(Block::Table(table.without_blank_columns()));
        }
    }

    /// Adds a list of plain entries, unless there are none.
    pub fn list<T: Into<Words>>(
        &mut self,
        ordered: bool,
        texts: impl IntoIterator<Item = T>,
    ) {
        let entries: Vec<Entry> = texts
            .into_iter()
            .map(|text| Entry { text: text.into(), mark: Mark::None })
            .collect();
        self.entries(ordered, entries);
    }

    /// Adds a list, unless there are no entries.
    pub fn entries(&mut self, ordered: bool, entries: Vec<Entry>) {
        if !entries.is_empty() {
            self.blocks.push(Block::List(List { ordered, entries }));
        }
    }

    /// Adds the cautions for these words, each once.
    pub fn cautions<'a>(&mut self, words: impl IntoIterator<Item = &'a str>) {
        let cautions = crate::caution::cautions(words);
        self.blocks.extend(cautions.into_iter().map(Block::Caution));
    }

    /// Adds remarks as small print under a heading, unless there are none.
    pub fn remarks(&mut self, remarks: &[String]) {
        if !remarks.is_empty() {
            self.subheading("Remarks");
            self.list(false, remarks);
        }
    }
}

impl Table {
    /// A table with these columns; a heading that starts with `>` is right-aligned.
    #[must_use]
    pub fn new(headings: &[&str]) -> Self {
        let columns = headings
            .iter()
            .map(|heading| match heading.strip_prefix('>') {
                Some(rest) => Column { heading: rest.into(), align: Align::Right },
                None => Column { heading: (*heading).into(), align: Align::Left },
            })
            .collect();
        Self { columns, rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<Words>) {
        self.marked(Mark::None, cells);
    }

    /// Adds a row with a mark.
    pub fn marked(&mut self, mark: Mark, mut cells: Vec<Words>) {
        cells.resize(self.columns.len(), Words::default());
        self.rows.push(Row { cells, mark });
    }

    fn without_blank_columns(self) -> Self {
        let used: Vec<bool> = (0..self.columns.len())
            .map(|at| {
                self.rows
                    .iter()
                    .any(|row| row.cells.get(at).is_some_and(|c| !c.is_empty()))
            })
            .collect();
        let keep = |at: usize| used.get(at).copied().unwrap_or(false);
        let columns = self
            .columns
            .into_iter()
            .enumerate()
            .filter_map(|(at, column)| keep(at).then_some(column))
            .collect();
        let rows = self
            .rows
            .into_iter()
            .map(|row| Row {
                cells: row
                    .cells
                    .into_iter()
                    .enumerate()
                    .filter_map(|(at, cell)| keep(at).then_some(cell))
                    .collect(),
                mark: row.mark,
            })
            .collect();
        Self { columns, rows }
    }
}

/// A label and its value.
#[must_use]
pub fn pair(label: &str, value: impl Into<Words>) -> Pair {
    Pair { label: label.into(), value: value.into() }
}
