//! Telling the story: a step is said, entered through the verb, and its answer noted.

use std::{
    fs,
    path::{Path, PathBuf},
};

use super::{Story, StoryClock};
use crate::bay::{Bay, DidAnswer, Happened, Problem};

/// The story while it is told.
pub(super) struct Telling {
    pub(super) bay: Bay,
    clock: StoryClock,
    folder: PathBuf,
    pub(super) sheet: String,
    pub(super) job: String,
    pub(super) lines: Vec<String>,
    /// What was said to the owner as seldom passed, money.
    pub(super) quoted: f64,
    pub(super) p_after_drive: f64,
    pub(super) p_at_end: f64,
}

impl Telling {
    pub(super) fn new(bay: Bay, clock: StoryClock, folder: &Path, sheet: &str) -> Self {
        Self {
            bay,
            clock,
            folder: folder.to_owned(),
            sheet: sheet.to_owned(),
            job: String::new(),
            lines: Vec::new(),
            quoted: 0.0,
            p_after_drive: 0.0,
            p_at_end: 0.0,
        }
    }

    pub(super) fn end(self) -> Story {
        Story {
            lines: self.lines,
            job: self.job,
            bay: self.bay,
            p_after_drive: self.p_after_drive,
            p_at_end: self.p_at_end,
        }
    }

    /// Adds a line.
    pub(super) fn say(&mut self, line: impl Into<String>) {
        self.lines.push(line.into());
    }

    /// A heading of the story.
    pub(super) fn chapter(&mut self, title: &str) {
        if !self.lines.is_empty() {
            self.lines.push(String::new());
        }
        self.lines.push(title.to_owned());
    }

    /// Lets minutes pass.
    pub(super) fn wait(&self, minutes: i64) {
        self.clock.pass(minutes);
    }

    /// Writes a file into the story's folder.
    pub(super) fn write(&mut self, name: &str, bytes: &[u8]) -> Result<(), Problem> {
        let path = self.folder.join(name);
        fs::write(&path, bytes).map_err(|error| {
            Problem::could_not("unwritable", format!("{name} can't be written: {error}"))
                .in_file(path.display())
        })?;
        self.say(format!("  written: {name}"));
        Ok(())
    }

    /// Enters things after some minutes and tells what was recorded.
    pub(super) fn enter(
        &mut self,
        minutes: i64,
        things: &[&str],
    ) -> Result<DidAnswer, Problem> {
        self.wait(minutes);
        let mut happened = Vec::new();
        for thing in things {
            happened.push(self.meant(thing)?);
        }
        let answer = self.bay.did(&self.job.clone(), &happened, None)?;
        for recorded in &answer.recorded {
            let implied = if recorded.implied { " (it must have been)" } else { "" };
            self.say(format!("  {}{implied}", recorded.what));
        }
        for remark in &answer.remarks {
            self.say(format!("    note: {remark}"));
        }
        for end in &answer.new_loose_ends {
            self.say(format!("    loose end: {}", end.what));
        }
        Ok(answer)
    }

    /// Enters something that must be refused, and tells why it was.
    pub(super) fn refused(&mut self, minutes: i64, thing: &str) -> Result<(), Problem> {
        self.wait(minutes);
        let happened = self.meant(thing)?;
        match self.bay.did(&self.job.clone(), &[happened], None) {
            Err(problem) if problem.kind == "loose-end" => {
                self.say(format!("  refused: {problem}"));
                Ok(())
            }
            Err(problem) => Err(problem),
            Ok(_) => Err(Problem::could_not("story", format!("{thing} was not refused"))),
        }
    }

    fn meant(&self, thing: &str) -> Result<Happened, Problem> {
        let folder = self.folder.clone();
        let mut file = |name: &str| {
            fs::read(folder.join(name)).map_err(|error| {
                Problem::could_not("unreadable", format!("{name} can't be read: {error}"))
            })
        };
        Happened::parse(thing, &mut file)
    }

    /// Tells what the program advises now.
    pub(super) fn advice(&mut self) -> Result<(), Problem> {
        let next = self.bay.next(&self.job.clone())?;
        if let Some(step) = &next.step {
            let minutes = pages::say::minutes(step.minutes + step.move_minutes);
            let money =
                pages::say::whole_money(step.act_money + step.move_money, &next.currency);
            if step.kind == "ring-owner" {
                self.say(format!("  next: {}", step.title));
                for line in &step.how {
                    self.say(format!("    \u{201c}{line}\u{201d}"));
                }
            } else {
                self.say(format!("  next: {} ({minutes}, {money})", step.title));
                self.say(format!("    why: {}", step.why));
            }
        }
        for root in &next.root {
            self.say(format!("    first answer why it failed: {}", root.title));
        }
        for reason in &next.do_not_start {
            self.say(format!("    DO NOT START: {reason}"));
        }
        Ok(())
    }

    /// Tells the likeliest causes and how sure it is.
    pub(super) fn odds(&mut self) -> Result<(), Problem> {
        let shown = self.bay.show(&self.job.clone())?;
        let mut causes: Vec<_> =
            shown.odds.iter().filter(|odds| odds.id != "fixed").collect();
        causes.sort_by(|a, b| b.p.total_cmp(&a.p));
        let words: Vec<String> = causes
            .iter()
            .take(3)
            .map(|odds| format!("{}, {}", odds.title, odds.words))
            .collect();
        self.say(format!("  likeliest now: {}", words.join("; ")));
        Ok(())
    }
}
