//! `torque/1`: the answer to all that may be asked of one fastener.

use schemars::JsonSchema;
use serde::Serialize;

use crate::ask::{CrowFoot, JointGive, Stretch, TorqueAsk, TurnAsk};
use crate::class::StrengthClass;
use crate::error::{FastenError, within};
use crate::found::{FrictionFound, friction_found};
use crate::general::{GENERAL_VALUE, MAKER, TURNED};
use crate::guess::guess_thread;
use crate::joined::{PatternAnswer, pattern_answer};
use crate::thread::Thread;
use crate::tighten::{Lever, Shares, TightenInput, Tightened, tighten};
use crate::turn::{Stiffness, Turn, turn};
use crate::wrench::{NM_PER_LBFT, WrenchChoice, choose_wrench, crow_foot};

/// A thread that a head may belong to.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GuessedThread {
    /// The thread.
    pub thread: String,
    /// Heads of that width on it.
    pub heads: Vec<String>,
}

/// The answer `torque/1`.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TorqueAnswer {
    /// Stress area, mm² (ISO 898-1); null where the thread is not known.
    pub stress_area_mm2: Option<f64>,
    /// Preload at the lowest friction, kN; null where torque does not set it.
    pub preload_kn: Option<f64>,
    /// Torque that reaches the permitted use of yield at the lowest friction, or the
    /// maker's, N·m; null where none may be computed.
    pub torque_nm: Option<f64>,
    /// The same in lb-ft.
    pub torque_lbft: Option<f64>,
    /// Preload that this torque gives at the highest and at the lowest friction, kN.
    pub preload_window_kn: Option<[f64; 2]>,
    /// Where the torque goes at the lowest friction.
    pub shares: Option<Shares>,
    /// Whether the internal thread pulls before the bolt breaks; null where not known.
    pub pulls_first: Option<bool>,
    /// Method, friction, use of yield and bearing face.
    pub method: String,
    /// What the reader must know beside the numbers.
    pub remarks: Vec<String>,
    /// `maker`, or what marks a computed value; null where there is no torque.
    pub source: Option<String>,
    /// Why there is no torque; null where there is one.
    pub no_torque_because: Option<String>,
    /// Whether the bolt is never used again.
    pub renew: bool,
    /// Proof load, kN (ISO 898-1, SAE J429).
    pub proof_kn: Option<f64>,
    /// Least pull that breaks the bolt, kN.
    pub break_kn: Option<f64>,
    /// Pull at which the thread in the part strips, kN.
    pub strip_kn: Option<f64>,
    /// Length to be engaged for the bolt to break first, mm.
    pub needed_mm: Option<f64>,
    /// Where the thread in the part pulls first: torque that keeps it as far from stripping
    /// as the whole torque keeps the bolt from breaking, N·m.
    pub thread_limit_nm: Option<f64>,
    /// K in `T = K F d` at the lowest friction.
    pub nut_factor: Option<f64>,
    /// Least preload with the scatter given, greatest preload by αA (VDI 2230), kN.
    pub least_kn: Option<f64>,
    /// Pressure under the head at the highest preload, N/mm².
    pub head_pressure_mpa: Option<f64>,
    /// What to set with the crow-foot or extension, N·m.
    pub set_nm: Option<f64>,
    /// The same in lb-ft.
    pub set_lbft: Option<f64>,
    /// The wrench to take of those at hand; null where none fits.
    pub wrench: Option<WrenchChoice>,
    /// The turn from a first torque.
    pub turn: Option<Turn>,
    /// Friction worked back from a measurement.
    pub friction_found: Option<FrictionFound>,
    /// Orders and passes of several bolts.
    pub pattern: Option<PatternAnswer>,
    /// Threads that the head may belong to: a guess, where the thread is not known.
    pub guess: Option<Vec<GuessedThread>>,
    /// The maker's angle after the torque, degrees.
    pub then_deg: Option<f64>,
}

/// Answers all that was asked of one fastener.
///
/// The maker's value always wins; gasketed, soft and plastic joints, stretch bolts and bolts
/// whose thread or class is not known get no computed torque.
///
/// ```
/// use fasten::{Joint, TorqueAsk, torque_answer};
///
/// let mut ask = TorqueAsk::new("M8".parse()?, "8.8".parse()?);
/// assert!(torque_answer(&ask)?.torque_nm.is_some_and(|nm| (nm / 24.6 - 1.0).abs() < 0.012));
/// ask.joint = Joint::Gasketed;
/// assert_eq!(torque_answer(&ask)?.torque_nm, None);
/// # Ok::<(), fasten::FastenError>(())
/// ```
///
/// # Errors
/// What makes no sense: a class that the thread does not have, a number out of range, a head
/// that does not fit.
pub fn torque_answer(ask: &TorqueAsk) -> Result<TorqueAnswer, FastenError> {
    let mut answer = blank(ask);
    let tightened = match (ask.thread, ask.class) {
        (Some(thread), Some(class)) => {
            Some(strengths(&mut answer, ask, (thread, class))?)
        }
        (Some(thread), None) => {
            answer.stress_area_mm2 = Some(thread.stress_area_mm2());
            None
        }
        (None, _) => {
            guess(&mut answer, ask)?;
            None
        }
    };
    match ask.maker_nm {
        Some(maker_nm) => maker(&mut answer, ask, maker_nm)?,
        None => general(&mut answer, ask, tightened),
    }
    if let (Some(under), Some(mpa)) = (ask.under, answer.head_pressure_mpa) {
        let bears_mpa = under.bears_mpa().filter(|bears_mpa| *bears_mpa < mpa);
        answer.remarks.extend(bears_mpa.map(|bears_mpa| {
            format!(
                "{mpa:.0} N/mm² under the head is more than {under} bears (about {bears_mpa:.0}, \
                 from memory): a hard washer or a flange head"
            )
        }));
    }
    if let Some(scatter) = ask.scatter {
        let scatter = within("greatest over least preload", scatter, 1.0, 10.0)?;
        answer.least_kn = answer.preload_window_kn.map(|[_, most_kn]| most_kn / scatter);
    }
    if let (Some(measured), Some(thread)) = (ask.measured, ask.thread) {
        let mean_mm = ask.ring(thread)?.mean_mm();
        answer.friction_found = Some(friction_found(thread, mean_mm, measured)?);
    }
    if let (Some(turn), Some(thread)) = (ask.turn, ask.thread) {
        turned(&mut answer, ask, (turn, thread))?;
    }
    tools(&mut answer, ask)?;
    if let Some((pattern, stages)) = &ask.pattern {
        answer.pattern = Some(pattern_answer(ask, &mut answer, (*pattern, stages))?);
    }
    Ok(answer)
}

fn blank(ask: &TorqueAsk) -> TorqueAnswer {
    TorqueAnswer {
        stress_area_mm2: None,
        preload_kn: None,
        torque_nm: None,
        torque_lbft: None,
        preload_window_kn: None,
        shares: None,
        pulls_first: None,
        method: "no torque is computed".to_owned(),
        remarks: Vec::new(),
        source: None,
        no_torque_because: None,
        renew: ask.stretch == Stretch::Yields,
        proof_kn: None,
        break_kn: None,
        strip_kn: None,
        needed_mm: None,
        thread_limit_nm: None,
        nut_factor: None,
        least_kn: None,
        head_pressure_mpa: None,
        set_nm: None,
        set_lbft: None,
        wrench: None,
        turn: None,
        friction_found: None,
        pattern: None,
        guess: None,
        then_deg: None,
    }
}

/// What bolt and internal thread bear, whatever the torque.
fn strengths(
    answer: &mut TorqueAnswer,
    ask: &TorqueAsk,
    (thread, class): (Thread, StrengthClass),
) -> Result<Tightened, FastenError> {
    let tightened = tighten(&ask.input(thread, class))?;
    answer.stress_area_mm2 = Some(thread.stress_area_mm2());
    answer.proof_kn = class.proof_load_kn(thread)?;
    answer.break_kn = Some(class.breaking_load_kn(thread)?);
    answer.strip_kn = tightened.pull.map(|pull| pull.strip_kn);
    answer.needed_mm = tightened.pull.map(|pull| pull.needed_mm);
    answer.pulls_first = tightened.pulls_first();
    Ok(tightened)
}

fn guess(answer: &mut TorqueAnswer, ask: &TorqueAsk) -> Result<(), FastenError> {
    let Some(head_mm) = ask.head_mm else { return Ok(()) };
    let guess = guess_thread(head_mm)?;
    answer.remarks.push(guess.to_string());
    let one = |alternative: &crate::guess::Alternative| GuessedThread {
        thread: alternative.thread.to_string(),
        heads: alternative.heads.iter().map(ToString::to_string).collect(),
    };
    answer.guess = Some(guess.alternatives.iter().map(one).collect());
    Ok(())
}

/// The maker's torque and what it gives.
fn maker(
    answer: &mut TorqueAnswer,
    ask: &TorqueAsk,
    maker_nm: f64,
) -> Result<(), FastenError> {
    let torque_nm = within("the maker's torque in N·m", maker_nm, 0.01, 10_000.0)?;
    answer.torque_nm = Some(torque_nm);
    answer.source = Some(MAKER.to_owned());
    "the maker's value".clone_into(&mut answer.method);
    if let Some(degrees) = ask.then_deg {
        let degrees = within("the maker's angle in degrees", degrees, 0.1, 1080.0)?;
        answer.then_deg = Some(degrees);
        answer.remarks.push(format!("then turn {degrees}°; {TURNED}"));
    }
    if ask.stretch == Stretch::Yields {
        answer
            .remarks
            .push("stretch bolt: new ones every time, never used again".to_owned());
    }
    let Some(thread) = ask.thread else { return Ok(()) };
    if ask.then_deg.is_some() || ask.stretch == Stretch::Yields {
        answer.remarks.push(
            "preload after the turn is set by the bolt's yield, not by this torque"
                .to_owned(),
        );
        return Ok(());
    }
    let ring = ask.ring(thread)?;
    let (in_thread, under_head) = (ask.friction.thread(), ask.friction.head());
    let lever =
        |in_thread, under_head| Lever::new(thread, ring.mean_mm(), in_thread, under_head);
    let lowest = lever(in_thread.low(), under_head.low());
    let preload_kn = lowest.preload_kn(torque_nm);
    let least_kn = lever(in_thread.high(), under_head.high()).preload_kn(torque_nm);
    answer.preload_kn = Some(preload_kn);
    answer.preload_window_kn = Some([least_kn, preload_kn]);
    answer.shares = Some(lowest.shares());
    answer.nut_factor = Some(lowest.sum_mm() / thread.diameter_mm());
    answer.head_pressure_mpa = Some(ring.pressure_mpa(preload_kn));
    answer.method = format!(
        "the maker's torque; preload by VDI 2230 with friction {}, bearing {:.2} mm on hole \
         {:.2} mm",
        ask.friction, ring.outer_mm, ring.hole_mm
    );
    over_stretch(answer, ask, (thread, torque_nm))
}

/// Says where the maker's torque would reach yield or strip the thread.
fn over_stretch(
    answer: &mut TorqueAnswer,
    ask: &TorqueAsk,
    (thread, torque_nm): (Thread, f64),
) -> Result<(), FastenError> {
    let Some(class) = ask.class else { return Ok(()) };
    let whole = TightenInput { use_of_yield: 1.0, ..ask.input(thread, class) };
    let yield_nm = tighten(&whole)?.torque_nm;
    if torque_nm > yield_nm {
        answer.remarks.push(format!(
            "with this friction the bolt yields at {yield_nm:.1} N·m: check that the maker's \
             value, thread and class belong together"
        ));
    }
    let preload_kn = answer.preload_kn.unwrap_or(0.0);
    if answer.strip_kn.is_some_and(|strip_kn| strip_kn < preload_kn) {
        answer.remarks.push(
            "with this friction it pulls the thread in the part: check length and material"
                .to_owned(),
        );
    }
    Ok(())
}

/// The computed torque, or why there is none.
fn general(answer: &mut TorqueAnswer, ask: &TorqueAsk, tightened: Option<Tightened>) {
    if let Some(reason) = ask.refusal() {
        answer.no_torque_because = Some(format!("{reason}: take the maker's value"));
        return;
    }
    let Some(tightened) = tightened else {
        let reason = match ask.thread {
            None => "the thread is not known: measure diameter and pitch",
            Some(_) => "the class is not known: read it off the head",
        };
        answer.no_torque_because = Some(reason.to_owned());
        return;
    };
    answer.thread_limit_nm = tightened.thread_limit_nm();
    if let Some(limit_nm) = answer.thread_limit_nm {
        answer.remarks.push(format!(
            "the thread in the part is the weaker one: at most {limit_nm:.1} N·m keeps it as \
             far from stripping as the whole torque keeps the bolt from breaking"
        ));
    }
    answer.preload_kn = Some(tightened.preload_kn);
    answer.torque_nm = Some(tightened.torque_nm);
    answer.torque_lbft = Some(tightened.torque_nm / NM_PER_LBFT);
    answer.preload_window_kn = Some(tightened.preload_window_kn);
    answer.shares = Some(tightened.shares);
    answer.nut_factor = Some(tightened.nut_factor);
    answer.head_pressure_mpa = Some(tightened.head_pressure_mpa);
    answer.method = tightened.method;
    answer.source = Some(GENERAL_VALUE.to_owned());
    answer.remarks.extend(tightened.remarks);
}

/// How far to turn from the first torque.
fn turned(
    answer: &mut TorqueAnswer,
    ask: &TorqueAsk,
    (asked, thread): (TurnAsk, Thread),
) -> Result<(), FastenError> {
    let stiffness = match asked.give {
        JointGive::Known(stiffness) => stiffness,
        JointGive::Grip { grip_mm, parts } => Stiffness::of_grip(thread, grip_mm, parts)?,
    };
    let Some(preload_kn) = answer.preload_kn.filter(|_| ask.maker_nm.is_none()) else {
        answer.remarks.push("no angle is computed: take the maker's".to_owned());
        return Ok(());
    };
    let ring = ask.ring(thread)?;
    let (in_thread, under_head) =
        (ask.friction.thread().low(), ask.friction.head().low());
    let lever = Lever::new(thread, ring.mean_mm(), in_thread, under_head);
    let snug_kn = lever.preload_kn(asked.snug_nm);
    answer.turn = Some(turn(thread, stiffness, (asked.snug_nm, snug_kn), preload_kn)?);
    answer.remarks.push(format!(
        "the turn counts from a joint that lies flat at the first torque; {TURNED}"
    ));
    Ok(())
}

/// What to set, and on which wrench.
fn tools(answer: &mut TorqueAnswer, ask: &TorqueAsk) -> Result<(), FastenError> {
    answer.torque_lbft = answer.torque_nm.map(|torque_nm| torque_nm / NM_PER_LBFT);
    let Some(torque_nm) = answer.torque_nm else { return Ok(()) };
    let mut set_nm = torque_nm;
    if let Some(CrowFoot { wrench_mm, extension_mm, angle_deg }) = ask.crow_foot {
        set_nm = crow_foot(torque_nm, wrench_mm, extension_mm, angle_deg)?;
        answer.set_nm = Some(set_nm);
        answer.set_lbft = Some(set_nm / NM_PER_LBFT);
        answer.remarks.push(
            "hold the wrench in the middle of its grip: the lever counts from there; a straight \
             extension along the bolt changes nothing"
                .to_owned(),
        );
    }
    if !ask.wrenches.is_empty() {
        answer.wrench = choose_wrench(&ask.wrenches, set_nm)?;
        if answer.wrench.is_none() {
            answer.remarks.push(format!(
                "none of these wrenches is good for {set_nm:.1} N·m: one holds from 20 to 100 % \
                 of its scale, so get one that ends between {set_nm:.0} and {:.0} N·m",
                set_nm * 5.0
            ));
        }
    }
    Ok(())
}
