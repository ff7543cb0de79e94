//! `witmark torque`.

use app::torque::{
    CrowFoot, Edition, Friction, HeadStyle, Joint, Material, Measured, Order, Scale,
    Several, Stages, StrengthClass, Stretch, Thread, TorqueInput, TurnInput, heading,
};
use app::{Problems, typed};
use clap::{Args, ValueEnum};

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Torque {
    /// The thread: M8, M8x1, "3/8-16 UNC"; with --head-mm alone it is guessed
    #[arg(long, required_unless_present_any = ["head_mm", "maker_nm"])]
    thread: Option<Thread>,
    /// The strength class: 8.8, A2-70, "grade 5"
    #[arg(long)]
    class: Option<StrengthClass>,
    /// Friction: 0.12, a range 0.10..0.16, or thread/head 0.12/0.14 [default: 0.12]
    #[arg(long, allow_hyphen_values = true)]
    friction: Option<Friction>,
    /// Head: hex, flange, heavy-flange, small-hex, socket [default: told from --head-mm]
    #[arg(long, value_name = "HEAD")]
    head_style: Option<HeadStyle>,
    /// Across flats, of a socket the key, mm [default: of the head on this thread]
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    head_mm: Option<f64>,
    /// Outer diameter of the face that bears, mm; goes over --head-mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    bearing_mm: Option<f64>,
    /// Hole under the head, mm [default: medium of ISO 273]
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    hole_mm: Option<f64>,
    /// Share of yield that may be used [default: 0.9]
    #[arg(long = "use", value_name = "SHARE", value_parser = typed::positive, allow_negative_numbers = true)]
    use_of_yield: Option<f64>,
    /// Edition of VDI 2230: 2001 (and since), or 1986 to compare with an old table
    #[arg(long, value_name = "YEAR")]
    edition: Option<Edition>,
    /// Greatest over least preload of the way of tightening: a torque wrench 1.6 to 2
    #[arg(long, value_name = "TIMES", value_parser = typed::positive, allow_negative_numbers = true)]
    scatter: Option<f64>,
    /// What the thread in the part is cut in: steel, cast-iron, aluminium, magnesium, plastic
    #[arg(long, value_name = "MATERIAL")]
    into: Option<Material>,
    /// Length engaged in it, mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    engaged_mm: Option<f64>,
    /// What the head bears on, to check its pressure: the same materials
    #[arg(long, value_name = "MATERIAL")]
    under: Option<Material>,
    /// What is clamped: hard, gasketed, soft [default: hard]
    #[arg(long)]
    joint: Option<Joint>,
    /// A stretch bolt: no general torque, never used again
    #[arg(long)]
    stretch: bool,
    #[command(flatten)]
    maker: Maker,
    #[command(flatten)]
    tools: Tools,
    #[command(flatten)]
    turn: Turn,
    #[command(flatten)]
    measured: Read,
    #[command(flatten)]
    several: Bolts,
}

/// What the maker says.
#[derive(Debug, Args)]
#[command(next_help_heading = "The maker's value, which always wins")]
struct Maker {
    /// The maker's torque, N·m
    #[arg(long, value_name = "NM", value_parser = typed::positive, allow_negative_numbers = true)]
    maker_nm: Option<f64>,
    /// The maker's angle after it, degrees
    #[arg(long, value_name = "DEG", value_parser = typed::positive, allow_negative_numbers = true, requires = "maker_nm")]
    then_deg: Option<f64>,
}

/// What is between hand and bolt.
#[derive(Debug, Args)]
#[command(next_help_heading = "Tools")]
struct Tools {
    /// Crow-foot or extension across, from the drive to the bolt, mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true, requires = "wrench_mm")]
    crow_foot_mm: Option<f64>,
    /// Wrench, from the middle of its grip to the drive, mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true, requires = "crow_foot_mm")]
    wrench_mm: Option<f64>,
    /// How the crow-foot stands: 0 in line ahead, 90 square, 180 back
    #[arg(long, value_name = "DEG", value_parser = typed::amount, allow_negative_numbers = true, requires = "crow_foot_mm")]
    crow_foot_deg: Option<f64>,
    /// Torque wrenches at hand by their scales, N·m: 10..60,40..200
    #[arg(
        long,
        value_name = "SCALES",
        value_delimiter = ',',
        allow_hyphen_values = true
    )]
    wrenches: Vec<Scale>,
}

/// A turn instead of the torque.
#[derive(Debug, Args)]
#[command(next_help_heading = "Angle from the stiffness of the joint")]
struct Turn {
    /// Torque that the turn starts from, N·m
    #[arg(long, value_name = "NM", value_parser = typed::amount, allow_negative_numbers = true)]
    snug_nm: Option<f64>,
    /// Stiffness of the bolt, kN for each mm
    #[arg(long, value_name = "KN/MM", value_parser = typed::positive, allow_negative_numbers = true)]
    bolt_stiffness: Option<f64>,
    /// Stiffness of the clamped parts, kN for each mm
    #[arg(long, value_name = "KN/MM", value_parser = typed::positive, allow_negative_numbers = true)]
    parts_stiffness: Option<f64>,
    /// Instead: clamped length, mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    grip_mm: Option<f64>,
    /// What is clamped: steel, cast-iron, aluminium, magnesium [default: steel]
    #[arg(long, value_name = "MATERIAL", requires = "grip_mm")]
    clamped: Option<Material>,
}

/// What was measured on the bolt.
#[expect(clippy::struct_field_names, reason = "the fields are the flags")]
#[derive(Debug, Args)]
#[command(next_help_heading = "Friction from a measurement")]
struct Read {
    /// Torque measured, N·m
    #[arg(long, value_name = "NM", value_parser = typed::positive, allow_negative_numbers = true, requires = "measured_kn")]
    measured_nm: Option<f64>,
    /// Preload that it gave, kN
    #[arg(long, value_name = "KN", value_parser = typed::positive, allow_negative_numbers = true, requires = "measured_nm")]
    measured_kn: Option<f64>,
    /// Of the torque, what reached the thread, N·m
    #[arg(long, value_name = "NM", value_parser = typed::positive, allow_negative_numbers = true, requires = "measured_nm")]
    measured_thread_nm: Option<f64>,
}

/// Several bolts.
#[expect(clippy::struct_field_names, reason = "the fields are the flags")]
#[derive(Debug, Args)]
#[command(next_help_heading = "Several bolts")]
struct Bolts {
    /// How many bolts the joint has
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    bolts: Option<u32>,
    /// In which order [default: spiral where rows are given, else crosswise]
    #[arg(long, value_enum, requires = "bolts")]
    pattern: Option<PatternWord>,
    /// In how many rows they stand [default of a spiral: 2]
    #[arg(long, value_name = "N", requires = "bolts", allow_negative_numbers = true)]
    rows: Option<u32>,
    /// Stages in percent of the torque [default: 30,60,100]
    #[arg(long, value_name = "PERCENTS", requires = "bolts", allow_hyphen_values = true)]
    stages: Option<Stages>,
}

/// In which order.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum PatternWord {
    /// Around a circle or an edge
    Crosswise,
    /// From the middle of rows outward
    Spiral,
}

impl Bolts {
    fn meant(self) -> Option<Several> {
        let order = self.pattern.map(|pattern| match pattern {
            PatternWord::Crosswise => Order::Crosswise,
            PatternWord::Spiral => Order::Spiral,
        });
        let (rows, stages) = (self.rows, self.stages);
        self.bolts.map(|bolts| Several { bolts, order, rows, stages })
    }
}

impl Read {
    fn meant(&self) -> Option<Measured> {
        let (torque_nm, preload_kn) = (self.measured_nm?, self.measured_kn?);
        Some(Measured { torque_nm, preload_kn, thread_nm: self.measured_thread_nm })
    }
}

impl Tools {
    fn crow_foot(&self) -> Option<CrowFoot> {
        let (extension_mm, wrench_mm) = (self.crow_foot_mm?, self.wrench_mm?);
        let angle_deg = self.crow_foot_deg.unwrap_or(0.0);
        Some(CrowFoot { wrench_mm, extension_mm, angle_deg })
    }
}

impl Torque {
    fn meant(self) -> TorqueInput {
        TorqueInput {
            thread: self.thread,
            class: self.class,
            friction: self.friction,
            head_style: self.head_style,
            head_mm: self.head_mm,
            bearing_mm: self.bearing_mm,
            hole_mm: self.hole_mm,
            use_of_yield: self.use_of_yield,
            edition: self.edition,
            scatter: self.scatter,
            into: self.into,
            engaged_mm: self.engaged_mm,
            under: self.under,
            joint: self.joint,
            stretch: if self.stretch { Stretch::Yields } else { Stretch::Below },
            maker_nm: self.maker.maker_nm,
            then_deg: self.maker.then_deg,
            measured: self.measured.meant(),
            turn: TurnInput {
                snug_nm: self.turn.snug_nm,
                bolt_stiffness: self.turn.bolt_stiffness,
                parts_stiffness: self.turn.parts_stiffness,
                grip_mm: self.turn.grip_mm,
                clamped: self.turn.clamped,
            },
            crow_foot: self.tools.crow_foot(),
            wrenches: self.tools.wrenches,
            several: self.several.meant(),
        }
    }

    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let input = self.meant();
        let what = heading(&input);
        let answer = app::torque::torque(&input)?;
        shell.answer(answer, |answer| {
            pages::torque_page(answer, &what, ("en", shell.shown))
        })
    }
}
