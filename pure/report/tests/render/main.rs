//! Pages rendered as text, HTML and paper, and read back.
#![cfg(test)]

mod daily;
mod demo;
mod html;
mod paper;
mod text;
