//! What decided the outcome of an expression.

use super::tree::Order;
use crate::model::Read;
use crate::quantity::Quantity;
use crate::vocabulary::EntityId;

/// A comparison that decided an outcome.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ComparisonTrace {
    /// How the two have to compare for the outcome to be true: the opposite of what is written where that is denied.
    pub order: Order,
    /// The left side.
    pub left: Quantity,
    /// The right side.
    pub right: Quantity,
    /// Whether their difference is what counts: of places along the rocket, or of how far apart lengths are and a fixed limit.
    pub places: bool,
}

/// What decided an outcome.
#[derive(Clone, Debug, Default)]
pub struct Trace {
    /// The quantities read, in order.
    pub reads: Vec<Read>,
    /// The comparisons made.
    pub comparisons: Vec<ComparisonTrace>,
    /// The members that decided a question asked of a collection.
    pub members: Vec<Member>,
}

/// A member of a collection that decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Member {
    /// The number of the variable that it was bound to.
    pub variable: u8,
    /// The member.
    pub entity: EntityId,
}

/// How much of a trace was written at some moment.
#[derive(Clone, Copy)]
pub(super) struct Mark {
    pub(super) reads: usize,
    pub(super) comparisons: usize,
    pub(super) members: usize,
}

impl Trace {
    /// An empty one. Most expressions read a handful of values: a list that begins with room for them need not grow.
    #[must_use]
    pub fn for_an_expression() -> Self {
        Self { reads: Vec::with_capacity(8), ..Self::default() }
    }

    pub(super) fn mark(&self) -> Mark {
        Mark { reads: self.reads.len(), comparisons: self.comparisons.len(), members: self.members.len() }
    }

    pub(super) fn drop_comparisons(&mut self, from: Mark, to: Mark) {
        self.comparisons.drain(from.comparisons..to.comparisons);
    }

    pub(super) fn drop_between(&mut self, from: Mark, to: Mark) {
        self.reads.drain(from.reads..to.reads);
        self.comparisons.drain(from.comparisons..to.comparisons);
        self.members.drain(from.members..to.members);
    }
}
