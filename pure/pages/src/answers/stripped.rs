//! `strip/1`: the way in, the tray, the way out.

use strip::{FastenerStep, MeasureDue, Renew, Step, StripAnswer};

use crate::{
    DEFERS, Entry, Mark, MeasureRow, Page, Table, Words, measures, pair,
    say::{self, Shown},
};

/// The way in, the tray and the way out as a page.
#[must_use]
pub fn strip_page(
    answer: &StripAnswer,
    currency: &str,
    (language, shown): (&str, Shown),
) -> Page {
    let mut page = Page::new("The way in and out", language);
    if answer.do_not_start {
        let why: Vec<String> =
            answer.do_not_start_because.iter().map(|id| title(answer, id)).collect();
        page.stop(format!("DO NOT START while off: {}", say::and(&why)));
    }
    let steps = || answer.strip.iter().chain(&answer.refit);
    page.cautions(steps().flat_map(|step| &step.cautions).map(String::as_str));
    page.head(vec![
        pair("In", say::minutes(answer.strip_minutes)),
        pair("Out", say::minutes(answer.refit_minutes)),
        pair("Moving about, in", say::minutes(answer.moving_minutes)),
        pair(
            "Waiting",
            if answer.wait_minutes > 0.0 {
                say::minutes(answer.wait_minutes)
            } else {
                String::new()
            },
        ),
        pair(
            "By the clock, in",
            if answer.wait_minutes > 0.0 {
                say::minutes(answer.elapsed_minutes)
            } else {
                String::new()
            },
        ),
        pair("Parts for the way out", say::money(answer.parts_cost, currency)),
        pair("Tools", answer.tools.join(", ")),
    ]);
    way_in(&mut page, answer);
    way_out(&mut page, answer, shown);
    mind(&mut page, answer);
    measures(&mut page, &measured(answer));
    renew(&mut page, answer);
    duties(&mut page, answer);
    page.quiet(if answer.proven {
        let among = if answer.easing.is_empty() {
            "No order"
        } else {
            "No order that comes by the same ease"
        };
        format!("{among} moves about for less.")
    } else {
        format!(
            "The order could move about for up to {} less.",
            say::minutes(answer.moving_minutes - answer.lower_bound)
        )
    });
    page.remarks(&answer.remarks);
    page.quiet(DEFERS);
    page
}

fn title(answer: &StripAnswer, item: &str) -> String {
    let steps = answer.refit.iter().chain(&answer.strip);
    steps
        .filter(|step| step.item == item)
        .map(|step| step.title.clone())
        .next()
        .unwrap_or_else(|| item.to_owned())
}

fn way_in(page: &mut Page, answer: &StripAnswer) {
    page.heading("The way in");
    if answer.strip.is_empty() {
        page.paragraphs("Nothing has to come off.");
    }
    let mut table = Table::new(&[">", "Item", ">Time", "Where", "Holds", "Cells"]);
    for (at, step) in answer.strip.iter().enumerate() {
        let first = [
            Words::from((at + 1).to_string()),
            Words::from(named(step)),
            Words::from(say::minutes(step.minutes + step.wait_minutes)),
            Words::from(step.position.as_deref().unwrap_or_default()),
        ];
        fastener_rows(&mut table, &first, &step.fasteners, |fastener| {
            vec![Words::from(size(fastener)), Words::from(cells(&fastener.cells))]
        });
    }
    page.table(table);
    page.list(false, grouped(answer.strip.iter().flat_map(warnings)));
}

/// What an item is, and how it goes where that is not plainly off.
fn named(step: &Step) -> String {
    if step.goes == "off" {
        step.title.clone()
    } else {
        format!("{} ({})", step.title, step.goes)
    }
}

/// What is to be minded at a step: its title and the text.
fn warnings(step: &Step) -> impl Iterator<Item = (String, String)> {
    let lead = format!("{}: ", step.title);
    step.warnings.iter().map(move |text| {
        let text = text.strip_prefix(&lead).unwrap_or(text);
        (step.title.clone(), text.to_owned())
    })
}

/// Each text once, with all that it holds for, in the order of first appearance.
fn grouped(told: impl Iterator<Item = (String, String)>) -> Vec<String> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for (title, text) in told {
        match groups.iter_mut().find(|(known, _)| *known == text) {
            Some((_, titles)) if titles.contains(&title) => {}
            Some((_, titles)) => titles.push(title),
            None => groups.push((text, vec![title])),
        }
    }
    groups
        .into_iter()
        .map(|(text, titles)| format!("{}: {text}", say::and(&titles)))
        .collect()
}

/// One row a fastener; what stands before it only in the first.
fn fastener_rows(
    table: &mut Table,
    first: &[Words],
    fasteners: &[FastenerStep],
    cells: impl Fn(&FastenerStep) -> Vec<Words>,
) {
    if fasteners.is_empty() {
        table.row(first.to_vec());
    }
    for (at, fastener) in fasteners.iter().enumerate() {
        let lead = first
            .iter()
            .map(|words| if at == 0 { words.clone() } else { Words::default() });
        table.row(lead.chain(cells(fastener)).collect());
    }
}

/// `3 bolts M8x1.25 × 16 mm, 13 mm across flats`.
fn size(fastener: &FastenerStep) -> String {
    let kind = say::count(fastener.count, &fastener.kind, &format!("{}s", fastener.kind));
    let thread =
        fastener.thread.as_ref().map_or_else(String::new, |thread| format!(" {thread}"));
    let length = fastener
        .length_mm
        .map_or_else(String::new, |mm| format!(" × {}", say::length(mm)));
    let head = fastener
        .head_mm
        .map_or_else(String::new, |mm| format!(", tool {}", say::length(mm)));
    format!("{kind}{thread}{length}{head}")
}

/// Cells as ranges: `1-4, 7`.
fn cells(cells: &[u32]) -> String {
    let mut ranges: Vec<(u32, u32)> = Vec::new();
    for cell in cells {
        match ranges.last_mut() {
            Some((_, end)) if end.checked_add(1) == Some(*cell) => *end = *cell,
            _ => ranges.push((*cell, *cell)),
        }
    }
    let told: Vec<String> = ranges
        .iter()
        .map(
            |(from, to)| {
                if from == to { from.to_string() } else { format!("{from}-{to}") }
            },
        )
        .collect();
    told.join(", ")
}

fn way_out(page: &mut Page, answer: &StripAnswer, shown: Shown) {
    if answer.refit.is_empty() {
        return;
    }
    page.heading("The way out");
    let mut table = Table::new(&[">", "Item", ">Time", "Holds", ">Torque", "From"]);
    for (at, step) in answer.refit.iter().enumerate() {
        let first = [
            Words::from((at + 1).to_string()),
            Words::from(named(step)),
            Words::from(say::minutes(step.minutes)),
        ];
        fastener_rows(&mut table, &first, &step.fasteners, |fastener| {
            vec![
                Words::from(size(fastener)),
                Words::from(torque(fastener, shown)),
                Words::from(source(fastener)),
            ]
        });
    }
    page.table(table);
    let told = answer.refit.iter().flat_map(|step| {
        let texts = step
            .fasteners
            .iter()
            .flat_map(|fastener| fastener.torque_method.iter().chain(&fastener.remarks));
        warnings(step).chain(texts.map(|text| (step.title.clone(), text.clone())))
    });
    page.list(false, grouped(told));
}

/// Where a torque comes from, or why there is none; what only clips in needs no reason.
fn source(fastener: &FastenerStep) -> &str {
    if let Some(source) = &fastener.torque_source {
        return source;
    }
    match fastener.kind.as_str() {
        "clip" | "connector" => "",
        _ => fastener.no_torque_because.as_deref().unwrap_or_default(),
    }
}

fn torque(fastener: &FastenerStep, shown: Shown) -> String {
    let torque = fastener.torque_nm.map_or_else(String::new, |nm| say::torque(nm, shown));
    if fastener.angle_deg > 0.0 && fastener.torque_nm.is_some() {
        format!("{torque}, then {}°", say::trimmed(fastener.angle_deg, 1))
    } else {
        torque
    }
}

/// Look-alikes, what falls, what may seize.
fn mind(page: &mut Page, answer: &StripAnswer) {
    if !answer.mix_ups.is_empty() {
        page.heading("Look-alikes");
        let words = answer.mix_ups.iter().map(|mix_up| {
            format!("Don't mix up: {}", say::mix_up(mix_up, |item| title(answer, item)))
        });
        page.list(false, words);
    }
    if !answer.snags.is_empty() {
        page.heading("What may go wrong");
        let snags = answer.snags.iter().map(|snag| {
            format!(
                "{}, {}: {}, {} more",
                title(answer, &snag.item),
                snag.title,
                say::chance(snag.p),
                say::minutes(snag.minutes)
            )
        });
        page.list(false, snags);
    }
}

/// What is measured on the way, where, and within which limits.
fn measured(answer: &StripAnswer) -> Vec<MeasureRow> {
    let row = |due: &MeasureDue| MeasureRow {
        what: format!("{}, {}", title(answer, &due.item), due.title),
        when: due.when.clone(),
        how: due.how.clone(),
        limits: say::limits((due.least, due.most), &due.unit),
        typed: String::new(),
        read: String::new(),
    };
    answer.measures.iter().map(row).collect()
}

fn renew(page: &mut Page, answer: &StripAnswer) {
    if answer.renew.is_empty() && answer.fluids.is_empty() && answer.caps.is_empty() {
        return;
    }
    page.heading("To have ready");
    let renewed = answer.renew.iter().map(|renew| {
        let Renew { item, id, count, when, kind: _ } = renew;
        let when = if when == "always" { "new" } else { "new if damaged" };
        format!("{count} × {id} of {}: {when}", title(answer, item))
    });
    let fluids = answer.fluids.iter().map(|fluid| {
        format!(
            "{} l of {} for {}",
            say::trimmed(fluid.litres, 2),
            fluid.fluid,
            title(answer, &fluid.item)
        )
    });
    let caps = answer.caps.iter().map(|item| format!("caps for {}", title(answer, item)));
    page.list(false, renewed.chain(fluids).chain(caps));
}

fn duties(page: &mut Page, answer: &StripAnswer) {
    if answer.duties.is_empty() {
        return;
    }
    page.heading("Duties that arise");
    let entries = answer
        .duties
        .iter()
        .map(|duty| {
            let time = say::minutes(duty.minutes + duty.wait_minutes);
            let text = format!("{} ({time}), before: {}", duty.title, duty.before);
            Entry { text: Words::from(text), mark: Mark::Open }
        })
        .collect();
    page.entries(false, entries);
}
