//! Recordings with known truth as a workshop makes them: even, asked in turn, untidy, too
//! slow, sticking; how near the numbers come and how often the intervals hold.
#![cfg(test)]

mod plant;

use std::fmt::Write as _;

use measure::change::mean_step;
use measure::compare::Change;
use measure::{Estimate, RecordingAnswer, compare};
use plant::{Chance, Link, PLAIN, Plant, Untidy, covers, judged, log, near, steps_at};

/// Noise of 1 % of a move.
const QUIET: Untidy =
    Untidy { noise: 0.4, count: 0.0, gaps: 0, doubles: false, back_s: 0.0, stuck: 0 };
const TEN: Link = Link::Even { rate_hz: 10.0, jitter_s: 0.02 };

/// Steps between 20 and 60 held for a while, at times that a hand picks.
fn steps(chance: &mut Chance, n: u32, hold_s: f64) -> (Vec<(f64, f64)>, f64) {
    let mut points = vec![(0.0, 20.0)];
    let mut t = hold_s.max(3.0);
    for k in 0..n {
        let level = if k.is_multiple_of(2) { 60.0 } else { 20.0 };
        points.push((t + chance.even(), level));
        t += hold_s + chance.even();
    }
    (points, t + 0.3 * hold_s)
}

fn first_order(tau_s: f64, dead_s: f64) -> Plant {
    Plant { tau_up_s: tau_s, tau_down_s: tau_s, dead_s, ..PLAIN }
}

/// What of many recordings came near the truth and was covered by its interval.
#[derive(Debug, Default)]
struct Score {
    runs: u32,
    tau_near: u32,
    tau_covers: u32,
    tau_null: u32,
    dead_near: u32,
    dead_covers: u32,
}

struct Case {
    plant: Plant,
    link: Link,
    untidy: Untidy,
    steps: u32,
    hold_s: f64,
}

fn score(seeds: u64, case: impl Fn(&mut Chance) -> Case) -> Score {
    let mut score = Score::default();
    for seed in 0..seeds {
        let mut chance = Chance(seed * 7_919 + 13);
        let Case { plant, link, untidy, steps: n, hold_s } = case(&mut chance);
        let (points, end) = steps(&mut chance, n, hold_s);
        let text = log(&plant, (link, untidy), &steps_at(&points), end, seed);
        let answer = judged(&text).unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        let (tau, dead) = (answer.time_constant_s, answer.dead_time_s);
        score.runs += 1;
        score.tau_near += u32::from(near(tau, plant.tau_up_s));
        score.tau_covers += u32::from(covers(tau, plant.tau_up_s));
        score.tau_null += u32::from(tau.value.is_none());
        score.dead_near += u32::from(near(dead, plant.dead_s));
        score.dead_covers += u32::from(covers(dead, plant.dead_s));
    }
    score
}

fn share(part: u32, score: &Score) -> f64 {
    100.0 * f64::from(part) / f64::from(score.runs)
}

/// Of a dozen runs 95 % intervals hold in at least so many of 100, but for one in a hundred
/// dozens (binomial).
const COVERED: f64 = 75.0;

/// The bar: time constant within 15 % or 50 ms always, dead time as often as named,
/// covered as 95 % are, with room for so few runs.
fn holds(name: &str, score: &Score, dead_near: f64) {
    assert!(score.tau_near == score.runs, "{name}: {score:?}");
    assert!(share(score.dead_near, score) >= dead_near, "{name}: {score:?}");
    assert!(share(score.tau_covers, score) >= COVERED, "{name}: {score:?}");
    assert!(share(score.dead_covers, score) >= COVERED, "{name}: {score:?}");
}

/// Coverage target from the issue of this project: 95 % intervals hold in 90 to 98 of 100.
#[test]
fn two_hundred_recordings_at_ten_hertz_hold_what_they_say() {
    let score = score(200, |chance| Case {
        plant: first_order(chance.between(0.25, 0.8), chance.between(0.0, 0.5)),
        link: TEN,
        untidy: QUIET,
        steps: 6,
        hold_s: 5.0,
    });
    holds("ten hertz", &score, 100.0);
    for covered in [score.tau_covers, score.dead_covers] {
        assert!((90.0..=98.5).contains(&share(covered, &score)), "{score:?}");
    }
}

#[test]
fn even_logs_from_one_to_a_hundred_hertz() {
    for (rate_hz, dead_near) in
        [(1.0, 50.0), (2.0, 65.0), (5.0, 90.0), (20.0, 100.0), (100.0, 100.0)]
    {
        let score = score(if rate_hz > 50.0 { 8 } else { 12 }, |chance| {
            let tau_s = chance.between(0.1, 1.0).max(1.2 / rate_hz);
            Case {
                plant: first_order(tau_s, chance.between(0.0, 1.5)),
                link: Link::Even { rate_hz, jitter_s: 0.2 / rate_hz },
                untidy: QUIET,
                steps: 6,
                hold_s: 1.5 + 6.0 * tau_s,
            }
        });
        holds(&format!("{rate_hz} Hz"), &score, dead_near);
    }
}

/// The dead time of a slow link is known no better than its commands lie.
#[test]
fn links_that_ask_in_turn_give_values_where_they_can_and_bounds_where_not() {
    for (signals, dead_near) in [(2, 95.0), (4, 85.0), (7, 70.0), (10, 60.0)] {
        let turn_s = 0.09 * f64::from(u32::try_from(signals).expect("few"));
        let slow = score(12, |chance| {
            let tau_s = chance.between(1.3 * turn_s, 5.0 * turn_s);
            Case {
                plant: first_order(tau_s, chance.between(0.0, 1.5)),
                link: Link::Turns { signals },
                untidy: QUIET,
                steps: 6,
                hold_s: 2.0 + 7.0 * tau_s,
            }
        });
        holds(&format!("{signals} in turn"), &slow, dead_near);
        let quick = score(8, |chance| Case {
            plant: first_order(
                chance.between(0.02, 0.3 * turn_s),
                chance.between(0.0, 0.5),
            ),
            link: Link::Turns { signals },
            untidy: QUIET,
            steps: 6,
            hold_s: 8.0,
        });
        assert_eq!(quick.tau_null, quick.runs, "{signals} in turn: {quick:?}");
        assert_eq!(quick.tau_covers, quick.runs, "{signals} in turn: {quick:?}");
        assert_eq!(quick.dead_covers, quick.runs, "{signals} in turn: {quick:?}");
    }
}

#[test]
fn untidy_logs_are_judged_like_tidy_ones() {
    let kinds = [
        ("gaps", Untidy { gaps: 3, ..QUIET }),
        (
            "repeats and a clock that steps back",
            Untidy { doubles: true, back_s: 0.4, ..QUIET },
        ),
        ("stuck", Untidy { stuck: 3, ..QUIET }),
        ("noise", Untidy { noise: 2.0, ..QUIET }),
        ("grid", Untidy { noise: 0.0, count: 100.0 / 255.0, ..QUIET }),
        ("coarse grid", Untidy { noise: 0.2, count: 2.0, ..QUIET }),
        (
            "all of it",
            Untidy {
                stuck: 1,
                gaps: 2,
                doubles: true,
                back_s: 0.4,
                count: 0.392,
                noise: 0.4,
            },
        ),
    ];
    for (name, untidy) in kinds {
        let score = score(12, |chance| Case {
            plant: first_order(chance.between(0.3, 1.0), chance.between(0.1, 0.5)),
            link: TEN,
            untidy,
            steps: 8,
            hold_s: 8.0,
        });
        holds(name, &score, 90.0);
    }
}

#[test]
fn long_dead_times_and_short_holds_are_no_trouble() {
    let long = score(12, |chance| Case {
        plant: first_order(chance.between(0.3, 1.0), chance.between(2.0, 4.0)),
        link: TEN,
        untidy: QUIET,
        steps: 6,
        hold_s: 12.0,
    });
    holds("long dead time", &long, 100.0);
    let short = score(12, |chance| {
        let tau_s = chance.between(0.5, 1.0);
        Case {
            plant: first_order(tau_s, chance.between(0.1, 0.4)),
            link: TEN,
            untidy: QUIET,
            steps: 8,
            hold_s: 2.5 * tau_s + 0.5,
        }
    });
    holds("short hold", &short, 95.0);
}

/// One step in a log by a clock: whoever made the log, hand or program, the step lies
/// between two rows, and the interval says so.
#[test]
fn a_single_step_on_a_clock_is_covered_wherever_it_lay() {
    let mut covered = 0;
    for seed in 0..20_u64 {
        let mut chance = Chance(seed);
        let plant = first_order(0.5, 0.3);
        let at = if seed % 2 == 0 { 5.0 } else { 5.0 + 0.1 * chance.even() };
        let points = [(0.0, 20.0), (at, 60.0)];
        let link = Link::Even { rate_hz: 10.0, jitter_s: 0.0 };
        let text = log(&plant, (link, QUIET), &steps_at(&points), 12.0, seed);
        let dead = judged(&text).expect("an answer").dead_time_s;
        covered += u32::from(covers(dead, 0.3));
    }
    assert!(covered >= 18, "{covered} of 20");
}

fn one(plant: &Plant, untidy: Untidy, n: u32, seed: u64) -> RecordingAnswer {
    let mut chance = Chance(seed);
    let (points, end) = steps(&mut chance, n, 9.0);
    judged(&log(plant, (TEN, untidy), &steps_at(&points), end, seed)).expect("an answer")
}

#[test]
fn up_and_down_stand_apart_and_every_step_by_itself() {
    let plant = Plant { tau_up_s: 1.4, tau_down_s: 0.5, ..PLAIN };
    let answer = one(&plant, QUIET, 8, 3);
    let [up, down] = [answer.up, answer.down].map(|side| side.expect("both ways"));
    assert_eq!((up.steps, down.steps), (4, 4));
    assert!(near(up.time_constant_s, 1.4) && covers(up.time_constant_s, 1.4), "{up:?}");
    assert!(
        near(down.time_constant_s, 0.5) && covers(down.time_constant_s, 0.5),
        "{down:?}"
    );
    assert_eq!(answer.each.len(), 8);
    assert!(answer.each.iter().all(|s| s.time_constant_s.is_some()));
}

/// Second order, damping ζ: overshoot e^(−πζ/√(1−ζ²)), by algebra; 16.3 % at ζ = 0.5.
#[test]
fn an_answer_that_swings_shows_its_overshoot_and_no_time_constant() {
    for (zeta, wn) in [(0.5, 2.0), (0.3, 1.5)] {
        let share = (-std::f64::consts::PI * zeta / (1.0_f64 - zeta * zeta).sqrt()).exp();
        let wd = wn * (1.0_f64 - zeta * zeta).sqrt();
        let mut chance = Chance(5);
        let mut text = "time_s,commanded,actual\n".to_owned();
        for row in 0..900_u32 {
            let t = f64::from(row) * 0.1;
            let turn = row.div_euclid(150);
            let (from, to) = if turn % 2 == 0 { (60.0, 20.0) } else { (20.0, 60.0) };
            let from = if turn == 0 { 20.0 } else { from };
            let age = (t - 15.0 * f64::from(turn) - 0.25).max(0.0);
            let swing = (wd * age).cos() + zeta * wn / wd * (wd * age).sin();
            let value = to + (from - to) * (-zeta * wn * age).exp() * swing;
            let read = value + 0.2 * chance.normal();
            writeln!(text, "{t:.2},{to},{read:.3}").expect("text");
        }
        let answer = judged(&text).expect("an answer");
        let got = answer.overshoot;
        assert!(
            got.value.is_some_and(|v| (v - share).abs() < 0.02),
            "{got:?} for {share}"
        );
        assert_eq!(answer.time_constant_s.value, None, "{:?}", answer.remarks);
        assert_eq!(answer.dead_time_s.value, None);
        assert!(answer.dead_time_s.high.is_some_and(|high| high >= 0.25), "{answer:?}");
    }
    let plain = one(&PLAIN, QUIET, 6, 1).overshoot;
    assert!(
        plain.value.is_none() && plain.high.is_some_and(|high| high < 0.08),
        "{plain:?}"
    );
}

/// Pieces of straight lines through points.
fn ramps_through(points: &[(f64, f64)]) -> impl Fn(f64) -> f64 + '_ {
    move |t| {
        let at = points.iter().rposition(|p| p.0 <= t).unwrap_or(0);
        let (a, b) = (points[at], points.get(at + 1).copied().unwrap_or(points[at]));
        if b.0 > a.0 { a.1 + (b.1 - a.1) * (t - a.0) / (b.0 - a.0) } else { a.1 }
    }
}

fn widths(runs: u64, link: Link, period_s: f64, least: f64) -> (u32, u32) {
    let (mut near, mut covered) = (0, 0);
    for seed in 0..runs {
        let mut chance = Chance(seed * 31 + 5);
        let width = if least < 0.0 { 0.0 } else { chance.between(least, 8.0) };
        let plant = Plant {
            stick: (width, 0.0),
            ..first_order(chance.between(0.1, 1.0), chance.between(0.0, 0.4))
        };
        let turns = [20.0, 80.0, 20.0, 80.0, 20.0, 80.0, 20.0];
        let points: Vec<(f64, f64)> = (0_u32..)
            .zip(turns)
            .map(|(k, level)| (f64::from(k) * period_s / 2.0, level))
            .collect();
        let untidy = Untidy { noise: 0.2, ..QUIET };
        let end = 3.0 * period_s - 1.0;
        let text = log(&plant, (link, untidy), &ramps_through(&points), end, seed);
        let got: Estimate = judged(&text).expect("an answer").hysteresis;
        let off = got.value.map_or(f64::INFINITY, |v| (v - width).abs());
        // Noise of 0.2 and a lag that nobody told: not better than half a unit.
        near += u32::from(off <= (0.15 * width).max(1.0));
        covered += u32::from(covers(got, width));
    }
    (near, covered)
}

/// The width of a part that plays, by construction, from ramps alone: the lag is told from
/// it by how the value turns.
#[test]
fn the_width_of_play_is_told_from_lag() {
    for (name, link, period_s, least) in [
        ("ten hertz", TEN, 40.0, 1.0),
        ("no play", TEN, 40.0, -1.0),
        ("ten in turn", Link::Turns { signals: 10 }, 60.0, 3.0),
    ] {
        let (near, covered) = widths(10, link, period_s, least);
        assert!(
            near >= 9 && covered >= 8,
            "{name}: {near} near, {covered} covered of 10"
        );
    }
}

/// Unlike steps are not pooled: the refusal names them.
#[test]
fn steps_of_another_size_are_not_compared() {
    let mut chance = Chance(1);
    let (points, end) = steps(&mut chance, 8, 6.0);
    let small: Vec<(f64, f64)> =
        points.iter().map(|(t, v)| (*t, 20.0 + (v - 20.0) / 2.0)).collect();
    let of = |points: &[(f64, f64)], tau_s: f64| {
        let text = log(&first_order(tau_s, 0.2), (TEN, QUIET), &steps_at(points), end, 4);
        judged(&text).expect("an answer")
    };
    let (before, other) = (of(&points, 1.4), of(&small, 0.6));
    let refused = compare(&before, &other, None);
    assert_eq!(refused.verdict, Change::NotDecided);
    assert_eq!(refused.effect, Estimate::default());
    assert!(
        refused.remarks.iter().any(|r| r.contains("not alike")),
        "{:?}",
        refused.remarks
    );
    let changed = compare(&before, &of(&points, 0.6), None);
    assert_eq!(changed.verdict, Change::Changed, "{:?}", changed.remarks);
    assert_eq!(changed.like.len(), 2);
    assert!(covers(changed.effect, -0.8), "{:?}", changed.effect);
    // So quick afterwards that the log carries a bound only: the bound decides.
    let quick = compare(&before, &of(&points, 0.02), None);
    assert_eq!((quick.verdict, quick.effect.value), (Change::Changed, None));
    assert!(quick.effect.high.is_some_and(|high| high < -0.8), "{:?}", quick.effect);
}

/// The twelve-point list of a step of the mean: change after six, gain 48, 3 left within
/// (algebra).
#[test]
fn a_change_is_found_and_noise_that_remembers_is_not_one() {
    let list = [1.0, 2.0, 1.0, 2.0, 1.0, 2.0, 5.0, 6.0, 5.0, 6.0, 5.0, 6.0];
    let step = mean_step(&list).expect("a step");
    assert_eq!((step.after, step.clear), (6, true));
    assert!(
        (step.gain - 48.0).abs() < 1e-9 && (step.left - 3.0).abs() < 1e-9,
        "{step:?}"
    );
    for rho in [0.0, 0.5, 0.8] {
        let mut alarms = 0;
        for seed in 0..200 {
            let mut chance = Chance(seed);
            let mut value = 0.0;
            let series: Vec<f64> = (0..200)
                .map(|_| {
                    value = rho * value + chance.normal();
                    value
                })
                .collect();
            alarms += u32::from(mean_step(&series).is_some_and(|s| s.clear));
        }
        assert!(alarms <= 14, "{alarms} of 200 alarms at correlation {rho}");
    }
}

#[test]
fn a_repair_within_one_recording_is_dated() {
    let mut chance = Chance(9);
    let (points, end) = steps(&mut chance, 16, 8.0);
    let half = points[8].0 - 1.0;
    let slow = log(&first_order(1.2, 0.2), (TEN, QUIET), &steps_at(&points), end, 1);
    let quick = log(&first_order(0.5, 0.2), (TEN, QUIET), &steps_at(&points), end, 2);
    let time = |line: &str| line.split(',').next().and_then(|t| t.parse::<f64>().ok());
    let first = slow.lines().filter(|l| time(l).is_none_or(|t| t < half));
    let then = quick.lines().filter(|l| time(l).is_some_and(|t| t >= half));
    let text: Vec<&str> = first.chain(then).collect();
    let change = judged(&text.join("\n")).expect("an answer").change.expect("a change");
    assert!(change.between_s.0 <= half && half <= change.between_s.1 + 1.0, "{change:?}");
}
