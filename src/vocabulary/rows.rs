//! Rows of tables by their names.

use super::EntityType;
use super::identity::EntityId;

/// Finds rows of the trade's tables by name.
pub trait Rows {
    /// The row of a table by its name or another spelling of it.
    fn find(&self, table: &'static EntityType, name: &str) -> Option<EntityId>;
    /// The names of the rows of a table.
    fn names(&self, table: &'static EntityType) -> Vec<String>;
}
