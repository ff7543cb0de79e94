//! The verbs on a job, on a small invented sheet whose figures can be checked by hand.
#![cfg(test)]

mod any_order;
mod given;
mod hand_over;
mod learned;
mod log;
mod measures;
mod meters;
mod owner;
mod story;
mod tray;
mod work;
