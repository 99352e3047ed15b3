//! Source files, places in them, the spanned YAML tree and edits by byte range.
//!
//! A file is parsed once. The tree's byte ranges serve the readers, the findings, the waivers and the edits alike.

mod edit;
mod explain;
mod parser;
mod sanitise;
mod source;
mod tree;

pub use edit::{
    Edit, EditError, apply, insert_key, remove_entry, replace_scalar, replace_value, scalar_text,
};
pub(crate) use sanitise::is_hostile;
pub use sanitise::{clean, clean_json, clean_line, clean_same_length, no_commands, shorten};
pub(crate) use source::{LARGEST_FILE, in_order, too_large};
pub use source::{Problem, Source, TextPosition};
pub use tree::{Entry, Node, NodeId, NodeKind, Origin, Parsed, Scalar, ScalarStyle, Tree};

/// A range of bytes in one source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// From byte offsets; offsets beyond 4 GiB are clamped (sources are far smaller).
    #[must_use]
    pub fn new(start: usize, end: usize) -> Self {
        Self { start: u32::try_from(start).unwrap_or(u32::MAX), end: u32::try_from(end).unwrap_or(u32::MAX) }
    }

    /// As a range of `usize`.
    #[must_use]
    pub fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The length in bytes.
    #[must_use]
    pub fn len(self) -> usize {
        self.end.saturating_sub(self.start) as usize
    }

    /// True when it covers no byte.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.len() == 0
    }
}
