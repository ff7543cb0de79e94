//! `torque`: what a bolt bears and the torque that brings it there, with the tools, the angle
//! and the order of several.

pub use fasten::{
    CrowFoot, Edition, Friction, HeadStyle, Joint, Material, Measured, Scale, Stages,
    StrengthClass, Stretch, Thread,
};
use fasten::{
    FastenError, JointGive, Pattern, Stiffness, TorqueAnswer, TorqueAsk, TurnAsk,
    torque_answer,
};

use crate::Problem;

/// Rows of a spiral where none are given: two, as on most covers.
const USUAL_ROWS: u32 = 2;

/// What `torque` was asked; what is absent takes its usual value or is left out.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TorqueInput {
    /// The thread.
    pub thread: Option<Thread>,
    /// The strength class.
    pub class: Option<StrengthClass>,
    /// Friction; absent: 0.12.
    pub friction: Option<Friction>,
    /// Shape of the head.
    pub head_style: Option<HeadStyle>,
    /// Across flats, mm.
    pub head_mm: Option<f64>,
    /// Outer diameter of the face that bears, mm.
    pub bearing_mm: Option<f64>,
    /// Hole under the head, mm.
    pub hole_mm: Option<f64>,
    /// Share of yield; absent: 0.9.
    pub use_of_yield: Option<f64>,
    /// How torsion is counted; absent: as since 2001.
    pub edition: Option<Edition>,
    /// Greatest over least preload of the way of tightening.
    pub scatter: Option<f64>,
    /// What the thread in the part is cut in.
    pub into: Option<Material>,
    /// Length engaged in it, mm.
    pub engaged_mm: Option<f64>,
    /// What the head bears on.
    pub under: Option<Material>,
    /// What is clamped; absent: metal on metal.
    pub joint: Option<Joint>,
    /// How far the bolt is stretched.
    pub stretch: Stretch,
    /// The maker's torque, N·m.
    pub maker_nm: Option<f64>,
    /// The maker's angle after it, degrees.
    pub then_deg: Option<f64>,
    /// A torque and preload that were measured.
    pub measured: Option<Measured>,
    /// A turn from a first torque.
    pub turn: TurnInput,
    /// What stands between wrench and bolt.
    pub crow_foot: Option<CrowFoot>,
    /// The torque wrenches at hand.
    pub wrenches: Vec<Scale>,
    /// Several bolts.
    pub several: Option<Several>,
}

/// A turn from a first torque, as far as it was said.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct TurnInput {
    /// Torque that the turn starts from, N·m.
    pub snug_nm: Option<f64>,
    /// Stiffness of the bolt, kN/mm.
    pub bolt_stiffness: Option<f64>,
    /// Stiffness of the parts, kN/mm.
    pub parts_stiffness: Option<f64>,
    /// Clamped length, mm.
    pub grip_mm: Option<f64>,
    /// What is clamped; absent: steel.
    pub clamped: Option<Material>,
}

/// Order of several bolts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// Around a circle or an edge.
    Crosswise,
    /// From the middle of rows outward.
    Spiral,
}

/// Several bolts of one joint.
#[derive(Debug, Clone, PartialEq)]
pub struct Several {
    /// How many.
    pub bolts: u32,
    /// In which order; absent: a spiral where rows are given, else crosswise.
    pub order: Option<Order>,
    /// In how many rows; absent: two.
    pub rows: Option<u32>,
    /// Stages; absent: 30, 60, 100 %.
    pub stages: Option<Stages>,
}

/// Computes the torque.
///
/// # Errors
/// A class that the thread does not have; a number that makes no sense; on the command line,
/// what does not go together.
pub fn torque(input: &TorqueInput) -> Result<TorqueAnswer, Problem> {
    if input.thread.is_some() && input.class.is_none() {
        let enough = input.maker_nm.is_some() || input.measured.is_some();
        if !enough {
            return Err(Problem::usage("a thread, but no class").hint(
                "add --class as it stands on the head, as in 8.8; or --maker-nm with the \
                 maker's torque",
            ));
        }
    }
    if input.measured.is_some() && input.thread.is_none() {
        return Err(Problem::usage("a measurement, but no thread").hint("add --thread"));
    }
    let wrong = |error: FastenError| Problem::wrong("torque", error);
    let usual = TorqueAsk::default();
    let ask = TorqueAsk {
        thread: input.thread,
        class: input.class,
        friction: input.friction.unwrap_or(usual.friction),
        head_style: input.head_style,
        head_mm: input.head_mm,
        bearing_mm: input.bearing_mm,
        hole_mm: input.hole_mm,
        use_of_yield: input.use_of_yield.unwrap_or(usual.use_of_yield),
        edition: input.edition.unwrap_or(usual.edition),
        scatter: input.scatter,
        into: input.into,
        engaged_mm: input.engaged_mm,
        under: input.under,
        joint: input.joint.unwrap_or(usual.joint),
        stretch: input.stretch,
        maker_nm: input.maker_nm,
        then_deg: input.then_deg,
        measured: input.measured,
        turn: turn(&input.turn)?,
        crow_foot: input.crow_foot,
        wrenches: input.wrenches.clone(),
        pattern: input.several.as_ref().map(several).transpose()?,
    };
    torque_answer(&ask).map_err(wrong)
}

/// The turn that is meant.
fn turn(input: &TurnInput) -> Result<Option<TurnAsk>, Problem> {
    let give = match (input.bolt_stiffness, input.parts_stiffness, input.grip_mm) {
        (Some(bolt), Some(parts), None) => {
            let stiffness = Stiffness::new(bolt, parts);
            Some(JointGive::Known(stiffness.map_err(|e| Problem::wrong("torque", e))?))
        }
        (None, None, Some(grip_mm)) => {
            let parts = input.clamped.unwrap_or(Material::Steel);
            Some(JointGive::Grip { grip_mm, parts })
        }
        (None, None, None) => None,
        _ => {
            return Err(Problem::usage(
                "how stiff the joint is stands there half or twice",
            )
            .hint(
                "give --bolt-stiffness and --parts-stiffness, or --grip-mm with \
                     --clamped",
            ));
        }
    };
    match (input.snug_nm, give) {
        (Some(snug_nm), Some(give)) => Ok(Some(TurnAsk { snug_nm, give })),
        (None, None) => Ok(None),
        (Some(_), None) => Err(Problem::usage("a turn, but not how stiff the joint is")
            .hint("add --grip-mm, or --bolt-stiffness and --parts-stiffness")),
        (None, Some(_)) => {
            Err(Problem::usage("a turn without the torque that it starts from")
                .hint("add --snug-nm"))
        }
    }
}

/// The order and the stages that are meant.
fn several(input: &Several) -> Result<(Pattern, Stages), Problem> {
    let usual = match input.rows {
        Some(_) => Order::Spiral,
        None => Order::Crosswise,
    };
    let pattern = match (input.order.unwrap_or(usual), input.rows) {
        (Order::Crosswise, Some(_)) => {
            return Err(Problem::usage("rows, but crosswise goes around a circle")
                .hint("leave --rows out, or take --pattern spiral"));
        }
        (Order::Crosswise, None) => Pattern::crosswise(input.bolts),
        (Order::Spiral, rows) => Pattern::spiral(input.bolts, rows.unwrap_or(USUAL_ROWS)),
    };
    let pattern = pattern.map_err(|error| Problem::wrong("torque", error))?;
    let stages = input.stages.clone().unwrap_or_else(|| Stages::usual(input.bolts));
    Ok((pattern, stages))
}

/// What it is about, as a page is headed: `M8, class 8.8`.
pub fn heading(input: &TorqueInput) -> String {
    let mut parts = Vec::new();
    parts.extend(input.thread.map(|thread| thread.to_string()));
    parts.extend(input.class.map(|class| format!("class {class}")));
    if input.thread.is_none() {
        parts.extend(input.head_mm.map(|head_mm| format!("head {head_mm} mm")));
    }
    parts
        .extend(input.several.as_ref().map(|several| format!("{} bolts", several.bolts)));
    if parts.is_empty() { "Torque".to_owned() } else { parts.join(", ") }
}

#[cfg(test)]
mod tests {
    use super::{Order, Several, TorqueInput, TurnInput, torque};
    use crate::Exit;

    fn m8() -> TorqueInput {
        TorqueInput {
            thread: Some("M8".parse().unwrap()),
            class: Some("8.8".parse().unwrap()),
            ..TorqueInput::default()
        }
    }

    #[test]
    fn an_absent_flag_takes_the_usual_value() {
        // Printed list for 8.8, friction 0.12, 90 % of yield: 24.6 N·m.
        let of = |input: &TorqueInput| torque(input).unwrap().torque_nm.unwrap();
        assert!((of(&m8()) / 24.6 - 1.0).abs() < 0.012);
        let tight = TorqueInput { use_of_yield: Some(0.5), ..m8() };
        assert!(of(&tight) < 15.0);
    }

    #[test]
    fn what_does_not_go_together_is_a_usage_error() {
        let grip = TurnInput { grip_mm: Some(40.0), ..TurnInput::default() };
        let half = TurnInput { bolt_stiffness: Some(200.0), ..grip };
        let rows = |order| Several { bolts: 8, order, rows: Some(2), stages: None };
        for wrong in [
            TorqueInput { class: None, ..m8() },
            TorqueInput { turn: grip, ..m8() },
            TorqueInput { turn: half, ..m8() },
            TorqueInput { several: Some(rows(Some(Order::Crosswise))), ..m8() },
        ] {
            assert_eq!(torque(&wrong).unwrap_err().exit, Exit::Usage, "{wrong:?}");
        }
        let several = TorqueInput { several: Some(rows(None)), ..m8() };
        assert_eq!(torque(&several).unwrap().pattern.unwrap().kind, "spiral");
    }
}
