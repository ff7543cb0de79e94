//! `next`: the step to take now, with all that a repairer wants to know before it.

use job::{
    Body,
    body::{self, Advised, Before, CodeState},
};
use plan::PlanAnswer;
use schemars::JsonSchema;
use serde::Serialize;
use sheet::{CheckIx, ItemSet, Text};

use super::{
    Bay, Problem, Ring,
    advice::{Wanted, bill_of, off_at},
    car::{Car, ItemName, LooseEndLine, OddsWords},
    measures::{self, MeasureLine},
    owner::ring,
    said::{CautionText, cautions},
    show::before_word,
};
use crate::Answer;

/// Name and version of the program, for the log.
pub(super) const PROGRAM: &str = concat!("witmark ", env!("CARGO_PKG_VERSION"));

/// What may come out of a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Outcome {
    /// Its id, as `did` takes it.
    pub id: String,
    /// What the repairer taps.
    pub title: String,
    /// What it leads to; null: not worked out.
    pub then: Option<String>,
}

/// The step to take now.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepNow {
    /// check, repair, proof, close, pass-on or ring-owner.
    pub kind: String,
    /// Its id; the kind where it has none.
    pub id: String,
    /// What to do.
    pub title: String,
    /// How, one entry a line.
    pub how: Vec<String>,
    /// Index into its ways in.
    pub way: usize,
    /// Minutes of the step itself, waiting in.
    pub minutes: f64,
    /// Minutes of getting there, mean.
    pub move_minutes: f64,
    /// What the step itself puts on the bill, money.
    pub act_money: f64,
    /// What getting there puts on the bill, money, mean.
    pub move_money: f64,
    /// What comes off first.
    pub strip: Vec<ItemName>,
    /// What goes back first.
    pub refit: Vec<ItemName>,
    /// Equipment.
    pub needs: Vec<String>,
    /// What can hurt, with its text.
    pub cautions: Vec<CautionText>,
    /// What may come out.
    pub outcomes: Vec<Outcome>,
    /// Why this.
    pub why: String,
}

/// A line of perishable evidence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct NoteFirst {
    /// Its word, for `before:`.
    pub what: String,
    /// In words.
    pub title: String,
    /// Whether it is still to be noted.
    pub open: bool,
}

/// A check to answer before a part is renewed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct RootOpen {
    /// The suspect.
    pub suspect: String,
    /// The check.
    pub check: String,
    /// Its title.
    pub title: String,
}

/// Answer `next/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NextAnswer {
    /// The job.
    pub job: String,
    /// Its plate; null: not known.
    pub plate: Option<String>,
    /// The step; null where nothing is left to advise.
    pub step: Option<StepNow>,
    /// Why the owner is rung first; null: no need.
    pub ring: Option<Ring>,
    /// The step that waits for the owner's yes; null: none does.
    pub after_ring: Option<String>,
    /// What to note before anything is touched; empty once something was.
    pub note_first: Vec<NoteFirst>,
    /// What this step makes impossible later: do it first, or let it go.
    pub spoils: Vec<String>,
    /// Checks to answer before the part is renewed.
    pub root: Vec<RootOpen>,
    /// Why the engine must not be started; empty: it may.
    pub do_not_start: Vec<String>,
    /// What is off now.
    pub off: Vec<ItemName>,
    /// Open loose ends.
    pub loose_ends: Vec<LooseEndLine>,
    /// Odds now.
    pub odds: Vec<OddsWords>,
    /// Probability that it is fixed.
    pub p_fixed: f64,
    /// Spent so far, money.
    pub spent: f64,
    /// What the owner agreed to, money.
    pub authorised: Option<f64>,
    /// ISO 4217 code.
    pub currency: String,
    /// Expected cost of the plan, money; null without one.
    pub expected_cost: Option<f64>,
    /// No plan costs less, money.
    pub lower_bound: Option<f64>,
    /// Whether no better plan exists on this sheet's numbers.
    pub proven: Option<bool>,
    /// What the job waits for.
    pub waits_for: Option<String>,
    /// Remarks.
    pub remarks: Vec<String>,
    /// What is still to be measured at what is off or comes off for this step.
    pub measures: Vec<MeasureLine>,
}

impl Answer for NextAnswer {
    const NAME: &'static str = "next/1";
}

impl Bay {
    /// The next step; the advice is logged once for each state of the job.
    ///
    /// # Errors
    /// No such job, or the store fails.
    pub fn next(&mut self, name: &str) -> Result<NextAnswer, Problem> {
        let job = self.find(name)?;
        let car = Car::load(self, &job)?;
        let mut answer = standing(&car);
        if car.facts.closed() {
            answer
                .remarks
                .push("this job is closed: what is left is to ask the owner".to_owned());
            return Ok(answer);
        }
        if !car.has_sheet {
            answer.remarks.push(
                "this job has no sheet: tray, torque, photos and papers work, advice does not"
                    .to_owned(),
            );
            return Ok(answer);
        }
        let plan = self.advise(&car, Wanted::default())?;
        self.log_advice(&car, &plan)?;
        fill(&mut answer, &car, &plan);
        Ok(answer)
    }

    /// Logs the advice unless the same was said from the same.
    fn log_advice(&mut self, car: &Car, plan: &PlanAnswer) -> Result<(), Problem> {
        if car.facts.read_only {
            return Ok(());
        }
        let inputs = serde_json::to_value(&plan.inputs)
            .map_err(|error| Problem::could_not("json", error))?;
        let advised = Advised {
            inputs: body::without_nulls(inputs),
            next: body::Next {
                kind: plan.next.kind.clone(),
                id: plan.next.id.clone(),
                way: u32::try_from(plan.next.way).ok(),
            },
            expected_cost: plan.expected_cost,
            lower_bound: plan.lower_bound,
            proven: plan.proven,
            currency: plan.currency.clone(),
            program: PROGRAM.to_owned(),
        };
        let said = car.facts.advised.as_ref().is_some_and(|last| {
            let last = &last.what;
            last.inputs == advised.inputs
                && last.next == advised.next
                && last.program == advised.program
        });
        if said {
            return Ok(());
        }
        self.append(&car.job, Body::from(advised)).map(|_| ())
    }
}

/// How the job stands, without a plan.
fn standing(car: &Car) -> NextAnswer {
    NextAnswer {
        job: car.job.clone(),
        plate: Some(car.vehicle.plate.clone()).filter(|plate| !plate.is_empty()),
        step: None,
        ring: None,
        after_ring: None,
        note_first: note_first(car),
        spoils: Vec::new(),
        root: Vec::new(),
        do_not_start: car.facts.do_not_start.clone(),
        off: car.facts.off.iter().map(|item| car.item_name(item)).collect(),
        measures: measures::open(car, ItemSet::EMPTY),
        loose_ends: car.loose_ends(),
        odds: car.odds_words(),
        p_fixed: car.odds.fixed(),
        spent: car.spent(),
        authorised: car.facts.authorised.as_ref().map(|said| said.what.sum),
        currency: car.economy.currency.clone(),
        expected_cost: None,
        lower_bound: None,
        proven: None,
        waits_for: car.facts.waits.as_ref().map(|waits| waits.wait_for.word().to_owned()),
        remarks: car.remarks.clone(),
    }
}

fn fill(answer: &mut NextAnswer, car: &Car, plan: &PlanAnswer) {
    let next = &plan.next;
    let off = off_at(car, next);
    let back = if matches!(next.kind.as_str(), "close" | "pass-on") {
        ItemSet::EMPTY
    } else {
        off
    };
    let step = step_now(car, plan, back);
    answer.measures = measures::open(car, back);
    answer.expected_cost = Some(plan.expected_cost);
    answer.lower_bound = Some(plan.lower_bound);
    answer.proven = Some(plan.proven);
    answer.spoils = spoils(car, &next.kind, &next.id);
    if next.kind == "repair" {
        answer.root = root_open(car, &next.id);
    }
    answer.remarks.extend(
        plan.remarks.iter().filter(|remark| !remark.starts_with("over_limit:")).cloned(),
    );
    let money = (answer.spent, step.act_money + step.move_money, car.put_back(back));
    answer.ring =
        answer.authorised.and_then(|sum| ring(&step.title, money, sum, &answer.currency));
    if answer.authorised.is_none() {
        answer
            .remarks
            .push("the owner has agreed to no sum yet: authorised=SUM".to_owned());
    }
    answer.step = Some(match &answer.ring {
        None => step,
        Some(ring) => {
            answer.after_ring = Some(step.title.clone());
            ring_owner(ring, &step)
        }
    });
}

fn ring_owner(ring: &Ring, step: &StepNow) -> StepNow {
    let outcomes = [
        ("authorised=SUM", "Agreed, up to a new sum"),
        ("declined:more", "Nothing more"),
        ("waiting:owner", "Could not be reached"),
    ];
    StepNow {
        kind: "ring-owner".to_owned(),
        id: "ring-owner".to_owned(),
        title: "Ring the owner".to_owned(),
        how: vec![ring.say.clone()],
        way: 0,
        minutes: 0.0,
        move_minutes: 0.0,
        act_money: 0.0,
        move_money: 0.0,
        strip: Vec::new(),
        refit: Vec::new(),
        needs: Vec::new(),
        cautions: Vec::new(),
        outcomes: outcomes
            .into_iter()
            .map(|(id, title)| Outcome {
                id: id.to_owned(),
                title: title.to_owned(),
                then: None,
            })
            .collect(),
        why: format!("\u{201c}{}\u{201d} could pass the sum that is agreed", step.title),
    }
}

fn step_now(car: &Car, plan: &PlanAnswer, back: ItemSet) -> StepNow {
    let next = &plan.next;
    let (how, needs) = instructions(car, &next.kind, &next.id);
    let named = |set: ItemSet| set.iter().map(|item| car.item_name(item)).collect();
    let off = car.off();
    let to = if back.is_empty() { off_at(car, next) } else { back };
    let outcomes = next.outcomes.iter().map(|outcome| Outcome {
        id: outcome.id.clone(),
        title: outcome.title.clone(),
        then: outcome.then.as_ref().map(|then| match then.kind.as_str() {
            "close" => "Hand over".to_owned(),
            "pass-on" => "Pass it on".to_owned(),
            kind => car.title(kind, &then.id),
        }),
    });
    StepNow {
        kind: next.kind.clone(),
        id: next.id.clone(),
        title: next.title.clone(),
        how: how
            .lines()
            .map(str::trim)
            .filter(|l| !l.is_empty())
            .map(str::to_owned)
            .collect(),
        way: next.way,
        minutes: next.act.minutes,
        move_minutes: next.moving.minutes,
        act_money: bill_of(car, &next.kind, &next.id),
        move_money: next.moving.cost,
        strip: named(to.minus(off)),
        refit: named(off.minus(to)),
        needs: needs.to_vec(),
        cautions: cautions(&next.cautions),
        outcomes: outcomes.collect(),
        why: next.why.clone(),
    }
}

fn instructions<'c>(car: &'c Car, kind: &str, id: &str) -> (&'c str, &'c [String]) {
    let sheet = &car.sheet;
    let found: Option<(&Text, &Vec<String>)> = match kind {
        "check" => sheet.checks.iter().find(|e| e.id == id).map(|e| (&e.how, &e.needs)),
        "repair" => sheet.repairs.iter().find(|e| e.id == id).map(|e| (&e.how, &e.needs)),
        "proof" => sheet.proofs.iter().find(|e| e.id == id).map(|e| (&e.how, &e.needs)),
        _ => None,
    };
    found.map_or(("", &[][..]), |(how, needs)| {
        (how.in_language(&car.language), needs.as_slice())
    })
}

/// Checks that the step spoils and that are still to be done.
fn spoils(car: &Car, kind: &str, id: &str) -> Vec<String> {
    let spoiled: &[CheckIx] = match kind {
        "check" => car
            .sheet
            .checks
            .iter()
            .find(|e| e.id == id)
            .map_or(&[][..], |e| e.spoils.as_slice()),
        "repair" => car
            .sheet
            .repairs
            .iter()
            .find(|e| e.id == id)
            .map_or(&[][..], |e| e.spoils.as_slice()),
        _ => &[],
    };
    spoiled
        .iter()
        .filter(|check| car.odds.done.checks & weigh::bit(check.at()) == 0)
        .filter_map(|check| car.sheet.checks.get(check.at()))
        .map(|check| check.title.in_language(&car.language).to_owned())
        .collect()
}

/// Root checks of the suspects that a repair puts right, not yet answered, where the repair
/// renews something (a part is priced) and the suspect is still likely at all.
pub(super) fn root_open(car: &Car, repair: &str) -> Vec<RootOpen> {
    let Some(repair) = car.sheet.repairs.iter().find(|entry| entry.id == repair) else {
        return Vec::new();
    };
    let suspects = car.sheet.suspects.iter().enumerate();
    let mut open: Vec<RootOpen> = Vec::new();
    for (at, suspect) in suspects {
        let meant = repair.fixes.get(at).is_some_and(|fixes| *fixes > 0.0)
            && car.odds.present.get(at).is_some_and(|p| *p > WORTH_ASKING);
        for check in suspect.root.iter().filter(|check| meant && !car.seen(**check)) {
            let Some(check) = car.sheet.checks.get(check.at()) else { continue };
            if open.iter().all(|known| known.check != check.id) {
                open.push(RootOpen {
                    suspect: suspect.id.clone(),
                    check: check.id.clone(),
                    title: check.title.in_language(&car.language).to_owned(),
                });
            }
        }
    }
    open
}

/// A suspect less likely than this is not asked why it died.
const WORTH_ASKING: f64 = 0.05;

/// What is perishable, as long as nothing was touched.
fn note_first(car: &Car) -> Vec<NoteFirst> {
    let touched = !car.facts.ever_off.is_empty()
        || !car.facts.tray.is_empty()
        || car.facts.done.iter().any(|done| done.kind == "repair")
        || car.facts.closed();
    if touched {
        return Vec::new();
    }
    let kinds = [
        Before::Odometer,
        Before::Lamps,
        Before::Codes,
        Before::FreezeFrame,
        Before::SelfTests,
        Before::BatteryRest,
        Before::OilLevel,
        Before::Recording,
        Before::Damage,
    ];
    kinds
        .into_iter()
        .map(|what| {
            let noted = car.facts.before.iter().any(|line| line.what.what == what);
            let otherwise = match what {
                Before::Odometer => car.facts.odometer_km.is_some(),
                Before::Codes => {
                    [CodeState::Stored, CodeState::Pending].iter().any(|state| {
                        let read =
                            car.facts.codes_read.iter().flat_map(|read| &read.what);
                        read.into_iter().any(|code| code.state == *state)
                    })
                }
                Before::FreezeFrame => car.facts.frame_noted,
                Before::Recording => {
                    car.facts.recordings.iter().any(|line| line.what.as_found)
                }
                Before::Damage => !car.facts.photos.is_empty(),
                Before::Lamps
                | Before::SelfTests
                | Before::BatteryRest
                | Before::BatteryCranking
                | Before::BatteryRunning
                | Before::OilLevel
                | Before::FluidLook
                | Before::ColdStart
                | Before::FuelLevel
                | Before::WheelKey => false,
            };
            let word = serde_json::to_value(what).ok();
            NoteFirst {
                what: word
                    .and_then(|w| w.as_str().map(str::to_owned))
                    .unwrap_or_default(),
                title: pages::say::sentence(before_word(what)),
                open: !noted && !otherwise,
            }
        })
        .collect()
}
