//! The language server: the same engine as a review, for an editor, over the Language Server Protocol 3.17.
//!
//! It has no rules, no parser and no files of its own. Texts come from the editor, what lies around them from a [`Workspace`],
//! findings from an incremental review, and what may be written from the declarations of the vocabulary.

mod actions;
mod completion;
mod configuration;
mod diagnostics;
mod document;
mod due;
mod expressions;
mod framing;
mod hints;
mod hover;
mod lifecycle;
mod line;
mod navigation;
mod outline;
mod pack_names;
mod phase;
mod place;
mod positions;
mod requests;
mod rule_files;
mod server;
mod session;
mod spot;
mod uris;
mod view;
mod way;
mod words;
mod workspace;

pub use due::Due;
pub use navigation::{entity_named_at, key_of, rename};
pub use place::{Place, place_at};
pub use positions::{Encoding, Lines};
pub use server::serve;
pub use spot::{Spot, part_at, reference_name, references_to, spot_at};
pub use uris::{path_of, uri_of};
pub use way::What;
pub use workspace::{Role, Workspace};
