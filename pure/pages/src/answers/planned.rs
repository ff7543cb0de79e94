//! `plan/1`: the next step, what else one could do, how likely, what it comes to.

use plan::{Choice as PlanChoice, PlanAnswer, Then};
use sheet::Sheet;

use super::outline::outline;
use crate::{
    Choice, DEFERS, NextKind, NextStep, Page, Table, Words, next_step_blocks, pair, say,
};

/// So many other beginnings are shown.
const MOST_INSTEAD: usize = 8;

/// A weight that must change by more than this factor to turn the advice is not shown.
const FAR: f64 = 3.0;

/// What a kind and id are called on a page.
pub(super) struct Names<'a> {
    pub(super) sheet: &'a Sheet,
    pub(super) language: &'a str,
}

impl Names<'_> {
    fn item(&self, id: &str) -> Words {
        let found = self.sheet.items.iter().find(|item| item.id == id);
        self.words(found.map(|item| &item.title), id)
    }

    fn cause(&self, id: &str) -> Words {
        match id {
            "unlisted" => "something else".into(),
            "fixed" => "it is fixed".into(),
            _ => {
                let found = self.sheet.suspects.iter().find(|suspect| suspect.id == id);
                self.words(found.map(|suspect| &suspect.title), id)
            }
        }
    }

    fn action(&self, kind: &str, id: &str) -> Words {
        let title = match kind {
            "check" => self.sheet.checks.iter().find(|c| c.id == id).map(|c| &c.title),
            "repair" => self.sheet.repairs.iter().find(|r| r.id == id).map(|r| &r.title),
            "proof" => self.sheet.proofs.iter().find(|p| p.id == id).map(|p| &p.title),
            "close" => return "Hand over".into(),
            "pass-on" => return "Pass it on".into(),
            _ => None,
        };
        self.words(title, id)
    }

    fn how(&self, kind: &str, id: &str) -> Vec<Words> {
        let how = match kind {
            "check" => self.sheet.checks.iter().find(|c| c.id == id).map(|c| &c.how),
            "repair" => self.sheet.repairs.iter().find(|r| r.id == id).map(|r| &r.how),
            "proof" => self.sheet.proofs.iter().find(|p| p.id == id).map(|p| &p.how),
            _ => None,
        };
        how.map_or_else(Vec::new, |how| Words::lines(how.in_language(self.language)))
    }

    fn needs(&self, kind: &str, id: &str) -> Vec<Words> {
        let needs = match kind {
            "check" => self.sheet.checks.iter().find(|c| c.id == id).map(|c| &c.needs),
            "repair" => self.sheet.repairs.iter().find(|r| r.id == id).map(|r| &r.needs),
            "proof" => self.sheet.proofs.iter().find(|p| p.id == id).map(|p| &p.needs),
            _ => None,
        };
        needs.into_iter().flatten().map(Words::from).collect()
    }

    fn words(&self, title: Option<&sheet::Text>, id: &str) -> Words {
        let title = title.map_or("", |title| title.in_language(self.language));
        Words::from(if title.is_empty() { id } else { title })
    }
}

/// The next step of a plan, with the sheet's words, for a screen or a page.
#[must_use]
pub fn next_step(answer: &PlanAnswer, sheet: &Sheet, language: &str) -> NextStep {
    let names = Names { sheet, language };
    let next = &answer.next;
    let items = |ids: &[String]| ids.iter().map(|id| names.item(id)).collect();
    let hint = |then: Option<&Then>| {
        then.map_or_else(Words::default, |then| names.action(&then.kind, &then.id))
    };
    NextStep {
        kind: match next.kind.as_str() {
            "check" => NextKind::Check,
            "repair" => NextKind::Repair,
            "proof" => NextKind::Proof,
            "pass-on" => NextKind::PassOn,
            _ => NextKind::Close,
        },
        id: next.id.clone(),
        title: Words::from(&next.title),
        how: names.how(&next.kind, &next.id),
        minutes: next.act.minutes,
        move_minutes: next.moving.minutes,
        cost: next.act.cost + next.moving.cost,
        currency: answer.currency.clone(),
        strip: items(&next.strip),
        refit: items(&next.refit),
        needs: names.needs(&next.kind, &next.id),
        cautions: crate::cautions(next.cautions.iter().map(String::as_str)),
        outcomes: next
            .outcomes
            .iter()
            .map(|outcome| Choice {
                id: Words::from(&outcome.id),
                text: Words::from(&outcome.title),
                hint: hint(outcome.then.as_ref()),
            })
            .collect(),
        why: Words::from(&next.why),
        turns: turns(answer, &names),
    }
}

/// The outcome that leads elsewhere than the likeliest one does.
fn turns(answer: &PlanAnswer, names: &Names<'_>) -> Words {
    let outcomes = &answer.next.outcomes;
    let likeliest =
        outcomes.iter().max_by(|a, b| a.probability.total_cmp(&b.probability));
    let Some(usual) = likeliest.and_then(|outcome| outcome.then.as_ref()) else {
        return Words::default();
    };
    let turned: Vec<String> = outcomes
        .iter()
        .filter_map(|outcome| outcome.then.as_ref().map(|then| (outcome, then)))
        .filter(|(_, then)| *then != usual)
        .map(|(outcome, then)| {
            format!(
                "\"{}\" leads to: {}",
                outcome.title,
                names.action(&then.kind, &then.id)
            )
        })
        .collect();
    Words::from(turned.join("; "))
}

/// The plan as a page for the terminal.
#[must_use]
pub fn plan_page(answer: &PlanAnswer, sheet: &Sheet, language: &str) -> Page {
    let names = Names { sheet, language };
    let title = names.words(Some(&sheet.title), &sheet.id);
    let mut page = Page::new(title, language);
    page.heading("Next");
    page.blocks.extend(next_step_blocks(&next_step(answer, sheet, language)));
    figures(&mut page, answer);
    odds(&mut page, answer, &names);
    instead(&mut page, answer, &names);
    parts(&mut page, answer, &names);
    holds(&mut page, answer, &names);
    if let Some(tree) = &answer.tree {
        page.heading("The whole plan");
        page.table(outline(tree, &answer.currency));
    }
    if let Some(stats) = &answer.stats {
        page.quiet(format!(
            "{} states kept, {} steps in the plan.",
            stats.nodes, stats.steps
        ));
    }
    page.remarks(&answer.remarks);
    page.quiet(DEFERS);
    page
}

fn figures(page: &mut Page, answer: &PlanAnswer) {
    let currency = &answer.currency;
    page.heading("What it comes to");
    let limit = match (answer.inputs.limit, answer.over_limit) {
        (Some(limit), Some(p)) => {
            format!(
                "{} that the bill passes {}",
                say::chance(p),
                say::money(limit, currency)
            )
        }
        _ => String::new(),
    };
    page.facts(vec![
        pair("Bill", say::usually(answer.bill.p50, answer.bill.p90, currency)),
        pair("Limit", limit),
        pair("Time", say::usually_minutes(answer.minutes.p50, answer.minutes.p90)),
        pair(
            "All costs",
            format!("{} on average", say::money(answer.expected_cost, currency)),
        ),
        pair("Plan", how_good(answer)),
        pair("Ends", ends(answer)),
    ]);
}

/// How good the plan is, in the words of the trade.
fn how_good(answer: &PlanAnswer) -> String {
    if answer.proven {
        return "no better plan exists on this sheet's numbers".to_owned();
    }
    let percent = answer.gap * 100.0;
    let digits = if percent < 1.0 { 2 } else { 0 };
    format!("could be up to {} % better", say::trimmed(percent.max(0.01), digits))
}

fn ends(answer: &PlanAnswer) -> String {
    let ends = &answer.ends;
    [
        (ends.fixed, "handed over fixed"),
        (ends.comeback, "handed back with the fault still there"),
        (ends.passed_on, "passed on"),
    ]
    .into_iter()
    .filter(|(p, _)| *p > 0.0)
    .map(|(p, how)| format!("{} {how}", say::chance(p)))
    .collect::<Vec<_>>()
    .join(", ")
}

fn odds(page: &mut Page, answer: &PlanAnswer, names: &Names<'_>) {
    page.heading("How likely");
    let shown = answer.odds.iter().filter(|odds| odds.p > 0.0);
    let pairs = shown
        .map(|odds| pair(names.cause(&odds.id).as_str(), say::chance(odds.p)))
        .collect();
    page.facts(pairs);
}

/// The nearest other beginnings, in the order of the sheet.
fn instead(page: &mut Page, answer: &PlanAnswer, names: &Names<'_>) {
    let others: Vec<&PlanChoice> = answer
        .choices
        .iter()
        .filter(|choice| {
            (&choice.kind, &choice.id) != (&answer.next.kind, &answer.next.id)
        })
        .collect();
    let mut costs: Vec<f64> = others.iter().map(|choice| choice.expected_cost).collect();
    costs.sort_by(f64::total_cmp);
    let dearest = costs.get(MOST_INSTEAD - 1).copied().unwrap_or(f64::INFINITY);
    let near = others.iter().filter(|choice| choice.expected_cost <= dearest);
    let mut table = Table::new(&["To begin with", ">Dearer by", "Puts nothing right"]);
    for choice in near.take(MOST_INSTEAD) {
        table.row(vec![
            names.action(&choice.kind, &choice.id),
            Words::from(dearer(choice.more, &answer.currency)),
            Words::from(choice.wasted.map_or_else(String::new, say::chance)),
        ]);
    }
    if table.rows.is_empty() {
        return;
    }
    let left = u32::try_from(others.len() - table.rows.len()).unwrap_or(u32::MAX);
    page.heading("Something else instead");
    page.table(table);
    if left > 0 {
        let left = say::count(left, "other beginning is", "other beginnings are");
        page.quiet(format!("{left} dearer still."));
    }
}

fn dearer([least, most]: [f64; 2], currency: &str) -> String {
    let (least, most) = (least.round(), most.round());
    if most < 0.5 {
        "nothing".to_owned()
    } else if most - least < 0.5 {
        say::whole_money(most, currency)
    } else if least < 0.5 {
        format!("up to {}", say::whole_money(most, currency))
    } else {
        format!("{least:.0} to {}", say::whole_money(most, currency))
    }
}

fn parts(page: &mut Page, answer: &PlanAnswer, names: &Names<'_>) {
    let mut table = Table::new(&["Parts for", "Needed", ">Price"]);
    // Below 1 in 200 the words would be "less than 1 in 100": nobody orders for that.
    let likely = |part: &&plan::PartChance| part.price > 0.0 && part.probability >= 0.005;
    for part in answer.parts.iter().filter(likely) {
        table.row(vec![
            names.action("repair", &part.repair),
            Words::from(say::chance(part.probability)),
            Words::from(say::money(part.price, &answer.currency)),
        ]);
    }
    if !table.rows.is_empty() {
        page.heading("Parts that may be needed");
        page.table(table);
    }
}

fn holds(page: &mut Page, answer: &PlanAnswer, names: &Names<'_>) {
    let mut table =
        Table::new(&["The advice stays while", ">Weight from", ">To", ">Now"]);
    for holds in &answer.holds_while {
        let near_to = holds.to.is_some_and(|to| to < FAR * holds.now);
        let near_from = holds.from.is_some_and(|from| from * FAR > holds.now);
        if !near_to && !near_from {
            continue;
        }
        let edge = |weight: Option<f64>| {
            Words::from(
                weight.map_or_else(|| "any".to_owned(), |w| say::significant(w, 3)),
            )
        };
        table.row(vec![
            names.cause(&holds.suspect),
            edge(holds.from),
            edge(holds.to),
            Words::from(say::significant(holds.now, 3)),
        ]);
    }
    if answer.holds_while.is_empty() {
        return;
    }
    page.heading("How firm it is");
    if table.rows.is_empty() {
        page.paragraphs(
            "No weight taken up to three times larger or smaller changes the advice.",
        );
    }
    page.table(table);
}
