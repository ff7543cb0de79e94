//! Every row of references/recordings.toml: exact models, published actuators, and
//! before against after.
#![cfg(test)]

use logs::{Options, read_csv};
use measure::compare::{Change, compare_values};
use measure::synth::{StepLog, step_log};
use measure::{RecordingAnswer, RecordingMeta, judge_recording};
use serde::Deserialize;

const ROWS: &str = include_str!("../../../references/recordings.toml");

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
    expected: toml::Value,
    tolerance: f64,
    tolerance_why: String,
    source: String,
    edition: String,
    standing: String,
}

impl Row {
    fn number(&self, key: &str) -> f64 {
        let value = self.inputs.get(key).and_then(toml::Value::as_float);
        value.unwrap_or_else(|| panic!("{}: no {key}", self.id))
    }

    fn list(&self, key: &str) -> Vec<f64> {
        let list = self.inputs.get(key).and_then(toml::Value::as_array).expect("a list");
        list.iter().map(|v| v.as_float().expect("a number")).collect()
    }

    fn holds(&self, got: f64) {
        let wanted = self.expected.as_float().expect("a number");
        let near = (got - wanted).abs() <= self.tolerance;
        assert!(near, "{}: {got} is not {wanted} within {}", self.id, self.tolerance);
    }
}

/// A log without noise or jitter, with the truth of a row.
fn log_of(row: &Row) -> StepLog {
    StepLog {
        rate_hz: row.number("rate"),
        jitter_s: 0.0,
        noise: 0.0,
        dead_time_s: row.number("dead"),
        tau_up_s: row.number("tau"),
        tau_down_s: row.number("tau"),
        gain: row.inputs.get("gain").and_then(toml::Value::as_float).unwrap_or(1.0),
        steps: vec![(20.033, 60.0), (60.061, 20.0), (100.018, 70.0), (140.044, 10.0)],
        duration_s: 180.0,
        ..StepLog::default()
    }
}

fn judged(log: &StepLog) -> RecordingAnswer {
    let recording =
        read_csv(step_log(log).as_bytes(), &Options::default()).expect("a log");
    let channel = |name| recording.channel(name).expect("a channel");
    let meta = RecordingMeta::from(&recording);
    judge_recording(channel("commanded"), channel("actual"), meta).expect("an answer")
}

fn recorded(row: &Row, signals: usize) -> RecordingAnswer {
    judged(&StepLog { signals, ..log_of(row) })
}

fn run(row: &Row) {
    match row.what.as_str() {
        "fopdt-time-constant" => {
            row.holds(recorded(row, 1).time_constant_s.value.unwrap());
        }
        "fopdt-gain" => row.holds(recorded(row, 1).gain.value.unwrap()),
        "fopdt-dead" => {
            let dead = recorded(row, 1).dead_time_s;
            row.holds(dead.value.unwrap());
            let truth = row.expected.as_float().unwrap();
            assert!(
                dead.low.unwrap() <= truth && truth <= dead.high.unwrap(),
                "{}",
                row.id
            );
        }
        "bound-tau" => {
            let answer = recorded(row, 10);
            let tau = answer.time_constant_s;
            assert_eq!(
                (tau.value, tau.low),
                (None, None),
                "{}: {:?}",
                row.id,
                answer.remarks
            );
            assert!(tau.high.unwrap() > row.number("tau"), "{}", row.id);
            assert!(answer.dead_time_s.high.unwrap() > row.number("dead"), "{}", row.id);
        }
        "least-squares-tau" | "least-squares-dead" => least_squares(row),
        "welch-effect" | "welch-u" | "welch-dof" => welch(row),
        "welch-low" | "welch-high" => {
            let got = compare_values(&row.list("before"), &row.list("after"), 1e-9);
            let effect = got.effect;
            let end = if row.what == "welch-low" { effect.low } else { effect.high };
            row.holds(end.unwrap());
        }
        "tost-verdict" => {
            let got = compare_values(
                &row.list("before"),
                &row.list("after"),
                row.number("margin"),
            );
            let word = match got.verdict {
                Change::Changed => "changed",
                Change::Same => "same",
                Change::NotDecided => "not-decided",
            };
            assert_eq!(row.expected.as_str(), Some(word), "{}: {got:?}", row.id);
        }
        other => panic!("{}: nothing computes {other}", row.id),
    }
}

/// One step of a noisy log, judged by itself.
fn least_squares(row: &Row) {
    let log = StepLog { noise: row.number("noise"), ..log_of(row) };
    let answer = judged(&log);
    let nth =
        ["0", "1", "2", "3"].iter().position(|n| *n == row.number("step").to_string());
    let step = &answer.per_step[nth.expect("a step")];
    row.holds(match row.what.as_str() {
        "least-squares-tau" => step.time_constant_s.unwrap(),
        _ => step.dead_time_s.unwrap(),
    });
}

fn welch(row: &Row) {
    let got = compare_values(&row.list("before"), &row.list("after"), 1.0);
    match row.what.as_str() {
        "welch-effect" => row.holds(got.effect.value.unwrap()),
        "welch-u" => row.holds(got.u),
        _ => row.holds(got.dof.unwrap()),
    }
    assert_eq!(got.verdict, Change::Changed);
}

#[test]
fn every_row_holds() {
    let file: File = toml::from_str(ROWS).expect("references/recordings.toml");
    for row in &file.row {
        for text in [&row.tolerance_why, &row.source, &row.edition, &row.standing] {
            assert!(!text.is_empty(), "{}: say where it is from", row.id);
        }
        run(row);
    }
}
