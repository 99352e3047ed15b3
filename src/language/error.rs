//! What is wrong with an expression.

use std::ops::Range;

use crate::vocabulary::EntityType;

/// What is wrong with an expression, and where in its text.
#[derive(Clone, Debug, PartialEq)]
pub struct LanguageError {
    /// What is wrong.
    pub message: String,
    /// The bytes of the expression it is about.
    pub range: Range<usize>,
    /// What to write instead.
    pub help: Option<String>,
    /// Another place that matters.
    pub also: Option<(Range<usize>, String)>,
    /// The name that stands for nothing, where that is what is wrong.
    pub unknown: Option<Box<UnknownName>>,
}

/// A name that stands for nothing, at least so far.
#[derive(Clone, Debug, PartialEq)]
pub enum UnknownName {
    /// An entity type has nothing by it.
    Member(&'static EntityType, String),
    /// No function has it.
    Function(String),
}

impl LanguageError {
    pub(crate) fn new(message: impl Into<String>, range: Range<usize>) -> Self {
        Self { message: message.into(), range, help: None, also: None, unknown: None }
    }

    pub(crate) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    pub(crate) fn maybe_help(mut self, help: Option<String>) -> Self {
        self.help = help;
        self
    }

    pub(super) fn also(mut self, range: Range<usize>, label: impl Into<String>) -> Self {
        self.also = Some((range, label.into()));
        self
    }
}
