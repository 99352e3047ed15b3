//! What several computed quantities rest on and no rule can name.

use super::{EvalContext, Outcome};
use crate::vocabulary::Id;

/// Something that several computed quantities rest on and that no rule can name: a flight, the flow through a bay's vents.
pub(super) struct Artifact<E, T> {
    pub(super) compute: fn(&EvalContext<'_>, Id<E>) -> Outcome<T>,
}

impl<E, T> Artifact<E, T> {
    /// What distinguishes it from the others: each is a static of its own.
    pub(super) fn key(&'static self) -> usize {
        std::ptr::from_ref(self).addr()
    }
}
