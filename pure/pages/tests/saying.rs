//! Numbers in words, and what may never stand on a page.
#![cfg(test)]

use pages::say::{self, Counted, Shown};
use pages::{CAUTIONS, DEFERS, Words, caution, cautions};

#[test]
fn chances_are_said_in_tenths_and_near_the_ends_in_hundredths() {
    for (p, said) in [
        (0.0, "less than 1 in 100"),
        (0.0049, "less than 1 in 100"),
        (0.02, "about 2 in 100"),
        (0.0769, "about 8 in 100"),
        (0.1, "about 1 in 10"),
        (0.41, "about 4 in 10"),
        (0.9, "about 9 in 10"),
        (0.93, "about 93 in 100"),
        (0.97, "about 97 in 100"),
        (0.9951, "more than 99 in 100"),
        (1.0, "more than 99 in 100"),
        (f64::NAN, "not known"),
    ] {
        assert_eq!(say::chance(p), said, "{p}");
    }
}

/// ISO 4217, table A.1 (minor units): EUR 2, JPY 0, KWD 3.
#[test]
fn money_has_the_coins_of_its_currency() {
    assert_eq!(say::money(210.0, "EUR"), "210.00 EUR");
    assert_eq!(say::money(1240.4, "JPY"), "1240 JPY");
    assert_eq!(say::money(1.5, "KWD"), "1.500 KWD");
    assert_eq!(say::money(-0.001, "EUR"), "0.00 EUR");
}

#[test]
fn a_spread_never_promises_less_than_it_holds() {
    assert_eq!(
        say::usually(209.6, 479.2, "EUR"),
        "usually 210 EUR, seldom above 480 EUR"
    );
    assert_eq!(say::usually(210.0, 210.0, "EUR"), "210 EUR");
    assert_eq!(say::usually_minutes(70.0, 180.0), "usually 1 h 10 min, seldom above 3 h");
}

#[test]
fn minutes_read_like_a_clock() {
    for (minutes, said) in [
        (0.0, "0 min"),
        (0.5, "0.5 min"),
        (9.96, "10 min"),
        (12.0, "12 min"),
        (59.6, "1 h"),
        (70.0, "1 h 10 min"),
        (119.7, "2 h"),
        (1500.0, "25 h"),
    ] {
        assert_eq!(say::minutes(minutes), said, "{minutes}");
    }
}

/// NIST SP 811 (2008), table B.8: 1 lbf·ft = 1.355 818 N·m, 1 mi = 1.609 344 km.
#[test]
fn us_units_follow_nist_sp_811() {
    assert_eq!(say::torque(1.355_818 * 18.0, Shown::Us), "18 lb-ft");
    assert_eq!(say::distance(1.609_344 * 326.0, Shown::Us), "326 miles");
    assert_eq!(say::torque(24.6, Shown::Metric), "24.6 N·m");
    assert_eq!(say::exposure(1.0, Counted::Starts, Shown::Us), "1 start");
    assert_eq!(say::exposure(29.2, Counted::Starts, Shown::Us), "30 starts");
}

#[test]
fn figures_keep_what_counts() {
    assert_eq!(say::significant(0.012_345, 3), "0.0123");
    assert_eq!(say::significant(1234.6, 3), "1235");
    assert_eq!(say::significant(0.0, 3), "0");
    assert_eq!(say::trimmed(-0.04, 1), "0");
    assert_eq!(say::and(&["a".to_owned(), "b".to_owned(), "c".to_owned()]), "a, b and c");
}

/// Unicode UAX 9 (bidirectional formatting characters) and ISO 6429 (C0, C1).
#[test]
fn words_hold_no_control_and_no_direction_changes() {
    let hostile =
        "a\u{1b}[31mb\u{202e}c\u{2066}d\u{9b}5me\u{7f}f\u{200f}g\u{e0041}h\r\n\ti";
    assert_eq!(Words::new(hostile).as_str(), "a[31mbcd5mefgh   i");
    for code in (0..0x20).chain(0x7f..0xa0).chain(0x202a..0x202f).chain(0x2066..0x206a) {
        let c = char::from_u32(code).unwrap();
        let words = Words::from(format!("a{c}b"));
        assert!(words.as_str() == "ab" || words.as_str() == "a b", "{code:x}");
    }
    assert_eq!(Words::lines("one\n\n two \r\nthree").len(), 3);
}

#[test]
fn every_caution_of_the_design_has_a_text() {
    let design = [
        "hot",
        "hot-oil",
        "rotating",
        "spring",
        "crush",
        "raised",
        "fuel",
        "injection",
        "flammable-solvent",
        "chlorinated",
        "pressure",
        "high-voltage",
        "airbag",
        "battery",
        "refrigerant",
        "dust",
        "fumes",
        "eyes",
        "brake",
        "steering",
        "keep-clean",
    ];
    assert_eq!(CAUTIONS.len(), design.len());
    for word in design {
        assert!(CAUTIONS.iter().any(|(known, _)| *known == word), "{word}");
        assert_eq!(
            caution(word).licensed,
            ["airbag", "high-voltage", "refrigerant"].contains(&word)
        );
    }
    assert!(caution("sharp").text.as_str().contains("manual"));
    let shown = cautions(["eyes", "hot", "eyes", "airbag"]);
    let words: Vec<&str> = shown.iter().map(|caution| caution.word.as_str()).collect();
    assert_eq!(words, ["airbag", "hot", "eyes"]);
}

/// Design section 2: these words never stand on a screen.
#[test]
fn our_own_texts_stay_with_trade_words() {
    let banned =
        ["belief", "policy", "gap", "prior", "posterior", "guided", "wizard", "expert"];
    let texts = CAUTIONS.iter().map(|(_, text)| *text).chain([DEFERS]);
    for text in texts {
        for word in banned {
            assert!(!text.to_lowercase().split(' ').any(|w| w == word), "{word}: {text}");
        }
        assert!(!text.chars().any(|c| ('\u{370}'..='\u{3ff}').contains(&c)), "{text}");
    }
}
