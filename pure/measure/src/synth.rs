//! Recordings with known truth: a command that steps, an actuator of first order with
//! dead time, and a logger that jitters. For tests and for the demo; seeded, so that
//! the same input gives the same bytes.

use std::fmt::Write as _;

/// What to record, and the truth behind it.
#[derive(Debug, Clone, PartialEq)]
pub struct StepLog {
    /// Seed of the jitter and the noise.
    pub seed: u64,
    /// Rows a second.
    pub rate_hz: f64,
    /// Greatest shift of a row's time either way, s, evenly spread.
    pub jitter_s: f64,
    /// Standard deviation of the noise on the actual value.
    pub noise: f64,
    /// Dead time, s.
    pub dead_time_s: f64,
    /// Time constant where the actual value rises, s.
    pub tau_up_s: f64,
    /// Time constant where it falls, s.
    pub tau_down_s: f64,
    /// Change of the actual value over change of the command.
    pub gain: f64,
    /// Command before the first step.
    pub start: f64,
    /// Steps of the command: time in s, rising, and the new command.
    pub steps: Vec<(f64, f64)>,
    /// Length of the recording, s.
    pub duration_s: f64,
    /// Signals that the link asks in turn: 1 refreshes both columns in every row; of n,
    /// the command is the first, the actual value the second, both forward-filled.
    pub signals: usize,
}

impl Default for StepLog {
    /// Six steps between 20 and 60 in a minute, ten rows a second, a quick actuator.
    fn default() -> Self {
        let levels = [60.0, 20.0, 60.0, 20.0, 60.0, 20.0];
        let at = [5.03, 14.17, 23.26, 32.31, 41.44, 50.58];
        Self {
            seed: 1,
            rate_hz: 10.0,
            jitter_s: 0.02,
            noise: 0.4,
            dead_time_s: 0.2,
            tau_up_s: 0.6,
            tau_down_s: 0.6,
            gain: 1.0,
            start: 20.0,
            steps: at.into_iter().zip(levels).collect(),
            duration_s: 60.0,
            signals: 1,
        }
    }
}

/// Writes the recording as CSV with the columns `time_s`, `commanded` and `actual`.
pub fn step_log(log: &StepLog) -> String {
    let mut chance = Chance::new(log.seed);
    let mut text = "time_s,commanded,actual\n".to_owned();
    let (mut commanded, mut actual) = (log.start, log.gain * log.start);
    let mut row = 0_u32;
    loop {
        let planned = f64::from(row) / log.rate_hz;
        // A rate of zero or NaN ends at once.
        if planned.is_nan() || planned >= log.duration_s {
            return text;
        }
        let time = (planned + log.jitter_s * (2.0 * chance.even() - 1.0)).max(0.0);
        let read = response(log, time) + log.noise * chance.normal();
        let slot = row.checked_rem(u32::try_from(log.signals).unwrap_or(1)).unwrap_or(0);
        let every = log.signals <= 1 || row == 0;
        if every || slot == 0 {
            commanded = command(log, time);
        }
        if every || slot == 1 {
            actual = read;
        }
        // A String takes all that is written to it.
        let _ = writeln!(text, "{time:.4},{commanded},{actual:.4}");
        row += 1;
    }
}

fn command(log: &StepLog, time: f64) -> f64 {
    log.steps.iter().rev().find(|(at, _)| time >= *at).map_or(log.start, |(_, to)| *to)
}

/// The actuator at a time, piece by piece in closed form.
fn response(log: &StepLog, time: f64) -> f64 {
    let mut value = log.gain * log.start;
    let mut target = value;
    let mut since = 0.0;
    for (at, to) in &log.steps {
        let arrives = at + log.dead_time_s;
        if arrives > time {
            break;
        }
        value = approach(log, value, target, arrives - since);
        target = log.gain * to;
        since = arrives;
    }
    approach(log, value, target, (time - since).max(0.0))
}

fn approach(log: &StepLog, from: f64, target: f64, for_s: f64) -> f64 {
    let tau = if target >= from { log.tau_up_s } else { log.tau_down_s };
    target + (from - target) * (-for_s / tau).exp()
}

/// A 64-bit linear congruential generator (Knuth's MMIX constants), mixed on output.
#[derive(Debug, Clone)]
struct Chance(u64);

impl Chance {
    fn new(seed: u64) -> Self {
        let mut chance = Self(seed ^ 0x9e37_79b9_7f4a_7c15);
        chance.next();
        chance
    }

    fn next(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        // The low bits of such a generator repeat soon, so the high ones are folded in.
        let mixed = (self.0 ^ (self.0 >> 33)).wrapping_mul(0xff51_afd7_ed55_8ccd);
        mixed ^ (mixed >> 33)
    }

    /// Even on [0, 1).
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
    fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Standard normal (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}
