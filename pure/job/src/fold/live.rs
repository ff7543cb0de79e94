//! Which events count and as what: repeated, withdrawn, corrected.

use std::collections::BTreeMap;

use crate::{
    body::{Body, BodyError, EventId, Kind},
    order::Known,
};

/// What became of an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fate {
    /// It counts as it was written.
    Counts,
    /// It counts as the event named corrected it.
    Corrected(EventId),
    /// The event named withdrew it.
    Withdrawn(EventId),
    /// The same tap arrived before, as the event named.
    Repeated(EventId),
    /// It can't be read here: a newer program wrote it, or it is damaged.
    NotRead,
}

/// An event with what it counts for.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its id.
    pub id: EventId,
    /// The word of its kind as written.
    pub kind: String,
    /// When.
    pub at: String,
    /// Time zone.
    pub zone: String,
    /// Who.
    pub who: String,
    /// The writer.
    pub writer: String,
    /// Place in the writer's chain.
    pub seq: u64,
    /// What it says: as corrected where it was, else as written; none if it can't be read.
    pub body: Option<Body>,
    /// What became of it.
    pub fate: Fate,
    /// Why it can't be read.
    pub problem: Option<BodyError>,
}

impl Line {
    /// Whether it counts.
    #[must_use]
    pub fn counts(&self) -> bool {
        matches!(self.fate, Fate::Counts | Fate::Corrected(_))
    }
}

/// The lines in the order of `known`, and remarks.
#[must_use]
pub(super) fn resolve(known: &[Known]) -> (Vec<Line>, Vec<String>) {
    let mut lines: Vec<Line> = known.iter().map(line).collect();
    let mut remarks = Vec::new();
    let first_of = repeated(known, &mut lines, &mut remarks);
    withdraw(&mut lines, &first_of, &mut remarks);
    correct(&mut lines, &first_of, &mut remarks);
    (lines, remarks)
}

fn line(known: &Known) -> Line {
    let event = &known.event;
    let (body, problem) = match event.read_body() {
        Ok(body) => (Some(body), None),
        Err(problem) => (None, Some(problem)),
    };
    Line {
        id: known.id.clone(),
        kind: event.kind.clone(),
        at: event.at.clone(),
        zone: event.zone.clone(),
        who: event.who.clone(),
        writer: event.writer.clone(),
        seq: event.seq,
        fate: if body.is_some() { Fate::Counts } else { Fate::NotRead },
        body,
        problem,
    }
}

/// Marks taps that arrived twice; the place of each id, repeated ones by their first.
fn repeated(
    known: &[Known],
    lines: &mut [Line],
    remarks: &mut Vec<String>,
) -> BTreeMap<EventId, usize> {
    let mut by_reference: BTreeMap<&str, usize> = BTreeMap::new();
    let mut first_of = BTreeMap::new();
    for (place, entry) in known.iter().enumerate() {
        let reference = entry.event.reference.as_str();
        let first = *by_reference.entry(reference).or_insert(place);
        let same = known[first].event.kind == entry.event.kind
            && known[first].event.body == entry.event.body;
        if first < place && same {
            lines[place].fate = Fate::Repeated(lines[first].id.clone());
            first_of.insert(entry.id.clone(), first);
            continue;
        }
        if first < place {
            remarks.push(format!(
                "two different events carry the reference {reference}: both count"
            ));
        }
        first_of.insert(entry.id.clone(), place);
    }
    first_of
}

/// From the last event to the first, so that a withdrawal that was itself withdrawn is
/// known before it could act.
fn withdraw(
    lines: &mut [Line],
    first_of: &BTreeMap<EventId, usize>,
    remarks: &mut Vec<String>,
) {
    for place in (0..lines.len()).rev() {
        let Some(Body::Withdrawn(withdrawn)) = counted(&lines[place]) else { continue };
        let target =
            first_of.get(&withdrawn.of).copied().filter(|target| *target < place);
        let by = lines[place].id.clone();
        match target {
            Some(target) if lines[target].fate != Fate::NotRead => {
                lines[target].fate = Fate::Withdrawn(by);
            }
            Some(target) => {
                lines[target].problem = None;
                lines[target].fate = Fate::Withdrawn(by);
            }
            None => remarks.push(format!(
                "event {by} withdraws event {}, which is not before it in this job",
                withdrawn.of
            )),
        }
    }
}

fn correct(
    lines: &mut [Line],
    first_of: &BTreeMap<EventId, usize>,
    remarks: &mut Vec<String>,
) {
    let mut roots: Vec<usize> = (0..lines.len()).collect();
    for place in 0..lines.len() {
        let Some(Body::Corrected(corrected)) = &lines[place].body else { continue };
        let of = corrected.of.clone();
        let instead =
            Body::from_json(&corrected.instead.kind, corrected.instead.body.clone());
        let Some(target) = first_of.get(&of).copied().filter(|target| *target < place)
        else {
            if lines[place].counts() {
                remarks.push(format!(
                    "event {} corrects event {of}, which is not before it in this job",
                    lines[place].id
                ));
            }
            continue;
        };
        let root = roots[target];
        roots[place] = root;
        if !lines[place].counts() || !lines[root].counts() {
            continue;
        }
        match instead {
            Ok(body) if may_replace(&lines[root], &body) => {
                lines[root].fate = Fate::Corrected(lines[place].id.clone());
                lines[root].body = Some(body);
            }
            Ok(body) => remarks.push(format!(
                "event {of} can't be turned into `{}`: withdraw it instead",
                body.kind().word()
            )),
            Err(problem) => {
                remarks.push(format!(
                    "event {} corrects nothing: {problem}",
                    lines[place].id
                ));
            }
        }
    }
}

fn counted(line: &Line) -> Option<&Body> {
    line.body.as_ref().filter(|_| line.counts())
}

/// Mending events and the opening keep their kind; anything else may become anything else.
fn may_replace(line: &Line, body: &Body) -> bool {
    let fixed = [
        Kind::Withdrawn,
        Kind::Corrected,
        Kind::Erased,
        Kind::WriterJoined,
        Kind::JobOpened,
    ];
    let was = Kind::of_word(&line.kind);
    let becomes = body.kind();
    was == Some(Kind::JobOpened) && becomes == Kind::JobOpened
        || !(fixed.contains(&becomes) || was.is_some_and(|was| fixed.contains(&was)))
}
