//! A document as the editor has it: its text, its lines, and what the last review of it left.

use std::path::PathBuf;
use std::sync::Arc;

use lsp_types::{Position, Range, TextDocumentContentChangeEvent, Uri};

use super::positions::{Encoding, Lines};
use super::workspace::Role;
use crate::design::Design;
use crate::review::{DesignReview, Reviewed};
use crate::yaml::{Span, Tree};

/// An open document.
#[derive(Debug)]
pub(super) struct Document {
    pub(super) uri: Uri,
    /// The file; for a document that is none yet, a name in the folder of the run.
    pub(super) path: PathBuf,
    pub(super) role: Role,
    pub(super) version: i32,
    pub(super) text: String,
    pub(super) lines: Lines,
    /// Whether it has changed since it was last looked at.
    pub(super) is_dirty: bool,
    /// Its turn among the documents that were changed: the newest is looked at first.
    pub(super) turn: u64,
    /// The last review, of a design; its text is this document's unless it is dirty.
    pub(super) review: Option<DesignReview>,
    /// What the last review left for the next.
    pub(super) reviewed: Option<Reviewed>,
    /// The last design that could be read without a mistake in its YAML.
    pub(super) good: Option<Arc<Design>>,
}

impl Document {
    pub(super) fn new(uri: Uri, path: PathBuf, role: Role, version: i32, text: String) -> Self {
        let lines = Lines::of(&text);
        Self {
            uri,
            path,
            role,
            version,
            text,
            lines,
            is_dirty: true,
            turn: 0,
            review: None,
            reviewed: None,
            good: None,
        }
    }

    /// Makes the changes of a notification, each on what the one before it left.
    pub(super) fn change(
        &mut self,
        version: i32,
        changes: Vec<TextDocumentContentChangeEvent>,
        encoding: Encoding,
    ) {
        self.version = version;
        self.is_dirty = true;
        for change in changes {
            match change.range {
                None => self.text = change.text,
                Some(range) => {
                    let at = |position| self.lines.offset(&self.text, position, encoding);
                    let (start, end) = (at(range.start), at(range.end));
                    self.text.replace_range(start.min(end)..end.max(start), &change.text);
                }
            }
            self.lines = Lines::of(&self.text);
        }
    }

    /// The text is a new one: nothing of the reviews so far is of use.
    pub(super) fn forget(&mut self) {
        self.reviewed = None;
        self.is_dirty = true;
    }

    pub(super) fn offset(&self, position: Position, encoding: Encoding) -> usize {
        self.lines.offset(&self.text, position, encoding)
    }

    pub(super) fn range(&self, span: Span, encoding: Encoding) -> Range {
        self.lines.range(&self.text, span, encoding)
    }

    /// The design as it was last read.
    pub(super) fn design(&self) -> Option<&Arc<Design>> {
        self.review.as_ref().map(|review| &review.design)
    }

    /// The design and its tree, where its text is YAML.
    pub(super) fn parsed(&self) -> Option<(&Design, &Tree)> {
        let design = self.design()?;
        Some((design, design.tree.as_ref()?))
    }
}
