//! The way in, the tray and the way out of whole sheets.
#![cfg(test)]

mod bench;
mod ease;
mod random;
mod tray;
mod way;
