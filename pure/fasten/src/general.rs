//! `torque_for`: which torque a fastener gets on the way out, if any, and where it comes from.

use std::fmt;
use std::str::FromStr;

use crate::class::StrengthClass;
use crate::engage::Material;
use crate::error::{FastenError, cut};
use crate::guess::guess_thread;
use crate::length::{LengthFit, LengthInput, length_fit};
use crate::thread::Thread;
use crate::tighten::{TightenInput, Tightened, tighten};

/// Source of a value that the sheet gives.
pub const MAKER: &str = "maker";
/// Source of a value that was computed.
pub const GENERAL_VALUE: &str = "general value, check the manual";

/// What kind of fastener it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A bolt.
    Bolt,
    /// A nut.
    Nut,
    /// A screw.
    Screw,
    /// A stud.
    Stud,
    /// A clip.
    Clip,
    /// A clamp.
    Clamp,
    /// A plug that seals.
    Plug,
    /// An electrical connector.
    Connector,
}

impl Kind {
    const ALL: [Self; 8] = [
        Self::Bolt,
        Self::Nut,
        Self::Screw,
        Self::Stud,
        Self::Clip,
        Self::Clamp,
        Self::Plug,
        Self::Connector,
    ];
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Bolt => "bolt",
            Self::Nut => "nut",
            Self::Screw => "screw",
            Self::Stud => "stud",
            Self::Clip => "clip",
            Self::Clamp => "clamp",
            Self::Plug => "plug",
            Self::Connector => "connector",
        })
    }
}

impl FromStr for Kind {
    type Err = FastenError;

    fn from_str(text: &str) -> Result<Self, FastenError> {
        let wanted = text.trim().to_ascii_lowercase();
        let known = Self::ALL.into_iter().find(|kind| kind.to_string() == wanted);
        known.ok_or_else(|| FastenError::Word {
            thing: "kind of fastener",
            given: cut(text.trim()),
            next: "give bolt, nut, screw, stud, clip, clamp, plug or connector",
        })
    }
}

/// What is clamped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Joint {
    /// Metal on metal.
    Hard,
    /// A gasket or ring is in the joint.
    Gasketed,
    /// Rubber, plastic or a stack that gives.
    Soft,
}

impl FromStr for Joint {
    type Err = FastenError;

    fn from_str(text: &str) -> Result<Self, FastenError> {
        match text.trim().to_ascii_lowercase().as_str() {
            "hard" => Ok(Self::Hard),
            "gasketed" | "gasket" => Ok(Self::Gasketed),
            "soft" => Ok(Self::Soft),
            _ => Err(FastenError::Word {
                thing: "joint",
                given: cut(text.trim()),
                next: "give hard, gasketed or soft",
            }),
        }
    }
}

impl Joint {
    /// Why no general value holds for such a joint; `None` where one does.
    pub(crate) const fn refusal(self) -> Option<&'static str> {
        match self {
            Self::Gasketed => Some("a gasket settles"),
            Self::Soft => Some("a soft joint gives"),
            Self::Hard => None,
        }
    }
}

/// Why plastic gets no general value.
pub(crate) const PLASTIC: &str = "plastic creeps and strips";
/// What every bolt that was turned by angle means.
pub(crate) const TURNED: &str = "lost count of the degrees: start again with a new bolt";

/// A fastener as far as its torque goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FastenerInput {
    /// What it is.
    pub kind: Kind,
    /// What it clamps.
    pub joint: Joint,
    /// Thread, where known.
    pub thread: Option<Thread>,
    /// Strength class, where known.
    pub class: Option<StrengthClass>,
    /// Width across flats, mm.
    pub head_mm: Option<f64>,
    /// The maker's torque, N·m; always wins.
    pub maker_torque_nm: Option<f64>,
    /// Angle to turn on after the torque, degrees; 0: none.
    pub angle_deg: f64,
    /// Whether it is renewed each time.
    pub single_use: bool,
    /// What its internal thread is cut in.
    pub into: Option<Material>,
    /// Length under the head, mm.
    pub length_mm: Option<f64>,
    /// What is clamped, mm.
    pub stack_mm: Option<f64>,
}

impl FastenerInput {
    /// A fastener of which nothing but its kind is known, in a hard joint.
    pub const fn new(kind: Kind) -> Self {
        Self {
            kind,
            joint: Joint::Hard,
            thread: None,
            class: None,
            head_mm: None,
            maker_torque_nm: None,
            angle_deg: 0.0,
            single_use: false,
            into: None,
            length_mm: None,
            stack_mm: None,
        }
    }
}

/// The torque of a fastener, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct FastenerTorque {
    /// Torque, N·m; absent when none may be given.
    pub torque_nm: Option<f64>,
    /// [`MAKER`], [`GENERAL_VALUE`], or the reason why there is none.
    pub source: String,
    /// Method, friction and use of yield of a computed value.
    pub method: Option<String>,
    /// What to know beside it.
    pub remarks: Vec<String>,
}

impl FastenerTorque {
    fn none(reason: impl Into<String>) -> Self {
        Self { torque_nm: None, source: reason.into(), method: None, remarks: Vec::new() }
    }
}

/// Decides which torque a fastener gets.
///
/// The maker's value always wins. A general value is computed only for a bolt, nut, screw
/// or stud of known thread and class in a hard joint of metal, and only where the thread
/// in the part is at least as strong as the bolt as far as its length is known.
///
/// ```
/// use fasten::{FastenerInput, GENERAL_VALUE, Joint, Kind, MAKER, torque_for};
///
/// let mut bolt = FastenerInput::new(Kind::Bolt);
/// bolt.thread = Some("M8".parse()?);
/// bolt.class = Some("8.8".parse()?);
/// assert_eq!(torque_for(&bolt).source, GENERAL_VALUE);
/// bolt.joint = Joint::Gasketed;
/// assert_eq!(torque_for(&bolt).torque_nm, None);
/// bolt.maker_torque_nm = Some(20.0);
/// assert_eq!(torque_for(&bolt).source, MAKER);
/// # Ok::<(), fasten::FastenError>(())
/// ```
pub fn torque_for(fastener: &FastenerInput) -> FastenerTorque {
    let turned = fastener.angle_deg != 0.0;
    if let Some(torque_nm) = fastener.maker_torque_nm {
        if !(torque_nm.is_finite() && torque_nm > 0.0) {
            return FastenerTorque::none(format!(
                "the maker's value {torque_nm} N·m is no torque: look it up again"
            ));
        }
        let mut remarks = Vec::new();
        if turned {
            remarks.push(format!("then turn {}°; {TURNED}", fastener.angle_deg));
        }
        return FastenerTorque {
            torque_nm: Some(torque_nm),
            source: MAKER.to_owned(),
            method: None,
            remarks,
        };
    }
    match refusal(fastener) {
        Some(reason) => FastenerTorque::none(format!("{reason}: take the maker's value")),
        None => general_value(fastener),
    }
}

/// Why no general value holds for this fastener, whatever its size.
fn refusal(fastener: &FastenerInput) -> Option<&'static str> {
    match fastener.kind {
        Kind::Clip => return Some("a clip has no torque"),
        Kind::Clamp => return Some("a clamp is tightened by its own rule"),
        Kind::Plug => return Some("a plug seals and is not stretched"),
        Kind::Connector => return Some("a connector has no torque"),
        Kind::Bolt | Kind::Nut | Kind::Screw | Kind::Stud => {}
    }
    if let Some(reason) = fastener.joint.refusal() {
        return Some(reason);
    }
    if fastener.angle_deg != 0.0 {
        return Some("a bolt tightened by angle needs its own first torque");
    }
    if fastener.single_use {
        return Some("renewed every time, it may be a stretch bolt");
    }
    (fastener.into == Some(Material::Plastic)).then_some(PLASTIC)
}

fn general_value(fastener: &FastenerInput) -> FastenerTorque {
    let Some(thread) = fastener.thread else {
        let guess = fastener.head_mm.and_then(|head_mm| guess_thread(head_mm).ok());
        return FastenerTorque::none(guess.map_or_else(
            || "thread not known: measure it".to_owned(),
            |guess| format!("thread not known; {guess}"),
        ));
    };
    let Some(class) = fastener.class else {
        return FastenerTorque::none("class not known: read it off the head");
    };
    let mut input = TightenInput::new(thread, class);
    input.head_mm = fastener.head_mm;
    input.into = fastener.into;
    if let (Some(length_mm), Some(stack_mm)) = (fastener.length_mm, fastener.stack_mm) {
        input.engaged_mm = engaged_mm(fastener, thread, length_mm, stack_mm);
    }
    match tighten(&input) {
        Ok(answer) if answer.pulls_first() == Some(true) => FastenerTorque {
            remarks: answer.remarks,
            ..FastenerTorque::none(
                "the thread in the part is weaker than the bolt: take the maker's value",
            )
        },
        Ok(answer) => computed(fastener, thread, answer),
        Err(error) => FastenerTorque::none(error.to_string()),
    }
}

/// Length in the thread, where the material is known too and the lengths make sense.
fn engaged_mm(
    fastener: &FastenerInput,
    thread: Thread,
    length_mm: f64,
    stack_mm: f64,
) -> Option<f64> {
    let into = fastener.into?;
    let hole_depth_mm = 0.0;
    let place =
        LengthInput { thread, length_mm, stack_mm, hole_depth_mm, into: Some(into) };
    match length_fit(&place).ok()? {
        LengthFit::Sound { engaged_mm, .. }
        | LengthFit::TooShort { engaged_mm, .. }
        | LengthFit::TooLong { engaged_mm, .. } => Some(engaged_mm),
    }
}

fn computed(
    fastener: &FastenerInput,
    thread: Thread,
    answer: Tightened,
) -> FastenerTorque {
    let pulls_first = answer.pulls_first();
    let mut remarks = answer.remarks;
    if let (Some(into), None) = (fastener.into, pulls_first) {
        let needed_mm = into.needed_diameters() * thread.diameter_mm();
        remarks
            .push(format!("holds only with {needed_mm:.1} mm or more engaged in {into}"));
    }
    FastenerTorque {
        torque_nm: Some(answer.torque_nm),
        source: GENERAL_VALUE.to_owned(),
        method: Some(answer.method),
        remarks,
    }
}
