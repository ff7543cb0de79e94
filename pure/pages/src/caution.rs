//! The caution words of the design (section 15) and what each says.

use serde::Serialize;

use crate::Words;

/// What can hurt, and what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Caution {
    /// The word as it stands in a sheet.
    pub word: Words,
    /// What it says.
    pub text: Words,
    /// Asks for a licensed person.
    pub licensed: bool,
}

/// Every caution word with its text, in the order in which they are shown.
/// The texts are common practice; the maker's manual and local rules come first.
pub const CAUTIONS: &[(&str, &str)] = &[
    (
        "airbag",
        "Airbag or belt tensioner near by: work for a person licensed for it. Battery off and the maker's waiting time over before any plug is parted; never measure into an igniter.",
    ),
    (
        "high-voltage",
        "High-voltage parts: work for a qualified person. Isolate, lock off and prove dead by the maker's procedure before touching anything orange.",
    ),
    (
        "refrigerant",
        "Refrigerant circuit: opening it is for a licensed person with recovery equipment. Move it aside closed, or pass it on.",
    ),
    (
        "raised",
        "Vehicle raised: level hard ground, the maker's lifting points, chocks and stands, then shake it before you go under. Never under a jack alone.",
    ),
    (
        "crush",
        "Things can drop, close or start by themselves here: support the load, key out, unplug the fan before hands go in.",
    ),
    (
        "fuel",
        "Fuel: let pressure down by the manual, no flame or spark, catch what runs out, extinguisher at hand, air the room.",
    ),
    (
        "injection",
        "High-pressure injection: wait until the pressure is gone, and never feel for a leak by hand. A jet goes through skin: that is an emergency even if it looks small.",
    ),
    (
        "pressure",
        "Under pressure: let it down before you loosen anything, hold hoses fast, stand aside, stay within the stated test pressure.",
    ),
    (
        "spring",
        "Loaded spring: hold it with the proper tool, let it out slowly, never let it fly back, keep your face out of its way.",
    ),
    (
        "rotating",
        "Moving parts: engine off and key out before hands go in; no sleeves, cords or hair near belts and fans.",
    ),
    (
        "hot",
        "Hot parts: let them cool or wear heat-proof gloves; exhaust parts stay hot for long.",
    ),
    (
        "hot-oil",
        "Hot oil scalds: let it cool to hand-warm, wear gloves and eye protection, stand aside when the plug comes out.",
    ),
    (
        "flammable-solvent",
        "Flammable solvent: no flame, spark or hot part near by, open doors, little at a time, rags into a closed bin.",
    ),
    (
        "chlorinated",
        "Chlorinated cleaner: near heat, flame or welding it turns into poisonous gas. Let everything dry off and air before anything gets hot.",
    ),
    (
        "fumes",
        "Fumes: running an engine indoors needs extraction; open doors alone are not enough.",
    ),
    (
        "dust",
        "Harmful dust: don't blow it off; damp it or use a suitable vacuum cleaner, and wear a mask that fits.",
    ),
    ("eyes", "Wear eye protection."),
    (
        "battery",
        "Battery: no spark near it, minus off first and on last, no metal tool across the posts. Learned values may be lost: read the manual first.",
    ),
    (
        "brake",
        "Brakes: work for a trained person. Follow the maker's manual, renew what it says, pump up and prove the brake before the vehicle moves.",
    ),
    (
        "steering",
        "Steering: work for a trained person. Follow the maker's manual, renew single-use fasteners, and check the alignment after it.",
    ),
    (
        "keep-clean",
        "An open oil, fuel or hydraulic port: cap it at once, count the caps, nothing but lint-free cloth, a last look before it is closed.",
    ),
];

/// The words that ask for a licensed person.
const LICENSED: [&str; 3] = ["airbag", "high-voltage", "refrigerant"];

/// What stands on every procedure and report.
pub const DEFERS: &str = "Advice for a trained person. The vehicle maker's manual, local rules and licensed practice come first.";

/// The caution for a word; an unknown word points to the maker's manual.
#[must_use]
pub fn caution(word: &str) -> Caution {
    let text = CAUTIONS
        .iter()
        .find(|(known, _)| *known == word)
        .map_or("Read the maker's manual on this before you go on.", |(_, text)| text);
    Caution { word: word.into(), text: text.into(), licensed: LICENSED.contains(&word) }
}

/// The cautions for these words, each once: known words in the order of [`CAUTIONS`],
/// then the others as they come.
#[must_use]
pub fn cautions<'a>(words: impl IntoIterator<Item = &'a str>) -> Vec<Caution> {
    let mut wanted: Vec<&str> = Vec::new();
    for word in words {
        if !wanted.contains(&word) {
            wanted.push(word);
        }
    }
    let place = |word: &str| CAUTIONS.iter().position(|(known, _)| *known == word);
    wanted.sort_by_key(|word| place(word).unwrap_or(CAUTIONS.len()));
    wanted.into_iter().map(caution).collect()
}
