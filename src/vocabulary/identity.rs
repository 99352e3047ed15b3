//! Identities of entities.

/// An entity in a store. Rows of the trade's tables have the high bit set and live in the tables' store.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntityId(pub(crate) u32);

impl EntityId {
    pub(crate) const TABLE_BIT: u32 = 1 << 31;

    /// True for a row of a table of the trade.
    #[must_use]
    pub const fn is_row(self) -> bool {
        self.0 & Self::TABLE_BIT != 0
    }

    pub(crate) const fn index(self) -> usize {
        (self.0 & !Self::TABLE_BIT) as usize
    }
}
