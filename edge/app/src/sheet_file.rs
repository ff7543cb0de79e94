//! `sheet check`, `sheet new`, `sheet list`, `sheet show`, and how every verb reads a sheet.

use std::fs::OpenOptions;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use schemars::JsonSchema;
use serde::Serialize;
use sheet::{MOST_BYTES, NewSheet, Remark, RemarkKind, Sheet};

use crate::document::Answer;
use crate::library;
use crate::near::known_names;
use crate::{Place, Problem, Problems, Source, Spot};

/// A sheet with what its text gave rise to.
#[derive(Debug, Clone)]
pub struct Loaded {
    /// The checked sheet.
    pub sheet: Sheet,
    /// Its text.
    pub text: String,
    /// Warnings on it.
    pub warnings: Vec<Problem>,
}

/// Reads a sheet: a file, standard input, or a sheet of the library by its name.
///
/// # Errors
/// All errors of the text with their places, or why there is no text.
pub fn load(source: &Source) -> Result<Loaded, Problems> {
    let text = text_of(source)?;
    let read = sheet::read(&text);
    let place = |remark: &Remark| problem(&source.to_string(), &text, remark);
    let (errors, warnings): (Vec<&Remark>, Vec<&Remark>) =
        read.remarks.iter().partition(|remark| remark.kind == RemarkKind::Error);
    let warnings = warnings.into_iter().map(place).collect();
    match (read.sheet, Problems::of(errors.into_iter().map(place).collect())) {
        (Some(sheet), None) => Ok(Loaded { sheet, text, warnings }),
        (_, Some(errors)) => Err(errors),
        (None, None) => {
            Err(Problem::wrong("no-sheet", "this is no sheet").in_file(source).into())
        }
    }
}

/// The text of a sheet; a name that is no file may be one of the library.
fn text_of(source: &Source) -> Result<String, Problem> {
    let Source::File(path) = source else { return source.text(MOST_BYTES) };
    let in_library = path.to_str().filter(|_| !path.exists());
    if let Some(text) = in_library.and_then(library::text) {
        return Ok(text.to_owned());
    }
    source.text(MOST_BYTES).map_err(|problem| match in_library {
        Some(name) if problem.kind == "not-found" && !name.contains(['/', '\\', '.']) => {
            problem.hint(format!(
                "check the name and the folder; sheets of the library: {}",
                names().join(", ")
            ))
        }
        _ => problem,
    })
}

fn names() -> Vec<&'static str> {
    library::LIBRARY.iter().map(|(name, _)| *name).collect()
}

/// A remark on a text as a problem with its place and its line.
pub(crate) fn problem(file: &str, text: &str, remark: &Remark) -> Problem {
    let start = text.get(..remark.span.0).and_then(|before| before.rfind('\n'));
    let from = start.map_or(0, |at| at + 1);
    let rest = text.get(from..).unwrap_or("");
    let line = rest.split('\n').next().unwrap_or("").trim_end_matches('\r');
    let before = text.get(from..remark.span.0).unwrap_or("").chars().count();
    let length = text.get(remark.span.0..remark.span.1).unwrap_or("");
    let length = length.split('\n').next().unwrap_or("").chars().count();
    let room = line.chars().count().saturating_sub(before);
    let mut problem =
        Problem::wrong(remark.code, &remark.what).maybe_hint(remark.hint.clone());
    problem.place = Some(Box::new(Place {
        file: file.to_owned(),
        line: Some(remark.line),
        column: Some(remark.column),
    }));
    problem.spot = Some(Box::new(Spot {
        line: line.to_owned(),
        from: before,
        length: length.min(room).max(1),
    }));
    problem
}

/// `sheet-check/1`: what was looked at, and what is odd about it though it can be used.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SheetCheck {
    /// The sheets, in the order given.
    pub sheets: Vec<CheckedSheet>,
    /// What else to know.
    pub remarks: Vec<String>,
    /// The warnings as problems, to be shown with their lines.
    #[serde(skip)]
    #[schemars(skip)]
    pub warnings: Vec<Problem>,
}

/// A sheet that can be used.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CheckedSheet {
    /// The file as it was named.
    pub file: String,
    /// Its id.
    pub id: String,
    /// Version of its knowledge.
    pub version: u32,
    /// BLAKE3 of its bytes, hex.
    pub hash: String,
    /// How many suspects it names.
    pub suspects: usize,
    /// How many items.
    pub items: usize,
    /// How many checks.
    pub checks: usize,
    /// How many repairs.
    pub repairs: usize,
    /// How many proofs.
    pub proofs: usize,
    /// How many duties.
    pub duties: usize,
    /// Warnings in the order of the text.
    pub warnings: Vec<SheetWarning>,
}

/// A warning on a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SheetWarning {
    /// A stable word for this kind of problem.
    pub kind: String,
    /// What is odd.
    pub what: String,
    /// What would be right.
    pub hint: Option<String>,
    /// Line, from 1.
    pub line: Option<u32>,
    /// Column in characters, from 1.
    pub column: Option<u32>,
}

impl Answer for SheetCheck {
    const NAME: &'static str = "sheet-check/1";
}

/// Checks sheets: all problems of all files at once.
///
/// # Errors
/// All errors of all files.
pub fn check(sources: &[Source]) -> Result<SheetCheck, Problems> {
    let mut answer =
        SheetCheck { sheets: Vec::new(), remarks: Vec::new(), warnings: Vec::new() };
    let mut errors = Vec::new();
    for source in sources {
        match load(source) {
            Ok(loaded) => {
                answer.sheets.push(checked(source, &loaded));
                answer.warnings.extend(loaded.warnings);
            }
            Err(problems) => errors.extend(problems.list().iter().cloned()),
        }
    }
    Problems::of(errors).map_or(Ok(answer), Err)
}

fn checked(source: &Source, loaded: &Loaded) -> CheckedSheet {
    let sheet = &loaded.sheet;
    let warning = |problem: &Problem| SheetWarning {
        kind: problem.kind.clone(),
        what: problem.what.clone(),
        hint: problem.hint.clone(),
        line: problem.place.as_ref().and_then(|place| place.line),
        column: problem.place.as_ref().and_then(|place| place.column),
    };
    CheckedSheet {
        file: source.to_string(),
        id: sheet.id.clone(),
        version: sheet.version,
        hash: blake3::Hash::from_bytes(sheet.hash).to_hex().to_string(),
        suspects: sheet.suspects.len(),
        items: sheet.items.len(),
        checks: sheet.checks.len(),
        repairs: sheet.repairs.len(),
        proofs: sheet.proofs.len(),
        duties: sheet.duties.len(),
        warnings: loaded.warnings.iter().map(warning).collect(),
    }
}

/// `sheet-list/1`: the sheets of the library.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SheetList {
    /// The sheets by name.
    pub sheets: Vec<ListedSheet>,
    /// What else to know.
    pub remarks: Vec<String>,
}

/// A sheet of the library.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ListedSheet {
    /// Its id: a name that every verb takes for a sheet.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Version of its knowledge.
    pub version: u32,
    /// Fault codes.
    pub codes: Vec<String>,
    /// For which vehicles.
    pub applies: String,
}

impl Answer for SheetList {
    const NAME: &'static str = "sheet-list/1";
}

/// The sheets of the library, titles in a language.
pub fn list(language: &str) -> SheetList {
    let listed = |(_, text): &(&str, &str)| {
        sheet::read(text).sheet.map(|sheet| ListedSheet {
            title: sheet.title.in_language(language).to_owned(),
            applies: sheet.applies.in_language(language).to_owned(),
            id: sheet.id,
            version: sheet.version,
            codes: sheet.codes,
        })
    };
    let sheets = library::LIBRARY.iter().filter_map(listed).collect();
    SheetList { sheets, remarks: Vec::new() }
}

/// `sheet-text/1`: a sheet as text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SheetText {
    /// Its id; null where the text is a beginning.
    pub id: Option<String>,
    /// The text.
    pub text: String,
    /// The file that it was written to; null where it was not.
    pub file: Option<String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl Answer for SheetText {
    const NAME: &'static str = "sheet-text/1";
}

/// The text of a sheet, of the library or a file.
///
/// # Errors
/// As [`load`].
pub fn show(source: &Source) -> Result<SheetText, Problems> {
    let loaded = load(source)?;
    let remarks = loaded.warnings.iter().map(ToString::to_string).collect();
    Ok(SheetText { id: Some(loaded.sheet.id), text: loaded.text, file: None, remarks })
}

/// What a new sheet is about, and where it goes.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewInput {
    /// Its title.
    pub title: String,
    /// Its id; made from the title where absent.
    pub id: Option<String>,
    /// Fault codes.
    pub codes: Vec<String>,
    /// The file to write; `None`: text only.
    pub file: Option<PathBuf>,
}

/// Writes a commented sheet to start from; a file that is there already stays.
///
/// # Errors
/// An id or code that can't be one; a file that is there or can't be written.
pub fn new(input: &NewInput) -> Result<SheetText, Problems> {
    let NewInput { title, id, codes, file } = input;
    let text = sheet::new_sheet(&NewSheet {
        title: title.clone(),
        id: id.clone(),
        codes: codes.clone(),
    });
    let Some(made) = sheet::read(&text).sheet else {
        let what = "the new sheet would not read: give a plainer title";
        return Err(Problem::wrong("title", what).into());
    };
    if let Some(given) = id.as_ref().filter(|given| **given != made.id) {
        return Err(Problem::wrong("id", format!("`{given}` can't be an id"))
            .hint("small letters and digits with single dashes between, as in `cooling-fan`")
            .into());
    }
    if let Some(code) = codes.iter().find(|code| !made.codes.contains(*code)) {
        return Err(Problem::wrong("code", format!("`{code}` is no fault code"))
            .hint("write it in the form of SAE J2012, as in `P0299`")
            .into());
    }
    if let Some(path) = file {
        write_new(path, &text)?;
    }
    let file = file.as_ref().map(|path| path.display().to_string());
    Ok(SheetText { id: Some(made.id), text, file, remarks: Vec::new() })
}

fn write_new(path: &Path, text: &str) -> Result<(), Problem> {
    let opened = OpenOptions::new().write(true).create_new(true).open(path);
    let written = opened.and_then(|mut file| file.write_all(text.as_bytes()));
    let Err(error) = written else { return Ok(()) };
    let problem = if error.kind() == io::ErrorKind::AlreadyExists {
        Problem::wrong("exists", "there is a file of that name already, it stays")
            .hint("give another name")
    } else if error.kind() == io::ErrorKind::NotFound {
        Problem::wrong("not-found", "there is no such folder")
            .hint("make the folder first, or give another name")
    } else {
        Problem::could_not("unwritable", format!("it can't be written: {error}"))
    };
    Err(problem.in_file(path.display()))
}

/// The place of an id in a list of things that have one.
///
/// # Errors
/// Names the kind and what may be meant.
pub(crate) fn find_id<'a>(
    kind: &str,
    given: &str,
    ids: impl Iterator<Item = &'a str> + Clone,
) -> Result<usize, Problem> {
    ids.clone().position(|id| id == given).ok_or_else(|| {
        Problem::wrong(
            "unknown-id",
            format!("there is no {kind} `{given}` on this sheet"),
        )
        .maybe_hint(known_names(given, ids))
    })
}

#[cfg(test)]
mod tests {
    use super::{NewInput, check, list, load, new, show};
    use crate::{Exit, Source};

    #[test]
    fn all_errors_of_all_files_come_with_line_column_and_spot() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.toml");
        let fine =
            show(&Source::from(std::path::PathBuf::from("boost-vane-diesel"))).unwrap();
        let text = fine.text.replace("labour_per_hour = 66.0", "labour_per_hour = -66.0");
        std::fs::write(&path, text.replace("comeback = 900.0", "comback = 900.0"))
            .unwrap();
        let missing = Source::from(folder.path().join("b.toml"));
        let problems = check(&[Source::from(path), missing]).unwrap_err();
        assert_eq!(problems.exit(), Exit::Wrong);
        let line = |at: usize| problems.list()[at].spot.clone().unwrap().line;
        assert_eq!(line(0), "labour_per_hour = -66.0");
        let spot = problems.list()[0].spot.clone().unwrap();
        assert_eq!((spot.from, spot.length), (18, 5));
        assert_eq!(problems.list().last().unwrap().kind, "not-found");
        assert!(problems.list().len() >= 3, "{problems}");
    }

    #[test]
    fn the_library_is_listed_and_read_by_name() {
        let listed = list("en");
        assert_eq!(listed.sheets[0].id, "boost-vane-diesel");
        assert_eq!(listed.sheets[0].codes, ["P0299"]);
        let problems =
            load(&Source::from(std::path::PathBuf::from("boost-vane"))).unwrap_err();
        assert!(problems.list()[0].hint.as_ref().unwrap().contains("boost-vane-diesel"));
    }

    #[test]
    fn a_new_sheet_reads_and_never_writes_over_a_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("fan.toml");
        let input = NewInput {
            title: "Cooling fan".to_owned(),
            codes: vec!["P0480".to_owned()],
            file: Some(path.clone()),
            ..NewInput::default()
        };
        assert_eq!(new(&input).unwrap().id.unwrap(), "cooling-fan");
        assert_eq!(load(&Source::from(path)).unwrap().sheet.codes, ["P0480"]);
        assert_eq!(new(&input).unwrap_err().list()[0].kind, "exists");
        let bad = NewInput { codes: vec!["oops".to_owned()], file: None, ..input };
        assert_eq!(new(&bad).unwrap_err().list()[0].kind, "code");
    }
}
