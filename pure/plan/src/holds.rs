//! For how wide a range of each suspect's weight the first step stays the best known one.

use sheet::SuspectIx;
use weigh::Odds;

use crate::advise::Begun;
use crate::answer::Holds;
use crate::policy::Policy;
use crate::search::Search;
use crate::state::tie;

/// A fixed plan's cost is linear in the weights: with one weight scaled by t and the others
/// kept, plan a costs A + t·B (before dividing by the common total), so each rival gives one
/// bound on t.
pub(crate) fn holds_while(
    search: &mut Search,
    policy: &Policy,
    root: usize,
    (begun, odds): (&[Begun], &Odds),
) -> Vec<Holds> {
    let by_cause = policy.by_cause(search);
    let problem = &*std::sync::Arc::clone(&search.problem);
    let fixed = problem.causes();
    let best = &by_cause[root];
    let rivals: Vec<&Vec<f64>> = begun
        .iter()
        .map(|begun| begun.step)
        .filter(|step| *step != root)
        .map(|step| &by_cause[step])
        .collect();
    let dearer = |rival: &[f64], live: usize, cause: usize| {
        odds.present[cause] * (rival[live] - best[live])
            + odds.fixed_from[cause] * (rival[fixed] - best[fixed])
    };
    let mut holds = Vec::new();
    for (live, cause) in problem.cause_of.iter().enumerate() {
        let now = problem.sheet.weights()[*cause];
        let (mut from, mut to) = (0.0_f64, f64::INFINITY);
        for rival in &rivals {
            let slope = dearer(rival, live, *cause);
            let rest: f64 = problem
                .cause_of
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != live)
                .map(|(other, cause)| dearer(rival, other, *cause))
                .sum();
            // A rival that ties now bounds nothing by rounding.
            if rest + slope <= tie(1.0) {
                continue;
            }
            if slope > 0.0 {
                from = from.max(-rest / slope);
            } else if slope < 0.0 {
                to = to.min(-rest / slope);
            }
        }
        holds.push(Holds {
            suspect: problem.sheet.cause_id(SuspectIx::from(*cause)).to_owned(),
            from: Some(from * now).filter(|from| *from > 0.0),
            to: Some(to * now).filter(|to| to.is_finite()),
            now,
        });
    }
    holds
}
