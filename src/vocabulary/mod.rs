//! The words a file may use: entity types, their fields, and one reader for all of them.
//!
//! A field is declared once, as one line of the [`entity_types!`](crate::entity_types) macro. From that line come its key in the
//! file, its doc, its dimension or shape, whether it is expected, its slot in the record, its name in
//! rules and its JSON Schema. Designs, rule packs and tables are all read this way.

mod collections;
mod curve;
mod declare;
mod entity_type;
mod enumerations;
mod former_and_unknown_keys;
mod identity;
mod measured;
mod position;
mod read;
mod references;
mod rows;
mod scalar;
mod schema;
mod store;
mod suggest;
mod typed;
mod value;

pub use declare::spelled;
pub use entity_type::{EntityType, Field, Need, PART, Refused, Shape, Sign};
pub use enumerations::{Words, possible_value};
pub use identity::EntityId;
pub use position::{Edge, Position};
pub use read::{NOT_KNOWN, Reading, read, read_table};
pub use rows::Rows;
pub(crate) use scalar::{due, read_scalar};
pub use schema::json_schema;
pub use store::{Entity, Slot, State, Stated, Store};
pub use suggest::suggest;
pub use typed::{AnyKey, Decode, Id, IdOf, Ids, Key, Typed};
pub use value::{Date, Value};
