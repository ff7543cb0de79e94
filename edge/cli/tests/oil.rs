//! `witmark oil` as it is typed: published values, schemas, and what is refused.
#![cfg(test)]

use assert_cmd::Command;
use serde_json::Value;

fn witmark(line: &str) -> Command {
    let mut command = Command::cargo_bin("witmark").unwrap();
    command.args(line.split_whitespace());
    command.env_remove("WITMARK_STORE").env("COLUMNS", "90");
    command
}

fn json(line: &str) -> Value {
    let output =
        witmark(&format!("{line} --json")).assert().success().get_output().clone();
    serde_json::from_slice(&output.stdout).unwrap()
}

fn page(line: &str) -> String {
    let output = witmark(line).assert().success().get_output().clone();
    String::from_utf8(output.stdout).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn each_document_has_the_fields_of_its_schema() {
    for line in [
        "oil level --between-litres 1 --at 0.25",
        "oil use --topped-litres 0.55 --over-km 3200",
        "oil viscosity --known 40=95,100=14.4",
        "oil grade --grade 5W-30",
    ] {
        let answer = json(line);
        let name = answer["witmark"].as_str().unwrap();
        let schema: Value =
            serde_json::from_str(&page(&format!("schema {name}"))).unwrap();
        for key in schema["required"].as_array().unwrap() {
            assert!(answer.get(key.as_str().unwrap()).is_some(), "{name}: {key}");
        }
        let known = schema["properties"].as_object().unwrap();
        assert!(answer.as_object().unwrap().keys().all(|key| known.contains_key(key)));
    }
}

#[test]
fn published_values_come_out() {
    // ASTM D341 worked example: 32 at 40 °C and 5.4 at 100 °C give 8.53 at 80 °C.
    let answer = json("oil viscosity --known 40=32,100=5.4 --at 80,-10");
    assert!((number(&answer["at"][0]["mm2_s"]) - 8.53).abs() < 0.02);
    assert_eq!(answer["at"][1]["mm2_s"], Value::Null);
    // ASTM D2270 worked example: 92.
    let index = json("oil viscosity --known 40=73.3,100=8.86");
    assert!((number(&index["viscosity_index"]) - 92.0).abs() < 1e-9);
    // SAE J300 (January 2015): 7.0 mm²/s and 2.4 mPa·s belong to 12 and 16, not to 20.
    let grade = json("oil grade --at-100 7.0 --high-shear 2.4");
    assert_eq!(grade["warm"], serde_json::json!(["12", "16"]));
    // Computed apart: 0.172 l for 1000 km, look again after 1745 km; 0.3 % of 8 l/100 km.
    let rate = json(
        "oil use --topped-litres 0.55 --over-km 3200 --above-low-litres 0.6 \
         --fuel-l-per-100km 8",
    );
    assert!((number(&rate["litres_per_1000_km"]) - 0.172).abs() < 1e-3);
    assert!((number(&rate["next_look_km"]) - 1745.0).abs() < 1.0);
    assert!((number(&rate["fuel_limit_l_per_1000_km"]) - 0.24).abs() < 1e-12);
}

#[test]
fn the_dipstick_gives_litres_and_the_pages_defer_to_the_maker() {
    let mm = json("oil level --between-litres 1 --above-low-mm 3.5 --between-mm 14");
    let share = json("oil level --between-litres 1 --at 0.25");
    for answer in [&mm, &share] {
        assert!((number(&answer["fill_litres"]) - 0.75).abs() < 1e-12);
    }
    let full = json("oil level --between-litres 1 --at 1.2");
    assert_eq!(full["stands"], "above-full");
    for line in [
        "oil level --between-litres 1 --at -0.1",
        "oil use --topped-litres 1.2 --over-km 1000",
        "oil grade --grade 5W-30 --asked 0W-30 --at-100 12.5",
    ] {
        assert!(page(line).contains("maker"), "{line}");
    }
    let grade = page("oil grade --grade 5W-30 --asked 0W-30 --at-100 12.5");
    assert!(grade.contains("Does not fit 5W-30."), "{grade}");
    let miles = page(
        "oil use --topped-litres 0.55 --over-km 3200 --above-low-litres 0.6 --units us",
    );
    assert!(miles.contains("miles"), "{miles}");
}

#[test]
fn nonsense_is_refused_in_plain_words() {
    for (code, line) in [
        (2, "oil"),
        (2, "oil level --between-litres 1"),
        (2, "oil level --between-litres 1 --at 0.2 --above-low-mm 3 --between-mm 14"),
        (2, "oil level --between-litres 0 --at 0.2"),
        (2, "oil level --between-litres 1 --above-low-mm 3"),
        (2, "oil level --between-litres 1 --at NaN"),
        (2, "oil use --topped-litres 0.5"),
        (2, "oil use --topped-litres -1 --over-km 100"),
        (2, "oil viscosity --known 40=95"),
        (2, "oil viscosity --known 40=95,100=14,120=9"),
        (2, "oil viscosity --known 40,100"),
        (2, "oil grade --grade 5W-35"),
        (2, "oil grade --crank 5800"),
        (1, "oil level --between-litres 1 --at 40"),
        (1, "oil use --topped-litres 0.5 --over-km 0.1"),
        (1, "oil viscosity --known 40=9,100=95"),
        (1, "oil viscosity --known 40=95,41=94"),
        (1, "oil viscosity --known 40=95,100=14 --at 9000"),
        (1, "oil grade"),
        (1, "oil grade --at-100 9000"),
    ] {
        let output =
            witmark(&format!("{line} --json")).assert().code(code).get_output().clone();
        assert!(output.stdout.is_empty(), "{line}");
        assert!(!output.stderr.is_empty(), "{line}");
    }
}
