//! Medians of more numbers than may be copied: they are gone through again instead.

/// At most so many numbers are copied and sorted.
const COPIED: usize = 4096;

/// Bits told apart in one pass.
const DIGIT: u32 = 16;

/// Median of the positive numbers that `again` gives, each time the same; the mean of the
/// two middle ones where their number is even.
pub(crate) fn median<I: Iterator<Item = f64>>(again: impl Fn() -> I) -> Option<f64> {
    let positive = || again().filter(|x| *x > 0.0);
    let mut counts = vec![0_usize; 1 << DIGIT];
    // Positive numbers stand in the order of their bits: the leading ones come first.
    let mut shift = u64::BITS - DIGIT;
    positive().for_each(|x| counts[digit(x, shift)] += 1);
    let count: usize = counts.iter().sum();
    let mut rank = count.checked_sub(1)? >> 1;
    let mut prefix = 0;
    loop {
        let mut place = 0;
        while rank >= *counts.get(place)? {
            rank -= counts[place];
            place += 1;
        }
        prefix = prefix << DIGIT | place as u64;
        let fits = |x: &f64| x.to_bits() >> shift == prefix;
        if counts[place] <= COPIED {
            let mut few: Vec<f64> = positive().filter(fits).collect();
            few.sort_unstable_by(f64::total_cmp);
            let (low, high) = (*few.get(rank)?, few.get(rank + 1).copied());
            return Some(middle(low, high, count, positive));
        }
        if shift == 0 {
            let high = (rank + 1 < counts[place]).then_some(f64::from_bits(prefix));
            return Some(middle(f64::from_bits(prefix), high, count, positive));
        }
        shift -= DIGIT;
        counts.fill(0);
        let above = shift + DIGIT;
        let inside = positive().filter(|x| x.to_bits() >> above == prefix);
        inside.for_each(|x| counts[digit(x, shift)] += 1);
    }
}

fn digit(x: f64, shift: u32) -> usize {
    usize::try_from(x.to_bits() >> shift & 0xffff).unwrap_or(0)
}

/// The middle of the lower number and the next one, which is looked for where it is not known.
fn middle<I: Iterator<Item = f64>>(
    low: f64,
    high: Option<f64>,
    count: usize,
    again: impl Fn() -> I,
) -> f64 {
    if count % 2 == 1 {
        return low;
    }
    let next = || again().filter(|x| *x > low).fold(f64::INFINITY, f64::min);
    f64::midpoint(low, high.unwrap_or_else(next))
}

#[cfg(test)]
mod tests {
    use super::median;

    /// Textbook median of a sorted copy.
    fn plain(numbers: &[f64]) -> Option<f64> {
        let mut sorted: Vec<f64> = numbers.iter().copied().filter(|x| *x > 0.0).collect();
        sorted.sort_by(f64::total_cmp);
        let last = sorted.len().checked_sub(1)?;
        Some(f64::midpoint(sorted[last >> 1], sorted[last.div_ceil(2)]))
    }

    #[test]
    fn the_same_as_of_a_sorted_copy() {
        for count in [0, 1, 2, 3, 10, 4_095, 20_000, 20_001] {
            for kinds in [1, 2, 3, 1_009, 1_000_003] {
                let number = |i: u32| f64::from((i * 7_919) % kinds) * 1e-3 - 0.001;
                let numbers: Vec<f64> = (0..count).map(number).collect();
                assert_eq!(median(|| numbers.iter().copied()), plain(&numbers));
            }
        }
    }
}
