//! The story from the seal that was not found to the follow-up that closes it.

use super::{recordings, told::Telling};
use crate::bay::{HandOver, NewJob, Owner, Problem, Told};

/// Days between the hand-over and the call, in minutes.
const WEEK_MIN: i64 = 7 * 24 * 60;

impl Telling {
    pub(super) fn seal_not_found(&mut self) -> Result<(), Problem> {
        self.chapter("One ring is missing");
        self.enter(1, &["seal:pressure-pipe/pressure-pipe-ring=not-found"])?;
        let wiper = self.bay.under_wiper(&self.job.clone())?;
        self.write("wiper.pdf", &wiper)?;
        self.refused(2, "on:pressure-pipe")?;
        self.enter(
            6,
            &[
                "seal:pressure-pipe/pressure-pipe-ring=found,where=in the bore, where it likes to stay",
                "seal:pressure-pipe/pressure-pipe-ring=renewed",
            ],
        )?;
        Ok(())
    }

    pub(super) fn back_together(&mut self) -> Result<(), Problem> {
        self.chapter("Back together");
        let wrench = "8 to 60 N·m, checked January 2026";
        self.enter(6, &[&format!("on:pressure-pipe=torque,wrench={wrench}")])?;
        self.enter(3, &["on:pipe-bracket"])?;
        self.enter(9, &["on:heat-shield"])?;
        self.enter(1, &["on:pod-hose"])?;
        self.enter(9, &["duty:solvent-out"])?;
        self.enter(4, &["duty:leak-look-cold"])?;
        self.enter(17, &["duty:leak-look-hot"])?;
        self.enter(7, &["on:undertray"])?;
        self.enter(1, &["on:engine-cover"])?;
        self.enter(3, &["erased:P0299", "duty:clear-codes"])?;
        self.advice()
    }

    pub(super) fn recorded_after(&mut self) -> Result<(), Problem> {
        self.chapter("Recorded again");
        self.write("after.csv", recordings::after().as_bytes())?;
        let answer = self.enter(26, &["recording:after=after.csv"])?;
        self.say(format!("  {} that it is fixed", pages::say::chance(answer.p_fixed)));
        Ok(())
    }

    pub(super) fn driven(&mut self) -> Result<(), Problem> {
        self.chapter("A short drive proves little");
        let answer = self.enter(27, &["proof:short-drive=clear"])?;
        self.p_after_drive = answer.p_fixed;
        self.say(format!("  {} that it is fixed", pages::say::chance(answer.p_fixed)));
        self.advice()
    }

    pub(super) fn handed_over(&mut self) -> Result<(), Problem> {
        self.chapter("Handed over on trial");
        let mut said = HandOver {
            odometer_km: Some(184_356.0),
            charged: None,
            trial: Some(
                "Trial of 525 km from 184 356 km. Ring at once if the lamp or the weakness is \
                 back; nobody clears codes. We ring after a week."
                    .to_owned(),
            ),
        };
        match self.bay.hand_over(&self.job.clone(), &said) {
            Err(problem) if problem.kind == "loose-ends" => {
                self.say(format!("  refused: {problem}"));
            }
            Err(problem) => return Err(problem),
            Ok(_) => {
                return Err(Problem::could_not("story", "the hand-over was not refused"));
            }
        }
        self.enter(4, &["duty:self-tests"])?;
        self.wait(5);
        let shown = self.bay.show(&self.job.clone())?;
        if shown.spent > self.quoted {
            said.charged = Some(self.quoted);
            let over = pages::say::money(shown.spent - self.quoted, &shown.currency);
            self.say(format!("  {over} more than was said: not charged"));
        }
        let answer = self.bay.hand_over(&self.job.clone(), &said)?;
        self.say(format!("  handed over: {}", answer.words));
        for remark in &answer.remarks {
            self.say(format!("    note: {remark}"));
        }
        let to_pay = said.charged.unwrap_or(answer.spent);
        self.say(format!("  to pay: {}", pages::say::money(to_pay, &answer.currency)));
        if let Some(papers) = &answer.papers {
            self.write("owner.pdf", &papers.owner)?;
            self.write("file.pdf", &papers.file)?;
        }
        Ok(())
    }

    pub(super) fn followed_up(&mut self) -> Result<(), Problem> {
        self.chapter("A week later");
        self.wait(WEEK_MIN);
        let list = self.bay.to_ask()?;
        for one in &list.ask {
            self.say(format!(
                "  to ask: {}, {}; settled by {}",
                one.owner, one.phone, one.settles
            ));
        }
        let answer = self.bay.follow_up(
            &self.job.clone(),
            &Told {
                odometer_km: Some(184_881.0),
                km: None,
                lamp: Some(false),
                cleared: Some(false),
                words: "No lamp, and it pulls up the hill again.".to_owned(),
                how: "phone".to_owned(),
            },
        )?;
        self.p_at_end = answer.p_fixed;
        if let Some(km) = answer.counted_km {
            let km = pages::say::distance(km, pages::Shown::Metric);
            self.say(format!("  {km} clear: {}", answer.words));
        }
        if answer.settled {
            self.say("  nobody needs to be asked again");
        }
        Ok(())
    }

    /// Another van stays on hand, so that the screens have one to show.
    pub(super) fn next_van(&mut self) -> Result<(), Problem> {
        self.chapter("The next van, still on hand");
        let answer = self.bay.new_job(&NewJob {
            sheet: Some(self.sheet.clone()),
            plate: "QX 2209 M".to_owned(),
            vehicle: "Four-cylinder diesel van, short wheelbase".to_owned(),
            owner: Owner {
                name: "Ivo Tarnwell".to_owned(),
                phone: "000 555 0163".to_owned(),
            },
            complaint: "No pull in top gear since yesterday, lamp on.".to_owned(),
            codes: vec!["P0299".to_owned()],
            odometer_km: Some(97_450.0),
            authorised: Some(250.0),
            ..NewJob::default()
        })?;
        let closed = std::mem::replace(&mut self.job, answer.job);
        self.enter(3, &["before:odometer=97450", "code:P0299=stored"])?;
        self.enter(2, &["check:ask-when=load", "check:other-codes=none"])?;
        self.advice()?;
        self.job = closed;
        Ok(())
    }
}
