//! The typed forms of what happened.

use job::body::{
    AlsoAnswer, Before, CapMove, CodeState, FastenerState, HoleAt, Measured, SealState,
    Tightened, Urgency, WaitFor,
};
use serde::de::DeserializeOwned;
use serde_json::Value;
use units::Unit;

use super::{CheckSaid, Happened};
use crate::{Problem, typed};

/// The forms, for a hint.
const FORMS: &str = "check:ID=OUTCOME, check:ID=skip, check:ID@7.9ohm, repair:ID, \
     proof:ID=clear|shown, off:ITEM, on:ITEM, fastener:ITEM/ID=missing, seal:ITEM/ID=found, \
     cap:ITEM=fitted|removed, fluid:ID=in|out, snag:ITEM, measure:ITEM/ID@0.14mm, duty:ID, \
     tick:WORD, seen:soon=TEXT, answer:N=later, code:P0299, erased, before:odometer=VALUE, \
     authorised=SUM, declined:WHAT, refused:WHAT, note=TEXT, waiting:WHOM, accept:END=WORDS, \
     settle:END, raise=TEXT, part:REPAIR=ordered|came, recording:before=FILE, photo=FILE, \
     holes:PHOTO=ID/1@0.3x0.4, comeback=same|other";

/// `key=value` entries.
type Given<'a> = Vec<(&'a str, String)>;

type Files<'a> = &'a mut dyn FnMut(&str) -> Result<Vec<u8>, Problem>;

pub(super) fn happened(text: &str, file: Files<'_>) -> Result<Happened, Problem> {
    let text = text.trim();
    let cut = text.find([':', '=']).unwrap_or(text.len());
    let (word, rest) = text.split_at(cut);
    let body = rest.get(1..).unwrap_or("");
    let valued = rest.starts_with('=');
    match (word, valued) {
        ("check", false) => check(body),
        ("repair", false) => Ok(Happened::Repair(id(body)?)),
        ("proof", false) => proof(body),
        ("off", false) => Ok(Happened::Off(id(body)?)),
        ("on", false) => on(body),
        ("fastener", false) => fastener(body),
        ("seal", false) => seal(body),
        ("cap", false) => cap(body),
        ("fluid", false) => fluid(body),
        ("snag", false) => snag(body),
        ("measure", false) => measure(body),
        ("duty", false) => Ok(Happened::Duty(id(body)?)),
        ("tick", false) => Ok(Happened::Tick(id(body)?)),
        ("seen", false) => seen(body),
        ("answer", false) => answer(body),
        ("code", false) => code(body),
        ("erased", _) => Ok(Happened::Erased(typed::entries(&[body.to_owned()]))),
        ("before", false) => before(body),
        ("authorised", true) => authorised(body),
        ("declined", false) => Ok(Happened::Declined(id(body)?)),
        ("refused", false) => Ok(Happened::Refused(id(body)?)),
        ("note", true) => Ok(Happened::Note(id(body)?)),
        ("waiting", false) => Ok(Happened::Waiting(one_of::<WaitFor>(
            body,
            "me, owner, part, lift, cooling, trial",
        )?)),
        ("accept" | "settle", false) => end(word, body),
        ("raise", _) => raise(body, valued),
        ("part", false) => part(body),
        ("recording", false) => recording(body, file),
        ("photo", _) => photo(body, valued, file),
        ("holes", false) => holes(body),
        ("comeback", true) => match body {
            "same" => Ok(Happened::Comeback { same: true }),
            "other" => Ok(Happened::Comeback { same: false }),
            _ => Err(wrong(body, "same or other")),
        },
        _ => Err(Problem::wrong(
            "form",
            format!("`{text}` is nothing that can be recorded"),
        )
        .hint(FORMS)),
    }
}

fn wrong(given: &str, right: &str) -> Problem {
    let what = match given.trim() {
        "" => "something is left out: no word or number stands there".to_owned(),
        given => format!("`{given}` is not understood here"),
    };
    Problem::wrong("form", what).hint(right)
}

fn id(text: &str) -> Result<String, Problem> {
    let text = text.trim();
    if text.is_empty() {
        return Err(wrong(text, "it goes behind the sign, as in repair:ID or note=TEXT"));
    }
    Ok(text.to_owned())
}

/// A word of a kebab-case enum.
fn one_of<T: DeserializeOwned>(word: &str, known: &str) -> Result<T, Problem> {
    serde_json::from_value(Value::String(word.trim().to_owned()))
        .map_err(|_| wrong(word, known))
}

fn number(text: &str) -> Result<f64, Problem> {
    typed::amount(text).map_err(|what| wrong(text, &what))
}

fn whole(text: &str) -> Result<u32, Problem> {
    text.trim().parse().map_err(|_| wrong(text, "a whole number"))
}

/// `NAME=VALUE` cut at the first `=`.
fn pair(text: &str) -> (&str, Option<&str>) {
    text.split_once('=')
        .map_or((text, None), |(name, value)| (name.trim(), Some(value.trim())))
}

/// A first word and `key=value` entries behind commas; an entry without `=` belongs to the
/// text before it.
fn options<'a>(text: &'a str, known: &[&str]) -> Result<(&'a str, Given<'a>), Problem> {
    let mut pieces = text.split(',');
    let first = pieces.next().unwrap_or("").trim();
    let mut given: Vec<(&str, String)> = Vec::new();
    for piece in pieces {
        match (piece.split_once('='), given.last_mut()) {
            (Some((key, value)), _) if known.contains(&key.trim()) => {
                given.push((key.trim(), value.trim().to_owned()));
            }
            (_, Some((_, text))) => {
                text.push(',');
                text.push_str(piece);
            }
            (_, None) => return Err(wrong(piece, &format!("{}=…", known.join("=…, ")))),
        }
    }
    Ok((first, given))
}

fn option<'a>(given: &'a [(&str, String)], key: &str) -> Option<&'a str> {
    given.iter().find(|(name, _)| *name == key).map(|(_, value)| value.as_str())
}

fn option_number(given: &[(&str, String)], key: &str) -> Result<Option<f64>, Problem> {
    option(given, key).map(number).transpose()
}

fn text_of(given: &[(&str, String)], keys: [&str; 2]) -> String {
    keys.iter().find_map(|key| option(given, key)).unwrap_or("").to_owned()
}

fn check(text: &str) -> Result<Happened, Problem> {
    if let Some((check, reading)) = text.split_once('@') {
        let said = CheckSaid::Reading(measured(reading, false)?);
        return Ok(Happened::Check { check: id(check)?, said });
    }
    let (check, outcome) = pair(text);
    let said = match outcome {
        None | Some("") => {
            return Err(wrong(text, "check:ID=OUTCOME, check:ID=skip, check:ID@7.9ohm"));
        }
        Some("skip") => CheckSaid::Skip,
        Some(outcome) => CheckSaid::Outcome(outcome.to_owned()),
    };
    Ok(Happened::Check { check: id(check)?, said })
}

fn measure(text: &str) -> Result<Happened, Problem> {
    let (named, reading) = text.split_once('@').ok_or_else(|| {
        let right = "measure:ITEM/ID@0.14mm, @0.14 in the sheet's unit, or @0.10..0.15 \
                     between two";
        wrong(text, right)
    })?;
    let (item, measure) = two_ids(named)?;
    Ok(Happened::Measure { item, measure, measured: measured(reading, true)? })
}

/// A value with its unit and what its judgement needs; a `bare` one may have no unit.
fn measured(text: &str, bare: bool) -> Result<Measured, Problem> {
    let known = ["accuracy", "digit", "leads", "meter", "part-c", "range", "repeat"];
    let (first, given) = options(text, &known)?;
    let typed::Read { value, below, unit } =
        typed::reading(first, bare).map_err(|what| wrong(first, &what))?;
    let repeats = option(&given, "repeat").map_or(Ok(Vec::new()), |list| {
        list.split(';')
            .map(|one| typed::number(one.trim()).map_err(|what| wrong(one, &what)))
            .collect()
    })?;
    let part_c = option(&given, "part-c")
        .map(|text| typed::number(text).map_err(|what| wrong(text, &what)))
        .transpose()?;
    Ok(Measured {
        value,
        below,
        unit: unit.map_or_else(String::new, Unit::symbol),
        accuracy: option(&given, "accuracy").map(str::to_owned),
        digit: option_number(&given, "digit")?,
        leads: option_number(&given, "leads")?,
        repeats,
        part_c,
        meter: option(&given, "meter").map(str::to_owned),
        range: option_number(&given, "range")?,
    })
}

fn proof(text: &str) -> Result<Happened, Problem> {
    let (proof, said) = pair(text);
    let (word, given) =
        options(said.unwrap_or(""), &["km", "min", "starts", "self-test"])?;
    let shown = match word {
        "clear" => false,
        "shown" => true,
        _ => {
            return Err(wrong(
                text,
                "proof:ID=clear or proof:ID=shown, with ,km=25 where it differs",
            ));
        }
    };
    let over = ["km", "min", "starts"];
    let exposure =
        over.iter().find_map(|key| option(&given, key)).map(number).transpose()?;
    let self_test = match option(&given, "self-test") {
        None => None,
        Some("ran") => Some(true),
        Some("not-run") => Some(false),
        Some(other) => return Err(wrong(other, "self-test=ran or self-test=not-run")),
    };
    Ok(Happened::Proof { proof: id(proof)?, shown, exposure, self_test })
}

fn on(text: &str) -> Result<Happened, Problem> {
    let (item, said) = pair(text);
    let (word, given) = options(said.unwrap_or(""), &["wrench"])?;
    let how = if word.is_empty() {
        None
    } else {
        Some(one_of::<Tightened>(word, "torque, torque-angle, by-feel, hand")?)
    };
    let wrench = option(&given, "wrench").map(str::to_owned);
    Ok(Happened::On { item: id(item)?, how, wrench })
}

fn two_ids(text: &str) -> Result<(String, String), Problem> {
    match text.split_once('/') {
        Some((item, part)) => Ok((id(item)?, id(part)?)),
        None => Err(wrong(text, "ITEM/ID")),
    }
}

fn fastener(text: &str) -> Result<Happened, Problem> {
    let (named, said) = pair(text);
    let (item, fastener) = two_ids(named)?;
    let (word, given) = options(said.unwrap_or(""), &["count", "note", "where"])?;
    let state = if word == "found" {
        FastenerState::FoundElsewhere
    } else {
        one_of(word, "missing, broken, replaced, left-over, found, back")?
    };
    let count = option(&given, "count").map_or(Ok(1), whole)?;
    let note = text_of(&given, ["note", "where"]);
    Ok(Happened::Fastener { item, fastener, state, count, note })
}

fn seal(text: &str) -> Result<Happened, Problem> {
    let (named, said) = pair(text);
    let (item, seal) = two_ids(named)?;
    let (word, given) = options(said.unwrap_or(""), &["count", "note", "where"])?;
    let state: SealState =
        one_of(word, "not-found, found, renewed, damaged, never-fitted")?;
    let count = option(&given, "count").map(whole).transpose()?;
    let note = text_of(&given, ["where", "note"]);
    Ok(Happened::Seal { item, seal, state, count, note })
}

fn cap(text: &str) -> Result<Happened, Problem> {
    let (item, said) = pair(text);
    let (word, given) = options(said.unwrap_or(""), &["count"])?;
    let moved: CapMove = one_of(word, "fitted, removed")?;
    let count = option(&given, "count").map_or(Ok(1), whole)?;
    Ok(Happened::Cap { item: id(item)?, moved, count })
}

fn fluid(text: &str) -> Result<Happened, Problem> {
    let (fluid, said) = pair(text);
    let (word, given) = options(said.unwrap_or(""), &["litres", "price"])?;
    let filled = match word {
        "in" => true,
        "out" => false,
        _ => return Err(wrong(text, "fluid:ID=in or fluid:ID=out, with ,litres=0.5")),
    };
    let litres = option_number(&given, "litres")?;
    Ok(Happened::Fluid {
        fluid: id(fluid)?,
        filled,
        litres,
        price: option_number(&given, "price")?,
    })
}

fn snag(text: &str) -> Result<Happened, Problem> {
    let (named, said) = pair(text);
    let (item, snag) = match named.split_once('/') {
        Some((item, place)) => (item, Some(whole(place)?.saturating_sub(1))),
        None => (named, None),
    };
    let known = ["min", "parts", "note"];
    let rest = said.map_or(String::new(), |said| format!(",{said}"));
    let (_, given) = options(&rest, &known)?;
    let given: Vec<(&str, String)> = given.clone();
    Ok(Happened::Snag {
        item: id(item)?,
        snag,
        minutes: option_number(&given, "min")?,
        parts: option_number(&given, "parts")?,
        note: text_of(&given, ["note", "note"]),
    })
}

fn seen(text: &str) -> Result<Happened, Problem> {
    let form = "seen:soon=TEXT or seen:soon@ITEM,part=24,min=3:TEXT";
    let cut = text.find(['=', '@']).ok_or_else(|| wrong(text, form))?;
    let (word, rest) = text.split_at(cut);
    let urgency: Urgency = one_of(word, "unsafe, soon, watch")?;
    if let Some(text) = rest.strip_prefix('=') {
        let text = id(text)?;
        return Ok(Happened::Seen {
            urgency,
            item: None,
            part: None,
            minutes: None,
            text,
        });
    }
    let (at, words) = rest
        .get(1..)
        .and_then(|rest| rest.split_once(':'))
        .ok_or_else(|| wrong(text, form))?;
    let (item, given) = options(at, &["part", "min"])?;
    Ok(Happened::Seen {
        urgency,
        item: Some(id(item)?),
        part: option_number(&given, "part")?,
        minutes: option_number(&given, "min")?,
        text: id(words)?,
    })
}

fn answer(text: &str) -> Result<Happened, Problem> {
    let (of, said) = pair(text);
    let (word, given) = options(said.unwrap_or(""), &["signed"])?;
    let answer: AlsoAnswer = one_of(word, "do-now, done, later, no")?;
    Ok(Happened::SeenAnswered {
        of: id(of)?,
        answer,
        signed: text_of(&given, ["signed", "signed"]),
    })
}

fn code(text: &str) -> Result<Happened, Problem> {
    let (code, said) = pair(text);
    let (word, given) = options(said.unwrap_or(""), &["frame"])?;
    let state = if word.is_empty() {
        CodeState::Stored
    } else {
        one_of(word, "stored, pending, permanent")?
    };
    Ok(Happened::Code {
        code: id(code)?.to_uppercase(),
        state,
        frame: text_of(&given, ["frame", "frame"]),
    })
}

fn before(text: &str) -> Result<Happened, Problem> {
    let (what, value) = pair(text);
    let known = "odometer, lamps, codes, freeze-frame, self-tests, battery-rest, battery-cranking, \
         battery-running, oil-level, fluid-look, recording, cold-start, damage, fuel-level, wheel-key";
    let what: Before = one_of(what, known)?;
    let value = value.unwrap_or("");
    let value = if value == "not-to-be-had" { "" } else { value };
    Ok(Happened::Before { what, value: value.to_owned() })
}

fn authorised(text: &str) -> Result<Happened, Problem> {
    let (sum, given) = options(text, &["how"])?;
    let how = option(&given, "how").unwrap_or("phone").to_owned();
    Ok(Happened::Authorised { sum: number(sum)?, how })
}

/// Ids of loose ends hold `:` and `/`, never `=`.
fn end(word: &str, text: &str) -> Result<Happened, Problem> {
    let (end, words) = pair(text);
    let (end, words) = (id(end)?, words.unwrap_or("").to_owned());
    match word {
        "settle" => Ok(Happened::Settle { end, words }),
        _ if words.is_empty() => Err(wrong(
            text,
            "accept:LOOSE-END=WORDS: it is accepted in writing, so say the words",
        )),
        _ => Ok(Happened::Accept { end, words }),
    }
}

fn raise(text: &str, valued: bool) -> Result<Happened, Problem> {
    let (of, words) = if valued {
        (None, Some(text))
    } else {
        let (of, words) = pair(text);
        (Some(of.to_owned()), words)
    };
    Ok(Happened::Raise { of, words: id(words.unwrap_or(""))? })
}

fn part(text: &str) -> Result<Happened, Problem> {
    let (repair, said) = pair(text);
    let repair = id(repair)?;
    match said {
        Some("ordered") => Ok(Happened::Ordered(repair)),
        Some("came") => Ok(Happened::Came { repair, wrong: false }),
        Some("wrong") => Ok(Happened::Came { repair, wrong: true }),
        _ => {
            Err(wrong(text, "part:REPAIR=ordered, part:REPAIR=came or part:REPAIR=wrong"))
        }
    }
}

fn recording(text: &str, file: Files<'_>) -> Result<Happened, Problem> {
    let form = "recording:before=FILE or recording:after=FILE, with ,check=ID,command=COLUMN,actual=COLUMN,time=COLUMN";
    let (when, said) = pair(text);
    let as_found = match when {
        "before" => true,
        "after" => false,
        _ => return Err(wrong(text, form)),
    };
    let known = ["check", "command", "actual", "time"];
    let (name, given) = options(said.ok_or_else(|| wrong(text, form))?, &known)?;
    let check = option(&given, "check").map(str::to_owned);
    let columns = given
        .iter()
        .filter(|(key, _)| *key != "check")
        .map(|(key, value)| ((*key).to_owned(), value.clone()))
        .collect();
    Ok(Happened::Recording { as_found, bytes: file(name)?, check, columns })
}

fn photo(text: &str, valued: bool, file: Files<'_>) -> Result<Happened, Problem> {
    let (of, said) = if valued {
        (None, Some(text))
    } else {
        let (of, said) = pair(text);
        (Some(of.to_owned()), said)
    };
    let said = said.ok_or_else(|| {
        wrong(text, "photo=FILE or photo:item:ID=FILE, with ,caption=TEXT")
    })?;
    let (name, given) = options(said, &["caption"])?;
    let caption = text_of(&given, ["caption", "caption"]);
    Ok(Happened::Photo { bytes: file(name)?, of, caption })
}

fn holes(text: &str) -> Result<Happened, Problem> {
    let form = "holes:PHOTO=FASTENER/1@0.31x0.42;FASTENER/2@…, shares of the width and the height";
    let (photo, said) = pair(text);
    let entries =
        said.unwrap_or("").split(';').map(str::trim).filter(|one| !one.is_empty());
    let hole = |entry: &str| -> Result<HoleAt, Problem> {
        let (named, place) = entry.split_once('@').ok_or_else(|| wrong(entry, form))?;
        let (fastener, hole) = two_ids(named)?;
        let (x, y) = place.split_once('x').ok_or_else(|| wrong(entry, form))?;
        let share =
            |text: &str| typed::share(text.trim()).map_err(|what| wrong(entry, &what));
        Ok(HoleAt { fastener, hole: whole(&hole)?, x: share(x)?, y: share(y)? })
    };
    let holes = entries.map(hole).collect::<Result<Vec<_>, _>>()?;
    Ok(Happened::Holes { photo: id(photo)?, holes })
}
