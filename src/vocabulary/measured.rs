//! What was measured takes the place of what is stated, and what is stated is kept beside it.

use std::sync::Arc;

use super::identity::EntityId;
use super::read::Reader;
use super::store::{Entity, Slot, State, Stated};
use super::suggest::{listed, suggest};
use super::{EntityType, Field, Shape, Value};
use crate::quantity::Tolerance;
use crate::yaml::{NodeId, Origin, Problem, Span};

impl Reader<'_> {
    /// Reads `measured: {…}`: measures of the entity that it stands in, under the same names.
    pub(super) fn measuring(
        &mut self,
        entity_type: &'static EntityType,
        id: EntityId,
        slot: u16,
        node: NodeId,
        key: Span,
        shared: bool,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        let place = self.tree.span(node);
        if !self.tree.is_map(node) {
            return Err(Problem::at(place, "what was measured is written as a map")
                .help("write the same keys as beside it, with what calliper and scales say"));
        }
        let Some(part) = self.store.get(id).map(|e| e.entity_type) else {
            return Err(Problem::at(place, "nothing is measured here"));
        };
        let (map, aliased) = self.tree.resolve(node);
        let shared = shared || aliased;
        let child = self.store.next();
        self.store.entities.push(Entity {
            entity_type,
            name: Arc::from("measured"),
            parent: Some(id),
            parent_slot: slot,
            node: map,
            span: self.tree.span(map),
            key,
            shared,
            slots: vec![Slot::ABSENT; entity_type.fields.len()].into_boxed_slice(),
        });
        for entry in self.tree.entries(map).to_vec() {
            let span = self.tree.span(entry.key);
            let word = self.tree.scalar(entry.key).map(|s| s.value.clone()).unwrap_or_default();
            let Some((at, field)) = measure_named(part, &word) else {
                self.problem(not_measured(part, &word, span));
                continue;
            };
            let shared = shared || entry.origin != Origin::Own || self.tree.resolve(entry.value).1;
            let read = self.slot(id, at, field, entry.value, span, shared);
            match read.state {
                State::Absent => {}
                // A measured value that cannot be read must not leave the stated one to stand for it.
                State::Known(_) | State::Wrong => self.measured.push((id, at, read)),
                State::None => self.problem(Problem::at(
                    self.tree.span(entry.value),
                    "what was not measured is left out of `measured`",
                )),
            }
        }
        Ok((Value::Entity(child), None))
    }

    /// Puts what was measured of an entity in the place of what is stated, once all of it has been read.
    pub(super) fn overlay(&mut self, id: EntityId) {
        for (owner, slot, read) in std::mem::take(&mut self.measured) {
            if owner != id {
                self.measured.push((owner, slot, read));
                continue;
            }
            let stated = match self.store.get(id).map(|e| &e.slot(slot).state) {
                Some(State::Known(Value::Quantity(quantity))) => Some(*quantity),
                _ => None,
            };
            self.set(id, slot, Slot { measured: Some(Box::new(Stated { value: stated })), ..read });
        }
    }
}

fn measures(entity_type: &'static EntityType) -> impl Iterator<Item = (u16, &'static Field)> {
    (0..).zip(entity_type.fields).filter(|(_, f)| matches!(f.shape, Shape::Measure(..)))
}

fn measure_named(entity_type: &'static EntityType, word: &str) -> Option<(u16, &'static Field)> {
    measures(entity_type).find(|(_, field)| field.name == word)
}

fn not_measured(entity_type: &'static EntityType, word: &str, span: Span) -> Problem {
    let names: Vec<&str> = measures(entity_type).map(|(_, f)| f.name).collect();
    let help = match suggest(word, names.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("what can be measured of it is {}", listed(&names)),
    };
    Problem::at(span, format!("{} has no measure `{word}`", entity_type.with_article())).help(help)
}
