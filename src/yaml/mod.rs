//! Source files, places in them, the spanned YAML tree and edits by byte range.
//!
//! A file is parsed once. The tree's byte ranges serve the readers, the findings, the waivers and the edits alike.

mod edit;
mod explain;
mod insert;
mod node;
mod parser;
mod prebuilt;
#[cfg(test)]
mod prebuilt_writer;
mod sanitise;
mod source;
mod span;
mod tree;

pub use edit::{EditError, apply, insert_item, remove_entry, replace_scalar, replace_value, scalar_text};
pub use insert::{insert_key, insert_lines};
pub use node::{Entry, Node, NodeId, NodeKind, Origin, Scalar, ScalarStyle};
#[cfg(test)]
pub(crate) use prebuilt_writer::without_trials;
pub(crate) use sanitise::is_hostile;
pub use sanitise::{clean, clean_json, clean_line, clean_same_length, no_commands, shorten};
pub use source::{Edit, Problem, Source, TextPosition};
pub(crate) use source::{LARGEST_FILE, in_order, too_large};
pub use span::Span;
pub use tree::{Parsed, Tree};
