//! Seeded sheets of the planner's measuring shape.
//!
//! As the sizes of the bars were set (references: planner research, section 3.6): items nested
//! (70 % behind an earlier one, 35 % of these behind a second), 6 to 60 minutes to take off and
//! 0.8 to 1.3 of that to refit, repairs of 18 minutes to 3 hours that hold with 0.85 to 1, 30 %
//! of them good for a second cause, 30 % of the checks with the vehicle assembled, likelihoods
//! short of certainty, 5 % unlisted, a proof that shows with 0.97, a comeback of 30 hours.

use crate::dice::Dice;
use crate::sheets::{Size, behind, ids, line};

/// `{ ok = 0.9, bad = 0.1 }`.
fn row(ok: f64) -> String {
    format!("{{ ok = {ok:.3}, bad = {:.3} }}", 1.0 - ok)
}

/// A sheet of this size; the same text for the same seed.
pub(crate) fn sheet_text(seed: u64, size: Size) -> String {
    let mut dice = Dice(seed.wrapping_mul(0x2545_f491_4f6c_dd1d) ^ 0x77);
    let dice = &mut dice;
    let mut text = format!(
        "[sheet]\nformat = 1\nid = \"plain-{seed}\"\ntitle = \"Plain {seed}\"\nversion = \
         1\ncodes = [\"P0299\"]\nsources = [\"invented\"]\n\n[economy]\nlabour_per_hour = \
         60.0\ncomeback = 1800.0\npass_on = 1800.0\n\n"
    );
    let weights: Vec<f64> = (0..size.suspects).map(|_| dice.whole(1, 9)).collect();
    let unlisted = weights.iter().sum::<f64>() * 0.05 / 0.95;
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
    for place in 0..size.items {
        item(&mut text, dice, place);
    }
    for place in 0..size.checks {
        check(&mut text, dice, (place, size));
    }
    for place in 0..size.repairs {
        repair(&mut text, dice, (place, size));
    }
    for place in 0..size.proofs {
        line(
            &mut text,
            format_args!(
                "[[proof]]\nid = \"p{place}\"\ntitle = \"Proof {place}\"\nminutes = \
                 {:.1}\nshows = 0.97\n",
                dice.whole(12, 36)
            ),
        );
    }
    text
}

fn item(text: &mut String, dice: &mut Dice, place: usize) {
    let behind = behind(dice, place);
    let strip = dice.whole(6, 60);
    let refit = (strip * dice.share(800, 1300)).round();
    line(
        text,
        format_args!(
            "[[item]]\nid = \"i{place}\"\ntitle = \"Item {place}\"\nbehind = {}\nstrip_min = \
             {strip:.1}\nrefit_min = {refit:.1}\n",
            ids('i', &behind)
        ),
    );
}

fn check(text: &mut String, dice: &mut Dice, (place, size): (usize, Size)) {
    line(
        text,
        format_args!(
            "[[check]]\nid = \"k{place}\"\ntitle = \"Check {place}\"\noutcomes = [\"ok\", \
             \"bad\"]\nminutes = {:.1}",
            dice.whole(6, 60)
        ),
    );
    if dice.percent(30) {
        line(text, format_args!("assembled = true"));
    } else {
        line(text, format_args!("off = {}", ids('i', &[dice.below(size.items)])));
    }
    line(text, format_args!("[check.given]\nfine = {}", row(dice.share(850, 990))));
    let mut seen = vec![place % size.suspects, dice.below(size.suspects)];
    if dice.percent(50) {
        seen.push(dice.below(size.suspects));
    }
    seen.sort_unstable();
    seen.dedup();
    for suspect in seen {
        line(text, format_args!("s{suspect} = {}", row(dice.share(20, 250))));
    }
    text.push('\n');
}

fn repair(text: &mut String, dice: &mut Dice, (place, size): (usize, Size)) {
    let mut cured = vec![place % size.suspects];
    if dice.percent(30) {
        cured.push(dice.below(size.suspects));
    }
    cured.sort_unstable();
    cured.dedup();
    let fixes: Vec<String> = cured
        .iter()
        .map(|suspect| format!("s{suspect} = {:.3}", dice.share(850, 1000)))
        .collect();
    line(
        text,
        format_args!(
            "[[repair]]\nid = \"r{place}\"\ntitle = \"Repair {place}\"\nminutes = \
             {:.1}\nfixes = {{ {} }}\noff = {}\n",
            dice.whole(18, 180),
            fixes.join(", "),
            ids('i', &[dice.below(size.items)])
        ),
    );
}
