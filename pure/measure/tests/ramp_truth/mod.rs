//! Coil ramps with known truth: the equations of a plunger magnet stepped through time, then a
//! probe that samples, drifts, rounds and clips. Shares nothing with the judge.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "counts of microseconds and of random bits, all far below 2^53"
)]

/// A plunger magnet and how it is driven; SI units.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Coil {
    pub(crate) volts: f64,
    pub(crate) ohm: f64,
    /// µ0 N² A, H·m: inductance is this over the gap.
    pub(crate) henry_metre: f64,
    /// Gap that stays at x = 0.
    pub(crate) gap_m: f64,
    pub(crate) from_m: f64,
    pub(crate) to_m: f64,
    pub(crate) kg: f64,
    pub(crate) spring_n_per_m: f64,
    pub(crate) preload_n: f64,
    pub(crate) damping: f64,
    pub(crate) rebound: f64,
    /// Flux linkage at which the iron takes as much as the gap, none: never.
    pub(crate) saturates_wb: Option<f64>,
    /// Conductance of the eddy path beside the coil, 1/ohm.
    pub(crate) eddy: f64,
    pub(crate) blocked: bool,
    /// Chopping frequency and duty; the coil freewheels through a diode meanwhile.
    pub(crate) chop: Option<(f64, f64)>,
    /// When the drive is switched off.
    pub(crate) off_s: f64,
}

/// The magnet of the reduced circuit: geometry after the Modelica Standard Library's
/// solenoid example (BSD-3-Clause), spring and damping chosen.
pub(crate) fn base() -> Coil {
    let area = std::f64::consts::PI * 0.005_f64.powi(2);
    Coil {
        volts: 12.0,
        ohm: 10.0,
        henry_metre: 4e-7 * std::f64::consts::PI * 957.0 * 957.0 * area,
        gap_m: 1.2e-3,
        from_m: 5e-3,
        to_m: 0.25e-3,
        kg: 0.026,
        spring_n_per_m: 200.0,
        preload_n: 1.0,
        damping: 0.5,
        rebound: 0.0,
        saturates_wb: None,
        eddy: 0.0,
        blocked: false,
        chop: None,
        off_s: f64::INFINITY,
    }
}

/// How the current is recorded.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Probe {
    pub(crate) rate_hz: f64,
    pub(crate) noise_a: f64,
    /// Standard deviation of a slow wander (1/f) on top.
    pub(crate) wander_a: f64,
    pub(crate) bits: Option<(u32, f64)>,
    pub(crate) offset_a: f64,
    pub(crate) before_s: f64,
    pub(crate) length_s: f64,
    pub(crate) jitter: f64,
    pub(crate) hum: Option<(f64, f64)>,
    pub(crate) clip_a: f64,
}

pub(crate) fn probe() -> Probe {
    Probe {
        rate_hz: 20_000.0,
        noise_a: 0.005,
        wander_a: 0.0,
        bits: None,
        offset_a: 0.0,
        before_s: 0.0,
        length_s: 0.05,
        jitter: 0.0,
        hum: None,
        clip_a: f64::INFINITY,
    }
}

/// What really happened, s from the switch-on, and the current every step.
#[derive(Debug, Clone)]
pub(crate) struct Truth {
    pub(crate) motion_s: Option<f64>,
    pub(crate) contact_s: Option<f64>,
    pub(crate) contacts: usize,
    pub(crate) early_tau_s: f64,
    pub(crate) step_s: f64,
    pub(crate) current_a: Vec<f64>,
}

/// Steps of 1 µs; speed first, then place (semi-implicit).
pub(crate) fn run(coil: &Coil, length_s: f64) -> Truth {
    let step_s = 1e-6;
    let inverse_l = |x: f64| (x + coil.gap_m) / coil.henry_metre;
    let (mut flux, mut x, mut v, mut t) = (0.0_f64, coil.from_m, 0.0_f64, 0.0_f64);
    let mut truth = Truth {
        motion_s: None,
        contact_s: None,
        contacts: 0,
        early_tau_s: 1.0 / inverse_l(coil.from_m) / coil.ohm,
        step_s,
        current_a: Vec::new(),
    };
    while t < length_s {
        let iron = coil.saturates_wb.map_or(0.0, |s| (flux / s).powi(8));
        let magnetising = flux * (inverse_l(x) + iron * inverse_l(coil.to_m));
        let drive = drive_volts(coil, t);
        let current = (magnetising + coil.eddy * drive) / (1.0 + coil.eddy * coil.ohm);
        let (current, slope) = if drive < 0.0 && current <= 0.0 {
            (0.0, -flux / 1e-3)
        } else {
            (current, drive - coil.ohm * current)
        };
        truth.current_a.push(current);
        flux += slope * step_s;
        if !coil.blocked {
            let pull = flux * flux / (2.0 * coil.henry_metre);
            let spring = coil.preload_n + coil.spring_n_per_m * (coil.from_m - x);
            v += step_s * (spring - pull - coil.damping * v) / coil.kg;
            x += step_s * v;
            if x >= coil.from_m {
                (x, v) = (coil.from_m, v.min(0.0));
            } else if truth.motion_s.is_none() {
                truth.motion_s = Some(t);
            }
            if x <= coil.to_m {
                if v < -0.02 {
                    truth.contacts += 1;
                    truth.contact_s.get_or_insert(t);
                }
                v = if v < -0.02 { -coil.rebound * v } else { v.max(0.0) };
                x = coil.to_m;
            }
        }
        t += step_s;
    }
    truth
}

fn drive_volts(coil: &Coil, t: f64) -> f64 {
    let chopped = coil.chop.is_some_and(|(hz, duty)| (t * hz).rem_euclid(1.0) >= duty);
    if t >= coil.off_s || chopped { -0.7 } else { coil.volts }
}

/// The probe's samples, file times from 0.
pub(crate) fn record(truth: &Truth, probe: &Probe, seed: u64) -> Vec<(f64, f64)> {
    let mut chance = Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x51_7c_c1_b7);
    let mut slow = [0.0_f64; 5];
    let mut samples = Vec::new();
    let mut k = 0.0;
    let phase = chance.even();
    while k / probe.rate_hz < probe.length_s {
        let t = (k + probe.jitter * (chance.even() - 0.5)) / probe.rate_hz;
        let since = t - probe.before_s;
        let place = (since / truth.step_s).max(0.0);
        let at = place as usize;
        let part = place - at as f64;
        let mut value = if since < 0.0 || at + 1 >= truth.current_a.len() {
            if since < 0.0 { 0.0 } else { *truth.current_a.last().unwrap() }
        } else {
            truth.current_a[at] * (1.0 - part) + truth.current_a[at + 1] * part
        };
        // Five first-order wanders a factor of five apart make a spectrum like 1/f.
        let mut tau = 2e-4;
        for one in &mut slow {
            let keep = (-1.0 / probe.rate_hz / tau).exp();
            *one = keep * *one + (1.0 - keep * keep).sqrt() * chance.normal();
            tau *= 5.0;
        }
        value += probe.wander_a * slow.iter().sum::<f64>() / 5.0_f64.sqrt();
        value += probe.noise_a * chance.normal() + probe.offset_a;
        if let Some((hz, a)) = probe.hum {
            value += a * (std::f64::consts::TAU * (hz * t + phase)).sin();
        }
        value = value.clamp(-probe.clip_a, probe.clip_a);
        if let Some((bits, range)) = probe.bits {
            let count = 2.0 * range / f64::from(2_u32.pow(bits));
            value = (value / count).round() * count;
        }
        samples.push((t, value));
        k += 1.0;
    }
    samples
}

/// Even and normal draws (a mixed linear congruential generator; Box and Muller 1958).
pub(crate) struct Chance(pub(crate) u64);

impl Chance {
    pub(crate) fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        let mut mixed = self.0;
        mixed ^= mixed >> 32;
        mixed = mixed.wrapping_mul(0xd6e8_feb8_6659_fd93);
        mixed ^= mixed >> 32;
        (mixed >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// Some magnet: resistance, gap, stroke, mass, spring, damping, rebound, saturation and eddy
/// currents drawn so that a plunger mostly pulls in within 50 ms.
pub(crate) fn any_coil(c: &mut Chance) -> Coil {
    let (ohm, volts) = (c.between(2.0, 20.0), c.between(9.0, 16.0));
    let tau_s = c.between(0.6e-3, 6e-3);
    let (gap_m, from_m) = (c.between(0.3e-3, 1.5e-3), c.between(0.4e-3, 5e-3));
    let henry_metre = tau_s * ohm * (from_m + gap_m);
    let end_a = volts / ohm;
    let pull_n = end_a * end_a * henry_metre / (2.0 * (from_m + gap_m).powi(2));
    let preload_n = pull_n * c.between(0.1, 0.8);
    let move_s = c.between(1.5e-3, 15e-3);
    let to_m = from_m * c.between(0.0, 0.15);
    let spring_n_per_m = preload_n / from_m * c.between(0.0, 0.6);
    let damping = pull_n / (from_m / move_s) * c.between(0.0, 0.8);
    let rebound = if c.even() < 0.5 { 0.0 } else { c.between(0.0, 0.5) };
    let gap_flux = end_a * henry_metre / (from_m + gap_m);
    let saturates_wb = (c.even() >= 0.5).then(|| gap_flux * c.between(0.8, 2.5));
    let eddy = if c.even() < 0.6 { 0.0 } else { c.between(0.0, 0.3) / ohm };
    Coil {
        volts,
        ohm,
        henry_metre,
        gap_m,
        from_m,
        to_m,
        kg: pull_n * move_s * move_s / (2.0 * from_m),
        spring_n_per_m,
        preload_n,
        damping,
        rebound,
        saturates_wb,
        eddy,
        ..base()
    }
}

/// Some probe for a current: 10 to 100 kHz, noise to 1.7 %, wander, 8 to 12 bits, zero off,
/// a rest before the switch-on, uneven steps.
pub(crate) fn any_probe(c: &mut Chance, end_a: f64) -> Probe {
    let rate_hz = 10_f64.powf(c.between(4.0, 5.0));
    let noise_a = end_a * c.between(0.0, 0.017);
    let wander_a = if c.even() < 0.6 { 0.0 } else { end_a * c.between(0.0, 0.004) };
    let bits =
        (c.even() >= 0.5).then(|| ([8, 10, 12][(c.even() * 3.0) as usize], 2.0 * end_a));
    let offset_a = if c.even() < 0.5 { 0.0 } else { end_a * c.between(-0.03, 0.03) };
    let before_s = if c.even() < 0.5 { 0.0 } else { c.between(1e-3, 8e-3) };
    let jitter = if c.even() < 0.7 { 0.0 } else { 0.5 };
    Probe {
        rate_hz,
        noise_a,
        wander_a,
        bits,
        offset_a,
        before_s,
        length_s: 0.1,
        jitter,
        ..probe()
    }
}
