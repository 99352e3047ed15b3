//! A pack file read, before its expressions are checked.

use std::sync::Arc;

use super::citation::text;
use super::place::PackPosition;
use super::trial::LaterTrials;
use crate::language::{Constant, LanguageError, Names};
use crate::vocabulary::{EntityId, IdOf, Key, Store, Typed};
use crate::yaml::{NodeId, Problem, Source, Span, Tree};

/// A pack file read, before its expressions are checked.
#[derive(Debug)]
pub(super) struct ParsedPack {
    pub(super) source: Arc<Source>,
    pub(super) tree: Arc<Tree>,
    pub(super) store: Store,
    pub(super) name: String,
    /// What it names for its own expressions.
    pub(super) names: Names,
    /// The limits as the pack has them, where settings set one otherwise.
    pub(super) own_limits: Vec<Constant>,
    /// Of a built-in pack, which the project's own tests have looked through, its trials: read when they are asked for.
    pub(super) trials: Option<Arc<LaterTrials>>,
    /// The bytes of what could not be read in it.
    pub(super) wrong: Vec<Span>,
}

impl ParsedPack {
    /// A text of one of its entities.
    pub(super) fn text<E: Typed>(&self, id: impl IdOf<E>, key: Key<E, Arc<str>>) -> Option<String> {
        text(&self.store, id, key)
    }

    /// The node of a field of one of its entities.
    pub(super) fn node(&self, id: EntityId, slot: u16) -> Option<NodeId> {
        self.store.get(id).and_then(|e| e.slot(slot).node)
    }

    /// Where a text of one of its entities stands.
    pub(super) fn place(&self, id: EntityId, slot: u16) -> PackPosition {
        self.node(id, slot).map(|node| PackPosition::of(&self.tree, &self.source, node)).unwrap_or_default()
    }
}

/// An error inside a scalar of a pack, at its own bytes where it stands letter by letter in the file.
pub(super) fn place(opened: &ParsedPack, node: Option<NodeId>, error: &LanguageError) -> Problem {
    let Some(node) = node else { return Problem::of_file(error.message.clone()) };
    let place = PackPosition::of(&opened.tree, &opened.source, node);
    let mut problem =
        Problem::at(place.span(&error.range), error.message.clone()).maybe_help(error.help.clone());
    if let Some((range, label)) = &error.also {
        problem = problem.related(place.span(range), label.clone());
    }
    problem
}
