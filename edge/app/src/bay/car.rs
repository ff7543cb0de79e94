//! A job as it stands: its facts, its frozen sheet, its money rules and its odds.

use job::{
    Body, Fact, Facts, Stored,
    body::SheetNamed,
    fold::{self, LooseEnd},
};
use schemars::JsonSchema;
use serde::{Serialize, de::DeserializeOwned};
use sheet::{CheckIx, Economy, ItemIx, ItemSet, Recurrence, Rust, Sheet, SuspectIx};
use weigh::Odds;

use super::{
    Bay, Problem,
    named::{OwnerBlob, VehicleBlob},
    trouble,
};

/// How likely a cause is, in words too.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct OddsWords {
    /// Its id; `unlisted` is something else, `fixed` that it is fixed.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Probability.
    pub p: f64,
    /// The same in words.
    pub words: String,
}

/// An item with its name and what holds it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ItemName {
    /// Its id.
    pub item: String,
    /// Its title.
    pub title: String,
    /// How many fasteners hold it.
    pub fasteners: u32,
    /// What may go wrong while it comes off, in the order of the sheet.
    pub snags: Vec<String>,
}

/// A loose end in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LooseEndLine {
    /// Its id, for `settle:` and `accept:`.
    pub id: String,
    /// What is unresolved.
    pub what: String,
    /// refit, hand-over or nothing.
    pub blocks: String,
}

impl From<&LooseEnd> for LooseEndLine {
    fn from(end: &LooseEnd) -> Self {
        let blocks = match &end.blocks {
            fold::Blocks::Refit(_) => "refit",
            fold::Blocks::HandOver => "hand-over",
            fold::Blocks::Nothing => "nothing",
        };
        Self { id: end.id.clone(), what: end.what.clone(), blocks: blocks.to_owned() }
    }
}

/// A job as it stands.
#[derive(Debug, Clone)]
pub(crate) struct Car {
    /// Its id.
    pub(crate) job: String,
    /// Its events.
    pub(crate) events: Vec<Stored>,
    /// Its sheet as frozen; without suspects where it has none.
    pub(crate) sheet: Sheet,
    /// Whether there is a sheet at all.
    pub(crate) has_sheet: bool,
    /// Money rules that hold.
    pub(crate) economy: Economy,
    /// How often the fault set.
    pub(crate) recurrence: Option<Recurrence>,
    /// What happened.
    pub(crate) facts: Facts,
    /// The odds now.
    pub(crate) odds: Odds,
    /// The vehicle.
    pub(crate) vehicle: VehicleBlob,
    /// The owner.
    pub(crate) owner: OwnerBlob,
    /// Language of titles.
    pub(crate) language: String,
    /// What could not be made sense of.
    pub(crate) remarks: Vec<String>,
}

impl Car {
    /// The job as it stands in the store.
    pub(crate) fn load(bay: &Bay, job: &str) -> Result<Self, Problem> {
        let events = bay.store.events(job).map_err(|error| trouble(&error))?;
        Self::of(bay, job, events)
    }

    /// The job that these events make.
    pub(crate) fn of(bay: &Bay, job: &str, events: Vec<Stored>) -> Result<Self, Problem> {
        let named = sheet_named(&fold::lines(&events));
        let sheet = named.map(|named| frozen_sheet(bay, &named)).transpose()?;
        let has_sheet = sheet.is_some();
        let mut sheet = sheet.unwrap_or_else(|| fold::no_sheet(no_sheet_economy()));
        let facts = fold::fold(&sheet, &events);
        for item in &mut sheet.items {
            for (at, snag) in item.snags.iter_mut().enumerate() {
                snag.minutes = facts.snag_minutes(&item.id, at).unwrap_or(snag.minutes);
            }
        }
        let (economy, mut remarks) = facts.economy.on(&sheet.economy);
        let recurrence = facts.recurrence.or(sheet.recurrence);
        let odds = weigh_what_fits(
            &sheet,
            &economy,
            recurrence.as_ref(),
            &facts.evidence,
            &mut remarks,
        )?;
        remarks.extend(facts.remarks.iter().cloned());
        let vehicle = read_blob(bay, facts.vehicle.as_deref())?;
        let owner = read_blob(bay, facts.owner.as_deref())?;
        let (job, language) = (job.to_owned(), bay.language.clone());
        Ok(Self {
            job,
            events,
            sheet,
            has_sheet,
            economy,
            recurrence,
            facts,
            odds,
            vehicle,
            owner,
            language,
            remarks,
        })
    }

    /// Fails where nothing may be written to this job here.
    pub(crate) fn writable(&self) -> Result<(), Problem> {
        if self.facts.read_only {
            return Err(Problem::wrong(
                "read-only",
                "a newer program wrote to this job: it can be read here and not be written",
            )
            .hint("use the newer program"));
        }
        Ok(())
    }

    /// What is off, with all that it lies behind.
    pub(crate) fn off(&self) -> ItemSet {
        self.facts.off_closed(&self.sheet)
    }

    /// Spent so far, money.
    pub(crate) fn spent(&self) -> f64 {
        self.facts.spent.priced(&self.economy).total
    }

    /// Putting back what is off in `off`, mean money.
    pub(crate) fn put_back(&self, off: ItemSet) -> f64 {
        strip::move_cost(&self.sheet, &self.economy, off, ItemSet::EMPTY).cost
    }

    /// The odds in words: suspects in sheet order, something else, fixed.
    pub(crate) fn odds_words(&self) -> Vec<OddsWords> {
        let one = |id: &str, title: &str, p: f64| OddsWords {
            id: id.to_owned(),
            title: title.to_owned(),
            p,
            words: pages::say::chance(p),
        };
        let causes = self.odds.present.iter().enumerate().map(|(cause, p)| {
            let ix = SuspectIx::from(cause);
            one(self.sheet.cause_id(ix), &self.cause_title(ix), *p)
        });
        causes.chain([one("fixed", "It is fixed", self.odds.fixed())]).collect()
    }

    /// Title of a cause.
    pub(crate) fn cause_title(&self, cause: SuspectIx) -> String {
        let found = self.sheet.suspects.get(cause.at());
        found.map_or_else(
            || "Something else".to_owned(),
            |suspect| suspect.title.in_language(&self.language).to_owned(),
        )
    }

    /// The cause that is likeliest to be still present.
    pub(crate) fn likeliest(&self) -> Option<SuspectIx> {
        let listed = self.odds.present.iter().enumerate();
        let best = listed.max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(&a.0)))?;
        (*best.1 > 0.0).then(|| SuspectIx::from(best.0))
    }

    /// An item's id, title and count of fasteners.
    pub(crate) fn item_name(&self, item: ItemIx) -> ItemName {
        let found = self.sheet.items.get(item.at());
        ItemName {
            item: found.map_or_else(String::new, |item| item.id.clone()),
            title: found
                .map_or("", |item| item.title.in_language(&self.language))
                .to_owned(),
            fasteners: found.map_or(0, |item| {
                item.fasteners.iter().map(|fastener| fastener.count).sum()
            }),
            snags: found.map_or_else(Vec::new, |item| {
                let titles = item.snags.iter().map(|snag| &snag.title);
                titles.map(|title| title.in_language(&self.language).to_owned()).collect()
            }),
        }
    }

    /// The open loose ends in words.
    pub(crate) fn loose_ends(&self) -> Vec<LooseEndLine> {
        self.facts.open_ends().map(LooseEndLine::from).collect()
    }

    /// Title of a check, repair, proof, duty or item by its kind and id.
    pub(crate) fn title(&self, kind: &str, id: &str) -> String {
        let sheet = &self.sheet;
        let found = match kind {
            "check" => sheet.checks.iter().find(|entry| entry.id == id).map(|e| &e.title),
            "repair" => {
                sheet.repairs.iter().find(|entry| entry.id == id).map(|e| &e.title)
            }
            "proof" => sheet.proofs.iter().find(|entry| entry.id == id).map(|e| &e.title),
            "duty" => sheet.duties.iter().find(|entry| entry.id == id).map(|e| &e.title),
            "item" | "strip" | "refit" => {
                sheet.items.iter().find(|entry| entry.id == id).map(|e| &e.title)
            }
            _ => None,
        };
        let title = found.map_or("", |text| text.in_language(&self.language));
        if title.is_empty() { id } else { title }.to_owned()
    }

    /// Whether that check was answered.
    pub(crate) fn answered(&self, check: CheckIx) -> bool {
        self.facts.evidence.iter().any(|fact| match fact {
            Fact::Check { check: done, .. } | Fact::Reading { check: done, .. } => {
                *done == check
            }
            Fact::CouldNotTell { .. }
            | Fact::Repair { .. }
            | Fact::Proof { .. }
            | Fact::Driven { .. } => false,
        })
    }

    /// Whether that check was answered, or one that sees the same by the same method.
    pub(crate) fn seen(&self, check: CheckIx) -> bool {
        let alike =
            self.sheet.checks.get(check.at()).map_or(&[][..], |entry| &entry.alike);
        self.answered(check) || alike.iter().any(|other| self.answered(*other))
    }

    /// Whether something done has spoiled that check: it was neither seen nor tried.
    pub(crate) fn spoiled(&self, check: CheckIx) -> bool {
        let tried = |fact: &Fact| matches!(fact, Fact::CouldNotTell { check: of } if *of == check);
        weigh::bit(check.at()) & self.odds.done.checks != 0
            && !self.seen(check)
            && !self.facts.evidence.iter().any(tried)
    }

    /// The text of a blob, "" where it is gone.
    pub(crate) fn text(bay: &Bay, blob: Option<&str>) -> Result<String, Problem> {
        let Some(id) = blob else { return Ok(String::new()) };
        let bytes = bay.blob(id)?;
        Ok(bytes.map_or_else(String::new, |bytes| {
            String::from_utf8_lossy(&bytes).into_owned()
        }))
    }
}

/// The sheet that the job names last.
pub(super) fn sheet_named(lines: &[fold::Line]) -> Option<SheetNamed> {
    let mut named: Option<SheetNamed> = None;
    for line in lines.iter().filter(|line| line.counts()) {
        if let Some(Body::JobOpened(opened)) = &line.body {
            named = named.or_else(|| opened.sheet.clone());
        } else if let Some(Body::SheetChanged(changed)) = &line.body {
            named = Some(changed.sheet.clone());
        }
    }
    named
}

/// A sheet that a job froze, read from its blob.
pub(super) fn frozen_sheet(bay: &Bay, named: &SheetNamed) -> Result<Sheet, Problem> {
    let gone = || {
        Problem::could_not(
            "sheet-gone",
            format!("the sheet `{}` that this job froze is not in the store", named.id),
        )
        .hint("import the archive that holds it")
    };
    let text = Car::text(bay, named.blob.as_deref())?;
    if blake3::hash(text.as_bytes()).to_hex().as_str() != named.hash {
        return Err(gone());
    }
    sheet::read(&text).sheet.ok_or_else(gone)
}

fn read_blob<T: DeserializeOwned + Default>(
    bay: &Bay,
    id: Option<&str>,
) -> Result<T, Problem> {
    Ok(serde_json::from_str(&Car::text(bay, id)?).unwrap_or_default())
}

/// Prices of a job without a sheet until it is told better ones.
fn no_sheet_economy() -> Economy {
    Economy {
        currency: "EUR".to_owned(),
        labour_per_hour: 0.0,
        bay_per_hour: 0.0,
        comeback: 0.0,
        pass_on: 0.0,
        rust: Rust::Some,
        active: 1.0,
    }
}

/// The odds from all facts that fit together. Of a check answered twice with no repair
/// between, the later answer counts; a fact that the sheet holds impossible is left out.
fn weigh_what_fits(
    sheet: &Sheet,
    economy: &Economy,
    recurrence: Option<&Recurrence>,
    evidence: &[Fact],
    remarks: &mut Vec<String>,
) -> Result<Odds, Problem> {
    let mut facts = latest_answers(sheet, evidence, remarks);
    while let Err(error) = weigh::weigh(sheet, economy, recurrence, &facts) {
        let fits = |count: &usize| {
            weigh::weigh(sheet, economy, recurrence, facts.get(..*count).unwrap_or(&[]))
                .is_err()
        };
        let Some(wrong) = (1..=facts.len()).find(fits) else {
            return Err(Problem::wrong("odds", error));
        };
        remarks.push(format!("left out of the odds: {error}"));
        facts.remove(wrong - 1);
    }
    weigh::weigh(sheet, economy, recurrence, &facts)
        .map_err(|error| Problem::wrong("odds", error))
}

fn latest_answers(
    sheet: &Sheet,
    evidence: &[Fact],
    remarks: &mut Vec<String>,
) -> Vec<Fact> {
    let answer = |fact: &Fact| match fact {
        Fact::Check { check, .. } | Fact::Reading { check, .. } => Some(*check),
        Fact::CouldNotTell { .. }
        | Fact::Repair { .. }
        | Fact::Proof { .. }
        | Fact::Driven { .. } => None,
    };
    let mut kept: Vec<Fact> = Vec::new();
    let mut since_repair = 0;
    for fact in evidence {
        if let Some(check) = answer(fact)
            && let Some(at) =
                (since_repair..kept.len()).find(|at| answer(&kept[*at]) == Some(check))
        {
            let id = sheet.checks.get(check.at()).map_or("", |check| check.id.as_str());
            remarks.push(format!(
                "`{id}` was answered twice with no repair between: the later answer counts"
            ));
            kept.remove(at);
        }
        kept.push(fact.clone());
        if matches!(fact, Fact::Repair { .. }) {
            since_repair = kept.len();
        }
    }
    kept
}
