//! The pages from outside: requests as a browser sends them, and what the log then says.
#![cfg(test)]

mod bay;
mod door;
mod pages;
mod taps;
