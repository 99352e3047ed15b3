//! Reading what holds other entities: parts, maps and lists of them, and lists of values.

use std::sync::Arc;

use super::identity::EntityId;
use super::read::Reader;
use super::store::{Entity, Slot};
use super::suggest::suggest;
use super::value::Value;
use super::{EntityType, Field, Sign};
use crate::quantity::{Dimension, Tolerance};
use crate::yaml::{NodeId, Origin, Problem, Span};

impl Reader<'_> {
    #[allow(clippy::too_many_arguments, reason = "an entity is placed by all of these")]
    pub(super) fn one(
        &mut self,
        entity_type: &'static EntityType,
        id: EntityId,
        slot: u16,
        field: &Field,
        node: NodeId,
        key: Span,
        shared: bool,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        if !self.tree.is_map(node) && !self.tree.is_null(node) {
            return Err(Problem::at(
                self.tree.span(node),
                format!("{} is described by a map", entity_type.with_article()),
            )
            .help(format!("write its fields indented below `{}:`, or in braces", field.name)));
        }
        let child = self.entity(entity_type, node, Arc::from(field.name), key, Some(id), slot, shared);
        Ok((Value::Entity(child), None))
    }

    pub(super) fn many(
        &mut self,
        entity_type: &'static EntityType,
        id: EntityId,
        slot: u16,
        node: NodeId,
        shared: bool,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        if !self.tree.is_map(node) {
            return Err(Problem::at(
                self.tree.span(node),
                format!("each {} is written under its own name", entity_type.name),
            )
            .help("write `a_name: {…}` for each, indented below; or `none` if there are none"));
        }
        let mut children = Vec::new();
        let tree = self.tree;
        for entry in tree.entries(node) {
            let key = tree.span(entry.key);
            let name = tree.scalar(entry.key).map_or("", |s| &s.value);
            let shared = shared || entry.origin != Origin::Own;
            if name.is_empty()
                || (name.contains('.') && !self.store.table)
                || name.chars().count() > 80
                || name.chars().any(char::is_control)
            {
                self.problem(Problem::at(key, "a name is a word of at most 80 characters without dots"));
            } else if self.tree.is_map(entry.value)
                || self.tree.is_null(entry.value)
                || self.is_not_known(entry.value)
            {
                children.push(self.entity(
                    entity_type,
                    entry.value,
                    Arc::from(name),
                    key,
                    Some(id),
                    slot,
                    shared,
                ));
            } else {
                let help = match suggest(name, entity_type.fields.iter().map(|f| f.name)) {
                    Some(field) if field == name => format!(
                        "`{field}` is a field of a {}: give the {} a name first",
                        entity_type.name, entity_type.name
                    ),
                    _ => "write its fields indented below the name, or in braces".to_owned(),
                };
                let span = self.tree.span(entry.value);
                self.problem(
                    Problem::at(
                        span,
                        format!("`{name}`, {}, is described by a map", entity_type.with_article()),
                    )
                    .help(help),
                );
            }
        }
        Ok((Value::Entities(children.into()), None))
    }

    #[allow(clippy::too_many_arguments, reason = "an entity is placed by all of these")]
    pub(super) fn list(
        &mut self,
        entity_type: &'static EntityType,
        id: EntityId,
        slot: u16,
        node: NodeId,
        key: Span,
        shared: bool,
        short: bool,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        if !self.tree.is_list(node) {
            return Err(Problem::at(
                self.tree.span(node),
                format!("expected a list, each item {}", entity_type.name),
            )
            .help("start each with `- `"));
        }
        let mut children = Vec::new();
        let tree = self.tree;
        for (at, item) in tree.items(node).iter().copied().enumerate() {
            let name = Arc::from((at + 1).to_string());
            if short && tree.scalar(item).is_some() {
                children.push(self.by_first_field(entity_type, item, name, (id, slot), shared));
            } else if tree.is_map(item) {
                let first = self.tree.entries(item).first().map_or(key, |e| self.tree.span(e.key));
                children.push(self.entity(entity_type, item, name, first, Some(id), slot, shared));
            } else {
                self.problem(Problem::at(
                    self.tree.span(item),
                    format!("{} is described by a map", entity_type.with_article()),
                ));
            }
        }
        Ok((Value::Entities(children.into()), None))
    }

    /// An entity of which its first field alone is written, without its key.
    pub(super) fn by_first_field(
        &mut self,
        entity_type: &'static EntityType,
        node: NodeId,
        name: Arc<str>,
        (parent, parent_slot): (EntityId, u16),
        shared: bool,
    ) -> EntityId {
        let (id, span) = (self.store.next(), self.tree.span(node));
        self.store.entities.push(Entity {
            entity_type,
            name,
            parent: Some(parent),
            parent_slot,
            node,
            span,
            key: span,
            shared,
            slots: vec![Slot::ABSENT; entity_type.fields.len()].into_boxed_slice(),
        });
        if let Some(field) = entity_type.fields.first() {
            let read = self.slot(id, 0, field, node, span, shared);
            self.set(id, 0, read);
        }
        id
    }

    pub(super) fn measures(
        &mut self,
        node: NodeId,
        dimension: Dimension,
        sign: Sign,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        if let Some(scalar) = self.tree.scalar(node) {
            let one = self.measure(&scalar.value, node, dimension, sign)?.nominal;
            return Ok((Value::Quantities(Arc::from([one])), None));
        }
        if !self.tree.is_list(node) {
            return Err(Problem::at(
                self.tree.span(node),
                format!("expected a list, each item {}", dimension.in_words()),
            ));
        }
        let mut all = Vec::new();
        for item in self.tree.items(node) {
            match self.tree.scalar(*item) {
                Some(scalar) => all.push(self.measure(&scalar.value, *item, dimension, sign)?.nominal),
                None => {
                    return Err(Problem::at(
                        self.tree.span(*item),
                        format!("expected {}", dimension.in_words()),
                    ));
                }
            }
        }
        Ok((Value::Quantities(all.into()), None))
    }

    pub(super) fn texts(&mut self, node: NodeId) -> Result<(Value, Option<Tolerance>), Problem> {
        let span = self.tree.span(node);
        let all: Option<Vec<Arc<str>>> = self
            .tree
            .items(node)
            .iter()
            .map(|i| self.tree.scalar(*i).map(|s| Arc::from(s.value.as_ref())))
            .collect();
        match all {
            Some(all) if self.tree.is_list(node) => Ok((Value::Texts(all.into()), None)),
            _ => Err(Problem::at(span, "expected a list of words").help("write `[one, two]`")),
        }
    }
}
