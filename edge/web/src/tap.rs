//! What is tapped: every form becomes what happened, is recorded once, and leads back.

use app::{
    Problem, Source,
    bay::{Bay, DidAnswer, HandOver, Happened, NewJob, Owner, PassOn},
    sheet_file,
};
use axum::{
    extract::{Form, Path, State},
    response::{IntoResponse, Redirect, Response},
};
use pages::Words;

use crate::{
    Shop,
    number::{amount, points},
    reference,
    route::trouble,
    shop::LANGUAGE,
    view::car_path,
};

/// The fields of a form in their order.
type Fields = Form<Vec<(String, String)>>;

/// The first field of that name, cleaned; empty where there is none.
pub(crate) fn field(fields: &[(String, String)], name: &str) -> String {
    let found = fields.iter().find(|(known, _)| known == name);
    found.map_or_else(String::new, |(_, text)| clean(text))
}

/// Text without control and direction-changing characters, its lines kept.
fn clean(text: &str) -> String {
    let lines: Vec<String> = Words::lines(text).iter().map(ToString::to_string).collect();
    lines.join("\n")
}

/// Something happened.
pub(crate) async fn did(
    State(shop): State<Shop>,
    Path(job): Path<String>,
    Form(fields): Fields,
) -> Response {
    let page = car_path(&job);
    let back = match field(&fields, "from").as_str() {
        from @ ("hand-over" | "tray") => format!("{page}/{from}"),
        _ => page,
    };
    let work = move |shop: &Shop, bay: &mut Bay| {
        let happened = happened(&fields)?;
        let tap = reference::of_entry(&field(&fields, "ref"), 0)?;
        let all_off = happened.iter().all(|thing| matches!(thing, Happened::Off(_)));
        let answer = if all_off && happened.len() > 1 {
            off_one_by_one(bay, &job, &happened, &tap)?
        } else {
            Some(bay.did(&job, &happened, Some(&tap))?)
        };
        if let Some(answer) = answer.filter(|answer| !answer.repeated) {
            shop.advise(bay, &answer.job, notes(&answer));
        }
        Ok(())
    };
    led(shop.at_bench(work).await.map(|()| back.clone()), &back)
}

/// What the fields say happened. A field that ends in `=` or `@` goes on with what was typed.
fn happened(fields: &[(String, String)]) -> Result<Vec<Happened>, Problem> {
    let said = field(fields, "say");
    let said = if said.is_empty() { field(fields, "otherwise") } else { said };
    let whats = fields.iter().filter(|(name, _)| name == "what");
    let read = whats.map(|(_, what)| {
        let what = clean(what);
        if what == "authorised=" {
            let sum = amount("Sum", &said)?.ok_or_else(|| {
                Problem::wrong("form", "no sum was typed")
                    .hint("the sum that the owner agreed to")
            })?;
            return Happened::parse(&format!("{what}{sum}"), &mut no_file);
        }
        if what.ends_with('@') {
            return Happened::parse(&(what + &points(&said)), &mut no_file);
        }
        if let Some(snag) = what.strip_suffix("=min=") {
            let minutes = amount("Minutes", &said)?;
            let text = minutes.map_or_else(
                || snag.to_owned(),
                |minutes| format!("{snag}=min={minutes}"),
            );
            return Happened::parse(&text, &mut no_file);
        }
        let text = if what.ends_with('=') { what + &said } else { what };
        Happened::parse(&text, &mut no_file)
    });
    let mut happened = read.collect::<Result<Vec<_>, _>>()?;
    for thing in &mut happened {
        if let Happened::Seen { item, part, minutes, .. } = thing {
            *item = Some(field(fields, "at")).filter(|at| !at.is_empty());
            *part = amount("Price of the part", &field(fields, "part"))?;
            *minutes = amount("Minutes", &field(fields, "minutes"))?;
        }
    }
    Ok(happened)
}

/// A form can't name a file of this machine.
fn no_file(_: &str) -> Result<Vec<u8>, Problem> {
    Err(Problem::wrong("form", "a file can't be named here")
        .hint("photos and recordings are entered on the command line"))
}

/// Items come off one by one: taking one off may imply another of them, which then is off
/// already. The answer of the last, with the remarks of all.
fn off_one_by_one(
    bay: &mut Bay,
    job: &str,
    happened: &[Happened],
    tap: &str,
) -> Result<Option<DidAnswer>, Problem> {
    let mut last: Option<DidAnswer> = None;
    for (place, thing) in (0_u8..=u8::MAX).zip(happened) {
        let Happened::Off(item) = thing else { continue };
        if bay.show(job)?.off.iter().any(|off| off.item == *item) {
            continue;
        }
        let own = reference::of_entry(tap, place)?;
        let mut answer = bay.did(job, std::slice::from_ref(thing), Some(&own))?;
        if let Some(before) = last {
            answer.remarks.splice(0..0, before.remarks);
            answer.new_loose_ends.splice(0..0, before.new_loose_ends);
            answer.repeated = answer.repeated && before.repeated;
        }
        last = Some(answer);
    }
    Ok(last)
}

/// What a tap gave rise to.
fn notes(answer: &DidAnswer) -> Vec<String> {
    let ends = answer.new_loose_ends.iter().map(|end| format!("Loose end: {}", end.what));
    answer.remarks.iter().cloned().chain(ends).collect()
}

/// Takes an entry back. The form names it, so that a second tap does not take back another.
pub(crate) async fn undo(
    State(shop): State<Shop>,
    Path(job): Path<String>,
    Form(fields): Fields,
) -> Response {
    let back = car_path(&job);
    let work = move |shop: &Shop, bay: &mut Bay| {
        let event = field(&fields, "event");
        let shown = bay.show(&job)?;
        let gone =
            |line: &app::bay::ShownEvent| line.event == event && line.fate != "counts";
        if shown.events.iter().any(gone) {
            return Ok(());
        }
        let answer = bay.withdraw(&job, &event)?;
        let mut notes: Vec<String> =
            answer.what.iter().map(|what| format!("Taken back: {what}")).collect();
        notes.extend(answer.remarks);
        shop.advise(bay, &answer.job, notes);
        Ok(())
    };
    led(shop.at_bench(work).await.map(|()| back.clone()), &back)
}

/// Works the next step out where something else than a tap here changed the job.
pub(crate) async fn next(State(shop): State<Shop>, Path(job): Path<String>) -> Response {
    let back = car_path(&job);
    let work = move |shop: &Shop, bay: &mut Bay| {
        let shown = bay.show(&job)?;
        if shop.kept(&shown).is_none_or(|kept| kept.next.is_none()) {
            shop.advise(bay, &shown.job, Vec::new());
        }
        Ok(())
    };
    led(shop.at_bench(work).await.map(|()| back.clone()), &back)
}

/// Takes a car in and advises its first step.
pub(crate) async fn new(State(shop): State<Shop>, Form(fields): Fields) -> Response {
    let work = move |shop: &Shop, bay: &mut Bay| {
        let answer = bay.new_job(&new_job(&fields)?)?;
        shop.advise(bay, &answer.job, answer.remarks);
        Ok(car_path(&answer.job))
    };
    led(shop.at_bench(work).await, "/new")
}

fn new_job(fields: &[(String, String)]) -> Result<NewJob, Problem> {
    let text = |name: &str| field(fields, name);
    let typed = text("code").to_uppercase();
    // What was picked is `SHEET CODE`, or `none`; what was typed may name a sheet by its code.
    let picked = text("sheet");
    let (sheet, code) = match picked.split_once(' ') {
        Some((sheet, code)) => (Some(sheet.to_owned()), code.to_owned()),
        None if picked == "none" => (None, String::new()),
        None => (sheet_of_code(&typed), String::new()),
    };
    let codes = [code, typed].into_iter().filter(|code| !code.is_empty());
    let mut codes: Vec<String> = codes.collect();
    codes.dedup();
    Ok(NewJob {
        sheet: sheet.as_deref().map(library_text).transpose()?,
        plate: text("plate"),
        vehicle: text("vehicle"),
        owner: Owner { name: text("owner"), phone: text("phone") },
        complaint: text("complaint"),
        codes,
        odometer_km: amount("Odometer", &text("odometer"))?,
        authorised: amount("Sum", &text("sum"))?,
        tap: Some(reference::of_entry(&text("ref"), 0)?),
        ..NewJob::default()
    })
}

fn sheet_of_code(code: &str) -> Option<String> {
    let sheets = sheet_file::list(LANGUAGE).sheets;
    let of_code =
        |sheet: &&sheet_file::ListedSheet| sheet.codes.iter().any(|own| own == code);
    sheets.iter().find(of_code).map(|sheet| sheet.id.clone())
}

fn library_text(id: &str) -> Result<String, Problem> {
    let unknown = || Problem::wrong("no-sheet", "the library has no such sheet");
    if !sheet_file::list(LANGUAGE).sheets.iter().any(|sheet| sheet.id == id) {
        return Err(unknown());
    }
    let loaded = sheet_file::load(&Source::from(std::path::PathBuf::from(id)));
    loaded.map(|loaded| loaded.text).map_err(|_| unknown())
}

/// Hands the car over; a second tap finds that it is done.
pub(crate) async fn hand_over(
    State(shop): State<Shop>,
    Path(job): Path<String>,
    Form(fields): Fields,
) -> Response {
    let back = car_path(&job);
    let work = move |_: &Shop, bay: &mut Bay| {
        if bay.show(&job)?.state != "on-hand" {
            return Ok(());
        }
        let said = HandOver {
            odometer_km: amount("Odometer", &field(&fields, "odometer"))?,
            charged: amount("Charged", &field(&fields, "charged"))?,
            trial: Some(field(&fields, "trial")).filter(|terms| !terms.is_empty()),
        };
        bay.hand_over(&job, &said).map(|_| ())
    };
    let blocked = format!("{back}/hand-over");
    led(shop.at_bench(work).await.map(|()| back), &blocked)
}

/// Passes the car on; a second tap finds that it is done.
pub(crate) async fn pass_on(
    State(shop): State<Shop>,
    Path(job): Path<String>,
    Form(fields): Fields,
) -> Response {
    let back = car_path(&job);
    let work = move |_: &Shop, bay: &mut Bay| {
        if bay.show(&job)?.state != "on-hand" {
            return Ok(());
        }
        let to = field(&fields, "to");
        let charged = amount("Charged", &field(&fields, "charged"))?;
        bay.pass_on(&job, &PassOn { to, charged }).map(|_| ())
    };
    let blocked = format!("{back}/hand-over");
    led(shop.at_bench(work).await.map(|()| back), &blocked)
}

/// Leads on to a page, or says what went wrong with a way back.
fn led(to: Result<String, Problem>, back: &str) -> Response {
    match to {
        Ok(to) => Redirect::to(&to).into_response(),
        Err(problem) => trouble(&problem, Some(back)),
    }
}
