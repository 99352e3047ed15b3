//! The language of rules: words → tree → checked tree → value with a trace.
//!
//! Small, total and typed. Every expression is checked against the catalogue when a pack is loaded: names, words, units and
//! dimensions. The grammar stands at the top of `parse.rs`; `rules/README.md` teaches it with examples that a test runs.

mod atoms;
mod call;
mod check;
mod collections;
mod derivation;
mod evaluate;
mod facts;
mod function;
mod functions;
mod general;
mod implied;
mod interval;
mod lex;
mod names;
mod normalized;
mod operators;
mod own;
mod own_function;
mod parse;
mod sentence;
mod template;
mod tree;
mod walk;

use std::ops::Range;

use crate::vocabulary::EntityType;

pub use check::{Checked, Names, OwnFunction, Scope, check};
pub use derivation::record_formula;
pub use evaluate::{Comparison, Evaluation, Member, Trace, evaluate};
pub use facts::{Facts, Fixed, fixed_conditions};
pub use function::Function;
pub use functions::drill_asked_for;
pub use implied::Conjunct;
pub use lex::unfit_identifier;
pub use own::{Constant, OwnTable};
pub use parse::parse;
pub use sentence::Sentence;
pub use template::{Template, label_of, value_text};
pub use tree::{Node, Order, Tree, Word};

/// Every function.
pub fn functions() -> impl Iterator<Item = &'static Function> + Clone {
    functions::TRADE.iter().chain(general::GENERAL)
}

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

    fn also(mut self, range: Range<usize>, label: impl Into<String>) -> Self {
        self.also = Some((range, label.into()));
        self
    }
}
