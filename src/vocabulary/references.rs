//! Names that refer to other entities of the same file, bound once all of them are known.

use super::EntityType;
use super::identity::EntityId;
use super::read::Reader;
use super::store::State;
use super::suggest::{listed, suggest};
use super::value::Value;
use crate::yaml::Problem;

impl Reader<'_> {
    /// Binds names to entities once all entities are known. A name that fits several is bound last, since what stands beside it may
    /// tell which is meant.
    pub(super) fn resolve_references(&mut self) {
        let all = std::mem::take(&mut self.references);
        let (plain, unclear): (Vec<_>, Vec<_>) =
            all.into_iter().partition(|(_, _, nodes, entity_type, _)| {
                nodes.iter().all(|node| {
                    let word = self.tree.scalar(*node).map(|s| &*s.value);
                    word.is_none_or(|word| self.named(entity_type, word).nth(1).is_none())
                })
            });
        for (id, slot, nodes, entity_type, many) in plain.into_iter().chain(unclear) {
            let mut found = Vec::new();
            let mut wrong = false;
            for node in nodes {
                let span = self.tree.span(node);
                let Some(word) = self.tree.scalar(node).map(|s| s.value.clone()) else {
                    self.problem(Problem::at(
                        span,
                        format!("expected the name of {}", entity_type.with_article()),
                    ));
                    wrong = true;
                    continue;
                };
                match self.lookup(id, entity_type, &word) {
                    Ok(target) => found.push(target),
                    Err(problem) => {
                        wrong = true;
                        self.problem(Problem { span: Some(span), ..problem });
                    }
                }
            }
            let state = match (wrong, many, found.first()) {
                (true, ..) => State::Wrong,
                (false, true, _) => State::Known(Value::Entities(found.into())),
                (false, false, Some(one)) => State::Known(Value::Entity(*one)),
                (false, false, None) => State::Absent,
            };
            let place =
                self.store.entities.get_mut(id.index()).and_then(|e| e.slots.get_mut(usize::from(slot)));
            if let Some(place) = place {
                place.state = state;
            }
        }
    }

    fn named(&self, entity_type: &'static EntityType, word: &str) -> impl Iterator<Item = EntityId> {
        self.store.of_type(entity_type).filter(move |id| self.fits(*id, word))
    }

    /// Whether an entity stands in one that another field of `referring` names, as a terminal stands on the lid that its circuit
    /// names.
    fn stands_beside(&self, referring: EntityId, id: EntityId) -> bool {
        let Some(referring) = self.store.get(referring) else { return false };
        let is_named = |one: EntityId| {
            referring
                .slots
                .iter()
                .any(|slot| matches!(slot.state, State::Known(Value::Entity(n)) if n == one))
        };
        let parent = |id: &EntityId| self.store.get(*id).and_then(|entity| entity.parent);
        std::iter::successors(parent(&id), parent).any(is_named)
    }

    /// An entity by its name, or by the end of its path (`av_bay.fore`) where the name alone fits several and nothing beside it
    /// tells which.
    fn lookup(
        &self,
        referring: EntityId,
        entity_type: &'static EntityType,
        word: &str,
    ) -> Result<EntityId, Problem> {
        let all = || self.store.of_type(entity_type);
        let mut fits: Vec<EntityId> = self.named(entity_type, word).collect();
        if fits.len() > 1 {
            let beside: Vec<EntityId> =
                fits.iter().copied().filter(|id| self.stands_beside(referring, *id)).collect();
            if beside.len() == 1 {
                fits = beside;
            }
        }
        match fits.as_slice() {
            [one] => Ok(*one),
            [] => {
                let names: Vec<String> =
                    all().filter_map(|id| self.store.get(id)).map(|e| e.name.to_string()).collect();
                let names: Vec<&str> = names.iter().map(String::as_str).collect();
                let help = match (suggest(word, names.iter().copied()), names.is_empty()) {
                    (_, true) => format!("this file has no {} yet", entity_type.name),
                    (Some(near), _) => format!("did you mean `{near}`?"),
                    (None, _) => format!("this file has {}", listed(&names)),
                };
                Err(Problem::of_file(format!("no {} is named `{word}`", entity_type.name)).help(help))
            }
            several => {
                let paths: Vec<String> = several.iter().map(|id| self.short_path(*id)).collect();
                let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
                Err(Problem::of_file(format!("more than one {} is named `{word}`", entity_type.name))
                    .help(format!("say which: {}", listed(&paths))))
            }
        }
    }

    fn fits(&self, id: EntityId, word: &str) -> bool {
        // Every way of naming it ends with its own name.
        let last = word.rsplit('.').next().unwrap_or(word);
        let name = self.store.get(id).map(|entity| &*entity.name);
        if name.is_some_and(|name| name != last && !name.contains('.')) {
            return false;
        }
        let short = self.short_path(id);
        short == word
            || short.strip_suffix(word).is_some_and(|before| before.ends_with('.'))
            || self.store.path(id) == word
    }

    /// The names on the way to an entity, without the keys of the maps they stand in: `av_bay.fore`.
    fn short_path(&self, id: EntityId) -> String {
        let mut parts: Vec<&str> = Vec::new();
        let mut at = Some(id);
        while let Some(entity) = at.and_then(|id| self.store.get(id)) {
            if entity.parent.is_some() {
                parts.push(&entity.name);
            }
            at = entity.parent;
        }
        parts.reverse();
        parts.join(".")
    }
}
