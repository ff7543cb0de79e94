//! The orders and passes of several bolts as they are answered.

use schemars::JsonSchema;
use serde::Serialize;

use crate::answer::TorqueAnswer;
use crate::ask::TorqueAsk;
use crate::error::FastenError;
use crate::general::Joint;
use crate::pattern::{Pattern, Stages, passes};
use crate::wrench::choose_wrench;

/// One pass over all bolts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PassAnswer {
    /// Share of the full torque, 0 to 1.
    pub share: f64,
    /// Torque of this pass, N·m; null where no torque is known.
    pub torque_nm: Option<f64>,
    /// What to set with the crow-foot or extension, N·m.
    pub set_nm: Option<f64>,
    /// Bolt numbers in order.
    pub order: Vec<u32>,
}

/// In which order several bolts are tightened and loosened.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PatternAnswer {
    /// `crosswise` or `spiral`.
    pub kind: String,
    /// How many bolts.
    pub bolts: u32,
    /// In how many rows; null around a circle.
    pub rows: Option<u32>,
    /// Where each bolt stands, bolt 1 first: right of and below the middle; steps from bolt to
    /// bolt in rows, radius 1 around a circle (bolt 1 on top, on clockwise).
    pub places: Vec<[f64; 2]>,
    /// The passes in order.
    pub tighten: Vec<PassAnswer>,
    /// The order to loosen in.
    pub loosen: Vec<u32>,
}

/// The passes with their torques, and what to know beside them.
pub(crate) fn pattern_answer(
    ask: &TorqueAsk,
    answer: &mut TorqueAnswer,
    (pattern, stages): (Pattern, &Stages),
) -> Result<PatternAnswer, FastenError> {
    let mut tighten: Vec<PassAnswer> = passes(pattern, stages)
        .into_iter()
        .map(|pass| PassAnswer {
            share: pass.share,
            torque_nm: answer.torque_nm.map(|torque_nm| torque_nm * pass.share),
            set_nm: answer.set_nm.map(|set_nm| set_nm * pass.share),
            order: pass.order,
        })
        .collect();
    // What is turned by angle is not gone over again by torque.
    if answer.then_deg.is_some() && pattern.bolts() > 2 {
        tighten.pop();
    }
    for pass in &tighten {
        let set_nm = pass.set_nm.or(pass.torque_nm);
        if let (Some(set_nm), Some(chosen)) = (set_nm, &answer.wrench)
            && set_nm < chosen.least_nm
        {
            let other = choose_wrench(&ask.wrenches, set_nm)?;
            let by = other.map_or_else(
                || "by feel, evenly".to_owned(),
                |other| format!("with {}", other.scale),
            );
            answer.remarks.push(format!(
                "{set_nm:.1} N·m lies below the usable scale of {}: that pass {by}",
                chosen.scale
            ));
        }
    }
    let last = answer.then_deg.map_or_else(
        || "the last pass goes on until none turns any more".to_owned(),
        |degrees| {
            format!("mark each head, then turn each by {degrees}° in the same order, no torque over it")
        },
    );
    if pattern.bolts() > 2 {
        answer.remarks.push(format!(
            "{last}; loosen each by a quarter turn first, in the order given (common practice)"
        ));
    }
    if ask.joint == Joint::Gasketed {
        answer.remarks.push(
            "a rubber-bound gasket that has been hot is not tightened again unless the maker \
             says so"
                .to_owned(),
        );
    }
    Ok(PatternAnswer {
        kind: pattern.to_string(),
        bolts: pattern.bolts(),
        rows: pattern.rows(),
        places: pattern.places().iter().map(|place| [place.right, place.down]).collect(),
        tighten,
        loosen: pattern.loosening(),
    })
}
