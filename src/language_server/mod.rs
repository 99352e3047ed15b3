//! The language server: the same engine as a review, for an editor, over the Language Server Protocol 3.17.
//!
//! It has no rules, no parser and no files of its own. Texts come from the editor, what lies around them from a [`Workspace`],
//! findings from an incremental review, and what may be written from the declarations of the vocabulary.

mod actions;
mod completion;
mod completion_context;
mod configuration;
mod cursor_path;
mod cursor_target;
mod diagnostics;
mod document;
mod due;
mod expressions;
mod field_text;
mod framing;
mod hints;
mod hover;
mod lifecycle;
mod line;
mod navigation;
mod outline;
mod pack_names;
mod phase;
mod positions;
mod request_context;
mod requests;
mod rule_files;
mod server;
mod session;
mod uris;
mod workspace;

pub use completion_context::{CompletionContext, completion_context_at};
pub use cursor_path::Expected;
pub use cursor_target::{CursorTarget, cursor_target_at, part_at, reference_name, references_to};
pub use due::Due;
pub use navigation::{entity_named_at, key_of, rename};
pub use positions::{Encoding, Lines};
pub use server::serve;
pub use uris::{path_of, uri_of};
pub use workspace::{Role, Workspace};
