//! `TorqueAsk`: all that may be asked of one fastener, and what it leaves open.

use crate::class::StrengthClass;
use crate::engage::Material;
use crate::error::FastenError;
use crate::found::Measured;
use crate::friction::Friction;
use crate::general::{Joint, PLASTIC};
use crate::head::{Bearing, HeadStyle, bearing};
use crate::pattern::{Pattern, Stages};
use crate::thread::Thread;
use crate::tighten::{Edition, TightenInput};
use crate::turn::Stiffness;
use crate::wrench::Scale;

/// How far a bolt is stretched.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Stretch {
    /// Stays below yield; may be used again where the maker says nothing else.
    #[default]
    Below,
    /// A stretch bolt: turned into yield, never used again.
    Yields,
}

/// A crow-foot or extension between wrench and bolt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrowFoot {
    /// From the middle of the grip to the drive of the wrench, mm.
    pub wrench_mm: f64,
    /// From the drive to the bolt, mm.
    pub extension_mm: f64,
    /// 0 in line ahead, 90 square, 180 back; degrees.
    pub angle_deg: f64,
}

/// How stiff the joint is said to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum JointGive {
    /// Both stiffnesses are known.
    Known(Stiffness),
    /// Worked out from the clamped length and what is clamped.
    Grip {
        /// Clamped length, mm.
        grip_mm: f64,
        /// What is clamped.
        parts: Material,
    },
}

/// A turn from a first torque.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnAsk {
    /// Torque that the turn starts from, N·m.
    pub snug_nm: f64,
    /// How stiff the joint is.
    pub give: JointGive,
}

/// All that may be asked of one fastener; what is absent takes its usual value or is left out
/// of the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueAsk {
    /// The thread; absent: a guess from the head is shown as a guess.
    pub thread: Option<Thread>,
    /// The strength class.
    pub class: Option<StrengthClass>,
    /// Friction in thread and under the head.
    pub friction: Friction,
    /// Shape of the head.
    pub head_style: Option<HeadStyle>,
    /// Width across flats (or key size), mm.
    pub head_mm: Option<f64>,
    /// Outer diameter of the face that bears, mm.
    pub bearing_mm: Option<f64>,
    /// Hole under the head, mm.
    pub hole_mm: Option<f64>,
    /// Share of yield that may be used.
    pub use_of_yield: f64,
    /// How torsion is counted.
    pub edition: Edition,
    /// Greatest over least preload of the way of tightening, αA of VDI 2230; 1 and more.
    pub scatter: Option<f64>,
    /// What the internal thread is cut in.
    pub into: Option<Material>,
    /// Length engaged in it, mm.
    pub engaged_mm: Option<f64>,
    /// What the head bears on.
    pub under: Option<Material>,
    /// What is clamped.
    pub joint: Joint,
    /// How far the bolt is stretched.
    pub stretch: Stretch,
    /// The maker's torque, N·m; always wins.
    pub maker_nm: Option<f64>,
    /// The maker's angle after it, degrees.
    pub then_deg: Option<f64>,
    /// A torque and preload that were measured.
    pub measured: Option<Measured>,
    /// A turn from a first torque.
    pub turn: Option<TurnAsk>,
    /// What stands between wrench and bolt.
    pub crow_foot: Option<CrowFoot>,
    /// The torque wrenches at hand.
    pub wrenches: Vec<Scale>,
    /// The bolts of the joint and the stages to tighten them in.
    pub pattern: Option<(Pattern, Stages)>,
}

impl Default for TorqueAsk {
    fn default() -> Self {
        Self {
            thread: None,
            class: None,
            friction: Friction::USUAL,
            head_style: None,
            head_mm: None,
            bearing_mm: None,
            hole_mm: None,
            use_of_yield: crate::tighten::USUAL_USE,
            edition: Edition::default(),
            scatter: None,
            into: None,
            engaged_mm: None,
            under: None,
            joint: Joint::Hard,
            stretch: Stretch::default(),
            maker_nm: None,
            then_deg: None,
            measured: None,
            turn: None,
            crow_foot: None,
            wrenches: Vec::new(),
            pattern: None,
        }
    }
}

impl TorqueAsk {
    /// The usual case of a thread and class.
    pub fn new(thread: Thread, class: StrengthClass) -> Self {
        Self { thread: Some(thread), class: Some(class), ..Self::default() }
    }

    /// Why no torque may be computed for such a joint, whatever its size.
    pub(crate) fn refusal(&self) -> Option<&'static str> {
        if let Some(reason) = self.joint.refusal() {
            return Some(reason);
        }
        if [self.into, self.under].contains(&Some(Material::Plastic)) {
            return Some(PLASTIC);
        }
        match self.stretch {
            Stretch::Yields => Some("a stretch bolt has its own first torque and angle"),
            Stretch::Below if self.then_deg.is_some() => {
                Some("a bolt tightened by angle needs its own first torque")
            }
            Stretch::Below => None,
        }
    }

    /// What the computation of a general value needs.
    pub(crate) fn input(&self, thread: Thread, class: StrengthClass) -> TightenInput {
        TightenInput {
            friction: self.friction,
            head_style: self.head_style,
            head_mm: self.head_mm,
            bearing_mm: self.bearing_mm,
            hole_mm: self.hole_mm,
            use_of_yield: self.use_of_yield,
            into: self.into,
            engaged_mm: self.engaged_mm,
            edition: self.edition,
            ..TightenInput::new(thread, class)
        }
    }

    /// The ring under the head.
    pub(crate) fn ring(&self, thread: Thread) -> Result<Bearing, FastenError> {
        bearing(thread, self.head_style, self.head_mm, self.bearing_mm, self.hole_mm)
    }
}
