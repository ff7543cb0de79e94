//! Links that ask in turn, made with known truth: two to ten signals, values that repeat by
//! chance, jitter, slips, signals asked more often than others; and what looks like a link
//! and is none.
#![cfg(test)]

use std::fmt::Write as _;

use logs::{Options, Recording, read_csv};

/// Marsaglia's xorshift of 64 bits.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: u32) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        u32::try_from(self.0 >> 33).expect("31 bits") % end
    }

    /// From -1 to 1.
    fn even(&mut self) -> f64 {
        f64::from(self.below(20_001)) * 1e-4 - 1.0
    }
}

/// A log of a link that asks as the order says, with the rows at which each was asked.
struct Link {
    text: String,
    asked: Vec<Vec<usize>>,
    times: Vec<f64>,
}

/// Asks the signals in an order, over and over; `slips` of 1000 asks fail, so that the next
/// one comes in their row.
fn link(
    order: &[usize],
    rows: usize,
    slips: u32,
    mut value: impl FnMut(usize, f64) -> f64,
) -> Link {
    let mut chance = Chance(order.len() as u64 * 77 + 5);
    let signals = 1 + order.iter().copied().max().expect("a signal");
    let mut cells = vec![String::new(); signals];
    let mut made = Link {
        text: "time_s".to_owned(),
        asked: vec![Vec::new(); signals],
        times: Vec::new(),
    };
    (0..signals).for_each(|s| write!(made.text, ",s{s}").expect("text"));
    made.text.push('\n');
    let (mut time, mut turn) = (0.0, 0);
    for row in 0..rows {
        time += 0.09 + 0.02 * chance.even();
        if chance.below(1_000) < slips {
            turn += 1;
        }
        let signal = order[turn % order.len()];
        turn += 1;
        cells[signal] = value(signal, time).to_string();
        made.asked[signal].push(row);
        made.times.push(time);
        writeln!(made.text, "{time:.4},{}", cells.join(",")).expect("text");
    }
    made
}

fn read(text: &str) -> Recording {
    read_csv(text.as_bytes(), &Options::default()).unwrap_or_else(|e| panic!("{e}"))
}

fn median(mut numbers: Vec<f64>) -> f64 {
    numbers.sort_by(f64::total_cmp);
    numbers[numbers.len() >> 1]
}

/// The interval is the true one within 2 %, nearly all true samples are there, and no other.
fn holds(made: &Link, least: f64, what: &str) {
    let log = read(&made.text);
    for (signal, asked) in made.asked.iter().enumerate() {
        let name = format!("s{signal}");
        let found = &log.findings[signal];
        let gaps = asked.windows(2).map(|w| made.times[w[1]] - made.times[w[0]]);
        let truth = median(gaps.collect());
        let seen = found.median_interval_s.unwrap_or(f64::NAN);
        assert!(
            (seen - truth).abs() < 0.02 * truth,
            "{what} {name}: {seen} is not {truth}"
        );
        let channel = log.channel(&name).expect("a channel");
        assert_eq!(channel.samples.len(), found.fresh);
        let start = made.times[0];
        let mut wanted = asked.iter().map(|row| made.times[*row] - start).peekable();
        let mut true_ones = 0;
        for (time, _) in &channel.samples {
            while wanted.next_if(|w| *w < time - 2e-4).is_some() {}
            true_ones +=
                usize::from(wanted.next_if(|w| (w - time).abs() < 2e-4).is_some());
        }
        let all = channel.samples.len();
        assert!(
            true_ones * 100 >= all * 99,
            "{what} {name}: {true_ones} of {all} are true"
        );
        let enough = least * f64::from(u32::try_from(asked.len()).expect("small"));
        assert!(
            f64::from(u32::try_from(true_ones).expect("small")) >= enough,
            "{what} {name}: {true_ones} of {}",
            asked.len()
        );
    }
}

/// A command in steps, its answer with lag and noise in counts of 0.4, a slow temperature,
/// engine speed, and whatever else: values repeat by chance, most of all the command's.
fn usual(chance: &mut Chance, signal: usize, time: f64) -> f64 {
    let count = |x: f64, step: f64| ((x / step).round() * step * 1e3).round() / 1e3;
    let phase = time % 20.0;
    let up = phase < 10.0;
    match signal {
        0 => {
            if up {
                60.0
            } else {
                20.0
            }
        }
        1 => {
            let gone = 40.0 * (-((phase % 10.0) / 0.8)).exp();
            let level = if up { 60.0 - gone } else { 20.0 + gone };
            count(level + 0.5 * chance.even(), 0.4)
        }
        2 => count(60.0 + 0.05 * time, 1.0),
        3 => count(850.0 + 30.0 * chance.even(), 1.0),
        _ => count(5.0 + 2.0 * chance.even(), 0.5),
    }
}

#[test]
fn two_to_ten_signals_are_told_though_values_repeat() {
    for signals in 2..=10 {
        let order: Vec<usize> = (0..signals).collect();
        let mut chance = Chance(99);
        let made = link(&order, 3_000, 0, |s, t| usual(&mut chance, s, t));
        holds(&made, 0.98, &format!("{signals} signals"));
    }
}

#[test]
fn slips_of_the_link_cost_samples_and_never_make_any() {
    for signals in [2, 3, 5, 10] {
        let order: Vec<usize> = (0..signals).collect();
        let mut chance = Chance(7);
        let made = link(&order, 6_000, 5, |s, t| usual(&mut chance, s, t));
        holds(&made, 0.7, &format!("{signals} signals with slips"));
    }
}

#[test]
fn a_signal_may_be_asked_more_often_than_others() {
    // What the signals are like, by the order in which they are asked.
    for (order, like) in [
        (vec![0, 1, 0, 2], [1, 3, 4, 4]),
        (vec![0, 1, 0, 2, 0, 3], [1, 0, 3, 4]),
        (vec![0, 1, 2, 0, 1, 3], [1, 0, 3, 2]),
    ] {
        let mut chance = Chance(3);
        let made = link(&order, 6_000, 0, |s, t| usual(&mut chance, like[s], t));
        holds(&made, 0.9, &format!("{order:?}"));
    }
}

#[test]
fn cells_left_empty_are_not_filled_and_what_is_there_is_fresh() {
    let mut text = "time_s,a,b,c\n".to_owned();
    for row in 0..900_u32 {
        let mut cells = [""; 3].map(str::to_owned);
        cells[(row % 3) as usize] = ((row * 7_919) % 5).to_string();
        writeln!(text, "{:.2},{}", 0.1 * f64::from(row), cells.join(",")).expect("text");
    }
    let log = read(&text);
    for found in &log.findings {
        assert_eq!(found.fresh, 300, "{}", found.name);
        assert!((found.median_interval_s.expect("some") - 0.3).abs() < 1e-6);
    }
}

/// A slow ramp in counts changes every few rows, a command steps every so many: no link.
#[test]
fn what_steps_by_itself_is_no_link() {
    let mut chance = Chance(11);
    let count = |x: f64| (x / 0.392).round() * 0.392;
    let mut ramps = "time_s,commanded,actual\n".to_owned();
    let mut steps = ramps.clone();
    for row in 0..4_000_u32 {
        let time = 0.1 * f64::from(row);
        let phase = time % 80.0;
        let ramp = if phase < 40.0 { phase } else { 80.0 - phase };
        let late = ((time - 1.3).max(0.0)) % 80.0;
        let late = if late < 40.0 { late } else { 80.0 - late };
        writeln!(ramps, "{time:.2},{:.2},{:.2}", count(ramp), count(late)).expect("text");
        let command = f64::from((row.div_ceil(20) * 7_919) % 8) * 10.0;
        writeln!(steps, "{time:.2},{command},{:.2}", command + chance.even())
            .expect("text");
    }
    for text in [ramps, steps] {
        let log = read(&text);
        assert_eq!(log.polled_rows, None, "{:?}", log.remarks);
        assert!(log.findings.iter().all(|f| f.fresh == 4_000));
    }
}

#[test]
fn threads_change_nothing() {
    let order: Vec<usize> = (0..6).collect();
    let mut chance = Chance(5);
    let made = link(&order, 120_000, 3, |s, t| usual(&mut chance, s, t));
    assert!(made.text.len() > 2 << 20, "more than two blocks");
    let one = Options { threads: 1, ..Options::default() };
    let alone = read_csv(made.text.as_bytes(), &one).expect("a recording");
    for threads in [2, 3, 8] {
        let options = Options { threads, ..Options::default() };
        let together = read_csv(made.text.as_bytes(), &options).expect("a recording");
        assert!(together == alone, "{threads} threads");
    }
    let wide: Vec<u8> = made.text.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let wide: Vec<u8> = [0xff, 0xfe].into_iter().chain(wide).collect();
    let wide = read_csv(&wide, &Options::default()).expect("UTF-16");
    assert_eq!(wide.channels.len(), alone.channels.len());
    for (a, b) in wide.channels.iter().zip(&alone.channels) {
        assert_eq!(a.name, b.name);
        assert_eq!(wide.rows, alone.rows);
    }
}
