//! The expressions of one pack checked.

use std::sync::Arc;

use super::parsed::{ParsedPack, place};
use crate::language::{Checked, LanguageError, Scope, check, parse};
use crate::model::{Catalogue, Type};
use crate::vocabulary::{EntityId, EntityType, Key, Typed, suggest};
use crate::yaml::{NodeId, Problem};

/// Compiles the expressions of one pack.
pub(super) struct Compiler<'p> {
    /// Every quantity that they may name.
    pub(super) catalogue: &'p Catalogue,
    /// The pack.
    pub(super) opened: &'p ParsedPack,
    /// What is wrong with it.
    pub(super) problems: Vec<Problem>,
}

impl<'p> Compiler<'p> {
    /// Reports an error inside a scalar of a pack, at its own bytes where it stands letter by letter in the file.
    pub(super) fn problem(&mut self, node: Option<NodeId>, error: &LanguageError) {
        let problem = place(self.opened, node, error);
        self.problems.push(problem);
    }

    /// What the names in an expression about an entity type may stand for.
    pub(super) fn scope(&self, entity_type: &'static EntityType) -> Scope<'p> {
        Scope { own: &self.opened.names, ..Scope::about(self.catalogue, entity_type) }
    }

    pub(super) fn kind_of<E: Typed>(
        &mut self,
        id: EntityId,
        key: Key<E, Arc<str>>,
    ) -> Option<&'static EntityType> {
        let word = self.opened.text(id, key)?;
        let found = self.catalogue.entity_type(&word);
        if found.is_none() {
            let near = suggest(&word, self.catalogue.entity_types().iter().map(|k| k.name));
            let error = LanguageError::new(format!("`{word}` is not a type of part"), 0..word.len())
                .maybe_help(near.map(|n| format!("did you mean `{n}`?")));
            let node = self.opened.node(id, key.slot);
            self.problem(node, &error);
        }
        found
    }

    /// Checks one expression of a rule; an error goes to the problems.
    pub(super) fn checked<E: Typed>(
        &mut self,
        id: EntityId,
        key: Key<E, Arc<str>>,
        entity_type: &'static EntityType,
        expected: Option<Type>,
    ) -> Option<Checked> {
        let words = self.opened.text(id, key)?;
        let node = self.opened.node(id, key.slot);
        let scope = self.scope(entity_type);
        let result = parse(&words).and_then(|tree| check(&tree, &scope)).and_then(|checked| match expected {
            Some(expected) if checked.gives != expected => {
                let message = format!("expected {expected}, found {}", checked.gives);
                let help =
                    (expected == Type::Truth).then(|| "a condition is a comparison or a question".to_owned());
                Err(LanguageError::new(message, checked.range.clone()).maybe_help(help))
            }
            _ => Ok(checked),
        });
        match result {
            Ok(checked) => Some(checked),
            Err(error) => {
                self.problem(node, &error);
                None
            }
        }
    }
}
