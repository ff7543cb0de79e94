//! Conversions against their definitions, and typed text as people type it.
#![cfg(test)]

use units::{
    Currency, Measured, Money, MoneyError, Quantity, Unit, UnitError, parse_number,
};

fn unit(text: &str) -> Unit {
    Unit::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

fn converts(from: &str, to: &str) {
    let got = Measured::parse(from).and_then(|m| m.value_in(unit(split(to).1)));
    let got = got.unwrap_or_else(|e| panic!("{from}: {e}"));
    let wanted = split(to).0;
    assert!(
        (got - wanted).abs() <= 1e-9 * wanted.abs().max(1.0),
        "{from} -> {to}: {got}"
    );
}

fn split(text: &str) -> (f64, &str) {
    let (value, unit) = text.split_once(' ').expect("a value and a unit");
    (value.parse().expect("a number"), unit)
}

/// Exact definitions: international yard and pound agreement 1959, SI Brochure 9th
/// edition; pound-force derived values NIST SP 811 (2008), appendix B.8.
#[test]
fn definitions() {
    converts("1 lb-ft", "1.3558179483 N.m");
    converts("1.3558179483 Nm", "1 ft-lb");
    converts("12 lb-in", "1 lb-ft");
    converts("1 mile", "1.609344 km");
    converts("1 in", "25.4 mm");
    converts("1 bar", "100 kPa");
    converts("1 mbar", "1 hPa");
    converts("1 psi", "6.894757293168 kPa");
    converts("29.92 inHg", "101.32075888 kPa");
    converts("1 lbf", "4.4482216152605 N");
    converts("1 gal", "3.785411784 l");
    converts("100 km/h", "27.77777777777778 m/s");
    converts("1 kN", "1000 N");
    converts("0 C", "273.15 K");
    converts("0 K", "-273.15 °C");
    converts("212 °F", "100 °C");
    converts("-40F", "-40 C");
    converts("180deg", "3.141592653589793 rad");
    converts("2 h", "7200 s");
    converts("3000rpm", "50 1/s");
    converts("7.9kΩ", "7900 ohm");
    converts("250 µm", "0.25 mm");
    converts("1e3V", "1 kV");
}

#[test]
fn spellings_mean_the_same_unit() {
    for (spelling, symbol) in [
        ("Ω", "ohm"),
        ("\u{2126}", "ohm"),
        ("kohm", "kohm"),
        ("mΩ", "mohm"),
        ("Mohm", "Mohm"),
        ("°C", "C"),
        ("ºC", "C"),
        ("N·m", "N.m"),
        ("Nm", "N.m"),
        ("ft-lb", "lb-ft"),
        ("rpm", "1/min"),
        ("μm", "um"),
        ("L", "l"),
        ("min", "min"),
        ("ms", "ms"),
        ("daN", "daN"),
        ("kg", "kg"),
    ] {
        assert_eq!(unit(spelling).symbol(), symbol, "{spelling}");
        assert_eq!(unit(&unit(spelling).symbol()), unit(spelling));
        assert_eq!(unit(&unit(spelling).shown()), unit(spelling));
    }
}

#[test]
fn every_quantity_has_a_base_of_factor_one_and_reads_back() {
    for quantity in Quantity::ALL {
        let base = quantity.base_unit();
        assert_eq!(base.quantity(), quantity);
        assert!((base.factor() - 1.0).abs() < 1e-15, "{quantity}");
        assert_eq!(Quantity::parse(quantity.name()), Ok(quantity));
    }
}

#[test]
fn every_known_symbol_reads_back_and_round_trips() {
    for symbol in Unit::known() {
        let unit = unit(symbol);
        assert_eq!(unit.symbol(), symbol);
        let base = unit.quantity().base_unit();
        let back = unit.convert(7.5, base).and_then(|v| base.convert(v, unit)).unwrap();
        assert!((back - 7.5).abs() < 1e-12 * 7.5 * 100.0, "{symbol}: {back}");
    }
}

#[test]
fn a_difference_of_temperatures_has_no_offset() {
    let got = unit("F").convert_difference(9.0, unit("C")).unwrap();
    assert!((got - 5.0).abs() < 1e-12);
}

#[test]
fn what_is_wrong_is_said() {
    let said = |text: &str| Measured::parse(text).unwrap_err().to_string();
    assert!(said("7,9ohm").contains("decimal comma"));
    assert!(said("7.9").contains("no unit"));
    assert!(said("ohm").contains("not a number"));
    assert!(said("NaN ohm").contains("not a number"));
    assert!(said("inf ohm").contains("not a number"));
    assert!(said("1e999 V").contains("too large"));
    assert!(said("7.9 furlong").contains("known, some with a prefix"));
    assert!(said("7.9 Kohm").contains("did you mean `kohm`"));
    assert!(said("7.9 KPA").contains("did you mean `kPa`"));
    let wrong = Measured::parse_or("3 bar", unit("ohm")).unwrap_err();
    assert!(matches!(wrong, UnitError::Mismatch { .. }), "{wrong}");
    assert!(wrong.to_string().contains("measures pressure"));
    assert!(Measured::new(f64::NAN, unit("V")).is_err());
    assert!(Quantity::parse("taste").unwrap_err().to_string().contains("voltage"));
}

#[test]
fn numbers_as_typed() {
    assert_eq!(parse_number("\u{2212}0.5"), Ok(-0.5));
    assert_eq!(parse_number(" 1e3 "), Ok(1000.0));
    assert_eq!(parse_number("+2."), Ok(2.0));
    for wrong in ["", "-", ".", "e5", "1.2.3", "1 2", "0x10", "1e", "--1", "infinity"] {
        assert!(parse_number(wrong).is_err(), "{wrong}");
    }
    assert_eq!(Measured::parse_or("7.9", unit("ohm")).unwrap().to_string(), "7.9 Ω");
}

#[test]
fn hostile_text_is_an_error_and_no_panic() {
    let long = "9".repeat(100_000);
    for text in [long.as_str(), "\u{0}", "1\u{0}", "1é", "−", "1−", "e\u{301}", "1e−"]
    {
        assert!(Measured::parse(text).is_err());
    }
}

#[test]
fn money_keeps_its_currency() {
    let eur = Currency::parse("EUR").unwrap();
    let sum = Money::new(12.25, eur).and_then(|m| m.plus(Money::new(0.5, eur)?)).unwrap();
    assert_eq!(sum.to_string(), "12.75 EUR");
    assert_eq!(Money::new(-0.001, eur).unwrap().to_string(), "0.00 EUR");
    for wrong in ["eur", "EU", "EURO", "E1R", "", "ÄÖ"] {
        assert!(Currency::parse(wrong).is_err(), "{wrong}");
    }
    let usd = Currency::parse("USD").unwrap();
    let mixed = Money::new(1.0, eur).unwrap().plus(Money::new(1.0, usd).unwrap());
    assert_eq!(mixed, Err(MoneyError::Mixed(eur, usd)));
    assert_eq!(Money::new(f64::INFINITY, eur), Err(MoneyError::NotFinite));
}
