//! Numbers that fall the same way for the same seed.

/// Small numbers from a seed (Steele, Lea and Flood 2014, `SplitMix64`; from memory).
#[derive(Debug)]
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// 0 to n − 1.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        let n = u64::try_from(n.max(1)).unwrap_or(1);
        usize::try_from((self.next() >> 11) % n).unwrap_or(0)
    }

    /// Whether something with this many chances in a hundred happens.
    pub(crate) fn percent(&mut self, chances: usize) -> bool {
        self.below(100) < chances
    }

    /// A whole number of `low` to `high`.
    pub(crate) fn whole(&mut self, low: u32, high: u32) -> f64 {
        let span = usize::try_from(high - low + 1).unwrap_or(1);
        f64::from(low + u32::try_from(self.below(span)).unwrap_or(0))
    }

    /// A probability of `low` to `high` thousandths.
    pub(crate) fn share(&mut self, low: u32, high: u32) -> f64 {
        self.whole(low, high) / 1000.0
    }

    /// One of these; `None` where there is none.
    pub(crate) fn one_of<T: Copy>(&mut self, all: &[T]) -> Option<T> {
        let place = self.below(all.len());
        all.get(place).copied()
    }
}
