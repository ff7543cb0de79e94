//! The copy for the file: evidence, torque record, time, duties, beside the owner's report.

use job::body::{Kind, Tightened};
use pages::{DutyRow, Evidence, FileReport, TimeRow, TorqueRow};
use sheet::Fastener;

use super::{
    Bay, Problem,
    car::Car,
    measures,
    paper::{Over, owner_report},
    photos::overlays,
    said::minute,
    show::words_of,
    tray_view::{self, ItemOf},
};

/// Entries that are no evidence.
pub(super) const QUIET: [Kind; 3] = [Kind::Advised, Kind::WriterJoined, Kind::JobSet];

/// All that the file gets.
pub(super) fn file_report(
    bay: &Bay,
    car: &Car,
    over: &Over,
) -> Result<FileReport, Problem> {
    let named = car.facts.sheet.as_ref();
    let touched = tray_view::items(car)?;
    Ok(FileReport {
        owner: owner_report(bay, car, over)?,
        evidence: evidence(car),
        recordings: overlays(bay, car)?,
        torque: torque(car),
        tray_photos: tray_view::marked_photos(bay, car, &touched)?,
        tray: touched
            .iter()
            .map(|item: &ItemOf| item.drawn(pages::Shown::Metric))
            .collect(),
        measures: measures::all(car, car.facts.ever_off)
            .iter()
            .filter(|line| line.read.is_some())
            .map(measures::MeasureLine::row)
            .collect(),
        time: time(car),
        duties: duties(car),
        sheet: named.map_or_else(
            || "none".to_owned(),
            |sheet| {
                let title = car.sheet.title.in_language(&car.language);
                format!("{title} ({}, version {})", sheet.id, sheet.version)
            },
        ),
        sheet_hash: named.map_or_else(String::new, |sheet| sheet.hash.clone()),
        cautions: cautions(car),
        remarks: car.remarks.clone(),
    })
}

fn evidence(car: &Car) -> Vec<Evidence> {
    let quiet =
        |kind: &str| Kind::of_word(kind).is_some_and(|kind| QUIET.contains(&kind));
    let counted =
        car.facts.history.iter().filter(|line| line.counts() && !quiet(&line.kind));
    counted
        .map(|line| {
            let words =
                line.body.as_ref().map_or_else(String::new, |body| words_of(car, body));
            let (what, result) = match words.split_once(": ") {
                Some((what, result)) => (what.to_owned(), result.to_owned()),
                None => (words, String::new()),
            };
            Evidence { when: minute(&line.at), who: line.who.clone(), what, result }
        })
        .collect()
}

fn torque(car: &Car) -> Vec<TorqueRow> {
    car.facts
        .torques
        .iter()
        .map(|line| {
            let item = car.sheet.items.iter().find(|item| item.id == line.item);
            let fastener = item.zip(line.fastener.as_ref()).and_then(|(item, id)| {
                item.fasteners.iter().find(|fastener| fastener.id == *id)
            });
            let name = line.fastener.clone().unwrap_or_else(|| "all".to_owned());
            let back = car.facts.tray_of(&line.item).is_some_and(|tray| !tray.off);
            let how = match line.how {
                Tightened::Torque => "torque",
                Tightened::TorqueAngle => "torque and angle",
                Tightened::ByFeel => "by feel",
                Tightened::Hand => "by hand",
            };
            TorqueRow {
                item: car.title("item", &line.item),
                fastener: fastener.map_or(name, fastener_words),
                wanted_nm: line.torque_nm,
                source: line.source.clone().unwrap_or_default(),
                how: how.to_owned(),
                wrench: line.wrench.clone().unwrap_or_default(),
                done: back,
            }
        })
        .collect()
}

/// `3 bolts M8 × 16`.
pub(super) fn fastener_words(fastener: &Fastener) -> String {
    let many = format!("{}s", fastener.kind);
    let mut words = pages::say::count(fastener.count, &fastener.kind, &many);
    if let Some(thread) = &fastener.thread {
        words.push(' ');
        words.push_str(thread);
    }
    if let Some(length_mm) = fastener.length_mm {
        words.push_str(" × ");
        words.push_str(&pages::say::length(length_mm));
    }
    words
}

fn time(car: &Car) -> Vec<TimeRow> {
    let sheet_min = |kind: &str, id: &str| {
        let sheet = &car.sheet;
        match kind {
            "check" => sheet.checks.iter().find(|e| e.id == id).map(|e| e.minutes),
            "repair" => sheet.repairs.iter().find(|e| e.id == id).map(|e| e.minutes),
            "proof" => sheet.proofs.iter().find(|e| e.id == id).map(|e| e.minutes),
            "duty" => sheet.duties.iter().find(|e| e.id == id).map(|e| e.minutes),
            "strip" => sheet.items.iter().find(|e| e.id == id).map(|e| e.strip_min),
            "refit" => sheet.items.iter().find(|e| e.id == id).map(|e| e.refit_min),
            _ => None,
        }
    };
    let rows = car.facts.done.iter().map(|done| {
        let title = car.title(&done.kind, &done.id);
        let what = match done.kind.as_str() {
            "strip" => format!("{title}, off"),
            "refit" => format!("{title}, back on"),
            _ => title,
        };
        TimeRow {
            what,
            sheet_min: sheet_min(&done.kind, &done.id),
            taken_min: done.minutes,
        }
    });
    rows.filter(|row| row.taken_min > 0.0).collect()
}

fn duties(car: &Car) -> Vec<DutyRow> {
    let done = |id: &str| {
        let last = car.facts.done.iter().rev().find(|d| d.kind == "duty" && d.id == id);
        last.map_or_else(String::new, |done| {
            format!("{}, {}", minute(&done.at), done.who)
        })
    };
    car.facts
        .duties
        .iter()
        .map(|duty| DutyRow {
            title: car.title("duty", &duty.id),
            done: if duty.done { done(&duty.id) } else { String::new() },
        })
        .collect()
}

/// Caution words of what was off and what was done.
fn cautions(car: &Car) -> Vec<String> {
    let sheet = &car.sheet;
    let items = car.facts.ever_off.iter().filter_map(|ix| sheet.items.get(ix.at()));
    let mut words: Vec<String> =
        items.flat_map(|item| item.caution.iter().cloned()).collect();
    for done in &car.facts.done {
        let own = match done.kind.as_str() {
            "check" => sheet.checks.iter().find(|e| e.id == done.id).map(|e| &e.caution),
            "repair" => {
                sheet.repairs.iter().find(|e| e.id == done.id).map(|e| &e.caution)
            }
            "proof" => sheet.proofs.iter().find(|e| e.id == done.id).map(|e| &e.caution),
            _ => None,
        };
        words.extend(own.into_iter().flatten().cloned());
    }
    let mut once = Vec::new();
    for word in words {
        if !once.contains(&word) {
            once.push(word);
        }
    }
    once
}
