//! Every row of references/readings.toml: published values of uncertainty, conformity,
//! copper, meters, heating and bounds on shares.
#![cfg(test)]

use measure::bench::{adiabatic_k, share, wire_hold_time_s};
use measure::{
    Accuracy, JudgeAnswer, JudgeInput, Leads, Limits, Material, PartTemperature,
    band_weights, judge,
};
use serde::Deserialize;
use units::Unit;

const ROWS: &str = include_str!("../../../references/readings.toml");

#[derive(Deserialize)]
struct File {
    row: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    what: String,
    inputs: toml::Table,
    expected: f64,
    tolerance: f64,
    tolerance_why: String,
    source: String,
    edition: String,
    standing: String,
}

impl Row {
    fn maybe(&self, key: &str) -> Option<f64> {
        self.inputs.get(key).and_then(toml::Value::as_float)
    }

    fn number(&self, key: &str) -> f64 {
        self.maybe(key).unwrap_or_else(|| panic!("{}: no {key}", self.id))
    }

    fn text(&self, key: &str) -> &str {
        self.inputs.get(key).and_then(toml::Value::as_str).expect("a text")
    }

    fn list(&self, key: &str) -> Vec<f64> {
        let list = self.inputs.get(key).and_then(toml::Value::as_array).expect("a list");
        list.iter().map(|v| v.as_float().expect("a number")).collect()
    }

    fn material(&self) -> Material {
        Material::parse(self.text("material")).expect("a metal")
    }

    fn range(&self) -> (f64, f64) {
        (self.number("from_c"), self.number("to_c"))
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "small counts"
    )]
    fn count(&self, key: &str) -> usize {
        self.number(key) as usize
    }
}

fn ohm() -> Unit {
    Unit::parse("ohm").expect("a unit")
}

/// A reading whose standard uncertainty is `u`: a stated half-width of u √3.
fn judged(row: &Row) -> JudgeAnswer {
    let mut input =
        JudgeInput::of(row.number("value"), Unit::parse("V").expect("a unit"));
    let half = format!("{}", row.number("u") * 3.0_f64.sqrt());
    input.accuracy = Some(Accuracy::parse(&half, input.unit).expect("an accuracy"));
    input.limits =
        Some(Limits::new(row.maybe("low"), row.maybe("high")).expect("limits"));
    judge(&input).expect("an answer")
}

fn repeated(row: &Row) -> JudgeAnswer {
    let mut input = JudgeInput::of(0.0, ohm());
    input.value = None;
    input.repeats = row.list("repeats");
    input.accuracy = row
        .maybe("half_width")
        .map(|half| Accuracy::parse(&half.to_string(), ohm()).expect("an accuracy"));
    judge(&input).expect("an answer")
}

fn normalised(row: &Row) -> f64 {
    let mut input = JudgeInput::of(row.number("reading"), ohm());
    let (material, part_c) = (row.material(), row.number("part_c"));
    let temperature =
        PartTemperature { material, part_c, part_half_width_k: None, reference_c: 20.0 };
    input.temperature = Some(temperature);
    judge(&input).expect("an answer").value
}

/// A coil read warm through leads: all that a reading can bring at once.
fn coil(row: &Row) -> JudgeAnswer {
    let mut input = JudgeInput::of(row.number("reading"), ohm());
    input.accuracy =
        Some(Accuracy::parse(row.text("accuracy"), ohm()).expect("an accuracy"));
    input.digit = row.maybe("digit");
    input.leads = Some(Leads { value: row.number("leads"), u: row.maybe("leads_u") });
    input.limits =
        Some(Limits::new(row.maybe("low"), row.maybe("high")).expect("limits"));
    input.temperature = Some(PartTemperature {
        material: row.material(),
        part_c: row.number("part_c"),
        part_half_width_k: row.maybe("part_half_width_k"),
        reference_c: 20.0,
    });
    judge(&input).expect("an answer")
}

fn computed(row: &Row) -> f64 {
    match row.what.as_str() {
        "p-within" => judged(row).p_within.expect("limits"),
        "accepts-low" => judged(row).accepts.and_then(|a| a.low).expect("a limit"),
        "accepts-high" => judged(row).accepts.and_then(|a| a.high).expect("a limit"),
        "between-p" => {
            let mut input = JudgeInput::of(0.0, Unit::parse("mm").expect("a unit"));
            input.value = None;
            input.between = Some((row.number("from"), row.number("to")));
            input.limits =
                Some(Limits::new(row.maybe("low"), row.maybe("high")).expect("limits"));
            judge(&input).expect("an answer").p_within.expect("limits")
        }
        "digit-u" => {
            let mut input = JudgeInput::of(1.0, ohm());
            input.digit = row.maybe("digit");
            judge(&input).expect("an answer").u
        }
        "half-width-range" => {
            let accuracy =
                Accuracy::parse(row.text("accuracy"), ohm()).expect("an accuracy");
            accuracy
                .half_width_in(
                    row.number("reading"),
                    row.maybe("digit"),
                    row.maybe("range"),
                )
                .expect("a width")
        }
        "connection" => {
            let mut input =
                JudgeInput::of(row.number("drop"), Unit::parse("mV").expect("a unit"));
            input.amps = row.maybe("amps");
            judge(&input).expect("an answer").connection_ohm.expect("a resistance")
        }
        "p-within-t" => {
            let (low, high) = (row.maybe("low"), row.maybe("high"));
            let bands = [(None, low), (low, high), (high, None)];
            band_weights(row.number("value"), row.number("u"), row.maybe("dof"), &bands)
                [1]
        }
        "repeats-u" => repeated(row).u,
        "repeats-dof" => repeated(row).dof.expect("Student's t"),
        "half-width" => {
            let accuracy =
                Accuracy::parse(row.text("accuracy"), ohm()).expect("an accuracy");
            accuracy
                .half_width(row.number("reading"), row.maybe("digit"))
                .expect("a width")
        }
        "ratio" => row.material().resistance_ratio(row.range().0, row.range().1),
        "normalise" => normalised(row),
        "warmed" => {
            row.number("at_20")
                * row.material().resistance_ratio(20.0, row.number("part_c"))
        }
        "coil-value" => coil(row).value,
        "coil-u" => coil(row).u,
        "coil-p" => coil(row).p_within.expect("limits"),
        "adiabatic-k" => adiabatic_k(row.range()).expect("temperatures"),
        "wire-hold" => {
            wire_hold_time_s(row.number("current"), row.number("mm2"), row.range())
                .expect("a time")
        }
        "share-high" | "share-low" => {
            let (tried, failed) = (row.count("tried"), row.count("failed"));
            let share = share(tried, failed, row.number("confidence")).expect("a share");
            if row.what == "share-low" { share.low } else { share.high }
        }
        other => panic!("{}: nothing computes {other}", row.id),
    }
}

#[test]
fn every_row_holds() {
    let file: File = toml::from_str(ROWS).expect("references/readings.toml");
    assert!(file.row.len() >= 20, "only {} rows", file.row.len());
    let mut ids: Vec<&str> = file.row.iter().map(|r| r.id.as_str()).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), file.row.len(), "an id is used twice");
    for row in &file.row {
        for text in [&row.tolerance_why, &row.source, &row.edition, &row.standing] {
            assert!(!text.is_empty(), "{}: say where it is from", row.id);
        }
        let got = computed(row);
        assert!(
            (got - row.expected).abs() <= row.tolerance,
            "{}: {got} is not {} within {}",
            row.id,
            row.expected,
            row.tolerance
        );
    }
}
