//! One bit a row: which cells are filled, which changed.

/// Rows with a mark, in order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Bits {
    words: Vec<u64>,
    len: usize,
}

impl Bits {
    /// Rows of a word.
    pub(crate) const WORD: usize = 64;

    /// Words of 64 rows each, the last one's further bits unset.
    pub(crate) fn of_words(words: Vec<u64>, len: usize) -> Self {
        Self { words, len }
    }

    /// One bit for each row.
    pub(crate) fn of(rows: usize, is: impl Fn(usize) -> bool) -> Self {
        let mut words = Vec::with_capacity(rows.div_ceil(Self::WORD));
        for from in (0..rows).step_by(Self::WORD) {
            let to = (from + Self::WORD).min(rows);
            let mut word = 0_u64;
            for row in (from..to).rev() {
                word = word << 1 | u64::from(is(row));
            }
            words.push(word);
        }
        Self { words, len: rows }
    }

    /// All rows marked.
    pub(crate) fn all(rows: usize) -> Self {
        let mut words = vec![u64::MAX; rows.div_ceil(Self::WORD)];
        if let Some(last) = words.last_mut().filter(|_| !rows.is_multiple_of(Self::WORD))
        {
            *last = (1 << (rows % Self::WORD)) - 1;
        }
        Self { words, len: rows }
    }

    pub(crate) fn len(&self) -> usize {
        self.len
    }

    pub(crate) fn get(&self, row: usize) -> bool {
        self.words.get(row >> 6).is_some_and(|word| word >> (row & 63) & 1 == 1)
    }

    pub(crate) fn set(&mut self, row: usize) {
        if let Some(word) = self.words.get_mut(row >> 6) {
            *word |= 1 << (row & 63);
        }
    }

    pub(crate) fn count(&self) -> usize {
        self.words.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// Puts other rows behind these.
    pub(crate) fn append(&mut self, other: &Self) {
        let shift = self.len & 63;
        if shift == 0 {
            self.words.extend_from_slice(&other.words);
        } else {
            for word in &other.words {
                if let Some(last) = self.words.last_mut() {
                    *last |= word << shift;
                }
                self.words.push(word >> (Self::WORD - shift));
            }
        }
        self.len += other.len;
        self.words.truncate(self.len.div_ceil(Self::WORD));
    }

    /// Word of 64 rows, 0 past the end.
    pub(crate) fn word(&self, at: usize) -> u64 {
        self.words.get(at).copied().unwrap_or(0)
    }

    /// How many words there are.
    pub(crate) fn words(&self) -> usize {
        self.words.len()
    }

    /// The marked rows, in order.
    pub(crate) fn rows(&self) -> impl Iterator<Item = usize> + '_ {
        self.words.iter().enumerate().flat_map(|(at, word)| ones(at, *word))
    }
}

/// Rows of the marks in a word.
pub(crate) fn ones(at: usize, mut word: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (word != 0).then(|| {
            let bit = word.trailing_zeros() as usize;
            word &= word - 1;
            at * Bits::WORD + bit
        })
    })
}

#[cfg(test)]
mod tests {
    use super::Bits;

    #[test]
    fn appended_rows_follow_whatever_the_lengths() {
        let is = |row: usize| row.is_multiple_of(3) || row.is_multiple_of(7);
        for cuts in [[0, 1, 64], [63, 64, 65], [5, 130, 200], [64, 128, 192]] {
            let mut all = Bits::default();
            let mut from = 0;
            for to in cuts.into_iter().chain([230]) {
                all.append(&Bits::of(to - from, |row| is(from + row)));
                from = to;
            }
            assert_eq!(all, Bits::of(230, is));
            assert_eq!(all.count(), all.rows().count());
        }
        assert_eq!(Bits::all(70), Bits::of(70, |_| true));
    }
}
