//! The lower bound of a certificate, node by node.
//!
//! A node stands for a state and claims what it costs at least. That is checked against the
//! claims of later nodes and the verifier's own bound, so the last node rests on nothing but
//! the verifier, and by induction every claim holds.

use super::{Carried, Claim, Node, Part, ROUNDING, Refusal, Rules, SAME_ODDS, Standing};
use crate::judge::{NEGLIGIBLE, State};

struct Proof<'r, 'a, 'n> {
    rules: &'r mut Rules<'a>,
    nodes: &'n [Node],
    /// The states of the nodes that something led to.
    reached: Vec<Option<Standing>>,
    /// The node that is looked at.
    at: usize,
}

/// The lower bound of the present state that the nodes prove.
pub(super) fn bound(rules: &mut Rules<'_>, nodes: &[Node]) -> Result<f64, Refusal> {
    let start = rules.start();
    let mut proof = Proof { rules, nodes, reached: vec![None; nodes.len()], at: 0 };
    let Some(first) = proof.reached.first_mut() else {
        return proof.rules.leaf(&start.state);
    };
    *first = Some(start);
    for (at, node) in nodes.iter().enumerate() {
        let claim = Claim::Node(at + 1);
        let Some(standing) = proof.reached[at].take() else {
            return Err(Refusal::NotReached { claim });
        };
        if !node.0.is_finite() {
            return Err(Refusal::NotANumber { claim });
        }
        proof.at = at;
        let found = if node.2.is_empty() {
            proof.by_acts(&standing, &node.1)?
        } else if node.1.is_empty() {
            proof.by_groups(&standing, &node.2)?
        } else {
            let what = "acts and groups of causes at once";
            return Err(Refusal::NotThere { claim, what });
        };
        if node.0 > found + ROUNDING * found.abs().max(1.0) {
            return Err(Refusal::Overstated { claim, claimed: node.0, found });
        }
    }
    Ok(nodes[0].0)
}

impl Proof<'_, '_, '_> {
    fn claim(&self) -> Claim {
        Claim::Node(self.at + 1)
    }

    /// The least, over stopping and every act, of what is paid at once and the mean of what
    /// follows at least.
    fn by_acts(
        &mut self,
        standing: &Standing,
        carried: &[Carried],
    ) -> Result<f64, Refusal> {
        let mut least = self.rules.stop(&standing.state);
        let mut named = carried.iter().peekable();
        for step in self.rules.moves(standing) {
            let kids = match named.peek() {
                Some(Carried(kids))
                    if kids.first().is_some_and(|act| is(*act, step.act)) =>
                {
                    named.next();
                    kids.get(1..).unwrap_or_default()
                }
                Some(_) | None => &[],
            };
            if !kids.is_empty() && kids.len() != step.seen.len() {
                let what = "another number of outcomes than the act has";
                return Err(Refusal::NotThere { claim: self.claim(), what });
            }
            let mut cost = step.paid;
            for (nth, (p, pay, next)) in step.seen.into_iter().enumerate() {
                if p > NEGLIGIBLE {
                    let to = kids.get(nth).copied().unwrap_or(0);
                    let circle = standing.circle;
                    cost +=
                        p * (pay + self.after(Standing { circle, state: next }, to)?);
                }
            }
            least = least.min(cost);
        }
        if named.next().is_some() {
            let what = "an act that is not there, or not in its order";
            return Err(Refusal::NotThere { claim: self.claim(), what });
        }
        Ok(least)
    }

    /// The mean over the groups of causes of what each costs at least; where none of them
    /// has the cause, what is off goes back.
    fn by_groups(&mut self, standing: &Standing, parts: &[Part]) -> Result<f64, Refusal> {
        let (mut told, mut least) = (0.0, 0.0);
        let mut used = vec![false; standing.state.present.len()];
        for Part(causes, to) in parts {
            let circle = self.rules.among(causes).ok_or(Refusal::NotThere {
                claim: self.claim(),
                what: "causes that are not the sheet's, or not in order",
            })?;
            for cause in causes {
                if std::mem::replace(&mut used[*cause], true) {
                    let what = "a cause in two groups";
                    return Err(Refusal::NotThere { claim: self.claim(), what });
                }
            }
            let Some(inside) = self.rules.inside(circle, &standing.state) else {
                let what = "a group that the cause is not in";
                return Err(Refusal::NotThere { claim: self.claim(), what });
            };
            let then = self.after(inside.standing, *to)?;
            told += inside.share;
            least += inside.share * (inside.refit + then);
        }
        let refit = self.rules.judge.to_put_back(standing.state.off);
        Ok(least + (1.0 - told).max(0.0) * refit)
    }

    /// What a state costs at least: by the node that is named, or by the verifier's own bound.
    fn after(&mut self, standing: Standing, to: u32) -> Result<f64, Refusal> {
        if to == 0 {
            return self.rules.leaf(&standing.state);
        }
        let claim = self.claim();
        let place = usize::try_from(to).unwrap_or(usize::MAX) - 1;
        let (Some(node), Some(reached)) =
            (self.nodes.get(place), self.reached.get_mut(place))
        else {
            return Err(Refusal::LeadsAstray { claim, to });
        };
        if place <= self.at {
            return Err(Refusal::LeadsAstray { claim, to });
        }
        match reached {
            Some(have) if !same(have, &standing) => {
                return Err(Refusal::OtherState { claim, to });
            }
            Some(_) => {}
            None => *reached = Some(standing),
        }
        Ok(node.0)
    }
}

fn is(named: u32, act: usize) -> bool {
    usize::try_from(named).is_ok_and(|named| named == act)
}

/// Whether two states are one but for rounding of the odds.
fn same(one: &Standing, other: &Standing) -> bool {
    let done = |state: &State| (state.checks, state.repairs, state.proofs, state.off);
    let count = |state: &State| {
        state
            .count
            .map(|c| (c.seen.to_bits(), c.over.to_bits(), c.clear.to_bits(), c.ends))
    };
    let (a, b) = (&one.state, &other.state);
    let apart: f64 = a
        .present
        .iter()
        .zip(&b.present)
        .map(|(x, y)| (x - y).abs())
        .chain([(a.fixed - b.fixed).abs()])
        .sum();
    one.circle == other.circle
        && done(a) == done(b)
        && count(a) == count(b)
        && a.opening == b.opening
        && apart <= SAME_ODDS
}
