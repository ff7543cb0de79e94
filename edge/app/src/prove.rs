//! `prove`: what driving without the fault proves.

pub use sheet::{Exposure, ExposureUnit, Recurrence, WindowEnd};
use weigh::ProveAnswer;
pub use weigh::ProveInput;

use crate::Problem;

/// Probability that is wanted where none is named.
pub const USUAL_TARGET: f64 = 0.95;

/// What `prove` was asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProveAsk {
    /// Sets counted.
    pub seen: Option<u32>,
    /// The window.
    pub over: Option<Exposure>,
    /// Where the window ends.
    pub ends: WindowEnd,
    /// Probability that it is fixed before any driving.
    pub fixed: f64,
    /// Driven clear since.
    pub clear: Option<Exposure>,
    /// Probability that is wanted.
    pub target: f64,
}

/// What is proved, with what it was computed from.
#[derive(Debug, Clone, PartialEq)]
pub struct Proved {
    /// The answer.
    pub answer: ProveAnswer,
    /// What it was computed from.
    pub input: ProveInput,
}

/// Says how sure a repair is after driving.
///
/// # Errors
/// Without a count, saying what is missing; two units; a number out of range.
pub fn prove(ask: &ProveAsk) -> Result<Proved, Problem> {
    let Some(over) = ask.over else {
        return Err(Problem::wrong(
            "count",
            "no count: over which exposure was it seen?",
        )
        .hint("add --over-km, --over-min or --over-starts"));
    };
    let Some(seen) = ask.seen else {
        return Err(Problem::wrong("count", "no count: how often was it seen?")
            .hint("add --seen"));
    };
    if let Some(clear) = ask.clear.filter(|clear| clear.unit != over.unit) {
        let (seen_in, driven_in) = (over.unit.suffix(), clear.unit.suffix());
        let what = format!(
            "seen over {seen_in}, but clear over {driven_in}: one unit throughout"
        );
        return Err(Problem::wrong("unit", what).hint(format!("give --clear-{seen_in}")));
    }
    let input = ProveInput {
        recurrence: Recurrence { seen, over, ends: ask.ends },
        fixed: ask.fixed,
        clear: ask.clear.map_or(0.0, |clear| clear.amount),
        target: ask.target,
    };
    let answer = weigh::prove(&input).map_err(|error| Problem::wrong("count", error))?;
    Ok(Proved { answer, input })
}

#[cfg(test)]
mod tests {
    use super::{Exposure, ExposureUnit, ProveAsk, WindowEnd, prove};

    const ASK: ProveAsk = ProveAsk {
        seen: Some(2),
        over: Some(Exposure { amount: 400.0, unit: ExposureUnit::Km }),
        ends: WindowEnd::Set,
        fixed: 0.7,
        clear: None,
        target: 0.95,
    };

    #[test]
    fn a_missing_count_and_a_second_unit_are_named() {
        let problem = |ask: ProveAsk| prove(&ask).unwrap_err();
        assert_eq!(problem(ProveAsk { seen: None, ..ASK }).hint.unwrap(), "add --seen");
        assert!(
            problem(ProveAsk { over: None, ..ASK }).hint.unwrap().contains("--over-km")
        );
        let starts = Some(Exposure { amount: 3.0, unit: ExposureUnit::Starts });
        assert_eq!(problem(ProveAsk { clear: starts, ..ASK }).kind, "unit");
        assert_eq!(problem(ProveAsk { seen: Some(0), ..ASK }).kind, "count");
    }

    #[test]
    fn the_needed_distance_follows_the_formula() {
        // Design section 10: T·(x^(−1/m) − 1), x = π(1−target)/(target(1−π)).
        let x: f64 = 0.7 * 0.05 / (0.95 * 0.3);
        let needed = 400.0 * (x.powf(-0.5) - 1.0);
        let answer = prove(&ASK).unwrap().answer;
        assert!((answer.needed_km.unwrap() - needed).abs() < 1e-9);
    }
}
