//! What a variant of a design has otherwise than it is written.

use crate::quantity::Tolerance;
use crate::vocabulary::{EntityId, State};

/// A field that is taken otherwise than it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The entity.
    pub entity: EntityId,
    /// The field.
    pub slot: u16,
    /// What it is taken as.
    pub state: State,
    /// The tolerance beside it.
    pub tolerance: Option<Tolerance>,
}
