//! Pages of the phone and of the terminal: cars on hand, one car, its next step.

mod car;
mod cars;
mod next;
mod tray;

pub use car::{CarView, EventLine, OddsLine, car_page};
pub use cars::{CarLine, WaitsFor, cars_page, five_words};
pub use next::{NextKind, NextStep, next_step_blocks};
pub use tray::{TrayView, tray_page};
