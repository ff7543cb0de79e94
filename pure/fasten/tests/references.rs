//! Runs every row of references/fasten.toml: published values against what the crate computes.
#![cfg(test)]

use std::collections::BTreeSet;
use std::f64::consts::PI;

use fasten::{
    Bearing, HeadStyle, LengthInput, Lever, Material, Measured, Pattern, Stiffness,
    StrengthClass, Thread, TightenInput, Tightened, TorqueAsk, WrenchFit,
};
use serde::Deserialize;

const TEXT: &str = include_str!("../../../references/fasten.toml");
const SQUARE_MM_PER_SQUARE_INCH: f64 = 645.16;
const MPA_PER_PSI: f64 = 0.006_894_757_293;
const NM_PER_LBFIN: f64 = 0.112_984_829_0;
const STANDINGS: [&str; 4] = ["read", "recomputed", "from memory", "common practice"];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    row: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Expected {
    Number(f64),
    Numbers(Vec<f64>),
    Words(Vec<String>),
}

#[derive(Debug)]
enum Got {
    Numbers(Vec<f64>),
    Words(Vec<String>),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    id: String,
    what: String,
    thread: Option<String>,
    threads: Option<Vec<String>>,
    class: Option<String>,
    classes: Option<Vec<String>>,
    friction: Option<String>,
    edition_of_method: Option<String>,
    head_style: Option<String>,
    head_mm: Option<f64>,
    bearing_mm: Option<f64>,
    hole_mm: Option<f64>,
    preload_kn: Option<f64>,
    torque_nm: Option<f64>,
    torques_nm: Option<Vec<f64>>,
    scale_nm: Option<[f64; 2]>,
    wrench_mm: Option<f64>,
    extension_mm: Option<f64>,
    angle_deg: Option<f64>,
    major_min_mm: Option<f64>,
    internal_pitch_max_mm: Option<f64>,
    pitch_mm: Option<f64>,
    shear_mpa: Option<f64>,
    load_kn: Option<f64>,
    into: Option<String>,
    materials: Option<Vec<String>>,
    length_mm: Option<f64>,
    stack_mm: Option<f64>,
    thread_nm: Option<f64>,
    bolt_kn_per_mm: Option<f64>,
    parts_kn_per_mm: Option<f64>,
    settled_um: Option<f64>,
    nut_factor: Option<f64>,
    scatter: Option<f64>,
    bolts: Option<f64>,
    rows: Option<f64>,
    expected: Expected,
    tolerance: f64,
    relative: bool,
    tolerance_why: String,
    source: String,
    edition: String,
    standing: String,
}

impl Row {
    fn thread(&self) -> Thread {
        self.thread.as_deref().expect("row has a thread").parse().expect("thread reads")
    }

    fn class(&self) -> StrengthClass {
        self.class.as_deref().expect("row has a class").parse().expect("class reads")
    }

    fn classes(&self) -> Vec<StrengthClass> {
        let classes = self.classes.as_ref().expect("row has classes");
        classes.iter().map(|class| class.parse().expect("class reads")).collect()
    }

    fn into(&self) -> Material {
        self.into.as_deref().expect("row has a material").parse().expect("material reads")
    }

    fn input(&self, thread: Thread, class: StrengthClass) -> TightenInput {
        let mut input = TightenInput::new(thread, class);
        if let Some(friction) = &self.friction {
            input.friction = friction.parse().expect("friction reads");
        }
        if let Some(edition) = &self.edition_of_method {
            input.edition = edition.parse().expect("edition reads");
        }
        input.head_mm = self.head_mm;
        input.bearing_mm = self.bearing_mm;
        input.hole_mm = self.hole_mm;
        input
    }

    fn answer(&self, class: StrengthClass) -> Tightened {
        fasten::tighten(&self.input(self.thread(), class)).expect("row can be answered")
    }

    fn ring(&self) -> Bearing {
        let style = self
            .head_style
            .as_deref()
            .map(|style| style.parse::<HeadStyle>().expect("head style reads"));
        fasten::bearing(self.thread(), style, self.head_mm, self.bearing_mm, self.hole_mm)
            .expect("head is known")
    }

    fn mean_mm(&self) -> f64 {
        self.ring().mean_mm()
    }

    fn stiffness(&self) -> Stiffness {
        Stiffness::new(
            self.bolt_kn_per_mm.expect("row has the bolt's stiffness"),
            self.parts_kn_per_mm.expect("row has the parts' stiffness"),
        )
        .expect("stiffnesses make sense")
    }

    fn friction(&self) -> f64 {
        self.friction.as_deref().expect("row has friction").parse().expect("a number")
    }

    fn lever(&self) -> Lever {
        Lever::new(self.thread(), self.mean_mm(), self.friction(), self.friction())
    }
}

fn geometry(row: &Row) -> Option<Got> {
    let numbers = match row.what.as_str() {
        "geometry_mm" => {
            let thread = row.thread();
            vec![thread.pitch_diameter_mm(), thread.internal_minor_mm(), thread.root_mm()]
        }
        "lead_angle_deg" => vec![row.thread().lead_angle_deg()],
        "pitch_mm" => vec![row.thread().pitch_mm()],
        "stress_area_mm2" => vec![row.thread().stress_area_mm2()],
        "stress_and_root_area_in2" => {
            let root_mm2 = PI / 4.0 * row.thread().root_mm().powi(2);
            [row.thread().stress_area_mm2(), root_mm2]
                .map(|area| area / SQUARE_MM_PER_SQUARE_INCH)
                .to_vec()
        }
        "limits_6g_mm" => {
            let limits = row.thread().limits();
            vec![
                limits.major_min_mm,
                limits.major_max_mm,
                limits.pitch_min_mm,
                limits.pitch_max_mm,
            ]
        }
        _ => return None,
    };
    Some(Got::Numbers(numbers))
}

fn strength(row: &Row) -> Option<Got> {
    let of = |class: StrengthClass| class.strength(row.thread()).expect("class exists");
    let proof = |class| of(class).proof_mpa.expect("class has a proof stress");
    let proof_n = |class: StrengthClass| {
        let load_kn = class.proof_load_kn(row.thread()).expect("class exists");
        load_kn.expect("class has a proof stress") * 1000.0
    };
    let break_n = |class: StrengthClass| {
        class.breaking_load_kn(row.thread()).expect("class exists") * 1000.0
    };
    let numbers = match row.what.as_str() {
        "yield_mpa" => row.classes().into_iter().map(|c| of(c).yield_mpa).collect(),
        "proof_mpa" => row.classes().into_iter().map(proof).collect(),
        "proof_load_n" => row.classes().into_iter().map(proof_n).collect(),
        "tensile_load_n" => row.classes().into_iter().map(break_n).collect(),
        "psi" => {
            let strength = of(row.class());
            [proof(row.class()), strength.yield_mpa, strength.tensile_mpa]
                .map(|stress| stress / MPA_PER_PSI)
                .to_vec()
        }
        _ => return None,
    };
    Some(Got::Numbers(numbers))
}

/// ISO 16047 exact form, written out a second time: torque in mm for each unit of preload.
fn exact_lever_mm(row: &Row) -> f64 {
    let (thread, friction) = (row.thread(), row.friction());
    let (pitch, diameter) = (thread.pitch_mm(), thread.pitch_diameter_mm());
    0.5 * (pitch + 1.154 * PI * friction * diameter)
        / (PI - 1.154 * friction * pitch / diameter)
        + friction * row.mean_mm() / 2.0
}

fn tightening(row: &Row) -> Option<Got> {
    let preload_kn = || row.preload_kn.expect("row has a preload");
    let torque_nm = || row.torque_nm.expect("row has a torque");
    let numbers = match row.what.as_str() {
        "preload_kn" => {
            row.classes().into_iter().map(|class| row.answer(class).preload_kn).collect()
        }
        "torque_nm" => {
            row.classes().into_iter().map(|class| row.answer(class).torque_nm).collect()
        }
        "lever_mm" => {
            let lever = row.lever();
            vec![lever.pitch_mm, lever.thread_mm, lever.head_mm, lever.sum_mm()]
        }
        "nut_factor" => vec![row.lever().sum_mm() / row.thread().diameter_mm()],
        "shares_percent" => {
            let shares = row.answer(row.class()).shares;
            [shares.pitch, shares.thread, shares.head].map(|share| share * 100.0).to_vec()
        }
        "preload_of_torque_kn" => vec![row.lever().preload_kn(torque_nm())],
        "torque_of_preload_nm" => vec![row.lever().torque_nm(preload_kn())],
        "torque_of_preload_lbfin" => {
            vec![row.lever().torque_nm(preload_kn()) / NM_PER_LBFIN]
        }
        "linear_over_exact" => vec![row.lever().sum_mm() / exact_lever_mm(row)],
        "trade_torques_nm" => {
            let threads = row.threads.as_ref().expect("row has threads");
            let one = |thread: &String| {
                let input = row.input(thread.parse().expect("thread reads"), row.class());
                fasten::tighten(&input).expect("row can be answered").torque_nm
            };
            threads.iter().map(one).collect()
        }
        "torque_lbft_of_nm" => {
            let answer =
                fasten::torque_answer(&TorqueAsk::new(row.thread(), row.class()))
                    .expect("row can be answered");
            vec![answer.torque_nm.expect("torque") / answer.torque_lbft.expect("torque")]
        }
        "hexagon_bearing_mm" => {
            vec![fasten::hexagon_bearing_mm(row.head_mm.expect("row has a head"))]
        }
        "bearing_outer_mm" => {
            vec![row.ring().outer_mm]
        }
        _ => return None,
    };
    Some(Got::Numbers(numbers))
}

/// Stiffness, the turn, friction worked back, nut factors and pressure under the head.
fn joint(row: &Row) -> Option<Got> {
    let preload_kn = || row.preload_kn.expect("row has a preload");
    let numbers = match row.what.as_str() {
        "bolt_share" => vec![row.stiffness().bolt_share()],
        "bolt_stresses_kpsi" => {
            let load_kn = row.load_kn.expect("row has a load");
            let more_kn = row.stiffness().bolt_share() * load_kn;
            [preload_kn(), preload_kn() + more_kn]
                .map(|force_kn| {
                    let stress = force_kn * 1000.0 / row.thread().stress_area_mm2();
                    stress / MPA_PER_PSI / 1000.0
                })
                .to_vec()
        }
        "turn_deg" => {
            let from = (0.0, 0.0);
            let turn = fasten::turn(row.thread(), row.stiffness(), from, preload_kn());
            vec![turn.expect("something is left to turn").degrees]
        }
        "settled_kn" => {
            vec![row.stiffness().settled_kn(row.settled_um.expect("row has a length"))]
        }
        "friction_found" => {
            let measured = Measured {
                torque_nm: row.torque_nm.expect("row has a torque"),
                preload_kn: preload_kn(),
                thread_nm: row.thread_nm,
            };
            let found = fasten::friction_found(row.thread(), row.mean_mm(), measured)
                .expect("measurement makes sense");
            let known = |part: Option<f64>| part.expect("thread torque was measured");
            vec![known(found.thread), known(found.head), found.total]
        }
        "nut_factor_torque_lbfin" => {
            let factor = row.nut_factor.expect("row has a nut factor");
            let diameter_mm = row.thread().diameter_mm();
            let torque_nm =
                fasten::nut_factor_torque_nm(factor, preload_kn(), diameter_mm);
            vec![torque_nm / NM_PER_LBFIN]
        }
        "head_pressure_mpa" => vec![row.ring().pressure_mpa(preload_kn())],
        "style_torque_nm" => vec![row.lever().torque_nm(preload_kn())],
        "least_preload_kn" => {
            let mut ask = TorqueAsk::new(row.thread(), row.class());
            ask.friction = row
                .friction
                .as_deref()
                .expect("row has friction")
                .parse()
                .expect("reads");
            ask.scatter = row.scatter;
            let answer = fasten::torque_answer(&ask).expect("row can be answered");
            vec![answer.least_kn.expect("scatter was given")]
        }
        _ => return None,
    };
    Some(Got::Numbers(numbers))
}

fn engagement(row: &Row) -> Option<Got> {
    let for_break_mm = || {
        let break_kn =
            row.class().strength(row.thread()).expect("class exists").tensile_mpa
                * row.thread().stress_area_mm2()
                / 1000.0;
        let kn_per_mm = fasten::strip_load_kn(row.thread(), row.into(), 1.0)
            .expect("1 mm is a length");
        break_kn / kn_per_mm
    };
    let numbers = match row.what.as_str() {
        "engagement_mm" => {
            let area_mm2 = fasten::internal_shear_area_mm2(
                row.major_min_mm.expect("row has Ds,min"),
                row.internal_pitch_max_mm.expect("row has En,max"),
                row.pitch_mm.expect("row has a pitch"),
                1.0,
            );
            let load_n = row.load_kn.expect("row has a load") * 1000.0;
            vec![load_n / (area_mm2 * row.shear_mpa.expect("row has a shear strength"))]
        }
        "engagement_for_break_mm" => vec![for_break_mm()],
        "engagement_for_break_diameters" => {
            vec![for_break_mm() / row.thread().diameter_mm()]
        }
        "needed_diameters" => {
            let materials = row.materials.as_ref().expect("row has materials");
            let need = |name: &String| {
                name.parse::<Material>().expect("material reads").needed_diameters()
            };
            materials.iter().map(need).collect()
        }
        _ => return None,
    };
    Some(Got::Numbers(numbers))
}

fn workshop(row: &Row) -> Option<Got> {
    let torque_nm = || row.torque_nm.expect("row has a torque");
    let numbers = match row.what.as_str() {
        "crow_foot_nm" => fasten::crow_foot(
            torque_nm(),
            row.wrench_mm.expect("row has a wrench"),
            row.extension_mm.expect("row has an extension"),
            row.angle_deg.expect("row has an angle"),
        )
        .expect("arms make sense"),
        "permitted_deviation_nm" => fasten::permitted_deviation_nm(torque_nm()),
        _ => return None,
    };
    Some(Got::Numbers(vec![numbers]))
}

fn words(row: &Row) -> Option<Got> {
    let words = match row.what.as_str() {
        "wrench_fits" => {
            let [from, to] = row.scale_nm.expect("row has a scale");
            let one = |torque_nm: &f64| match fasten::wrench_fits((from, to), *torque_nm)
            {
                Ok(WrenchFit::Fits) => "fits".to_owned(),
                Ok(WrenchFit::TooSmall { .. }) => "too small".to_owned(),
                Ok(WrenchFit::TooGreat { .. }) => "too great".to_owned(),
                Err(error) => error.to_string(),
            };
            row.torques_nm.as_ref().expect("row has torques").iter().map(one).collect()
        }
        "crosswise" | "spiral" => {
            let count = |number: Option<f64>| {
                format!("{}", number.expect("row has a count")).parse().expect("a count")
            };
            let pattern = match row.what.as_str() {
                "spiral" => Pattern::spiral(count(row.bolts), count(row.rows)),
                _ => Pattern::crosswise(count(row.bolts)),
            };
            let order = pattern.expect("few").order();
            vec![order.iter().map(u32::to_string).collect::<Vec<_>>().join("-")]
        }
        "guess" => {
            let guess = fasten::guess_thread(row.head_mm.expect("row has a head"));
            let named = guess.expect("width makes sense").alternatives;
            named
                .iter()
                .flat_map(|one| {
                    one.heads.iter().map(move |head| format!("{} {head}", one.thread))
                })
                .collect()
        }
        "length_fit" => {
            let fit = fasten::length_fit(&LengthInput {
                thread: row.thread(),
                length_mm: row.length_mm.expect("row has a length"),
                stack_mm: row.stack_mm.expect("row has a stack"),
                hole_depth_mm: row.hole_mm.expect("row has a hole"),
                into: Some(row.into()),
            });
            vec![fit.expect("lengths make sense").to_string()]
        }
        _ => return None,
    };
    Some(Got::Words(words))
}

/// What is wrong with a row, if anything.
fn fault(row: &Row) -> Option<String> {
    let documented = [&row.tolerance_why, &row.source, &row.edition];
    if !STANDINGS.contains(&row.standing.as_str())
        || documented.iter().any(|text| text.is_empty())
    {
        return Some(format!("{}: standing, source or reason missing", row.id));
    }
    let got = geometry(row)
        .or_else(|| strength(row))
        .or_else(|| tightening(row))
        .or_else(|| joint(row))
        .or_else(|| engagement(row))
        .or_else(|| workshop(row))
        .or_else(|| words(row));
    let Some(got) = got else {
        return Some(format!("{}: nothing computes {:?}", row.id, row.what));
    };
    let near = |expected: f64, got: f64| {
        let scale = if row.relative { expected.abs() } else { 1.0 };
        (got - expected).abs() <= row.tolerance * scale
    };
    let same = match (&row.expected, &got) {
        (Expected::Number(expected), Got::Numbers(got)) => {
            got.len() == 1 && near(*expected, got[0])
        }
        (Expected::Numbers(expected), Got::Numbers(got)) => {
            got.len() == expected.len()
                && expected.iter().zip(got).all(|(expected, got)| near(*expected, *got))
        }
        (Expected::Words(expected), Got::Words(got)) => expected == got,
        (Expected::Words(_), Got::Numbers(_))
        | (Expected::Number(_) | Expected::Numbers(_), Got::Words(_)) => false,
    };
    (!same).then(|| format!("{}: {} came out as {got:?}", row.id, row.what))
}

#[test]
fn every_published_value_is_met() {
    let file: File = toml::from_str(TEXT).expect("references/fasten.toml reads");
    let ids: BTreeSet<_> = file.row.iter().map(|row| row.id.as_str()).collect();
    assert_eq!(ids.len(), file.row.len(), "every row has an id of its own");
    assert!(file.row.len() >= 280, "rows went missing: {}", file.row.len());
    let faults: Vec<_> = file.row.iter().filter_map(fault).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
