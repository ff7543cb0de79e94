//! Small integers that stand for the names of a sheet, and the set of items that are off.

use std::fmt;

macro_rules! index {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u8);

        impl $name {
            /// The place in the sheet's list of that kind.
            #[must_use]
            pub fn at(self) -> usize {
                usize::from(self.0)
            }
        }

        impl From<usize> for $name {
            /// Lists of a sheet hold fewer than 256 entries (design limit), so this never cuts.
            fn from(place: usize) -> Self {
                Self(u8::try_from(place).unwrap_or(u8::MAX))
            }
        }
    };
}

index!(
    /// A suspect; the place just past the last listed one is `unlisted`.
    SuspectIx
);
index!(
    /// An item.
    ItemIx
);
index!(
    /// A check.
    CheckIx
);
index!(
    /// An outcome within its check.
    OutcomeIx
);
index!(
    /// A repair.
    RepairIx
);
index!(
    /// A proof.
    ProofIx
);
index!(
    /// A duty.
    DutyIx
);

/// A set of items (at most 128), one bit an item in sheet order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct ItemSet(pub u128);

impl ItemSet {
    /// No item.
    pub const EMPTY: Self = Self(0);

    /// The set of one item.
    #[must_use]
    pub fn one(item: ItemIx) -> Self {
        Self(1_u128 << item.0)
    }

    /// Whether the item is in the set.
    #[must_use]
    pub fn has(self, item: ItemIx) -> bool {
        self.0 >> item.0 & 1 == 1
    }

    /// Both sets together.
    #[must_use]
    pub fn union(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in both.
    #[must_use]
    pub fn meet(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// What is here and not in `other`.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether nothing is in it.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether every item of this set is in `other`.
    #[must_use]
    pub fn within(self, other: Self) -> bool {
        self.0 & !other.0 == 0
    }

    /// How many items.
    #[must_use]
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// The items in sheet order.
    pub fn iter(self) -> impl Iterator<Item = ItemIx> {
        let mut rest = self.0;
        std::iter::from_fn(move || {
            let place = u8::try_from(rest.trailing_zeros()).ok().filter(|p| *p < 128)?;
            rest &= rest - 1;
            Some(ItemIx(place))
        })
    }
}

impl FromIterator<ItemIx> for ItemSet {
    fn from_iter<I: IntoIterator<Item = ItemIx>>(items: I) -> Self {
        items.into_iter().fold(Self::EMPTY, |set, item| set.union(Self::one(item)))
    }
}

impl fmt::Debug for ItemSet {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_set().entries(self.iter().map(|item| item.0)).finish()
    }
}
