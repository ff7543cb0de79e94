//! Bodies of what is said about the job: sums, loose ends, notes, parts on order.

use job::{
    Body,
    body::{
        Authorised, Comeback, Declined, LooseEndAccepted, LooseEndRaised,
        LooseEndSettled, Note, PartCame, PartOrdered, Refused, Waiting,
    },
};

use super::{Bay, Car, Happened, Planned, Problem, misplaced};
use crate::near::known_names;

impl Bay {
    #[expect(
        clippy::wildcard_enum_match_arm,
        reason = "`bodies` sends each kind to its own"
    )]
    pub(super) fn of_talk(
        &mut self,
        car: &Car,
        happened: &Happened,
    ) -> Result<Planned, Problem> {
        match happened {
            Happened::Authorised { sum, how } => Ok(Planned::of(Authorised {
                sum: *sum,
                currency: car.economy.currency.clone(),
                by: "owner".to_owned(),
                how: how.clone(),
                blob: None,
            })),
            Happened::Declined(what) => {
                car.action(what)?;
                let by = "owner".to_owned();
                Ok(Planned::of(Declined { what: what.clone(), by, blob: None }))
            }
            Happened::Refused(action) => {
                car.action(action)?;
                Ok(Planned::of(Refused { action: action.clone(), why: None }))
            }
            Happened::Note(text) => {
                Ok(Planned::of(Note { blob: self.keep(text.as_bytes())?, of: None }))
            }
            Happened::Waiting(wait_for) => {
                Ok(Planned::of(Waiting { wait_for: *wait_for }))
            }
            Happened::Accept { end, words } => {
                let of = open_end(car, end)?;
                let by = self.who.clone();
                Ok(Planned::of(LooseEndAccepted { of, by, blob: self.keep_text(words)? }))
            }
            Happened::Settle { end, words } => {
                let of = open_end(car, end)?;
                Ok(Planned::of(LooseEndSettled { of, how: self.keep_text(words)? }))
            }
            Happened::Raise { of, words } => {
                let item = of.as_deref().and_then(|of| of.strip_prefix("item:"));
                Ok(Planned::of(LooseEndRaised {
                    of: of.clone(),
                    text: self.keep_text(words)?,
                    blocks_refit: item.map(str::to_owned),
                    blocks_hand_over: true,
                }))
            }
            Happened::Ordered(repair) => ordered(car, repair),
            Happened::Came { repair, wrong } => came(car, repair, *wrong),
            Happened::Comeback { same } => Ok(Planned::of(Comeback {
                new_job: None,
                same_fault: *same,
                odometer_km: None,
            })),
            other => Err(misplaced(other)),
        }
    }
}

/// A loose end that is open, by its id or the beginning of it.
fn open_end(car: &Car, id: &str) -> Result<String, Problem> {
    let open: Vec<&str> = car.facts.open_ends().map(|end| end.id.as_str()).collect();
    if open.contains(&id) {
        return Ok(id.to_owned());
    }
    let begin: Vec<&&str> = open.iter().filter(|end| end.starts_with(id)).collect();
    match begin.as_slice() {
        [one] => Ok((**one).to_owned()),
        _ => Err(Problem::wrong(
            "unknown-id",
            format!("no open loose end is called `{id}`"),
        )
        .maybe_hint(known_names(id, open.iter().copied()))),
    }
}

/// The parts of a repair as an order.
fn ordered(car: &Car, id: &str) -> Result<Planned, Problem> {
    let (_, repair) = car.repair(id)?;
    let mut planned = Planned::default();
    for part in &repair.parts {
        planned.main.push(
            PartOrdered {
                title: part.title.in_language(&car.language).to_owned(),
                number: part.number.clone(),
                count: part.count,
                price: Some(part.price),
                repair: Some(id.to_owned()),
                lead_h: part.lead_h,
                return_by: None,
                deposit: part.deposit,
            }
            .into(),
        );
        if part.returnable == Some(false) {
            planned.remarks.push(format!(
                "{} can't be sent back",
                part.title.in_language(&car.language)
            ));
        }
    }
    if planned.main.is_empty() {
        let title = repair.title.in_language(&car.language).to_owned();
        let price = Some(repair.parts_price);
        let repair = Some(id.to_owned());
        planned.main.push(
            PartOrdered { title, count: 1.0, price, repair, ..PartOrdered::default() }
                .into(),
        );
    }
    Ok(planned)
}

fn came(car: &Car, id: &str, wrong: bool) -> Result<Planned, Problem> {
    let waiting =
        car.facts.parts.iter().filter(|part| {
            part.part.repair.as_deref() == Some(id) && part.came.is_none()
        });
    let main: Vec<Body> = waiting
        .map(|part| PartCame { of: part.id.clone(), wrong, note: None }.into())
        .collect();
    if main.is_empty() {
        return Err(Problem::wrong(
            "no-order",
            format!("no part for `{id}` is on order"),
        )
        .hint(format!("part:{id}=ordered first")));
    }
    Ok(Planned { main, ..Planned::default() })
}
