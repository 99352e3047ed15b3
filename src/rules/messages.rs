//! What a rule says when it is not kept, and what it would change: compiled when it is first asked for.

use std::sync::{Arc, OnceLock};

use super::compile::Compiler;
use super::pack::rule;
use super::parsed::ParsedPack;
use super::remedy::Remedy;
use crate::language::{Scope, Template, check, parse};
use crate::model::Catalogue;
use crate::vocabulary::{EntityId, EntityType};

/// What a rule says when it is not kept, and what it would change.
#[derive(Clone, Debug, Default)]
pub(super) struct Messages {
    /// Its message.
    pub(super) finding: Template,
    /// Its remedy.
    pub(super) remedy: Option<Remedy>,
}

/// The words of a rule. Those of a built-in pack are compiled when they are first asked for: most rules are kept.
#[derive(Clone, Debug)]
pub(super) struct Words {
    messages: OnceLock<Messages>,
    later: Option<(Arc<ParsedPack>, Arc<Catalogue>, EntityId)>,
    entity_type: &'static EntityType,
}

impl Words {
    /// Words that are compiled when they are first asked for.
    pub(super) fn later(
        pack: &Arc<ParsedPack>,
        catalogue: &Arc<Catalogue>,
        rule: EntityId,
        entity_type: &'static EntityType,
    ) -> Self {
        let later = Some((Arc::clone(pack), Arc::clone(catalogue), rule));
        Self { messages: OnceLock::new(), later, entity_type }
    }

    /// Words that are compiled.
    pub(super) fn now(messages: Messages, entity_type: &'static EntityType) -> Self {
        Self { messages: OnceLock::from(messages), later: None, entity_type }
    }

    /// The words, compiled if they are not yet.
    pub(super) fn messages(&self) -> &Messages {
        self.messages.get_or_init(|| {
            let Some((opened, catalogue, rule)) = &self.later else { return Messages::default() };
            let mut compiler = Compiler { catalogue, opened, problems: Vec::new() };
            // A built-in pack has no mistakes: a test compiles all of its words.
            compiler.messages(*rule, self.entity_type).unwrap_or_default()
        })
    }
}

impl Compiler<'_> {
    /// What a rule says and would change.
    pub(super) fn messages(&mut self, id: EntityId, entity_type: &'static EntityType) -> Option<Messages> {
        let words = self.opened.text(id, rule::finding)?;
        let scope = self.scope(entity_type);
        // Most findings name no member of a collection that the requirement asks about.
        let finding = Template::read(&words, &scope).or_else(|error| {
            let asked = self.opened.text(id, rule::require).unwrap_or_default();
            let require = parse(&asked).and_then(|tree| check(&tree, &scope));
            let failed = require.is_err();
            let members = require.map(|require| require.bound_names()).unwrap_or_default();
            if members.is_empty() {
                // Of a requirement that is wrong itself, what it binds is not known: that mistake is told, and not this one too.
                let name = words.get(error.range.clone()).unwrap_or_default();
                let is_bound = !name.is_empty() && asked.contains(&format!(" {name} of "));
                Err((!(failed && is_bound)).then_some(error))
            } else {
                Template::read(&words, &Scope { members: &members, ..scope.clone() }).map_err(Some)
            }
        });
        let finding = match finding {
            Ok(finding) => Some(finding),
            Err(error) => {
                if let Some(error) = error {
                    self.problem(self.opened.node(id, rule::finding.slot), &error);
                }
                None
            }
        };
        let remedy = self.remedy(id, entity_type);
        Some(Messages { finding: finding?, remedy })
    }
}
