//! Photos and recordings of a job, from its blobs.

use job::body::CheckResult;
use pages::{Overlay, Photo, Traces, step_traces};

use super::{Bay, Problem, car::Car, measured::recorded, paper::checks_done};

/// Panels of one drawing.
const MOST_PANELS: usize = 3;

/// The photos of a job that are still here.
pub(super) fn photos(bay: &Bay, car: &Car) -> Result<Vec<Photo>, Problem> {
    let mut photos = Vec::new();
    for line in &car.facts.photos {
        let Some(bytes) = bay.blob(&line.what.blob)? else { continue };
        let own = Car::text(bay, line.what.caption.as_deref())?;
        let of = line.what.of.as_deref().and_then(|of| of.split_once(':'));
        let caption = if own.is_empty() {
            of.map_or_else(String::new, |(kind, id)| car.title(kind, id))
        } else {
            own
        };
        photos.push(Photo::plain(&caption, bytes));
    }
    Ok(photos)
}

impl Bay {
    /// A photo of a job by its event; none: there is no such photo, or it was erased.
    ///
    /// # Errors
    /// No such job, or a store that can't be read.
    pub fn photo_of(&self, job: &str, event: &str) -> Result<Option<Photo>, Problem> {
        let car = Car::load(self, &self.find(job)?)?;
        let Some(said) = car.facts.photos.iter().find(|said| said.id == event) else {
            return Ok(None);
        };
        let bytes = self.blob(&said.what.blob)?;
        Ok(bytes.map(|bytes| Photo::plain("", bytes)))
    }
}

/// The recordings of a job, before and after, each step over the others.
pub(super) fn overlays(bay: &Bay, car: &Car) -> Result<Vec<Overlay>, Problem> {
    let mut panels: Vec<Traces> = Vec::new();
    for line in &car.facts.recordings {
        let Some(bytes) = bay.blob(&line.what.blob)? else { continue };
        let Ok(answer) = recorded(&bytes, &line.what.columns) else { continue };
        let title = if line.what.as_found { "before" } else { "after" };
        panels.push(step_traces(&answer, title));
    }
    if panels.is_empty() {
        return Ok(Vec::new());
    }
    let title = checks_done(car)
        .find(|done| matches!(done.result, CheckResult::Recording { .. }))
        .map_or_else(|| "Recordings".to_owned(), |done| car.title("check", &done.check));
    let unit = "share of the commanded step".to_owned();
    let first = panels.len().saturating_sub(MOST_PANELS);
    let panels = panels.split_off(first);
    Ok(vec![Overlay { title, unit, panels, band: None }])
}
