//! `prove/1`: what driving without the fault proves.

use weigh::{Count, ProveAnswer, ProveInput};

use crate::{
    Block, Counted, Page, ProofCurve, pair, proof_curve,
    say::{self, Shown},
};

/// How sure it is, how far to drive for more, and what that assumes.
#[must_use]
pub fn prove_page(
    answer: &ProveAnswer,
    input: &ProveInput,
    (language, shown): (&str, Shown),
) -> Page {
    let counted = Counted::from(input.recurrence.over.unit);
    let say = |amount: f64| say::exposure(amount, counted, shown);
    let mut page = Page::new("How sure", language);
    page.lead(format!(
        "{} that it is fixed.",
        say::sentence(&say::chance(answer.p_fixed))
    ));
    let wanted = say::chance(input.target);
    let more = match answer.more {
        _ if answer.reached => format!("{wanted} is reached"),
        Some(more) => format!("another {} without the fault for {wanted}", say(more)),
        None => format!("no driving gets it to {wanted}"),
    };
    let seen = format!(
        "{} in {}",
        say::times(f64::from(input.recurrence.seen)),
        say(input.recurrence.over.amount)
    );
    let or_blank = |amount: Option<f64>| amount.map_or_else(String::new, say);
    page.facts(vec![
        pair("Before the repair", seen),
        pair("Before driving", say::chance(input.fixed)),
        pair("Driven without it", say(input.clear)),
        pair(
            "A fault still there",
            format!("{} to stay silent so far", say::chance(answer.p_silent)),
        ),
        pair("More", more),
        pair("From zero to there", or_blank(answer.needed)),
        pair("Zero-failure plan", or_blank(answer.zero_failure)),
        pair("Sequential test", or_blank(answer.sequential)),
    ]);
    if let Some(count) = Count::from_recurrence(&input.recurrence) {
        page.blocks.push(Block::Drawing(proof_curve(&ProofCurve {
            count,
            fixed: input.fixed,
            clear: input.clear,
            target: Some(input.target),
            counted,
            shown,
        })));
    }
    page.subheading("This holds where");
    page.list(false, &answer.assumes);
    page.remarks(&answer.remarks);
    page
}
