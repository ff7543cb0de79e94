//! The story to the strip-down: taken in, looked at, recorded, the owner asked.

use sheet::EconomyOverrides;

use super::{recordings, told::Telling};
use crate::bay::{NewJob, Owner, Problem};

impl Telling {
    pub(super) fn taken_in(&mut self) -> Result<(), Problem> {
        self.chapter("A van comes in with its lamp on");
        let answer = self.bay.new_job(&NewJob {
            sheet: Some(self.sheet.clone()),
            plate: "QX 4417 Z".to_owned(),
            vehicle: "Four-cylinder diesel van, long wheelbase".to_owned(),
            owner: Owner {
                name: "Mara Quillfeder".to_owned(),
                phone: "000 555 0142".to_owned(),
            },
            complaint:
                "Weak uphill with a load, lamp on twice in about 400 km; after a restart \
                        it goes again for a while."
                    .to_owned(),
            codes: vec!["P0299".to_owned()],
            odometer_km: Some(184_320.0),
            family: Some("boost-vane-diesel".to_owned()),
            economy: EconomyOverrides {
                pass_on: Some(700.0),
                ..EconomyOverrides::default()
            },
            authorised: Some(120.0),
            ..NewJob::default()
        })?;
        self.job.clone_from(&answer.job);
        self.say(format!(
            "  job {}, plate QX 4417 Z: \u{201c}look, up to 120\u{201d}",
            answer.job
        ));
        self.advice()?;
        self.say("  before anything is touched:");
        self.enter(
            3,
            &[
                "before:odometer=184320",
                "code:P0299=stored,frame=2150/min, load 84 %, coolant 88 °C, third gear uphill",
                "before:self-tests=boost control not complete, others complete",
                "before:battery-rest=12.6",
                "before:oil-level=0.8",
                "before:lamps=engine lamp",
            ],
        )?;
        Ok(())
    }

    pub(super) fn looked_at(&mut self) -> Result<(), Problem> {
        self.chapter("Looking, the cheap things first");
        self.enter(2, &["check:ask-when=load", "check:other-codes=none"])?;
        self.enter(3, &["check:key-on-compare@0.6kPa,accuracy=0.3kPa"])?;
        self.enter(7, &["check:look-over=nothing"])?;
        self.enter(5, &["check:rod-stroke=short"])?;
        self.odds()?;
        self.advice()?;
        self.say("  the vacuum gauge leaks at its own hose today:");
        self.enter(6, &["check:vac-gauge=skip"])?;
        self.enter(18, &["check:hand-pump=sticks"])?;
        self.odds()
    }

    pub(super) fn recorded_before(&mut self) -> Result<(), Problem> {
        self.chapter("Recorded as found");
        self.write("before.csv", recordings::before().as_bytes())?;
        self.enter(4, &["on:pod-hose"])?;
        self.enter(26, &["recording:before=before.csv"])?;
        self.enter(7, &["check:egr-shut=shut"])?;
        self.odds()
    }

    pub(super) fn asked_the_owner(&mut self) -> Result<(), Problem> {
        self.chapter("The owner decides");
        let quote = self.bay.quote(&self.job.clone())?;
        self.say(format!("  quote: {}", quote.say));
        self.quoted = quote.not_above_in_all.ceil();
        if let Some(at) = &quote.first_break {
            self.say(format!("  the 120 would be passed by: {}", at.title));
        }
        self.advice()?;
        let options = self.bay.options(&self.job.clone())?;
        for option in &options.options {
            let price =
                pages::say::usually(option.price, option.not_above, &options.currency);
            let holds =
                option.holds.map_or_else(|| "not known".to_owned(), pages::say::chance);
            self.say(format!("  {}: {price} in all; holds: {holds}", option.title));
            self.say(format!("    if it does not hold: {}", option.if_fails));
        }
        self.say("  Mara Quillfeder: \u{201c}Clean it. Up to 420, then ring me.\u{201d}");
        self.enter(9, &["authorised=420,how=phone", "declined:repair:exchange-turbo"])?;
        self.advice()
    }

    pub(super) fn stripped_and_cleaned(&mut self) -> Result<(), Problem> {
        self.chapter("Stripped and cleaned");
        self.enter(22, &["off:heat-shield"])?;
        self.say("  one of its bolts does not move:");
        self.enter(
            12,
            &[
                "snag:heat-shield",
                "fastener:heat-shield/shield-bolt=broken",
                "fastener:heat-shield/shield-bolt=replaced",
            ],
        )?;
        self.enter(3, &["off:pipe-bracket"])?;
        self.enter(5, &["off:pressure-pipe"])?;
        self.enter(1, &["off:pod-hose"])?;
        let labels =
            self.bay.labels(&self.job.clone(), &report::LabelSheet::default())?;
        self.write("labels.pdf", &labels)?;
        self.enter(80, &["repair:clean-vanes"])?;
        self.say("  on the way:");
        self.enter(
            2,
            &["seen:soon@undertray,part=38,min=25:Lower engine mount is soft; the engine rocks under load"],
        )?;
        let seen = self.bay.show(&self.job.clone())?;
        self.say(format!(
            "  spent so far: {}",
            pages::say::money(seen.spent, &seen.currency)
        ));
        self.enter(4, &["answer:1=later"])?;
        Ok(())
    }
}
