//! `plan --certificate` and `plan verify`: an advice as a file that anyone can check.
//!
//! Lines of JSON: the head, the steps of the plan, the nodes of the proof, and last a digest
//! of all lines before it. The digest finds a slip; what is claimed is worked out again
//! whether the digest fits or not (docs/json.md).

use std::path::Path;

use ::plan::certificate::{CertificateError, plan_with_certificate, question};
use ::plan::verify::{Certificate, Claim, Node, Refusal, Step, VerifyAnswer, verify};
use ::plan::{Ask, PlanAnswer, PlanAsk};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sheet::{EconomyOverrides, Exposure, ExposureUnit, Recurrence, Sheet, WindowEnd};

use crate::plan::{Effort, PlanInput, Planned, RecurrenceOver, Told};
use crate::plan::{Situation, asked, items, recurrence, refused, situation};
use crate::sheet_file::{Loaded, load};
use crate::{Problem, Problems, Source, fact, settings};

/// Name and version of the form.
const FORM: &str = "certificate/1";
/// Most bytes of a certificate.
const MOST_BYTES: usize = 200_000_000;
/// Most nodes of a certificate.
const MOST_NODES: usize = 2_000_000;

/// First line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    witmark: String,
    sheet: About,
    inputs: Premises,
    expected_cost: f64,
    lower_bound: f64,
    steps: usize,
    nodes: usize,
}

/// Which sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct About {
    id: String,
    version: u32,
    hash: String,
}

/// All beside the sheet that the claims depend on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Premises {
    done: Vec<String>,
    without: Vec<String>,
    off: Vec<String>,
    has: Option<Vec<String>>,
    economy: EconomyOverrides,
    count: Option<CountOf>,
}

/// How often the fault set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CountOf {
    seen: u32,
    over: f64,
    unit: String,
    ends: String,
}

/// Last line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Digest {
    blake3: String,
}

/// Plans, and writes the certificate of the plan to a file.
///
/// # Errors
/// As [`crate::plan::plan`]; no certificate of at most 200 MB; a file that can't be written.
pub fn plan(input: &PlanInput, file: &Path) -> Result<Planned, Problems> {
    let (sheet, situation, remarks) = situation(input)?;
    let told =
        Told { language: input.language.clone(), tree: input.tree, stats: input.stats };
    let premises = premises(&sheet, &situation);
    let ask = asked(&sheet, situation, &input.effort, &told)?;
    let (mut answer, certificate) = certified(&sheet, &ask, &input.effort)?;
    let text = text(&sheet, premises, &certificate)?;
    std::fs::write(file, text).map_err(|error| {
        let what = format!("the certificate can't be written: {error}");
        Problem::could_not("unwritable", what).in_file(file.display())
    })?;
    answer.remarks.extend(remarks);
    if answer.lower_bound - certificate.lower_bound > 1e-9 * answer.lower_bound.max(1.0) {
        answer.remarks.push(format!(
            "The certificate proves that no plan costs less than {}, which is less than the \
             search has found.",
            certificate.lower_bound
        ));
    }
    Ok(Planned { answer, sheet, language: told.language })
}

fn certified(
    sheet: &Sheet,
    ask: &PlanAsk,
    effort: &Effort,
) -> Result<(PlanAnswer, Certificate), Problem> {
    plan_with_certificate(sheet, ask, MOST_NODES, &effort.clock()).map_err(|error| {
        let kind = match error {
            CertificateError::Plan(_) => "off-not-closed",
            CertificateError::TooLarge { .. } => "certificate-too-large",
            CertificateError::Refused(_) => "certificate",
        };
        Problem::wrong(kind, error)
    })
}

fn premises(sheet: &Sheet, situation: &Situation) -> Premises {
    let economy = &situation.economy;
    let count = |count: &Recurrence| CountOf {
        seen: count.seen,
        over: count.over.amount,
        unit: count.over.unit.suffix().to_owned(),
        ends: match count.ends {
            WindowEnd::Set => "set".to_owned(),
            WindowEnd::Now => "now".to_owned(),
        },
    };
    Premises {
        done: situation.done.clone(),
        without: situation.without.clone(),
        off: situation.off.iter().map(|item| sheet.items[item.at()].id.clone()).collect(),
        has: situation.has.clone(),
        economy: EconomyOverrides {
            currency: Some(economy.currency.clone()),
            labour_per_hour: Some(economy.labour_per_hour),
            bay_per_hour: Some(economy.bay_per_hour),
            comeback: Some(economy.comeback),
            pass_on: Some(economy.pass_on),
            rust: Some(economy.rust),
            active: Some(economy.active),
        },
        count: situation.recurrence.as_ref().map(count),
    }
}

fn about(sheet: &Sheet) -> About {
    let hash = blake3::Hash::from_bytes(sheet.hash).to_hex().to_string();
    About { id: sheet.id.clone(), version: sheet.version, hash }
}

/// The file's text.
fn text(
    sheet: &Sheet,
    inputs: Premises,
    certificate: &Certificate,
) -> Result<String, Problem> {
    let Certificate { expected_cost, lower_bound, steps, nodes } = certificate;
    let head = Head {
        witmark: FORM.to_owned(),
        sheet: about(sheet),
        inputs,
        expected_cost: *expected_cost,
        lower_bound: *lower_bound,
        steps: steps.len(),
        nodes: nodes.len(),
    };
    let mut text = String::new();
    add(&mut text, &head)?;
    for step in steps {
        add(&mut text, step)?;
    }
    for node in nodes {
        add(&mut text, node)?;
    }
    let blake3 = blake3::hash(text.as_bytes()).to_hex().to_string();
    add(&mut text, &Digest { blake3 })?;
    Ok(text)
}

fn add(text: &mut String, line: &impl Serialize) -> Result<(), Problem> {
    let line =
        serde_json::to_string(line).map_err(|error| Problem::could_not("json", error))?;
    if text.len().saturating_add(line.len()) >= MOST_BYTES {
        let what = format!("the certificate would be larger than {MOST_BYTES} bytes");
        return Err(Problem::wrong("certificate-too-large", what)
            .hint("ask for less with a gap, as in --gap 0.05"));
    }
    text.push_str(&line);
    text.push('\n');
    Ok(())
}

/// Works out again what a certificate claims about a sheet.
///
/// # Errors
/// A file or sheet that can't be read, another sheet, or a claim that does not hold, with its
/// line.
pub fn check(file: &Source, sheet: &Source) -> Result<VerifyAnswer, Problems> {
    let Loaded { sheet, .. } = load(sheet)?;
    let text = file.text(MOST_BYTES)?;
    Ok(checked(&text, &sheet).map_err(|wrong| wrong.in_file(file))?)
}

/// A problem with the line that it is on, from 1.
struct Wrong {
    problem: Problem,
    line: Option<usize>,
}

impl Wrong {
    fn at(line: usize, problem: Problem) -> Self {
        Self { problem, line: Some(line) }
    }

    fn in_file(self, file: &Source) -> Problem {
        let mut problem = self.problem.in_file(file);
        if let (Some(place), Some(line)) = (&mut problem.place, self.line) {
            place.line = u32::try_from(line).ok();
            place.column = Some(1);
        }
        problem
    }
}

fn checked(text: &str, sheet: &Sheet) -> Result<VerifyAnswer, Wrong> {
    let lines: Vec<&str> = text.lines().collect();
    let head: Head = parsed(&lines, 1)?;
    if head.witmark != FORM {
        let what = "this is no certificate, or one of another version";
        return Err(Wrong::at(1, Problem::wrong("not-a-certificate", what)));
    }
    let own = about(sheet);
    if head.sheet != own {
        let what = format!(
            "the certificate is for sheet `{}`, version {}, and not for this text of `{}`, \
             version {}",
            shortened(&head.sheet.id),
            head.sheet.version,
            own.id,
            own.version
        );
        let problem = Problem::wrong("other-sheet", what)
            .hint("name the sheet, unchanged, that the plan was made with");
        return Err(Wrong::at(1, problem));
    }
    let counted = head.steps.saturating_add(head.nodes).saturating_add(2);
    if lines.len() != counted {
        let what = format!(
            "the certificate has {} lines, but its first line announces {counted}: it was cut \
             short or changed",
            lines.len()
        );
        return Err(Wrong::at(1, Problem::wrong("certificate", what)));
    }
    let steps: Vec<Step> =
        (0..head.steps).map(|at| parsed(&lines, at + 2)).collect::<Result<_, _>>()?;
    let first = head.steps + 2;
    let nodes: Vec<Node> =
        (0..head.nodes).map(|at| parsed(&lines, at + first)).collect::<Result<_, _>>()?;
    let (expected_cost, lower_bound) = (head.expected_cost, head.lower_bound);
    let certificate = Certificate { expected_cost, lower_bound, steps, nodes };
    let (ask, remarks) =
        premises_meant(sheet, &head.inputs).map_err(|problem| Wrong::at(1, problem))?;
    let mut answer = verify(sheet, &question(&ask), &certificate)
        .map_err(|refusal| refused_claim(&refusal, head.steps))?;
    digest_fits(text, &lines)?;
    answer.remarks.extend(remarks);
    Ok(answer)
}

fn parsed<T: DeserializeOwned>(lines: &[&str], line: usize) -> Result<T, Wrong> {
    let text = lines.get(line - 1).copied().unwrap_or_default();
    serde_json::from_str(text).map_err(|error| {
        let what = format!("this line is not what a certificate has here: {error}");
        let hint = "write the certificate anew with `plan --certificate`";
        Wrong::at(line, Problem::wrong("not-a-certificate", what).hint(hint))
    })
}

/// The last line has the digest of all before it.
fn digest_fits(text: &str, lines: &[&str]) -> Result<(), Wrong> {
    let last = lines.len();
    let digest: Digest = parsed(lines, last)?;
    let body = text.trim_end_matches('\n');
    let before = body.rfind('\n').map_or("", |at| &body[..=at]);
    if blake3::hash(before.as_bytes()).to_hex().as_str() == digest.blake3 {
        return Ok(());
    }
    let what = "the certificate was changed since it was written: the digest in its last line \
                is that of another text. What is left of its claims still holds";
    Err(Wrong::at(last, Problem::wrong("changed", what)))
}

fn refused_claim(refusal: &Refusal, steps: usize) -> Wrong {
    let claim = match refusal {
        Refusal::NotANumber { claim }
        | Refusal::Overstated { claim, .. }
        | Refusal::NotReached { claim }
        | Refusal::LeadsAstray { claim, .. }
        | Refusal::OtherState { claim, .. }
        | Refusal::NotThere { claim, .. } => Some(*claim),
        Refusal::OtherCost { .. } => Some(Claim::ExpectedCost),
        Refusal::Question(_) | Refusal::TooLarge => None,
    };
    let line = claim.map(|claim| match claim {
        Claim::ExpectedCost | Claim::LowerBound => 1,
        Claim::Step(number) => number + 1,
        Claim::Node(number) => number + steps + 1,
    });
    Wrong { problem: Problem::wrong("certificate", refusal), line }
}

/// What the premises of a head mean on a sheet, with remarks on the facts.
fn premises_meant(
    sheet: &Sheet,
    premises: &Premises,
) -> Result<(Ask, Vec<String>), Problem> {
    let economy = settings::economy(sheet, &[&premises.economy])?;
    let over = match &premises.count {
        None => RecurrenceOver::default(),
        Some(count) => count_meant(count)?,
    };
    let recurrence = recurrence(sheet, over)?;
    let (facts, remarks) = fact::facts(sheet, &premises.done)?;
    let odds = weigh::weigh(sheet, &economy, recurrence.as_ref(), &facts)
        .map_err(|error| Problem::wrong("facts", error))?;
    let ask = Ask {
        economy,
        recurrence,
        odds,
        off: items(sheet, &premises.off)?.into_iter().collect(),
        has: premises.has.clone(),
        without: refused(sheet, &premises.without)?,
    };
    Ok((ask, remarks))
}

fn count_meant(count: &CountOf) -> Result<RecurrenceOver, Problem> {
    let units = [ExposureUnit::Km, ExposureUnit::Minutes, ExposureUnit::Starts];
    let unit = units.into_iter().find(|unit| unit.suffix() == count.unit);
    let ends = match count.ends.as_str() {
        "set" => Some(WindowEnd::Set),
        "now" => Some(WindowEnd::Now),
        _ => None,
    };
    let (Some(unit), Some(_), true) = (unit, ends, count.over.is_finite()) else {
        let what = "the count of how often the fault set is not one of a certificate";
        return Err(Problem::wrong("count", what));
    };
    let over = Some(Exposure { amount: count.over, unit });
    Ok(RecurrenceOver { seen: Some(count.seen), over, ends })
}

fn shortened(text: &str) -> String {
    text.chars().take(60).collect()
}
