//! Every row of references/proof.toml.
#![cfg(test)]
#![expect(
    clippy::disallowed_methods,
    reason = "the rows lie in the project's references"
)]

use std::path::Path;

use serde::Deserialize;
use sheet::{Exposure, ExposureUnit, Recurrence, WindowEnd};
use weigh::{Count, ProveInput, prove, prove_parts};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Rows {
    silent: Vec<SilentRow>,
    needed: Vec<NeededRow>,
    predictive: Vec<PredictiveRow>,
    zero_failure: Vec<ZeroFailureRow>,
    sequential: Vec<SequentialRow>,
}

macro_rules! row {
    ($name:ident { $($field:ident: $type:ty),* $(,)? }) => {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct $name {
            id: String,
            source: String,
            standing: String,
            tolerance: f64,
            tolerance_why: String,
            $($field: $type),*
        }

        impl $name {
            fn near(&self, what: &str, value: f64, published: f64) {
                assert!(!self.source.is_empty() && !self.standing.is_empty());
                assert!(!self.tolerance_why.is_empty());
                assert!(
                    (value - published).abs() <= self.tolerance,
                    "{} {what}: {value}, published {published}", self.id
                );
            }
        }
    };
}

row!(SilentRow {
    seen: u32,
    over: f64,
    ends: String,
    clear: f64,
    fixed: f64,
    silent: f64,
    p_fixed: f64
});
row!(NeededRow { seen: u32, over: f64, fixed: f64, target: f64, needed: f64 });
row!(PredictiveRow { seen: u32, over: f64, confidence: f64, distance: f64 });
row!(ZeroFailureRow { confidence: f64, factor: f64 });
row!(SequentialRow { risk: f64, ratio: f64, accept: f64 });

fn recurrence(seen: u32, over: f64, ends: WindowEnd) -> Recurrence {
    Recurrence { seen, over: Exposure { amount: over, unit: ExposureUnit::Km }, ends }
}

#[test]
fn every_row_holds() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../references/proof.toml");
    let rows: Rows = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    for row in &rows.silent {
        let ends = if row.ends == "now" { WindowEnd::Now } else { WindowEnd::Set };
        let recurrence = recurrence(row.seen, row.over, ends);
        let input =
            ProveInput { recurrence, fixed: row.fixed, clear: row.clear, target: 0.95 };
        let answer = prove(&input).unwrap();
        row.near("silent", answer.p_silent, row.silent);
        row.near("p_fixed", answer.p_fixed, row.p_fixed);
    }
    for row in &rows.needed {
        let recurrence = recurrence(row.seen, row.over, WindowEnd::Set);
        let input =
            ProveInput { recurrence, fixed: row.fixed, clear: 0.0, target: row.target };
        row.near("needed", prove(&input).unwrap().needed_km.unwrap(), row.needed);
    }
    for row in &rows.predictive {
        let count =
            Count::from_recurrence(&recurrence(row.seen, row.over, WindowEnd::Set))
                .unwrap();
        let distance =
            row.over * ((1.0 - row.confidence).powf(-1.0 / count.exponent()) - 1.0);
        row.near("distance", distance, row.distance);
        let silent = count.ln_silent(row.distance).exp();
        assert!((silent - (1.0 - row.confidence)).abs() < 1e-6, "{}: {silent}", row.id);
    }
    for row in &rows.zero_failure {
        row.near("factor", prove_parts::zero_failure_factor(row.confidence), row.factor);
    }
    for row in &rows.sequential {
        let accept = prove_parts::sequential_accept(row.risk, row.risk, row.ratio);
        row.near("accept", accept, row.accept);
    }
    assert!(rows.silent.len() + rows.needed.len() >= 20);
}
