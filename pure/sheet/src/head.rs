//! The tables that a sheet has once: sheet, economy, recurrence, moving, unlisted.

use crate::economy::{EconomyOverrides, WindowEnd};
use crate::kinds::Kind;
use crate::names::Directory;
use crate::table::{Table, short};
use crate::take::{Reader, Within};
use crate::{Economy, Exposure, ExposureUnit, Moving, Recurrence, Rust, Text};

/// The currency of a sheet that names none.
pub(crate) const DEFAULT_CURRENCY: &str = "EUR";

/// What the tables at the head of a sheet say.
#[derive(Debug, Default)]
pub(crate) struct Head {
    pub(crate) id: String,
    pub(crate) title: Text,
    pub(crate) version: u32,
    pub(crate) codes: Vec<String>,
    pub(crate) applies: Text,
    pub(crate) sources: Vec<Text>,
    pub(crate) economy: Option<Economy>,
    pub(crate) recurrence: Option<Recurrence>,
    pub(crate) moving: Moving,
    pub(crate) unlisted_weight: f64,
}

impl<'a> Reader<'a> {
    /// Reads the tables at the head of a sheet.
    pub(crate) fn head(&mut self, top: &Table<'a>) -> Head {
        let mut head = Head { version: 1, ..Head::default() };
        if let Some(table) = self.one(top, "sheet", Kind::Sheet) {
            self.identity(&table, &mut head);
        }
        if let Some(table) = self.one(top, "economy", Kind::Economy) {
            head.economy = self.economy(&table);
        }
        if let Some(table) = self.sub(top, "recurrence", Kind::Recurrence) {
            head.recurrence = self.recurrence(&table);
        }
        if let Some(table) = self.sub(top, "moving", Kind::Moving) {
            head.moving = Moving {
                position_min: self.amount(&table, "position_min"),
                tool_min: self.amount(&table, "tool_min"),
            };
        }
        if let Some(table) = self.sub(top, "unlisted", Kind::Unlisted) {
            head.unlisted_weight = self.amount(&table, "weight");
        }
        head
    }

    /// A table that a sheet must have.
    fn one(&mut self, top: &Table<'a>, key: &str, kind: Kind) -> Option<Table<'a>> {
        if !top.has(key) {
            let what = format!("there is no `[{key}]`");
            self.notes
                .error("missing-table", top.span.clone(), what)
                .hint(format!("add `[{key}]` with at least its required keys"));
        }
        self.sub(top, key, kind)
    }

    fn identity(&mut self, table: &Table<'a>, head: &mut Head) {
        if !table.has("format") {
            self.missing(table, "format", "1, the only one yet");
        }
        if let Some(format) = self.count(table, "format", (0, u32::MAX))
            && format != 1
        {
            let what = format!("`format` {format} is not known here");
            self.notes
                .error("unknown-format", table.value_span("format"), what)
                .hint("this program reads format 1; a newer sheet needs a newer program");
        }
        let id = self.id(table, &Directory::default()).unwrap_or("");
        id.clone_into(&mut head.id);
        head.title = self.title(table, id);
        head.version = self.count(table, "version", (0, u32::MAX)).unwrap_or(1);
        if table.has("based_on") {
            self.notes
                .error(
                    "based-on",
                    table.key_span("based_on"),
                    "`based_on` is not read yet: taking over a sheet of the library comes \
                     with a later version",
                )
                .hint("copy what you need into this sheet and take the line out");
        }
        for (code, span) in self.strings(table, "codes") {
            if is_code(code) {
                head.codes.push(code.to_owned());
            } else {
                let what = format!("`{}` has not the form of a fault code", short(code));
                self.notes.error("bad-code", span, what).hint(
                    "SAE J2012: P, C, B or U, a digit 0 to 3, three digits 0 to 9 or \
                     A to F, as in P0299",
                );
            }
        }
        head.applies = self.text(table, "applies").unwrap_or_default();
        for value in self.list(table, "sources") {
            head.sources.extend(self.text_of("sources", value));
        }
    }

    /// The title of a table; its id, with a warning, where there is none.
    pub(crate) fn title(&mut self, table: &Table<'a>, id: &str) -> Text {
        if !table.has("title") {
            let what = format!("the {} has no `title`: its id is shown", table.called);
            self.notes.warn("no-title", table.span.clone(), what);
            return Text::plain(id);
        }
        self.text(table, "title").unwrap_or_else(|| Text::plain(id))
    }

    fn economy(&mut self, table: &Table<'a>) -> Option<Economy> {
        for key in ["labour_per_hour", "comeback", "pass_on"] {
            if !table.has(key) {
                self.missing(table, key, "money");
            }
        }
        let given = self.economy_overrides(table);
        Some(Economy {
            currency: given.currency.unwrap_or_else(|| DEFAULT_CURRENCY.to_owned()),
            labour_per_hour: given.labour_per_hour?,
            bay_per_hour: given.bay_per_hour.unwrap_or(0.0),
            comeback: given.comeback?,
            pass_on: given.pass_on?,
            rust: given.rust.unwrap_or_default(),
            active: given.active.unwrap_or(1.0),
        })
    }

    /// The keys of an `[economy]`, all of them optional.
    pub(crate) fn economy_overrides(&mut self, table: &Table<'a>) -> EconomyOverrides {
        EconomyOverrides {
            currency: self.currency(table),
            labour_per_hour: self.number(table, "labour_per_hour", Within::Amount),
            bay_per_hour: self.number(table, "bay_per_hour", Within::Amount),
            comeback: self.number(table, "comeback", Within::Amount),
            pass_on: self.number(table, "pass_on", Within::Amount),
            rust: self.word(table, "rust", &Rust::WORDS).and_then(Rust::from_word),
            active: self.number(table, "active", Within::Share),
        }
    }

    fn currency(&mut self, table: &Table<'a>) -> Option<String> {
        let (code, span) = self.string(table, "currency")?;
        match units::Currency::parse(code) {
            Ok(currency) => Some(currency.code()),
            Err(wrong) => {
                self.notes.error("bad-currency", span, wrong.to_string());
                None
            }
        }
    }

    fn recurrence(&mut self, table: &Table<'a>) -> Option<Recurrence> {
        if !table.has("seen") {
            self.missing(table, "seen", "a whole number");
        }
        let seen = self.count(table, "seen", (0, 1_000_000));
        let ends = match self.word(table, "ends", &["set", "now"]) {
            Some("now") => WindowEnd::Now,
            _ => WindowEnd::Set,
        };
        let keys = ["over_km", "over_min", "over_starts"];
        let over = self.exposure(table, keys, "how long the fault was counted");
        Some(Recurrence { seen: seen?, over: over?, ends })
    }

    /// The one of three keys that gives an exposure, in km, minutes or starts.
    pub(crate) fn exposure(
        &mut self,
        table: &Table<'a>,
        keys: [&'static str; 3],
        meaning: &str,
    ) -> Option<Exposure> {
        let there: Vec<&str> = keys.into_iter().filter(|key| table.has(key)).collect();
        match there[..] {
            [] => {
                let what = format!("{} does not say {meaning}", table.called);
                self.notes
                    .error("missing-key", table.span.clone(), what)
                    .hint(format!("add one of `{}`", keys.join("`, `")));
                return None;
            }
            [_] => {}
            [first, ref more @ ..] => {
                for key in more {
                    let what = format!("`{key}` stands beside `{first}`");
                    self.notes
                        .error("one-of", table.key_span(key), what)
                        .hint(format!("keep exactly one of `{}`", keys.join("`, `")));
                }
                return None;
            }
        }
        let units = [ExposureUnit::Km, ExposureUnit::Minutes, ExposureUnit::Starts];
        let (key, unit) = keys.into_iter().zip(units).find(|(key, _)| table.has(key))?;
        Some(Exposure { amount: self.number(table, key, Within::Positive)?, unit })
    }
}

/// Whether a text has the form of SAE J2012: letter, digit 0-3, three hexadecimal digits,
/// and perhaps a dash and two more for the failure type (J2012-DA).
pub(crate) fn is_code(code: &str) -> bool {
    let hex = |byte: &u8| byte.is_ascii_digit() || (b'A'..=b'F').contains(byte);
    match code.as_bytes() {
        [system, group, rest @ ..] => {
            let (number, failure) = rest.split_at(rest.len().min(3));
            b"PCBU".contains(system)
                && (b'0'..=b'3').contains(group)
                && number.len() == 3
                && number.iter().all(hex)
                && match failure {
                    [] => true,
                    [b'-', kind @ ..] => kind.len() == 2 && kind.iter().all(hex),
                    _ => false,
                }
        }
        _ => false,
    }
}
