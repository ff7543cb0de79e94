//! What is wrong with a log: changed bytes, gaps, wrong links, forks, chains cut short.
//!
//! It detects, it does not prevent: whoever rewrites every chain and every head that was
//! ever seen elsewhere leaves nothing to find.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    canon::is_canonical,
    event::{Event, Head, Heads, Stored, hash_hex},
};

/// A head seen outside the log: on a printed report, in an archive.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Id of the event.
    pub id: String,
    /// Where it was seen, in words: `the report`, `the command line`.
    pub by: String,
}

/// What kind of problem was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Trouble {
    /// The bytes are not those that were stored.
    Changed,
    /// The bytes are not an event, or not in canonical form.
    Unreadable,
    /// Events of a writer are missing.
    Gap,
    /// An event does not follow the one before it.
    WrongLink,
    /// A writer went on twice from one event: its store was copied.
    Fork,
    /// A chain ends before a head that was seen elsewhere.
    CutShort,
}

/// One finding of [`verify`].
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Finding {
    /// What kind.
    pub trouble: Trouble,
    /// The writer, where it is known.
    pub writer: Option<String>,
    /// Place in the writer's chain.
    pub seq: Option<u64>,
    /// Id of the event.
    pub id: Option<String>,
    /// In plain words.
    pub what: String,
}

/// The events of each writer by place, all ids of a place together.
type Chains<'a> = BTreeMap<&'a str, BTreeMap<u64, Vec<(&'a str, &'a Event)>>>;

/// Everything wrong with a set of events, `seen` being heads from elsewhere. Sorted, so the
/// same set gives the same findings whatever order it comes in.
#[must_use]
pub fn verify(events: &[Stored], seen: &[Seen]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut read: BTreeMap<&str, Event> = BTreeMap::new();
    for stored in events {
        match sound(stored) {
            Ok(event) => {
                read.insert(stored.id.as_str(), event);
            }
            Err(finding) => findings.push(finding),
        }
    }
    let mut chains = Chains::new();
    for (id, event) in &read {
        let chain = chains.entry(event.writer.as_str()).or_default();
        chain.entry(event.seq).or_default().push((id, event));
    }
    for (writer, chain) in &chains {
        findings.extend(along(writer, chain));
    }
    for event in read.values() {
        let by = format!("event {} of writer {}", event.seq, event.writer);
        for (writer, head) in &event.heads {
            findings.extend(missing_head(&read, &chains, writer, (head, &by)));
        }
    }
    for head in seen.iter().filter(|head| !read.contains_key(head.id.as_str())) {
        findings.push(Finding {
            trouble: Trouble::CutShort,
            writer: None,
            seq: None,
            id: Some(head.id.clone()),
            what: format!(
                "{} names event {}, which is not in this log: the log was cut short or \
                 rewritten since, or it is another log",
                head.by, head.id
            ),
        });
    }
    findings.sort();
    findings.dedup_by(|left, right| {
        left.trouble == Trouble::CutShort
            && right.trouble == Trouble::CutShort
            && left.id == right.id
            && left.writer == right.writer
    });
    findings
}

/// The last event of every writer; of a fork the branch that is longer, then the greater id.
#[must_use]
pub fn heads<'a>(events: impl IntoIterator<Item = (&'a str, &'a Event)>) -> Heads {
    let mut heads = Heads::new();
    for (id, event) in events {
        let head = Head { seq: event.seq, id: id.to_owned() };
        let known = heads.entry(event.writer.clone()).or_insert_with(|| head.clone());
        if *known < head {
            *known = head;
        }
    }
    heads
}

fn sound(stored: &Stored) -> Result<Event, Finding> {
    let trouble = |trouble, what| Finding {
        trouble,
        writer: None,
        seq: None,
        id: Some(stored.id.clone()),
        what,
    };
    if hash_hex(&stored.bytes) != stored.id {
        let what =
            format!("the bytes of event {} were changed after it was stored", stored.id);
        return Err(trouble(Trouble::Changed, what));
    }
    let event = stored.read().map_err(|problem| {
        trouble(Trouble::Unreadable, format!("event {}: {problem}", stored.id))
    })?;
    if event.seq == 0 || !is_canonical(&stored.bytes) {
        let what = format!("event {} is not in the form that this log writes", stored.id);
        return Err(trouble(Trouble::Unreadable, what));
    }
    Ok(event)
}

fn along(writer: &str, chain: &BTreeMap<u64, Vec<(&str, &Event)>>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let find = |trouble, seq, id: Option<&str>, what| Finding {
        trouble,
        writer: Some(writer.to_owned()),
        seq: Some(seq),
        id: id.map(str::to_owned),
        what,
    };
    let mut expected = 1_u64;
    let mut before: BTreeSet<&str> = BTreeSet::new();
    for (&seq, branch) in chain {
        if seq > expected {
            let what = match seq - expected {
                1 => format!("event {expected} of writer {writer} is missing"),
                _ => format!(
                    "events {expected} to {} of writer {writer} are missing",
                    seq - 1
                ),
            };
            findings.push(find(Trouble::Gap, expected, None, what));
        }
        if branch.len() > 1 {
            let what = format!(
                "writer {writer} has {} different events {seq}: its store was copied and \
                 both went on; all are kept",
                branch.len()
            );
            findings.push(find(Trouble::Fork, seq, None, what));
        }
        for (id, event) in branch {
            let linked = match event.prev.as_deref() {
                None => seq == 1,
                Some(prev) => seq > 1 && (seq > expected || before.contains(prev)),
            };
            if !linked {
                let what = format!(
                    "event {seq} of writer {writer} does not follow the event before it"
                );
                findings.push(find(Trouble::WrongLink, seq, Some(id), what));
            }
        }
        before = branch.iter().map(|(id, _)| *id).collect();
        expected = seq.saturating_add(1);
    }
    findings
}

fn missing_head(
    read: &BTreeMap<&str, Event>,
    chains: &Chains<'_>,
    writer: &str,
    (head, by): (&Head, &str),
) -> Option<Finding> {
    let there = read
        .get(head.id.as_str())
        .is_some_and(|event| event.writer == writer && event.seq == head.seq);
    if there {
        return None;
    }
    let last = chains.get(writer).and_then(|chain| chain.keys().next_back()).copied();
    let what = match last {
        Some(last) if last >= head.seq => format!(
            "{by} has seen another event {} of writer {writer}: that chain was rewritten",
            head.seq
        ),
        Some(last) => format!(
            "{by} has seen event {} of writer {writer}, whose chain ends here at {last}: it \
             was cut short",
            head.seq
        ),
        None => format!(
            "{by} has seen event {} of writer {writer}, of whom nothing is here",
            head.seq
        ),
    };
    Some(Finding {
        trouble: Trouble::CutShort,
        writer: Some(writer.to_owned()),
        seq: Some(head.seq),
        id: Some(head.id.clone()),
        what,
    })
}
