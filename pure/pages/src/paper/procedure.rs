//! A finished job as a procedure that teaches the next person.

use crate::{Block, DEFERS, Page, Photo, pair, say};

/// A step of the way in, the repair or the way out.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Step {
    /// What to do.
    pub title: String,
    /// How; may hold several lines.
    pub how: String,
    /// Minutes.
    pub minutes: f64,
    /// Where one works: top, under.
    pub position: String,
    /// Caution words, shown before the instructions.
    pub cautions: Vec<String>,
    /// Fasteners with tool and torque, one line each.
    pub fasteners: Vec<String>,
    /// What not to mix up, what falls, what to renew; one line each.
    pub mind: Vec<String>,
    /// Photos.
    pub photos: Vec<Photo>,
}

/// A check with what good and bad look like.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GoodBad {
    /// The check as a step.
    pub step: Step,
    /// What good looks like.
    pub good: String,
    /// What bad looks like.
    pub bad: String,
}

/// What a procedure is filled from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Procedure {
    /// What it teaches.
    pub title: String,
    /// Language of the page.
    pub language: String,
    /// What it applies to.
    pub applies: String,
    /// Where its values come from.
    pub sources: Vec<String>,
    /// How much longer a learner takes, for instance 1.8.
    pub learner_factor: f64,
    /// Tools, lifts, meters.
    pub tools: Vec<String>,
    /// Seals and single-use fasteners to have ready.
    pub renew: Vec<String>,
    /// Fluids.
    pub fluids: Vec<String>,
    /// Parts.
    pub parts: Vec<String>,
    /// Checks in the order in which they were done.
    pub checks: Vec<GoodBad>,
    /// The way in.
    pub way_in: Vec<Step>,
    /// The repair.
    pub repair: Vec<Step>,
    /// The way out.
    pub way_out: Vec<Step>,
    /// Duties and proofs afterwards.
    pub afterwards: Vec<String>,
    /// Remarks.
    pub remarks: Vec<String>,
}

/// The procedure: what you need, then each step with its cautions before its instructions.
#[must_use]
pub fn procedure(input: &Procedure) -> Page {
    let mut page = Page::new(&input.title, &input.language);
    let steps = || {
        let checks = input.checks.iter().map(|check| &check.step);
        checks.chain(&input.way_in).chain(&input.repair).chain(&input.way_out)
    };
    let work: f64 = steps().map(|step| step.minutes).sum();
    let learner = work * input.learner_factor;
    page.head(vec![
        pair("Applies to", &input.applies),
        pair("Practised hands", say::minutes(work)),
        pair(
            "The first time",
            if learner > work { say::minutes(learner) } else { String::new() },
        ),
    ]);
    page.quiet(DEFERS);
    page.cautions(steps().flat_map(|step| &step.cautions).map(String::as_str));
    page.heading("What you need before you start");
    for (title, things) in [
        ("Tools", &input.tools),
        ("Parts", &input.parts),
        ("Seals and fasteners to renew", &input.renew),
        ("Fluids", &input.fluids),
    ] {
        if !things.is_empty() {
            page.subheading(title);
            page.list(false, things);
        }
    }
    if !input.checks.is_empty() {
        page.heading("What to look at");
        for (at, check) in input.checks.iter().enumerate() {
            one(&mut page, at + 1, &check.step);
            page.facts(vec![pair("Good", &check.good), pair("Bad", &check.bad)]);
        }
    }
    for (title, steps) in [
        ("The way in", &input.way_in),
        ("The repair", &input.repair),
        ("The way out", &input.way_out),
    ] {
        if !steps.is_empty() {
            page.heading(title);
            for (at, step) in steps.iter().enumerate() {
                one(&mut page, at + 1, step);
            }
        }
    }
    if !input.afterwards.is_empty() {
        page.heading("Afterwards");
        page.list(true, &input.afterwards);
    }
    page.remarks(&input.remarks);
    if !input.sources.is_empty() {
        page.quiet(format!("Where the values come from: {}.", input.sources.join("; ")));
    }
    page
}

fn one(page: &mut Page, at: usize, step: &Step) {
    let place = if step.position.is_empty() {
        String::new()
    } else {
        format!(", {}", step.position)
    };
    page.subheading(format!(
        "{at}. {} ({}{place})",
        step.title,
        say::minutes(step.minutes)
    ));
    if !step.cautions.is_empty() {
        page.quiet(format!("Caution: {}.", step.cautions.join(", ")));
    }
    page.paragraphs(&step.how);
    page.list(false, step.fasteners.iter().chain(&step.mind));
    page.blocks.extend(step.photos.iter().cloned().map(Block::Photo));
}
