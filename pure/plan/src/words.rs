//! The next step, its reason and the tree: numbers of the plan with the sheet's words.

use std::collections::HashMap;

use sheet::{ItemSet, Sheet};
use strip::move_cost;

use crate::answer::{Choice, Mean, NextStep, OutcomeChance, Then, TreeOutcome, TreeStep};
use crate::policy::{Kid, Policy, Step};
use crate::problem::{Kind, Problem};

/// The id that an action goes by.
pub(crate) fn id_of(sheet: &Sheet, kind: Kind, place: usize) -> &str {
    match kind {
        Kind::Close | Kind::PassOn => kind.word(),
        Kind::Check => &sheet.checks[place].id,
        Kind::Repair => &sheet.repairs[place].id,
        Kind::Proof => &sheet.proofs[place].id,
    }
}

fn title_of(problem: &Problem, step: &Step, language: &str) -> String {
    let sheet = &*problem.sheet;
    let (kind, place) = named(problem, step);
    let title = match kind {
        Kind::Close if step.state.fixed() <= crate::problem::NEGLIGIBLE => {
            "Hand back unfixed"
        }
        Kind::Close => "Hand over",
        Kind::PassOn => "Pass it on to a specialist",
        Kind::Check => sheet.checks[place].title.in_language(language),
        Kind::Repair => sheet.repairs[place].title.in_language(language),
        Kind::Proof => sheet.proofs[place].title.in_language(language),
    };
    title.to_owned()
}

/// The title of a choice.
fn titled<'a>(sheet: &'a Sheet, choice: &Choice, language: &str) -> &'a str {
    let id = choice.id.as_str();
    let title = match choice.kind.as_str() {
        "close" => return "Hand over",
        "pass-on" => return "Pass it on",
        "check" => {
            sheet.checks.iter().find(|check| check.id == id).map(|check| &check.title)
        }
        "repair" => sheet.repairs.iter().find(|repair| repair.id == id).map(|r| &r.title),
        _ => sheet.proofs.iter().find(|proof| proof.id == id).map(|proof| &proof.title),
    };
    title.map_or("", |title| title.in_language(language))
}

fn named(problem: &Problem, step: &Step) -> (Kind, usize) {
    step.act.map_or((step.end, 0), |place| {
        let act = &problem.acts[place];
        (act.kind, act.place)
    })
}

fn then(problem: &Problem, step: &Step) -> Then {
    let (kind, place) = named(problem, step);
    let way = step.act.map_or(0, |place| problem.acts[place].way);
    Then {
        kind: kind.word().to_owned(),
        id: id_of(&problem.sheet, kind, place).to_owned(),
        way,
    }
}

/// Id and words of an outcome.
fn outcome_of(
    problem: &Problem,
    step: &Step,
    outcome: usize,
    language: &str,
) -> (String, String) {
    let (kind, place) = named(problem, step);
    let (id, title) = match (kind, outcome) {
        (Kind::Check, _) => {
            let (id, text) = &problem.sheet.checks[place].outcomes[outcome];
            (id.as_str(), text.in_language(language))
        }
        (Kind::Proof, 0) => ("clear", "It stays away"),
        (Kind::Proof, _) => ("shown", "It shows again"),
        (Kind::Close | Kind::PassOn | Kind::Repair, _) => ("done", "Done"),
    };
    let words = if title.is_empty() { id } else { title };
    (id.to_owned(), words.to_owned())
}

/// The step to take now.
pub(crate) fn next_step(
    problem: &Problem,
    policy: &Policy,
    root: usize,
    (language, choices): (&str, &[Choice]),
) -> NextStep {
    let step = &policy.steps[root];
    let trip = move_cost(&problem.sheet, &problem.economy, step.from, step.to);
    let Then { kind, id, way } = then(problem, step);
    let ids = |set: ItemSet| -> Vec<String> {
        set.iter().map(|item| problem.sheet.items[item.at()].id.clone()).collect()
    };
    let act = act_mean(problem, step);
    let outcomes = step
        .kids
        .iter()
        .map(|kid| {
            let (id, title) = outcome_of(problem, step, kid.outcome, language);
            let then = Some(then(problem, &policy.steps[kid.step]));
            OutcomeChance { id, title, probability: kid.p, then }
        })
        .collect();
    NextStep {
        kind,
        id,
        title: title_of(problem, step, language),
        way,
        act,
        moving: Mean { cost: trip.cost, minutes: trip.minutes },
        strip: ids(step.to.minus(step.from)),
        refit: ids(step.from.minus(step.to)),
        outcomes,
        cautions: cautions(problem, step),
        why: why(problem, policy, root, (language, choices)),
    }
}

fn act_mean(problem: &Problem, step: &Step) -> Mean {
    match step.act.map(|place| &problem.acts[place]) {
        Some(act) => Mean {
            cost: act.pay + step.state.extra(problem, act),
            minutes: act.work_min + act.wait_min,
        },
        None if step.end == Kind::PassOn => {
            Mean { cost: problem.economy.pass_on, minutes: 0.0 }
        }
        None => {
            Mean { cost: problem.economy.comeback * step.state.unfixed(), minutes: 0.0 }
        }
    }
}

fn cautions(problem: &Problem, step: &Step) -> Vec<String> {
    let sheet = &*problem.sheet;
    let (kind, place) = named(problem, step);
    let own: &[String] = match kind {
        Kind::Close | Kind::PassOn => &[],
        Kind::Check => &sheet.checks[place].caution,
        Kind::Repair => &sheet.repairs[place].caution,
        Kind::Proof => &sheet.proofs[place].caution,
    };
    let moved = step.to.minus(step.from).union(step.from.minus(step.to));
    let items = moved.iter().flat_map(|item| &sheet.items[item.at()].caution);
    let mut words: Vec<String> = Vec::new();
    for word in own.iter().chain(items) {
        if !words.contains(word) {
            words.push(word.clone());
        }
    }
    words
}

/// One or two sentences from the numbers of the answer.
fn why(
    problem: &Problem,
    policy: &Policy,
    root: usize,
    (language, choices): (&str, &[Choice]),
) -> String {
    let step = &policy.steps[root];
    let (kind, place) = named(problem, step);
    let unfixed = step.state.unfixed();
    let first = match kind {
        Kind::Close if step.state.fixed() <= crate::problem::NEGLIGIBLE => format!(
            "Every further step costs more than it is worth here; a comeback is put at {:.0}.",
            problem.economy.comeback
        ),
        Kind::Close => format!(
            "{} that it is still there; looking on costs more than it can tell.",
            chance(unfixed)
        ),
        Kind::PassOn => format!(
            "Each plan on this sheet costs more than passing on, {:.0}.",
            problem.economy.pass_on
        ),
        Kind::Repair => {
            let act = &problem.acts[step.act.unwrap_or_default()];
            let moved: f64 = step.state.moved_by(act);
            format!("{} that it puts the fault right.", chance(moved))
        }
        Kind::Check | Kind::Proof => turning_point(problem, policy, step, language),
    };
    let own = id_of(&problem.sheet, kind, place);
    let rival = choices
        .iter()
        .filter(|choice| (choice.kind.as_str(), choice.id.as_str()) != (kind.word(), own))
        .min_by(|a, b| a.expected_cost.total_cmp(&b.expected_cost));
    match rival {
        Some(rival) => {
            let more = (rival.expected_cost - step.cost).max(0.0);
            let currency = &problem.economy.currency;
            let title = titled(&problem.sheet, rival, language);
            format!(
                "{first} Beginning with \u{201c}{title}\u{201d} instead: {more:.0} {currency} dearer on average."
            )
        }
        None => first,
    }
}

/// The likeliest outcome and the one that changes the plan.
fn turning_point(
    problem: &Problem,
    policy: &Policy,
    step: &Step,
    language: &str,
) -> String {
    let mut kids: Vec<&Kid> = step.kids.iter().collect();
    kids.sort_by(|a, b| b.p.total_cmp(&a.p).then(a.outcome.cmp(&b.outcome)));
    let sentence = |kid: &Kid| {
        let (_, words) = outcome_of(problem, step, kid.outcome, language);
        let next = &policy.steps[kid.step];
        format!("{}: {words}, then {}.", chance(kid.p), title_of(problem, next, language))
    };
    let Some(likeliest) = kids.first() else { return String::new() };
    let known = named(problem, &policy.steps[likeliest.step]);
    let other = kids.iter().find(|kid| named(problem, &policy.steps[kid.step]) != known);
    match other {
        Some(kid) => format!("{} {}", sentence(likeliest), sentence(kid)),
        None => sentence(likeliest),
    }
}

/// A probability in words: tenths, and hundredths near the ends.
fn chance(p: f64) -> String {
    match p {
        p if p < 0.005 => "Hardly any chance".to_owned(),
        p if p > 0.995 => "Almost surely".to_owned(),
        p if (0.095..=0.905).contains(&p) => format!("About {:.0} in 10", p * 10.0),
        p => format!("About {:.0} in 100", p * 100.0),
    }
}

/// The plan as a tree, with the steps that are met on several ways told once where `shared`.
#[derive(Debug)]
pub(crate) struct Telling<'p> {
    pub(crate) problem: &'p Problem,
    pub(crate) policy: &'p Policy,
    pub(crate) language: &'p str,
    pub(crate) shared: bool,
    /// Number of a step that was told, and to which depth.
    told: HashMap<usize, (usize, usize)>,
    count: usize,
}

impl<'p> Telling<'p> {
    pub(crate) fn new(
        problem: &'p Problem,
        policy: &'p Policy,
        (language, shared): (&'p str, bool),
    ) -> Self {
        Self { problem, policy, language, shared, told: HashMap::new(), count: 0 }
    }

    /// The tree from a step on, so many steps deep.
    pub(crate) fn tree(&mut self, at: usize, depth: usize) -> TreeStep {
        let step = &self.policy.steps[at];
        let Then { kind, id, .. } = then(self.problem, step);
        let title = title_of(self.problem, step, self.language);
        let expected_cost = step.cost;
        let known = self.told.get(&at).copied();
        if let Some((number, _)) =
            known.filter(|(_, to)| self.shared && *to >= depth && !step.kids.is_empty())
        {
            let (again, outcomes) = (true, Vec::new());
            return TreeStep { number, again, kind, id, title, expected_cost, outcomes };
        }
        // An end is never referred to.
        self.count += usize::from(!step.kids.is_empty());
        let number = if step.kids.is_empty() { 0 } else { self.count };
        self.told.insert(at, (number, depth));
        let kids = if depth == 0 { &[][..] } else { &step.kids[..] };
        let outcomes = kids
            .iter()
            .map(|kid| TreeOutcome {
                id: outcome_of(self.problem, step, kid.outcome, self.language).0,
                probability: kid.p,
                then: self.tree(kid.step, depth - 1),
            })
            .collect();
        TreeStep { number, again: false, kind, id, title, expected_cost, outcomes }
    }
}
