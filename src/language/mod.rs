//! The language of rules: words → tree → checked tree → value with a trace.
//!
//! Small, total and typed. Every expression is checked against the catalogue when a pack is loaded: names, words, units and
//! dimensions. The grammar stands at the top of `parse.rs`; `rules/README.md` teaches it with examples that a test runs.

mod call;
mod check;
mod collections;
mod derivation;
mod error;
mod evaluate;
mod facts;
mod function_signature;
mod general;
mod implied;
mod interval;
mod left_over;
mod lex;
mod names;
mod normalized;
mod operators;
mod pack_constants;
mod pack_function;
mod parse;
mod primary;
mod sentence;
mod template;
mod trace;
mod trade_functions;
mod tree;
mod walk;

pub use check::{Checked, Names, PackFunction, Scope, check};
pub use derivation::record_formula;
pub use error::{LanguageError, UnknownName};
pub use evaluate::{Evaluation, evaluate, evaluate_into};
pub use facts::{Facts, Fixed, fixed_conditions};
pub use function_signature::Function;
pub use implied::Conjunct;
pub use lex::unfit_identifier;
pub use pack_constants::{Constant, PackTable};
pub use parse::parse;
pub use sentence::Sentence;
pub use template::{PrintedIn, Template, in_unit, label_of, value_text};
pub use trace::{ComparisonTrace, Member, Trace};
pub use trade_functions::drill_asked_for;
pub use tree::{ExprNode, ExprTree, Order, Word};

/// Every function.
pub fn functions() -> impl Iterator<Item = &'static Function> + Clone {
    trade_functions::TRADE.iter().chain(general::GENERAL)
}
