//! Proofs and duties: what shows that the fault is gone, and what must be done before.

use toml::de::DeValue;

use crate::kinds::Kind;
use crate::names::Directory;
use crate::near::nearest;
use crate::table::{Table, kind_of, short};
use crate::take::{Reader, Within};
use crate::{
    Check, CheckIx, Duty, Exposure, ItemIx, Proof, ProofKind, Recurrence, RepairIx,
    Source,
};

/// Keys of a proof that come from the check where it repeats one.
const OF_THE_CHECK: [&str; 9] =
    ["minutes", "wait_min", "cost", "needs", "shows", "km", "min", "starts", "false"];

/// The four things of which exactly one makes a proof show.
const SHOWS_BY: [&str; 5] = ["km", "min", "starts", "shows", "check"];

impl<'a> Reader<'a> {
    /// Reads all proofs; those that count exposure must all count the same.
    pub(crate) fn proofs(
        &mut self,
        tables: &[Option<Table<'a>>],
        checks: &[Check],
        recurrence: Option<Recurrence>,
    ) -> Vec<Proof> {
        let ids = self.directory(tables);
        let mut counted = recurrence.map(|recurrence| recurrence.over.unit);
        let from = if counted.is_some() { "`[recurrence]`" } else { "another proof" };
        let mut proofs = Vec::new();
        for (place, table) in tables.iter().enumerate() {
            let Some(table) = table else { continue };
            let Some(proof) = self.proof(table, ids.id(place), checks) else { continue };
            if let ProofKind::Exposure(Exposure { unit, .. }) = proof.kind {
                let wanted = *counted.get_or_insert(unit);
                if wanted != unit {
                    let what = format!(
                        "the {} counts `{}`, but {from} counts `{}`",
                        table.called,
                        unit.suffix(),
                        wanted.suffix()
                    );
                    self.notes
                        .error("exposure-unit", table.key_span(unit.suffix()), what)
                        .hint("one unit throughout a sheet: km, min or starts");
                }
            }
            proofs.push(proof);
        }
        proofs
    }

    fn proof(&mut self, table: &Table<'a>, id: &str, checks: &[Check]) -> Option<Proof> {
        let title = self.title(table, id);
        let how = self.text(table, "how").unwrap_or_default();
        let by = self.word(table, "by", &["workshop", "owner"]);
        let mut caution = self.cautions(table);
        let kind = self.proof_kind(table, checks);
        let repeated = match &kind {
            Some(ProofKind::Repeat { check, .. }) => checks.get(check.at()),
            _ => None,
        };
        let minutes = self.amount(table, "minutes");
        let wait_min = self.amount(table, "wait_min");
        let cost = self.amount(table, "cost");
        let needs = self.equipment(table, "needs");
        for word in repeated.iter().flat_map(|check| &check.caution) {
            if !caution.contains(word) {
                caution.push(word.clone());
            }
        }
        Some(Proof {
            id: id.to_owned(),
            title,
            how,
            minutes: repeated.map_or(minutes, |check| check.minutes),
            wait_min: repeated.map_or(wait_min, |check| check.wait_min),
            cost: repeated.map_or(cost, |check| check.cost),
            shows_falsely: self.number(table, "false", Within::Share).unwrap_or(0.0),
            if_shown: self.amount(table, "if_shown"),
            needs: repeated.map_or(needs, |check| check.needs.clone()),
            caution,
            by_owner: by == Some("owner"),
            kind: kind?,
        })
    }

    /// The one of km, min, starts, shows and check that makes it show.
    fn proof_kind(&mut self, table: &Table<'a>, checks: &[Check]) -> Option<ProofKind> {
        if table.has("check") {
            return self.repeat(table, checks);
        }
        if table.has("clear") {
            self.notes
                .error(
                    "one-of",
                    table.key_span("clear"),
                    "`clear` stands without `check`",
                )
                .hint("name the check that is repeated, or take `clear` out");
        }
        if !table.has("shows") {
            if SHOWS_BY.iter().all(|key| !table.has(key)) {
                let what =
                    format!("the {} does not say how it shows a fault", table.called);
                self.notes.error("missing-key", table.span.clone(), what).hint(
                    "add one of `km`, `min`, `starts`, `shows`, or `check` with `clear`",
                );
                return None;
            }
            let keys = ["km", "min", "starts"];
            return self
                .exposure(table, keys, "how far it goes")
                .map(ProofKind::Exposure);
        }
        for key in ["km", "min", "starts"] {
            if table.has(key) {
                self.notes
                    .error(
                        "one-of",
                        table.key_span(key),
                        format!("`{key}` stands beside `shows`"),
                    )
                    .hint("keep exactly one of `km`, `min`, `starts`, `shows`, `check`");
            }
        }
        let value = table.value("shows")?;
        if let DeValue::Table(_) = value.get_ref() {
            return Some(ProofKind::Shows(self.by_cause(table, "shows", true)));
        }
        if !matches!(value.get_ref(), DeValue::Integer(_) | DeValue::Float(_)) {
            let what = format!(
                "`shows` must be a probability or a table of suspects, not {}",
                kind_of(value.get_ref())
            );
            self.notes.error("wrong-type", value.span(), what);
            return None;
        }
        let share = self.number_of("shows", value, Within::Share)?;
        Some(ProofKind::Shows(vec![share; self.names.suspects.len() + 1]))
    }

    fn repeat(&mut self, table: &Table<'a>, checks: &[Check]) -> Option<ProofKind> {
        for key in OF_THE_CHECK {
            if table.has(key) {
                let what = format!("`{key}` stands beside `check`, which brings its own");
                self.notes.error("one-of", table.key_span(key), what).hint(
                    "take the line out: a repeated check is done as the check says",
                );
            }
        }
        let named = self.string(table, "check")?;
        let check = self.refer(Kind::Check, named)?;
        let ids: Directory<'a> =
            self.names.outcomes.get(check).cloned().unwrap_or_default();
        if !table.has("clear") {
            self.missing(table, "clear", "the outcomes that count as clear");
            return None;
        }
        let mut clear =
            vec![false; checks.get(check).map_or(0, |check| check.outcomes.len())];
        for named in self.strings(table, "clear") {
            if let Some(place) = self.outcome(table, &ids, ("clear", named))
                && let Some(outcome) = clear.get_mut(place)
            {
                *outcome = true;
            }
        }
        if self.list(table, "clear").is_empty() && table.value("clear").is_some() {
            let what = "no outcome counts as clear: this proof would always show";
            self.notes.error("no-outcome", table.value_span("clear"), what);
        } else if !clear.is_empty() && clear.iter().all(|clear| *clear) {
            let what = "every outcome counts as clear: this proof never shows anything";
            self.notes.warn("tells-nothing", table.value_span("clear"), what);
        }
        Some(ProofKind::Repeat { check: CheckIx::from(check), clear })
    }

    /// Reads all duties.
    pub(crate) fn duties(&mut self, tables: &[Option<Table<'a>>]) -> Vec<Duty> {
        let ids = self.directory(tables);
        let mut duties = Vec::new();
        for (place, table) in tables.iter().enumerate() {
            let Some(table) = table else { continue };
            duties.extend(self.duty(table, ids.id(place)));
        }
        duties
    }

    fn duty(&mut self, table: &Table<'a>, id: &str) -> Option<Duty> {
        const MOMENTS: [&str; 4] = ["first-start", "covers", "drive", "hand-over"];
        if !table.has("before") {
            self.missing(table, "before", "first-start, covers, drive or hand-over");
        }
        let mut because = Vec::new();
        for (named, span) in self.strings(table, "because") {
            let source = match named.split_once(':') {
                Some(("item", id)) => {
                    let place = self.refer(Kind::Item, (id, span));
                    place.map(|place| Source::Item(ItemIx::from(place)))
                }
                Some(("repair", id)) => {
                    let place = self.refer(Kind::Repair, (id, span));
                    place.map(|place| Source::Repair(RepairIx::from(place)))
                }
                _ => {
                    let what =
                        format!("`{}` says not whether item or repair", short(named));
                    let hint = self.meant(named);
                    self.notes.error("because", span, what).hint(hint);
                    None
                }
            };
            because.extend(source);
        }
        if self.list(table, "because").is_empty() {
            let what = format!("the {} never arises: it has no `because`", table.called);
            self.notes
                .error("because", table.value_span("because"), what)
                .hint("add `because = [\"item:…\"]` or `[\"repair:…\"]`");
        }
        Some(Duty {
            id: id.to_owned(),
            title: self.title(table, id),
            minutes: self.amount(table, "minutes"),
            wait_min: self.amount(table, "wait_min"),
            because,
            before: self.word(table, "before", &MOMENTS)?.to_owned(),
        })
    }

    /// What a reference without `item:` or `repair:` may mean.
    fn meant(&self, named: &str) -> String {
        let id = named.split_once(':').map_or(named, |(_, id)| id);
        if let Some(item) = nearest(id, self.names.items.iter()) {
            return format!("did you mean `item:{item}`?");
        }
        match nearest(id, self.names.repairs.iter()) {
            Some(repair) => format!("did you mean `repair:{repair}`?"),
            None => "write `item:ID` or `repair:ID`".to_owned(),
        }
    }
}
