//! `witmark torque`.

use app::torque::{Friction, Material, StrengthClass, Thread, TorqueInput, heading};
use app::{Problems, typed};
use clap::Args;

use crate::output::Output;
use crate::shell::Shell;

#[derive(Debug, Args)]
pub(crate) struct Torque {
    /// The thread: M8, M8x1, "3/8-16 UNC"
    #[arg(long)]
    thread: Thread,
    /// The strength class: 8.8, A2-70, "grade 5"
    #[arg(long)]
    class: StrengthClass,
    /// Friction: 0.12, a range 0.10..0.16, or thread/head 0.12/0.14 [default: 0.12]
    #[arg(long, allow_hyphen_values = true)]
    friction: Option<Friction>,
    /// Across flats, mm [default: the plain hexagon of the thread]
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
    /// What the thread in the part is cut in: steel, cast-iron, aluminium, magnesium, plastic
    #[arg(long, value_name = "MATERIAL")]
    into: Option<Material>,
    /// Length engaged in it, mm
    #[arg(long, value_name = "MM", value_parser = typed::positive, allow_negative_numbers = true)]
    engaged_mm: Option<f64>,
}

impl Torque {
    pub(crate) fn run(self, shell: &Shell) -> Result<Output, Problems> {
        let input = TorqueInput {
            thread: self.thread,
            class: self.class,
            friction: self.friction,
            head_mm: self.head_mm,
            bearing_mm: self.bearing_mm,
            hole_mm: self.hole_mm,
            use_of_yield: self.use_of_yield,
            into: self.into,
            engaged_mm: self.engaged_mm,
        };
        let what = heading(&input);
        shell.answer(app::torque::torque(&input)?, |answer| {
            pages::torque_page(answer, &what, ("en", shell.shown))
        })
    }
}
