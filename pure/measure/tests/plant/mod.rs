//! Recordings with known truth: an actuator moved on in steps of a millisecond, read by
//! a logger that is even, asks in turn, or is untidy.

use std::fmt::Write as _;

use logs::{Options, read_csv};
use measure::{
    Estimate, RecordingAnswer, RecordingError, RecordingMeta, judge_recording,
};

/// Numerical step of the actuator, s, and every how many of them it is noted.
const STEP_S: f64 = 0.000_1;
const NOTED: u32 = 10;

/// What moves, and how.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Plant {
    pub(crate) dead_s: f64,
    pub(crate) tau_up_s: f64,
    pub(crate) tau_down_s: f64,
    /// A second time constant: second order where above zero.
    pub(crate) tau2_s: f64,
    pub(crate) gain: f64,
    /// Most that the actual value moves in a second; 0: no limit.
    pub(crate) slew: f64,
    /// Deadband plus stickband and slip jump, in units of the command.
    pub(crate) stick: (f64, f64),
}

pub(crate) const PLAIN: Plant = Plant {
    dead_s: 0.2,
    tau_up_s: 0.6,
    tau_down_s: 0.6,
    tau2_s: 0.0,
    gain: 1.0,
    slew: 0.0,
    stick: (0.0, 0.0),
};

/// How it is read.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Link {
    /// Rows a second, and greatest shift of a row either way, s.
    Even { rate_hz: f64, jitter_s: f64 },
    /// Signals asked in turn; a row every 60 to 120 ms.
    Turns { signals: usize },
}

/// What goes wrong with the log.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Untidy {
    pub(crate) noise: f64,
    pub(crate) count: f64,
    pub(crate) gaps: usize,
    pub(crate) doubles: bool,
    pub(crate) back_s: f64,
    pub(crate) stuck: usize,
}

/// A 64-bit mixing generator (Steele, Lea and Flood 2014).
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        f64::from(u32::try_from((z ^ (z >> 31)) >> 32).unwrap()) / 4_294_967_296.0
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// The command over time: pieces of straight lines through (s, value), or held steps.
pub(crate) fn steps_at(points: &[(f64, f64)]) -> impl Fn(f64) -> f64 + '_ {
    move |t| {
        points.iter().rev().find(|(at, _)| t >= *at).map_or(points[0].1, |(_, to)| *to)
    }
}

impl Plant {
    /// The actual value every millisecond.
    pub(crate) fn moved(
        &self,
        command: &dyn Fn(f64) -> f64,
        duration_s: f64,
    ) -> Vec<f64> {
        let start = self.gain * command(0.0);
        let (mut middle, mut out) = (start, start);
        let mut sticky = Sticky::new(command(0.0), self.stick);
        let keeps = |tau: f64| if tau > 0.0 { (-STEP_S / tau).exp() } else { 0.0 };
        let [up, down, second] = [self.tau_up_s, self.tau_down_s, self.tau2_s].map(keeps);
        let most = if self.slew > 0.0 { self.slew * STEP_S } else { f64::INFINITY };
        let mut values = Vec::new();
        let mut k = 0_u32;
        while f64::from(k) * STEP_S <= duration_s {
            if k.is_multiple_of(NOTED) {
                values.push(out);
            }
            let t = f64::from(k) * STEP_S;
            let asked = self.gain * sticky.moved(command((t - self.dead_s).max(0.0)));
            middle = asked + (middle - asked) * second;
            let keep = if middle >= out { up } else { down };
            let next = middle + (out - middle) * keep;
            out += (next - out).clamp(-most, most);
            k += 1;
        }
        values
    }
}

/// Deadband plus stickband, slip jump (Choudhury, Thornhill and Shah 2005).
struct Sticky {
    s: f64,
    j: f64,
    before: f64,
    held: f64,
    up: bool,
    stuck: bool,
    out: f64,
}

impl Sticky {
    fn new(x: f64, (s, j): (f64, f64)) -> Self {
        Self { s, j, before: x, held: x, up: true, stuck: false, out: x }
    }

    fn moved(&mut self, x: f64) -> f64 {
        if self.s <= 0.0 {
            return x;
        }
        if x.to_bits() != self.before.to_bits() && (x > self.before) != self.up {
            (self.up, self.stuck, self.held) = (x > self.before, true, self.before);
        }
        if self.stuck && (x - self.held).abs() >= self.s {
            self.stuck = false;
        }
        if !self.stuck {
            let half = (self.s - self.j) / 2.0;
            self.out = if self.up { x - half } else { x + half };
        }
        self.before = x;
        self.out
    }
}

/// What is read of the actuator, and how.
struct Reader {
    moved: Vec<f64>,
    chance: Chance,
    untidy: Untidy,
    stuck: Vec<f64>,
    gaps: Vec<f64>,
    held: Vec<f64>,
}

impl Reader {
    /// The actual value at a time with its noise, on its grid.
    fn actual(&mut self, at: f64) -> f64 {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a small count"
        )]
        let k = (at / (STEP_S * f64::from(NOTED))).round() as usize;
        let value = self.moved[k.min(self.moved.len() - 1)]
            + self.untidy.noise * self.chance.normal();
        let count = self.untidy.count;
        if count > 0.0 { (value / count).round() * count } else { value }
    }

    /// One signal asked: the command, the actual value, or another.
    fn ask(&mut self, signal: usize, at: f64, command: &dyn Fn(f64) -> f64) {
        let is_stuck = self.stuck.iter().any(|s| (*s..*s + 1.0).contains(&at));
        self.held[signal] = match signal {
            0 => command(at),
            1 if is_stuck => self.held[1],
            1 => self.actual(at),
            other => {
                let span = 300.0 * f64::from(u32::try_from(other).unwrap());
                (1000.0 + span * self.chance.even()).round()
            }
        };
    }
}

/// The log as CSV: `time_s`, `commanded`, `actual` and, where asked in turn, the others.
pub(crate) fn log(
    plant: &Plant,
    (link, untidy): (Link, Untidy),
    command: &dyn Fn(f64) -> f64,
    duration_s: f64,
    seed: u64,
) -> String {
    let mut chance = Chance(seed.wrapping_mul(0x5851_f42d_4c95_7f2d) ^ 0x4d);
    let signals = match link {
        Link::Even { .. } => 2,
        Link::Turns { signals } => signals,
    };
    let mut text = "time_s,commanded,actual".to_owned();
    for other in 2..signals {
        write!(text, ",signal{other}").unwrap();
    }
    text.push('\n');
    let mut some = |n: usize| (0..n).map(|_| chance.between(0.0, duration_s)).collect();
    let (gaps, stuck) = (some(untidy.gaps), some(untidy.stuck));
    let back_at = chance.between(0.3, 0.7) * duration_s;
    let moved = plant.moved(command, duration_s + 1.0);
    let held = vec![0.0; signals];
    let mut reader = Reader { moved, chance, untidy, stuck, gaps, held };
    let (mut row, mut t) = (0_usize, 0.0);
    while t < duration_s {
        let at = match link {
            Link::Even { jitter_s, .. } => {
                (t + reader.chance.between(-jitter_s, jitter_s)).max(0.0)
            }
            Link::Turns { .. } => t,
        };
        let in_turn = matches!(link, Link::Turns { .. }) && row > 0;
        for signal in (0..signals).filter(|signal| !in_turn || row % signals == *signal) {
            reader.ask(signal, at, command);
        }
        let shift = if at > back_at { untidy.back_s } else { 0.0 };
        if !reader.gaps.iter().any(|g| (*g..*g + 1.5).contains(&at)) {
            let cells: Vec<String> =
                reader.held.iter().map(|v| format!("{v:.4}")).collect();
            let line = format!("{:.4},{}\n", at - shift, cells.join(","));
            text.push_str(&line);
            if untidy.doubles && reader.chance.even() < 0.05 {
                text.push_str(&line);
            }
        }
        row += 1;
        t = match link {
            Link::Even { rate_hz, .. } => {
                f64::from(u32::try_from(row).unwrap()) / rate_hz
            }
            Link::Turns { .. } => t + reader.chance.between(0.06, 0.12),
        };
    }
    text
}

/// Reads the log and judges it.
pub(crate) fn judged(text: &str) -> Result<RecordingAnswer, RecordingError> {
    let log = read_csv(text.as_bytes(), &Options::default()).unwrap();
    let channel = |name| log.channel(name).unwrap();
    judge_recording(channel("commanded"), channel("actual"), RecordingMeta::from(&log))
}

/// True if the interval, or the bound where there is no value, takes the truth in.
pub(crate) fn covers(estimate: Estimate, truth: f64) -> bool {
    let value = estimate.value.is_some();
    let low = estimate.low.map_or(!value, |low| low <= truth);
    let high = estimate.high.map_or(!value, |high| truth <= high);
    low && high && (value || estimate.low.is_some() || estimate.high.is_some())
}

/// Within 15 % or 50 ms.
pub(crate) fn near(estimate: Estimate, truth: f64) -> bool {
    estimate.value.is_some_and(|v| (v - truth).abs() <= (0.15 * truth).max(0.05))
}
