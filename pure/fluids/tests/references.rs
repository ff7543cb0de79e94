//! Runs every row of references/fluids.toml: published values against what the crate computes.
#![cfg(test)]

use std::collections::BTreeSet;

use fluids::{
    FitInput, Grade, LevelInput, Point, ThicknessInput, UseInput, Walther, oil_grade,
    oil_level, oil_thickness, oil_use, viscosity_index,
};
use serde::Deserialize;

const TEXT: &str = include_str!("../../../references/fluids.toml");
const STANDINGS: [&str; 4] = ["read", "recomputed", "from memory", "common practice"];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    row: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    what: String,
    points: Option<[String; 2]>,
    at_c: Option<Vec<f64>>,
    grade: Option<String>,
    at_100: Option<f64>,
    hths: Option<f64>,
    fuel_l_per_100km: Option<f64>,
    litres: Option<f64>,
    km: Option<f64>,
    above_low: Option<f64>,
    between: Option<f64>,
    share: Option<f64>,
    words: Option<Vec<String>>,
    expected: Vec<f64>,
    tolerance: f64,
    tolerance_why: String,
    source: String,
    edition: String,
    standing: String,
}

impl Row {
    fn points(&self) -> [Point; 2] {
        let [one, other] = self.points.as_ref().expect("row has points");
        [one, other].map(|point| point.parse().expect("point reads"))
    }

    fn thickness(&self) -> fluids::ThicknessAnswer {
        let at_c = self.at_c.clone().unwrap_or_default();
        oil_thickness(&ThicknessInput { known: self.points(), at_c }).expect("answers")
    }

    fn grade(&self) -> Grade {
        self.grade.as_deref().expect("row has a grade").parse().expect("grade reads")
    }

    fn oil_use(&self) -> fluids::UseAnswer {
        let litres = self.litres.unwrap_or(1.0);
        let mut input = UseInput::new(litres, self.km.unwrap_or(1000.0));
        input.above_low_litres = self.above_low;
        input.fuel_l_per_100km = self.fuel_l_per_100km;
        oil_use(&input).expect("answers")
    }
}

fn thickness(row: &Row) -> Option<Vec<f64>> {
    Some(match row.what.as_str() {
        "walther" => {
            let [one, other] = row.points();
            let line = Walther::through(one, other).expect("two points");
            vec![line.a, line.b]
        }
        "viscosity" | "viscosity_relative" => {
            let at = row.thickness().at;
            at.iter().map(|at| at.mm2_s.expect("warm enough")).collect()
        }
        "index" => vec![row.thickness().viscosity_index.expect("an index is defined")],
        "index_exact" => {
            let [cold, warm] = row.points();
            vec![viscosity_index(cold.mm2_s, warm.mm2_s).expect("an index is defined")]
        }
        _ => return None,
    })
}

fn grades(row: &Row) -> Option<Vec<f64>> {
    Some(match row.what.as_str() {
        "cold_limits" => {
            let winter = row.grade().winter().expect("has a cold side");
            let (crank, pump) = (winter.crank, winter.pump);
            vec![crank.0, crank.1, pump.0, pump.1, winter.least_mm2_s]
        }
        "warm_limits" => {
            let summer = row.grade().summer().expect("has a warm side");
            vec![summer.least_mm2_s, summer.below_mm2_s, summer.least_hths]
        }
        "warm" => {
            let input = FitInput {
                at_100_mm2_s: row.at_100,
                hths: row.hths,
                ..FitInput::default()
            };
            let warm = oil_grade(&input).expect("answers").warm;
            assert_eq!(Some(&warm), row.words.as_ref(), "{}", row.id);
            Vec::new()
        }
        _ => return None,
    })
}

fn amounts(row: &Row) -> Option<Vec<f64>> {
    Some(match row.what.as_str() {
        "fuel_limit" => {
            vec![row.oil_use().fuel_limit_l_per_1000_km.expect("fuel is known")]
        }
        "use_rate" => vec![row.oil_use().litres_per_1000_km.expect("a rate")],
        "use" => {
            let answer = row.oil_use();
            vec![
                answer.litres_per_1000_km.expect("a rate"),
                answer.next_look_km.expect("a distance"),
                answer.low_mark_km.expect("a distance"),
            ]
        }
        "growth_percent" => {
            let mut input = LevelInput::by_mm(1.0, (10.0, 10.0), 0.0).expect("a reading");
            (input.sump_litres, input.warmer_k) = (Some(1.0), 80.0);
            vec![oil_level(&input).expect("answers").warm_litres.expect("known") * 100.0]
        }
        "fill" => {
            let share = row.share.expect("row has a share");
            let between = row.between.expect("row has litres");
            let read = LevelInput::by_mm(between, (share * 10.0, 10.0), 0.0);
            let answer = oil_level(&read.expect("a reading")).expect("answers");
            vec![answer.fill_litres, answer.first_pour_litres]
        }
        _ => return None,
    })
}

/// What is wrong with a row, if anything.
fn fault(row: &Row) -> Option<String> {
    let documented = [&row.tolerance_why, &row.source, &row.edition];
    if !STANDINGS.contains(&row.standing.as_str())
        || documented.iter().any(|text| text.is_empty())
    {
        return Some(format!("{}: standing, source or reason missing", row.id));
    }
    let got = thickness(row).or_else(|| grades(row)).or_else(|| amounts(row));
    let Some(got) = got else {
        return Some(format!("{}: nothing computes {:?}", row.id, row.what));
    };
    let near = |(expected, got): (&f64, &f64)| {
        let scale = if row.what == "viscosity_relative" { expected.abs() } else { 1.0 };
        (got - expected).abs() <= row.tolerance * scale
    };
    let same = got.len() == row.expected.len() && row.expected.iter().zip(&got).all(near);
    (!same).then(|| format!("{}: {} came out as {got:?}", row.id, row.what))
}

#[test]
fn every_published_value_is_met() {
    let file: File = toml::from_str(TEXT).expect("references/fluids.toml reads");
    let ids: BTreeSet<_> = file.row.iter().map(|row| row.id.as_str()).collect();
    assert_eq!(ids.len(), file.row.len(), "every row has an id of its own");
    assert!(file.row.len() >= 40, "rows went missing: {}", file.row.len());
    let faults: Vec<_> = file.row.iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
