//! Conversion rules: from the raw number of a channel to its physical value.

use super::Refused;
use super::block::File;

/// Values of a rule at most.
const VALUES: usize = 65_536;

/// Rules within one another at most.
const DEPTH: usize = 4;

/// How a raw number becomes a physical one.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Conversion {
    /// As it is.
    Same,
    /// Offset and factor.
    Linear(f64, f64),
    /// `(a x² + b x + c) / (d x² + e x + f)`, six numbers in this order.
    Rational([f64; 6]),
    /// Pairs of raw and physical, between them straight lines.
    Table(Vec<(f64, f64)>),
    /// Pairs, the nearest counts.
    Nearest(Vec<(f64, f64)>),
    /// What holds in ranges of the raw number, and elsewhere.
    Ranges(Vec<(Range, f64)>, f64),
    /// Some raw numbers stand for words, and so for no number; others go by a rule.
    Worded(Vec<(Range, Option<Self>)>, Option<Box<Self>>),
}

/// Raw numbers from the least to the greatest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    least: f64,
    greatest: f64,
}

impl Range {
    /// Whether a number lies in it: of whole numbers the greatest does, of others it belongs to
    /// the next range (ASAM MDF 4, conversion types 6 and 8; from memory).
    fn holds(self, x: f64, whole: bool) -> bool {
        let Self { least, greatest } = self;
        let below = x < greatest || x <= greatest && (whole || least >= greatest);
        least <= x && below
    }
}

impl Conversion {
    /// Reads a rule; `None`: it is a formula or makes text of text. `left` is how many more
    /// references may be followed.
    pub(super) fn read(
        file: File<'_>,
        at: u64,
        left: &mut usize,
    ) -> Result<Option<Self>, Refused> {
        Self::within(file, at, (left, 0))
    }

    fn within(
        file: File<'_>,
        at: u64,
        (left, depth): (&mut usize, usize),
    ) -> Result<Option<Self>, Refused> {
        if at == 0 {
            return Ok(Some(Self::Same));
        }
        let block = file.of_kind(at, *b"CC")?;
        let count = usize::try_from(block.whole(6, 2)).unwrap_or(0).min(VALUES);
        let values: Option<Vec<f64>> =
            (0..count).map(|i| block.real(24 + 8 * i)).collect();
        let values = values.ok_or("a conversion is cut short")?;
        let pairs = || values.as_chunks::<2>().0.iter().map(|[x, y]| (*x, *y)).collect();
        let range = |least: f64, greatest: f64| Range { least, greatest };
        let ranges: Vec<Range> = match block.whole(0, 1) {
            7 => values.iter().map(|value| range(*value, *value)).collect(),
            8 => values.as_chunks::<2>().0.iter().map(|[a, b]| range(*a, *b)).collect(),
            _ => Vec::new(),
        };
        Ok(match (block.whole(0, 1), values.as_slice()) {
            (0, _) => Some(Self::Same),
            (1, [offset, factor, ..]) => Some(Self::Linear(*offset, *factor)),
            (2, [_, _, _, _, _, _, ..]) => {
                values.first_chunk().map(|six| Self::Rational(*six))
            }
            (4, [_, _, ..]) => Some(Self::Table(pairs())),
            (5, [_, _, ..]) => Some(Self::Nearest(pairs())),
            (6, [.., otherwise]) => {
                let ranges = values.as_chunks::<3>().0.iter();
                let ranges = ranges.map(|[a, b, y]| (range(*a, *b), *y));
                Some(Self::Ranges(ranges.collect(), *otherwise))
            }
            (7 | 8, _) => {
                // Name, unit, comment and inverse stand before the references.
                let refers = block.links().get(4..).unwrap_or_default();
                Self::worded(file, (&ranges, refers), (left, depth))?
            }
            _ => None,
        })
    }

    /// A rule for each range, and for what lies in none, from what the block refers to.
    fn worded(
        file: File<'_>,
        (ranges, refers): (&[Range], &[u64]),
        (left, depth): (&mut usize, usize),
    ) -> Result<Option<Self>, Refused> {
        let mut rules = Vec::new();
        for at in refers.iter().take(ranges.len() + 1) {
            *left = left.checked_sub(1).ok_or("it has too many conversions")?;
            if *at == 0 || file.head(*at)?.id != *b"CC" {
                rules.push(None);
            } else if depth == DEPTH {
                return Err("its conversions lead in a circle");
            } else if let Some(rule) = Self::within(file, *at, (left, depth + 1))? {
                rules.push(Some(rule));
            } else {
                return Ok(None);
            }
        }
        // Words for single values and nothing else: the number itself is what is judged.
        if rules.iter().all(Option::is_none) {
            return Ok(Some(Self::Same));
        }
        rules.resize(ranges.len() + 1, None);
        let otherwise = rules.pop().flatten().map(Box::new);
        Ok(Some(Self::Worded(ranges.iter().copied().zip(rules).collect(), otherwise)))
    }

    /// The physical value of a raw number that was written as a whole one or not; what is not
    /// finite is `NaN`.
    pub(super) fn of(&self, x: f64, whole: bool) -> f64 {
        if x.is_nan() {
            return x;
        }
        let y = match self {
            Self::Same => x,
            Self::Linear(offset, factor) => offset + factor * x,
            Self::Rational([up @ .., low2, low1, low0]) => {
                let [up2, up1, up0] = up;
                ((up2 * x + up1) * x + up0) / ((low2 * x + low1) * x + low0)
            }
            Self::Table(pairs) => between(pairs, x),
            Self::Nearest(pairs) => {
                let off = |pair: &&(f64, f64)| (pair.0 - x).abs();
                let nearest = pairs.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
                nearest.map_or(f64::NAN, |pair| pair.1)
            }
            Self::Ranges(ranges, otherwise) => {
                let range = ranges.iter().find(|(range, _)| range.holds(x, whole));
                range.map_or(*otherwise, |range| range.1)
            }
            Self::Worded(ranges, otherwise) => {
                let range = ranges.iter().find(|(range, _)| range.holds(x, whole));
                let rule = range.map_or(otherwise.as_deref(), |(_, rule)| rule.as_ref());
                rule.map_or(f64::NAN, |rule| rule.of(x, whole))
            }
        };
        if y.is_finite() { y + 0.0 } else { f64::NAN }
    }
}

fn between(pairs: &[(f64, f64)], x: f64) -> f64 {
    let at = pairs.partition_point(|pair| pair.0 <= x);
    match (at.checked_sub(1).and_then(|at| pairs.get(at)), pairs.get(at)) {
        (Some((x0, y0)), Some((x1, y1))) => y0 + (y1 - y0) * (x - x0) / (x1 - x0),
        (Some((_, y)), None) | (None, Some((_, y))) => *y,
        (None, None) => f64::NAN,
    }
}
