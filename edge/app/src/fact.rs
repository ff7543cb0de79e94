//! Facts as they are typed: `check:ID=OUTCOME`, `check:ID@7.9ohm`, `repair:ID`, `proof:ID=clear`.

use job::Fact;
use measure::{Accuracy, JudgeInput, Leads, Material, PartTemperature, judge};
use sheet::{Check, CheckIx, OutcomeIx, ProofIx, ReadingBands, RepairIx, Sheet};
use units::{Measured, Unit, parse_number};

use crate::near::known_names;
use crate::sheet_file::find_id;
use crate::{Problem, typed};

/// How a fact is written.
const FORMS: &str = "write check:ID=OUTCOME, check:ID=skip, check:ID@7.9ohm, repair:ID, \
                     proof:ID=clear or proof:ID=shown";

/// A fact with what should be known of how it was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct TypedFact {
    /// The fact.
    pub fact: Fact,
    /// Remarks on it.
    pub remarks: Vec<String>,
}

/// Reads facts against a sheet, in order.
///
/// # Errors
/// The first that is none.
pub fn facts(
    sheet: &Sheet,
    texts: &[String],
) -> Result<(Vec<Fact>, Vec<String>), Problem> {
    let (mut facts, mut remarks) = (Vec::new(), Vec::new());
    for text in texts {
        let read = fact(sheet, text)?;
        facts.push(read.fact);
        remarks.extend(read.remarks);
    }
    Ok((facts, remarks))
}

/// Reads one fact against a sheet.
///
/// # Errors
/// A form, a name or a reading that is wrong, with what may be meant.
pub fn fact(sheet: &Sheet, text: &str) -> Result<TypedFact, Problem> {
    let plain = |fact| Ok(TypedFact { fact, remarks: Vec::new() });
    let (kind, rest) = text.trim().split_once(':').ok_or_else(|| no_fact(text))?;
    match kind {
        "check" => match rest.split_once(['=', '@']) {
            Some((id, said)) if rest[id.len()..].starts_with('=') => {
                plain(outcome(sheet, id.trim(), said.trim())?)
            }
            Some((id, said)) => reading(sheet, id.trim(), said),
            None => Err(no_fact(text)),
        },
        "repair" => {
            let ids = sheet.repairs.iter().map(|repair| repair.id.as_str());
            let repair = RepairIx::from(find_id("repair", rest.trim(), ids)?);
            plain(Fact::Repair { repair })
        }
        "proof" => {
            let (id, said) = rest.split_once('=').ok_or_else(|| no_fact(text))?;
            plain(proof(sheet, id.trim(), said.trim())?)
        }
        _ => Err(no_fact(text)),
    }
}

fn no_fact(text: &str) -> Problem {
    let shown: String = text.chars().take(60).collect();
    Problem::wrong("fact", format!("`{shown}` is no fact")).hint(FORMS)
}

fn find_check(sheet: &Sheet, id: &str) -> Result<CheckIx, Problem> {
    let ids = sheet.checks.iter().map(|check| check.id.as_str());
    Ok(CheckIx::from(find_id("check", id, ids)?))
}

fn outcome(sheet: &Sheet, id: &str, said: &str) -> Result<Fact, Problem> {
    let check = find_check(sheet, id)?;
    if said == "skip" {
        return Ok(Fact::CouldNotTell { check });
    }
    let outcomes = || sheet.checks[check.at()].outcomes.iter().map(|(id, _)| id.as_str());
    let place = outcomes().position(|outcome| outcome == said).ok_or_else(|| {
        Problem::wrong("unknown-id", format!("check `{id}` has no outcome `{said}`"))
            .maybe_hint(known_names(said, outcomes().chain(["skip"])))
    })?;
    Ok(Fact::Check { check, outcome: OutcomeIx::from(place) })
}

fn proof(sheet: &Sheet, id: &str, said: &str) -> Result<Fact, Problem> {
    let ids = sheet.proofs.iter().map(|proof| proof.id.as_str());
    let proof = ProofIx::from(find_id("proof", id, ids)?);
    let shown = match said {
        "clear" => false,
        "shown" => true,
        _ => {
            let what = format!("proof `{id}` can't come out as `{said}`");
            return Err(Problem::wrong("fact", what).hint("write `clear` or `shown`"));
        }
    };
    Ok(Fact::Proof { proof, shown, exposure: None })
}

/// `7.9ohm` or `0.20..0.25mm`, then what is known of how it was read: `accuracy=0.8%+2d`,
/// `digit=0.1`, `leads=0.3`, `part-c=60`, `reference-c=20`, `material=copper`.
fn reading(sheet: &Sheet, id: &str, said: &str) -> Result<TypedFact, Problem> {
    let check = find_check(sheet, id)?;
    let entry = &sheet.checks[check.at()];
    let Some(bands) = &entry.reading else {
        return Err(Problem::wrong(
            "reading",
            format!("check `{id}` is not a measured one"),
        )
        .hint(format!("give its outcome: {}", outcomes_of(entry))));
    };
    let wrong = |what: String| Problem::wrong("reading", format!("check `{id}`: {what}"));
    let mut parts = said.split(',').map(str::trim);
    let read = typed::reading(parts.next().unwrap_or(""), false).map_err(&wrong)?;
    let mut remarks = Vec::new();
    let input = judged(bands, read, parts, &mut remarks).map_err(&wrong)?;
    let answer = judge(&input).map_err(|error| wrong(error.to_string()))?;
    let weights = weights(entry, bands, (&answer, input.unit)).map_err(&wrong)?;
    remarks
        .extend(answer.remarks.iter().map(|remark| format!("Check `{id}`: {remark}.")));
    Ok(TypedFact { fact: Fact::Reading { check, weights }, remarks })
}

fn outcomes_of(check: &Check) -> String {
    check.outcomes.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>().join(", ")
}

/// The reading as the judge takes it.
fn judged<'a>(
    bands: &ReadingBands,
    read: typed::Read,
    parts: impl Iterator<Item = &'a str>,
    remarks: &mut Vec<String>,
) -> Result<JudgeInput, String> {
    let unit = read.unit.ok_or("a reading needs its unit, as in 7.9ohm")?;
    let mut input = JudgeInput::of(read.value, unit);
    input.between = read.below.map(|below| (read.value, below));
    input.value = input.value.filter(|_| input.between.is_none());
    let mut material = bands.material.clone();
    let (mut part_c, mut reference_c) = (None, bands.reference_c);
    for part in parts {
        let (key, text) =
            part.split_once('=').ok_or_else(|| format!("`{part}` is no KEY=VALUE"))?;
        let number = || parse_number(text).map_err(|error| error.to_string());
        let in_unit = || {
            Measured::parse_or(text, unit)
                .and_then(|given| given.unit().convert_difference(given.value(), unit))
                .map_err(|error| error.to_string())
        };
        match key.trim() {
            "accuracy" => {
                let read =
                    Accuracy::parse(text, unit).map_err(|error| error.to_string())?;
                input.accuracy = Some(read);
            }
            "digit" => input.digit = Some(in_unit()?),
            "leads" => input.leads = Some(Leads { value: in_unit()?, u: None }),
            "part-c" => part_c = Some(number()?),
            "reference-c" => reference_c = Some(number()?),
            "material" => material = Some(text.trim().to_owned()),
            other => {
                let known =
                    ["accuracy", "digit", "leads", "part-c", "reference-c", "material"];
                let hint = known_names(other, known).unwrap_or_default();
                return Err(format!("`{other}` is not known: {hint}"));
            }
        }
    }
    input.temperature = temperature((material.as_deref(), part_c, reference_c), remarks)?;
    Ok(input)
}

fn temperature(
    (material, part_c, reference_c): (Option<&str>, Option<f64>, Option<f64>),
    remarks: &mut Vec<String>,
) -> Result<Option<PartTemperature>, String> {
    let reference_c = reference_c.unwrap_or(20.0);
    match (material, part_c) {
        (Some(name), Some(part_c)) => {
            let material = Material::parse(name).map_err(|error| error.to_string())?;
            Ok(Some(PartTemperature {
                material,
                part_c,
                part_half_width_k: None,
                reference_c,
            }))
        }
        (None, Some(_)) => {
            Err("a part's temperature needs its metal: add material=copper".into())
        }
        (Some(_), None) => {
            remarks.push(format!(
                "The temperature of the part is not given: read as at {reference_c} °C."
            ));
            Ok(None)
        }
        (None, None) => Ok(None),
    }
}

/// How likely the true value lies in each outcome's bands.
fn weights(
    check: &Check,
    bands: &ReadingBands,
    (answer, unit): (&measure::JudgeAnswer, Unit),
) -> Result<Vec<f64>, String> {
    let to = Unit::parse(&bands.unit).map_err(|error| error.to_string())?;
    let edges: Vec<_> = bands.bands.iter().map(|band| (band.from, band.below)).collect();
    let weights = answer.band_weights((unit, to), &edges);
    let weights = weights.map_err(|error| error.to_string())?;
    let mut by_outcome = vec![0.0; check.outcomes.len()];
    for (band, weight) in bands.bands.iter().zip(weights) {
        by_outcome[band.outcome.at()] += weight;
    }
    Ok(by_outcome)
}

#[cfg(test)]
mod tests {
    use super::fact;
    use job::Fact;

    /// A check with a reading; the edge between the two bands lies at 7 ohm.
    const SHEET: &str = r#"
        [sheet]
        format = 1
        id = "coil"
        title = "Coil"
        [economy]
        labour_per_hour = 60
        comeback = 100
        pass_on = 90
        [[suspect]]
        id = "coil-open"
        title = "Coil open"
        weight = 1
        [[check]]
        id = "coil-ohm"
        title = "Measure the coil"
        minutes = 3
        outcomes = ["low", "high"]
          [check.given]
          fine = { low = 0.9, high = 0.1 }
          coil-open = { low = 0.1, high = 0.9 }
          [check.reading]
          quantity = "resistance"
          unit = "ohm"
          bands = [{ outcome = "low", below = 7.0 }, { outcome = "high", from = 7.0 }]
          material = "copper"
        [[repair]]
        id = "new-coil"
        title = "New coil"
        minutes = 20
        fixes = { coil-open = 0.9 }
        [[proof]]
        id = "start"
        title = "Start"
        minutes = 1
        shows = 0.5
    "#;

    fn weights(text: &str) -> Vec<f64> {
        let sheet = sheet::read(SHEET).sheet.unwrap();
        let read = fact(&sheet, text).unwrap().fact;
        let Fact::Reading { weights, .. } = read else { panic!("{read:?}") };
        weights
    }

    #[test]
    fn a_reading_without_accuracy_is_exact_and_units_are_converted() {
        assert_eq!(weights("check:coil-ohm@7.9ohm"), [0.0, 1.0]);
        assert_eq!(weights("check:coil-ohm@6.9e-3kohm"), [1.0, 0.0]);
    }

    #[test]
    fn a_reading_on_the_edge_of_two_bands_moves_nothing_between_them() {
        // Design section 8: on the edge of two bands the weights are even.
        let even = weights("check:coil-ohm@7ohm,accuracy=1%");
        assert!((even[0] - 0.5).abs() < 1e-12, "{even:?}");
        let digits = weights("check:coil-ohm@7.1ohm,accuracy=0.8%+2d,digit=0.1");
        assert!(digits[0] > 0.05 && digits[0] < 0.4, "{digits:?}");
    }

    /// Between two values any is as likely (GUM 4.3.7): a third of 6.8 to 7.4 lies below 7.
    #[test]
    fn a_reading_between_two_values_is_shared_out_evenly() {
        let shared = weights("check:coil-ohm@6.8..7.4ohm");
        assert!((shared[0] - 1.0 / 3.0).abs() < 1e-12, "{shared:?}");
        assert_eq!(weights("check:coil-ohm@7.0..7.4ohm"), [0.0, 1.0]);
    }

    #[test]
    fn a_warm_winding_is_brought_to_its_reference_temperature() {
        // Copper, IEC 60028: R20 = R60 · (234.5 + 20)/(234.5 + 60) = 0.8642 · R60.
        assert_eq!(weights("check:coil-ohm@7.9ohm,part-c=60"), [1.0, 0.0]);
        assert_eq!(weights("check:coil-ohm@8.2ohm,part-c=60"), [0.0, 1.0]);
    }

    #[test]
    fn what_is_no_fact_is_named_with_what_may_be_meant() {
        let sheet = sheet::read(SHEET).sheet.unwrap();
        for (text, hint) in [
            ("coil-ohm=low", "write check:ID=OUTCOME"),
            ("check:coil-ohm", "write check:ID=OUTCOME"),
            ("check:coil-ohn=low", "did you mean `coil-ohm`?"),
            ("check:coil-ohm=lov", "did you mean `low`?"),
            ("repair:new-coli", "did you mean `new-coil`?"),
            ("proof:start=shows", "write `clear` or `shown`"),
            ("proof:start", "write check:ID=OUTCOME"),
            ("close:close", "write check:ID=OUTCOME"),
        ] {
            let problem = fact(&sheet, text).unwrap_err();
            assert!(
                problem.hint.as_deref().unwrap_or("").starts_with(hint),
                "{problem:?}"
            );
        }
        for text in [
            "check:coil-ohm@7.9",
            "check:coil-ohm@7.9kPa",
            "check:coil-ohm@NaNohm",
            "check:coil-ohm@7.9ohm,accuracy=2d",
            "check:coil-ohm@7.9ohm,colour=red",
            "check:coil-ohm@",
        ] {
            assert_eq!(fact(&sheet, text).unwrap_err().kind, "reading", "{text}");
        }
    }
}
