//! Seeded sheets with every feature.
//!
//! Items nested in one another (70 % behind an earlier one, 35 % of these behind a second) with
//! snags, waiting and covers; checks of two or three outcomes that see up to three suspects,
//! some with the vehicle assembled, in several ways, with `on`, `spoils`, `needs_fault`, or that
//! cure by the way; repairs that hold with 0.6 to 0.99, some of them not for good; proofs with
//! false alarms, drives counted in km; work cheap beside a comeback, so that much gets tried.

use crate::dice::Dice;
use crate::sheets::{Size, behind, ids, line};

/// What later parts refer to.
struct Drawn {
    size: Size,
    /// An item and all it lies behind, by item.
    closed: Vec<Vec<bool>>,
    cover: Vec<bool>,
}

/// A sheet of this size; the same text for the same seed.
pub(crate) fn sheet_text(seed: u64, size: Size) -> String {
    let mut dice = Dice(seed.wrapping_mul(0x2545_f491_4f6c_dd1d));
    let dice = &mut dice;
    let mut text = head(dice, seed);
    let weights: Vec<f64> = (0..size.suspects).map(|_| dice.whole(1, 9)).collect();
    let unlisted = weights.iter().sum::<f64>() * 0.05;
    line(&mut text, format_args!("[unlisted]\nweight = {unlisted:.2}\n"));
    for (place, weight) in weights.iter().enumerate() {
        line(
            &mut text,
            format_args!(
                "[[suspect]]\nid = \"s{place}\"\ntitle = \"Suspect {place}\"\nweight = \
                 {weight:.1}\n"
            ),
        );
    }
    let drawn = items(&mut text, dice, size);
    for place in 0..size.checks {
        check(&mut text, dice, (&drawn, place));
    }
    for place in 0..size.repairs {
        repair(&mut text, dice, (&drawn, place));
    }
    for place in 0..size.proofs {
        proof(&mut text, dice, place);
    }
    text
}

fn head(dice: &mut Dice, seed: u64) -> String {
    let labour = dice.one_of(&[48.0, 60.0, 90.0]).unwrap_or(60.0);
    let comeback = dice.whole(1400, 3750);
    let pass_on = (comeback * dice.share(350, 500)).round();
    let active = dice.one_of(&[1.0, 0.6, 0.3]).unwrap_or(1.0);
    let rust = dice.one_of(&["none", "some", "bad"]).unwrap_or("some");
    let mut text = String::new();
    line(
        &mut text,
        format_args!(
            "[sheet]\nformat = 1\nid = \"workshop-{seed}\"\ntitle = \"Workshop {seed}\"\nversion \
             = 1\ncodes = [\"P0299\"]\nsources = [\"invented\"]\n\n[economy]\nlabour_per_hour = \
             {labour:.1}\nbay_per_hour = 12.0\ncomeback = {comeback:.1}\npass_on = \
             {pass_on:.1}\nrust = \"{rust}\"\nactive = {active:.1}\n\n[recurrence]\nseen = 2\n\
             over_km = 400.0\n"
        ),
    );
    text
}

fn items(text: &mut String, dice: &mut Dice, size: Size) -> Drawn {
    let mut drawn = Drawn { size, closed: Vec::new(), cover: Vec::new() };
    for place in 0..size.items {
        let behind = behind(dice, place);
        let mut closed = vec![false; size.items];
        for one in &behind {
            for (mine, its) in closed.iter_mut().zip(&drawn.closed[*one]) {
                *mine |= its;
            }
        }
        closed[place] = true;
        drawn.closed.push(closed);
        drawn.cover.push(dice.percent(25));
        let strip = dice.whole(3, 30);
        let refit = dice.whole(2, 30);
        line(
            text,
            format_args!(
                "[[item]]\nid = \"i{place}\"\ntitle = \"Item {place}\"\nbehind = \
                 {}\nstrip_min = {strip:.1}\nrefit_min = {refit:.1}\ncover = {}",
                ids('i', &behind),
                drawn.cover[place],
            ),
        );
        if dice.percent(20) {
            line(text, format_args!("wait_min = {:.1}", dice.whole(5, 30)));
        }
        if dice.percent(40) {
            line(text, format_args!("refit_parts = {:.1}", dice.whole(1, 15)));
        }
        if dice.percent(50) {
            line(
                text,
                format_args!(
                    "  [[item.snag]]\n  title = \"Seized\"\n  p = {:.3}\n  minutes = \
                     {:.1}\n  parts = 3.0",
                    dice.share(50, 350),
                    dice.whole(10, 40)
                ),
            );
        }
        text.push('\n');
    }
    drawn
}

/// `off` and `on`, or `assembled` with covers alone off.
fn access(text: &mut String, dice: &mut Dice, (drawn, assembled): (&Drawn, usize)) {
    let all = 0..drawn.size.items;
    if dice.percent(assembled) {
        line(text, format_args!("assembled = true"));
        return;
    }
    let Some(way) = dice.one_of(&all.clone().collect::<Vec<_>>()) else { return };
    let other = dice.below(drawn.size.items);
    let (mut off, mut taken) = (ids('i', &[way]), drawn.closed[way].clone());
    if dice.percent(10) && other != way {
        off = format!("[{off}, {}]", ids('i', &[other]));
        for (mine, its) in taken.iter_mut().zip(&drawn.closed[other]) {
            *mine |= its;
        }
    }
    line(text, format_args!("off = {off}"));
    let free: Vec<usize> = all.filter(|one| !taken[*one]).collect();
    if dice.percent(12)
        && let Some(on) = dice.one_of(&free)
    {
        line(text, format_args!("on = {}", ids('i', &[on])));
    }
}

/// An outcome row: `ok`, then `bad` (and between them `low` where there are three).
fn row(three: Option<f64>, ok: f64) -> String {
    let rest = 1.0 - ok;
    match three {
        None => format!("{{ ok = {ok:.3}, bad = {rest:.3} }}"),
        Some(part) => {
            let low = rest * part;
            format!("{{ ok = {ok:.4}, low = {low:.4}, bad = {:.4} }}", rest - low)
        }
    }
}

fn check(text: &mut String, dice: &mut Dice, (drawn, place): (&Drawn, usize)) {
    let three = dice.percent(15);
    let outcomes = if three { "\"ok\", \"low\", \"bad\"" } else { "\"ok\", \"bad\"" };
    let cost = dice.whole(0, 8);
    line(
        text,
        format_args!(
            "[[check]]\nid = \"k{place}\"\ntitle = \"Check {place}\"\noutcomes = \
             [{outcomes}]\nminutes = {:.1}\ncost = {cost:.1}",
            dice.whole(2, 18)
        ),
    );
    if dice.percent(25) {
        line(text, format_args!("wait_min = {:.1}", dice.whole(5, 15)));
    }
    access(text, dice, (drawn, 30));
    if dice.percent(30) {
        line(text, format_args!("needs_fault = true"));
    }
    let other = dice.below(drawn.size.checks);
    if dice.percent(15) && other != place {
        line(text, format_args!("spoils = {}", ids('k', &[other])));
    }
    if dice.percent(10) {
        let cured = dice.below(drawn.size.suspects);
        line(text, format_args!("fixes = {{ s{cured} = {:.3} }}", dice.share(50, 300)));
    }
    let fine = dice.share(820, 990);
    let part = |dice: &mut Dice| three.then(|| dice.share(100, 900));
    line(text, format_args!("[check.given]\nfine = {}", row(part(dice), fine)));
    let mut seen = vec![place % drawn.size.suspects];
    if dice.percent(50) {
        seen.push(dice.below(drawn.size.suspects));
    }
    if dice.percent(25) {
        seen.push(dice.below(drawn.size.suspects));
    }
    seen.sort_unstable();
    seen.dedup();
    for suspect in seen {
        let ok = dice.share(20, 150);
        line(text, format_args!("s{suspect} = {}", row(part(dice), ok)));
    }
    text.push('\n');
}

fn repair(text: &mut String, dice: &mut Dice, (drawn, place): (&Drawn, usize)) {
    let suspects = drawn.size.suspects;
    let mut cured = vec![place % suspects];
    if dice.percent(30) {
        cured.push(dice.below(suspects));
    }
    cured.sort_unstable();
    cured.dedup();
    let fixes: Vec<String> =
        cured.iter().map(|s| format!("s{s} = {:.3}", dice.share(600, 990))).collect();
    line(
        text,
        format_args!(
            "[[repair]]\nid = \"r{place}\"\ntitle = \"Repair {place}\"\nminutes = {:.1}\nparts = \
             {:.1}\nfixes = {{ {} }}",
            dice.whole(5, 45),
            dice.whole(0, 150),
            fixes.join(", ")
        ),
    );
    access(text, dice, (drawn, 10));
    if dice.percent(15) {
        line(text, format_args!("again = {:.3}", dice.share(50, 300)));
    }
    text.push('\n');
}

fn proof(text: &mut String, dice: &mut Dice, place: usize) {
    line(text, format_args!("[[proof]]\nid = \"p{place}\"\ntitle = \"Proof {place}\""));
    line(
        text,
        format_args!(
            "minutes = {:.1}\ncost = {:.1}",
            dice.whole(15, 45),
            dice.whole(2, 12)
        ),
    );
    if dice.percent(30) {
        line(text, format_args!("false = {:.3}", dice.share(5, 50)));
    }
    match dice.below(4) {
        0 => line(text, format_args!("km = {:.1}", dice.whole(30, 300))),
        1 => line(
            text,
            format_args!(
                "shows = {{ s0 = {:.3}, otherwise = {:.3} }}",
                dice.share(500, 990),
                dice.share(500, 990)
            ),
        ),
        _ => line(text, format_args!("shows = {:.3}", dice.share(600, 990))),
    }
    if dice.percent(30) {
        line(text, format_args!("if_shown = {:.1}", dice.whole(10, 60)));
    }
    text.push('\n');
}
