//! Costs that are linear in φ, the probability that a known cause is fixed by now, and their
//! lower envelopes.

/// A cost that is linear in φ: at φ = 0 (present) and at φ = 1 (fixed).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Line {
    pub(crate) present: f64,
    pub(crate) fixed: f64,
}

impl Line {
    pub(crate) fn at(self, fixed: f64) -> f64 {
        self.present * (1.0 - fixed) + self.fixed * fixed
    }
}

/// What each part of a fixed share adds to the bound beside a present cause of odds 1, for the
/// next `until` of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Beside {
    pub(crate) adds: f64,
    pub(crate) until: f64,
    pub(crate) cause: u32,
}

/// An outcome of a look: how likely it is with the cause present and with it gone, what it
/// costs, and the share that the look puts right after it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Told {
    pub(crate) there: f64,
    pub(crate) gone: f64,
    pub(crate) extra: f64,
    pub(crate) share: f64,
}

impl Told {
    pub(crate) fn plain(there: f64, gone: f64) -> Self {
        Self { there, gone, extra: 0.0, share: 0.0 }
    }
}

/// The envelope of paying and then, for each outcome, following the best line.
pub(crate) fn over_outcomes(paid: f64, told: &[Told], then: &[Line]) -> Vec<Line> {
    let mut sums = vec![Line { present: paid, fixed: paid }];
    for outcome in told {
        let weighed = then.iter().map(|line| Line {
            present: outcome.there * (outcome.extra + line.at(outcome.share)),
            fixed: outcome.gone * (outcome.extra + line.fixed),
        });
        let weighed = envelope(weighed.collect());
        let pairs = sums.iter().flat_map(|sum| {
            weighed.iter().map(|line| Line {
                present: sum.present + line.present,
                fixed: sum.fixed + line.fixed,
            })
        });
        sums = envelope(pairs.collect());
    }
    sums
}

/// What a fixed share adds beside a cause along its lower envelope, the most first.
pub(crate) fn beside(cause: u32, lines: &[Line]) -> impl Iterator<Item = Beside> {
    let mut from = 0.0;
    lines.iter().enumerate().map(move |(nth, line)| {
        let to = lines.get(nth + 1).map_or(f64::INFINITY, |next| {
            (next.present - line.present) / (line.fixed - next.fixed)
        });
        let until = to - from;
        from = to;
        Beside { adds: line.fixed, until, cause }
    })
}

pub(crate) fn least(lines: &[Line], fixed: f64) -> f64 {
    lines.iter().map(|line| line.at(fixed)).fold(f64::INFINITY, f64::min)
}

/// Keeps the lines that are least somewhere on 0 ≤ φ ≤ 1.
pub(crate) fn envelope(mut lines: Vec<Line>) -> Vec<Line> {
    lines.sort_by(|a, b| {
        a.present.total_cmp(&b.present).then(a.fixed.total_cmp(&b.fixed))
    });
    let mut kept: Vec<Line> = Vec::new();
    for line in lines {
        if kept.last().is_some_and(|last| line.fixed >= last.fixed) {
            continue;
        }
        while let [.., before, last] = kept[..] {
            // `last` is needless where `line` already beats it at the crossing with `before`.
            let crossing = cross(before, last);
            if line.at(crossing) <= last.at(crossing) {
                kept.pop();
            } else {
                break;
            }
        }
        kept.push(line);
    }
    kept
}

fn cross(a: Line, b: Line) -> f64 {
    let rise = (b.present - a.present) / ((b.present - a.present) + (a.fixed - b.fixed));
    rise.clamp(0.0, 1.0)
}
