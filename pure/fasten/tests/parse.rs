//! What the parsers read, what they refuse, and that no text makes them stop.
#![cfg(test)]

use fasten::{Friction, Kind, Material, StrengthClass, Thread};
use proptest::prelude::*;

#[track_caller]
fn reads(text: &str, canonical: &str) {
    assert_eq!(text.parse::<Thread>().expect(text).to_string(), canonical, "{text}");
}

#[track_caller]
fn refuses(text: &str, part: &str) {
    let error = text.parse::<Thread>().expect_err(text).to_string();
    assert!(error.contains(part), "{text}: {error}");
}

#[test]
fn threads_are_read_however_they_are_written() {
    reads("M8", "M8");
    reads(" m8 X 1.25 ", "M8");
    reads("M8×1", "M8x1");
    reads("M8x1,25", "M8");
    reads("M8-1.25", "M8");
    reads("M10x1.25-6g", "M10x1.25");
    reads("M10-5g6g", "M10");
    reads("M13x1", "M13x1");
    reads("M1.6", "M1.6");
    reads("M64x1.5", "M64x1.5");
    reads("3/8-16 UNC", "3/8-16 UNC");
    reads("3/8-16", "3/8-16 UNC");
    reads("1/4-28unf", "1/4-28 UNF");
    reads("1/2 UNF", "1/2-20 UNF");
    reads("1-1/4-7 UNC", "1 1/4-7 UNC");
    reads("10-32 UNF", "#10-32 UNF");
    reads("1-8 UNC", "1-8 UNC");
}

#[test]
fn nonsense_threads_are_refused_in_plain_words() {
    refuses("", "not a known size");
    refuses("M", "no diameter");
    refuses("M0", "known are M1 to M64");
    refuses("M-8", "no diameter");
    refuses("M8x-1", "what follows the dash");
    refuses("MNaN", "no diameter");
    refuses("Minf", "no diameter");
    refuses("M1e3", "no diameter");
    refuses("M999", "known are M1 to M64");
    refuses("M8x0", "does not occur");
    refuses("M8x2", "does not occur");
    refuses("M8x1.1", "does not occur");
    refuses("M30x0.5", "does not occur");
    refuses("M13", "add the pitch");
    refuses("M8x1x1", "no pitch");
    refuses("M8x1-left", "what follows the dash");
    refuses("3/8-17 UNC", "3/8-16 UNC");
    refuses("3/8", "3/8-16 UNC or 3/8-24 UNF");
    refuses("3/8-24 UNC", "3/8-16 UNC");
    refuses("13/17-3", "not a known size");
    refuses("8.8", "not a known size");
}

#[test]
fn classes_belong_to_their_threads() {
    let class = |text: &str| text.parse::<StrengthClass>().expect(text);
    let thread = |text: &str| text.parse::<Thread>().expect(text);
    assert_eq!(class("SAE J429 grade 8"), class("8"));
    assert_eq!(class("gr. 5"), class("J429 5"));
    assert_eq!(class("a4-80").to_string(), "A4-80");
    for wrong in ["", "8,8", "8.9", "grade 6", "A6-70", "A2-75", "NaN", "-8.8", "grade"] {
        assert!(wrong.parse::<StrengthClass>().is_err(), "{wrong}");
    }
    let refused = |name: &str, size: &str, part: &str| {
        let error = class(name).strength(thread(size)).expect_err(name).to_string();
        assert!(error.contains(part), "{error}");
    };
    refused("8", "M8", "class of a nut");
    refused("8.8", "3/8-16 UNC", "grade 5");
    refused("9.8", "M18", "ends at M16");
    refused("grade 5", "10-24 UNC", "starts at 1/4");
    refused("A2-70", "M30", "ends below this size");
    refused("8.8", "M42", "M1.6 to M39");
}

#[test]
fn friction_words_are_read_and_refused() {
    assert_eq!("0.12".parse::<Friction>().expect("one"), Friction::USUAL);
    let two: Friction = " 0.10..0.16 / 0.12 ".parse().expect("two");
    assert_eq!(two.to_string(), "0.1 to 0.16 in thread, 0.12 under head");
    for wrong in ["", "x", "-0.1", "NaN", "inf", "1.5", "0.2..0.1", "0.1..", "0.1/"] {
        assert!(wrong.parse::<Friction>().is_err(), "{wrong}");
    }
}

proptest! {
    #[test]
    fn no_text_stops_a_parser(text in any::<String>()) {
        let _ = (text.parse::<Thread>(), text.parse::<StrengthClass>());
        let _ = (text.parse::<Friction>(), text.parse::<Material>(), text.parse::<Kind>());
    }

    #[test]
    fn no_text_of_thread_letters_stops_the_parser(text in "[Mm0-9xX.,×/# UNCFgGhH\"-]{0,24}") {
        if let Ok(thread) = text.parse::<Thread>() {
            prop_assert_eq!(thread.to_string().parse::<Thread>(), Ok(thread));
            prop_assert!(thread.root_mm() > 0.0);
            prop_assert!(thread.stress_area_mm2().is_finite());
        }
    }

    #[test]
    fn no_text_of_class_letters_stops_the_parser(text in "[SAEJ429 grade58.-]{0,16}") {
        if let Ok(class) = text.parse::<StrengthClass>() {
            prop_assert_eq!(class.to_string().parse::<StrengthClass>(), Ok(class));
        }
    }
}
