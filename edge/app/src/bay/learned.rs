//! What earlier jobs of this store tell a new one: the minutes that snags took.
//!
//! It is worked out once, when a job is opened, and kept in its log: what is noted elsewhere later
//! changes no job that is under way.

use std::collections::BTreeMap;

use job::{Body, body::SnagLearned, fold};
use sheet::Sheet;

use super::{
    Bay, Problem,
    car::{frozen_sheet, sheet_named},
    trouble,
};

/// A longer snag was the night, not the bolt.
const LONGEST: f64 = 24.0 * 60.0;

impl Bay {
    /// The mean minutes of every snag of a sheet whose minutes were noted in earlier jobs with
    /// that sheet; what the sheet says counts as one job.
    pub(super) fn snags_learned(
        &self,
        sheet: &Sheet,
    ) -> Result<Vec<SnagLearned>, Problem> {
        let mut met: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
        let mut sheets: BTreeMap<String, Option<Sheet>> = BTreeMap::new();
        for job in self.store.jobs().map_err(|error| trouble(&error))? {
            let events = self.store.events(&job).map_err(|error| trouble(&error))?;
            let lines = fold::lines(&events);
            let Some(named) = sheet_named(&lines).filter(|named| named.id == sheet.id)
            else {
                continue;
            };
            let noted = noted(&lines);
            if noted.is_empty() {
                continue;
            }
            // A sheet that is gone or can't be read tells nothing; the new job goes on.
            let own = sheets
                .entry(named.hash.clone())
                .or_insert_with(|| frozen_sheet(self, &named).ok());
            let Some(own) = own else { continue };
            for (item, (snag, minutes)) in noted {
                if let Some(place) = same_snag(own, sheet, &item, snag) {
                    met.entry(place).or_default().push(minutes);
                }
            }
        }
        Ok(met
            .into_iter()
            .filter_map(|(place, met)| learned(sheet, place, &met))
            .collect())
    }

    /// What was learned, in words.
    pub(super) fn told(&self, sheet: &Sheet, snags: &[SnagLearned]) -> Vec<String> {
        let words = |learned: &SnagLearned| {
            let item = sheet.items.iter().find(|item| item.id == learned.item)?;
            let snag = item.snags.get(usize::try_from(learned.snag).ok()?)?;
            Some(format!(
                "{}, {}: {} by your own jobs, the sheet says {}",
                item.title.in_language(&self.language),
                snag.title.in_language(&self.language),
                pages::say::minutes(learned.minutes),
                pages::say::minutes(snag.minutes)
            ))
        };
        snags.iter().filter_map(words).collect()
    }
}

/// Snags that were met with minutes of their own: item, which, minutes.
fn noted(lines: &[fold::Line]) -> Vec<(String, (u32, f64))> {
    let mut noted = Vec::new();
    for line in lines.iter().filter(|line| line.counts()) {
        let Some(Body::SnagMet(met)) = &line.body else { continue };
        let minutes = met.minutes.filter(|minutes| (0.0..=LONGEST).contains(minutes));
        noted.extend(met.snag.zip(minutes).map(|it| (met.item.clone(), it)));
    }
    noted
}

/// The place of another sheet's snag on this one: of the same item, with the same title.
fn same_snag(
    other: &Sheet,
    sheet: &Sheet,
    item: &str,
    snag: u32,
) -> Option<(usize, usize)> {
    let of = |sheet: &Sheet| sheet.items.iter().position(|entry| entry.id == item);
    let own = other.items.get(of(other)?)?.snags.get(usize::try_from(snag).ok()?)?;
    let place = of(sheet)?;
    let snags = &sheet.items.get(place)?.snags;
    Some((place, snags.iter().position(|known| known.title == own.title)?))
}

fn learned(
    sheet: &Sheet,
    (item, snag): (usize, usize),
    met: &[f64],
) -> Option<SnagLearned> {
    let item = sheet.items.get(item)?;
    let count = u32::try_from(met.len()).ok()?;
    let sum: f64 = met.iter().sum();
    Some(SnagLearned {
        item: item.id.clone(),
        snag: u32::try_from(snag).ok()?,
        minutes: (item.snags.get(snag)?.minutes + sum) / (1.0 + f64::from(count)),
        met: count,
    })
}
