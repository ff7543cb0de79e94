//! The one verb: text to a checked sheet, with every remark.

use toml::de::DeTable;

use crate::kinds::Kind;
use crate::names::Names;
use crate::remark::{Note, Notes, Remark, RemarkKind};
use crate::table::Table;
use crate::take::Reader;
use crate::{Sheet, syntax, warnings};

/// A sheet's text is at most so many bytes long.
pub const MOST_BYTES: usize = 1 << 20;
/// Most suspects of a sheet.
pub const MOST_SUSPECTS: usize = 64;
/// Most items of a sheet.
pub const MOST_ITEMS: usize = 128;
/// Most checks of a sheet.
pub const MOST_CHECKS: usize = 96;
/// Most repairs of a sheet.
pub const MOST_REPAIRS: usize = 96;
/// Most proofs of a sheet.
pub const MOST_PROOFS: usize = 16;
/// Most duties of a sheet.
pub const MOST_DUTIES: usize = 255;

/// What reading a sheet gives: the sheet, if there is no error, and all remarks.
#[derive(Debug, Clone)]
pub struct Read {
    /// The checked sheet; there if and only if no remark is an error.
    pub sheet: Option<Sheet>,
    /// All errors and warnings, in the order of the text.
    pub remarks: Vec<Remark>,
}

impl Read {
    /// The remarks that are errors.
    pub fn errors(&self) -> impl Iterator<Item = &Remark> {
        self.remarks.iter().filter(|remark| remark.kind == RemarkKind::Error)
    }
}

/// Reads the text of a sheet: all its problems at once, each with its place.
///
/// ```
/// let read = sheet::read("[sheet]\nformat = 2\n");
/// assert!(read.sheet.is_none());
/// assert_eq!((read.remarks[0].line, read.remarks[0].column), (1, 1));
/// assert!(read.remarks.iter().any(|remark| remark.line == 2 && remark.column == 10));
/// ```
#[must_use]
pub fn read(text: &str) -> Read {
    let (sheet, remarks) = with_tables(text, |top, notes| {
        let mut reader = Reader { notes: std::mem::take(notes), names: Names::default() };
        let sheet = reader.sheet(top);
        *notes = reader.notes;
        sheet
    });
    let errors = remarks.iter().any(|remark| remark.kind == RemarkKind::Error);
    let hash = *blake3::hash(text.as_bytes()).as_bytes();
    let sheet = sheet.flatten().filter(|_| !errors).map(|sheet| Sheet { hash, ..sheet });
    Read { sheet, remarks }
}

/// Parses a text, lets `walk` look at its tables, and gathers the remarks of both.
pub(crate) fn with_tables<T>(
    text: &str,
    walk: impl FnOnce(&DeTable<'_>, &mut Notes) -> T,
) -> (Option<T>, Vec<Remark>) {
    let mut notes = Notes::default();
    if text.len() > MOST_BYTES {
        let what = format!("the file is too large: {} bytes", text.len());
        notes
            .error("too-large", MOST_BYTES..MOST_BYTES + 1, what)
            .hint(format!("at most {MOST_BYTES} bytes (1 MiB)"));
        return (None, notes.placed(text));
    }
    let (top, errors) = DeTable::parse_recoverable(text);
    let top = top.into_inner();
    let broken = !errors.is_empty();
    syntax::remarks(text, &errors, &mut notes);
    let mut found = None;
    if let Some(deep) = syntax::too_deep(&top) {
        notes
            .error("too-deep", deep, "tables and lists are nested too deep")
            .hint(format!("at most {} levels", syntax::MOST_DEPTH));
    } else {
        let mut walked = Notes::default();
        found = Some(walk(&top, &mut walked));
        if broken {
            walked.keep(|note| holds_in_broken_text(note, text));
        }
        notes.append(walked);
    }
    syntax::dismantle(top);
    (found, notes.placed(text))
}

/// Whether a remark holds although a syntax error hid a part of the text: what is there
/// and wrong stays wrong; what seems to be missing may be what could not be read.
fn holds_in_broken_text(note: &Note, text: &str) -> bool {
    match note.code {
        "missing-key" | "missing-table" | "duplicate-id" | "circle"
        | "outcomes-differ" => false,
        "unresolved" => {
            let name = text.get(note.span.clone()).unwrap_or("");
            !name.is_empty() && text.matches(name).count() == 1
        }
        _ => note.kind == RemarkKind::Error,
    }
}

impl<'a> Reader<'a> {
    fn sheet(&mut self, entries: &'a DeTable<'a>) -> Option<Sheet> {
        let top = Table::top(Kind::Root, entries, &mut self.notes);
        let head = self.head(&top);
        let suspects = self.some(&top, "suspect", (Kind::Suspect, MOST_SUSPECTS));
        let items = self.subs(&top, "item", (Kind::Item, MOST_ITEMS));
        let checks = self.subs(&top, "check", (Kind::Check, MOST_CHECKS));
        let repairs = self.some(&top, "repair", (Kind::Repair, MOST_REPAIRS));
        let proofs = self.subs(&top, "proof", (Kind::Proof, MOST_PROOFS));
        let duties = self.subs(&top, "duty", (Kind::Duty, MOST_DUTIES));
        self.names.suspects = self.directory(&suspects);
        self.names.items = self.directory(&items);
        self.names.checks = self.directory(&checks);
        self.names.repairs = self.directory(&repairs);
        self.names.outcomes = checks
            .iter()
            .map(|check| {
                check.as_ref().map(|check| self.outcome_ids(check)).unwrap_or_default()
            })
            .collect();
        self.names.quantities =
            checks.iter().map(|check| check.as_ref().and_then(quantity_read)).collect();

        let read_suspects = self.all(&suspects, Self::suspect);
        let items = self.items(&items);
        let mut read_checks =
            self.all(&checks, |reader, check, place| reader.check(check, place, &items));
        for (check, alike) in read_checks.iter_mut().zip(self.families(&checks)) {
            check.alike = alike;
        }
        let read_repairs = self
            .all(&repairs, |reader, repair, place| reader.repair(repair, place, &items));
        let read_proofs = self.proofs(&proofs, &read_checks, head.recurrence);
        let duties = self.duties(&duties);
        let sheet = Sheet {
            id: head.id,
            title: head.title,
            version: head.version,
            codes: head.codes,
            applies: head.applies,
            sources: head.sources,
            economy: head.economy?,
            recurrence: head.recurrence,
            moving: head.moving,
            unlisted_weight: head.unlisted_weight,
            suspects: read_suspects,
            items,
            checks: read_checks,
            repairs: read_repairs,
            proofs: read_proofs,
            duties,
            hash: [0; 32],
        };
        if !self.notes.has_error() {
            let tables = warnings::Places {
                suspects: &suspects,
                checks: &checks,
                repairs: &repairs,
            };
            warnings::remark(&sheet, &tables, &top, &mut self.notes);
        }
        Some(sheet)
    }

    /// Tables of which a sheet needs at least one.
    fn some(
        &mut self,
        top: &Table<'a>,
        key: &str,
        limit: (Kind, usize),
    ) -> Vec<Option<Table<'a>>> {
        let tables = self.subs(top, key, limit);
        if tables.is_empty() && !top.has(key) {
            let what = format!("there is no {key}: a sheet needs at least one");
            self.notes
                .error("missing-table", top.span.clone(), what)
                .hint(format!("add `[[{key}]]`"));
        }
        tables
    }

    /// Reads every table of a kind; one that is no table leaves its place to the others.
    fn all<T>(
        &mut self,
        tables: &[Option<Table<'a>>],
        mut read: impl FnMut(&mut Self, &Table<'a>, usize) -> T,
    ) -> Vec<T> {
        let mut list = Vec::new();
        for (place, table) in tables.iter().enumerate() {
            if let Some(table) = table {
                list.push(read(self, table, place));
            }
        }
        list
    }
}

/// The quantity that a check reads, as written; its remarks come when it is read.
fn quantity_read<'a>(check: &Table<'a>) -> Option<&'a str> {
    let reading = check.value("reading")?.get_ref().as_table()?;
    let quantity = reading.get("quantity");
    Some(quantity.and_then(|quantity| quantity.get_ref().as_str()).unwrap_or(""))
}
