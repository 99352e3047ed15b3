//! The one reader: a tree and a kind in, a store of entities and every mistake out.

use std::sync::Arc;

use super::identity::EntityId;
use super::rows::Rows;
use super::scalar::{due, read_measure, read_scalar};
use super::store::{Entity, Slot, State, Store};
use super::value::Value;
use super::{EntityType, Field, Need, Shape, Sign};
use crate::quantity::{Dimension, Measure, ReadError, Tolerance};
use crate::yaml::{NodeId, Origin, Problem, Scalar, Source, Span, Tree};

/// What is written in place of a value that is not measured yet: the same as if nothing were written.
pub const NOT_KNOWN: &str = "unknown";

/// What came of reading a tree.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// The entities that could be read.
    pub store: Store,
    /// Everything that is wrong with the file.
    pub problems: Vec<Problem>,
}

pub(super) struct Reader<'a> {
    pub(super) source: &'a Source,
    pub(super) tree: &'a Tree,
    rows: Option<&'a dyn Rows>,
    pub(super) store: Store,
    problems: Vec<Problem>,
    pub(super) references: Vec<(EntityId, u16, Vec<NodeId>, &'static EntityType, bool)>,
    /// Measured values, waiting for the entity that they belong to to be read.
    pub(super) measured: Vec<(EntityId, u16, Slot)>,
}

/// Reads a tree as an entity of a type, reporting every mistake in it.
#[must_use]
pub fn read(
    entity_type: &'static EntityType,
    source: &Source,
    tree: &Tree,
    rows: Option<&dyn Rows>,
) -> Reading {
    read_as(entity_type, source, tree, rows, false)
}

fn read_as(
    entity_type: &'static EntityType,
    source: &Source,
    tree: &Tree,
    rows: Option<&dyn Rows>,
    table: bool,
) -> Reading {
    let store = if table { Store::tables() } else { Store::default() };
    let mut reader = Reader {
        source,
        tree,
        rows,
        store,
        problems: Vec::new(),
        references: Vec::new(),
        measured: Vec::new(),
    };
    let root = tree.root();
    if !tree.is_map(root) {
        let span = tree.span(root);
        let span = (!span.is_empty()).then_some(span);
        let message = if span.is_none() {
            "the file is empty".to_owned()
        } else {
            format!("there is no {} here", entity_type.name)
        };
        let help = entity_type
            .fields
            .iter()
            .find(|f| f.need == Need::Required)
            .map(|f| format!("it starts with `{}: …`", f.name));
        reader.problems.push(Problem { message, span, help, ..Problem::default() });
        return Reading { store: reader.store, problems: reader.problems };
    }
    let key = tree.entries(root).first().map_or(Span::default(), |e| tree.span(e.key));
    reader.entity(entity_type, root, Arc::from(entity_type.name), key, None, 0, false);
    reader.resolve_references();
    Reading { store: reader.store, problems: reader.problems }
}

impl Reader<'_> {
    pub(super) fn problem(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    #[allow(clippy::too_many_arguments, reason = "an entity is placed by all of these")]
    pub(super) fn entity(
        &mut self,
        entity_type: &'static EntityType,
        node: NodeId,
        name: Arc<str>,
        key: Span,
        parent: Option<EntityId>,
        parent_slot: u16,
        shared: bool,
    ) -> EntityId {
        let (map, aliased) = self.tree.resolve(node);
        let shared = shared || aliased;
        let id = self.store.next();
        self.store.entities.push(Entity {
            entity_type,
            name,
            parent,
            parent_slot,
            node: map,
            span: self.tree.span(map),
            key,
            shared,
            slots: vec![Slot::ABSENT; entity_type.fields.len()].into_boxed_slice(),
        });
        let tree = self.tree;
        for entry in tree.entries(map) {
            let key_span = tree.span(entry.key);
            let word = tree.scalar(entry.key).map_or("", |s| &s.value);
            let written =
                entity_type.slot(word).and_then(|slot| entity_type.field(slot).map(|field| (slot, field)));
            let written = written.filter(|(_, field)| field.need != Need::Implied);
            let Some((slot, field)) = written.or_else(|| self.former_key(entity_type, map, word, key_span))
            else {
                if !self.is_cut_number(id, word, key_span) {
                    self.unknown_key(entity_type, word, key_span);
                }
                continue;
            };
            let shared = shared || entry.origin != Origin::Own || self.tree.resolve(entry.value).1;
            let read = self.slot(id, slot, field, entry.value, key_span, shared);
            self.set(id, slot, read);
        }
        self.overlay(id);
        self.imply(entity_type, id);
        for (slot, field) in entity_type.fields.iter().enumerate() {
            let absent = self.store.get(id).is_some_and(|e| {
                e.slots.get(slot).is_some_and(|s| matches!(s.state, State::Absent | State::None))
            });
            if field.need == Need::Required && absent {
                let problem = Problem::at(key, format!("`{}` is missing here", field.name))
                    .help(field.about().to_owned());
                self.problem(problem);
            }
        }
        id
    }

    /// Adds the parts that come with an entity and are never written; their place is its own.
    fn imply(&mut self, entity_type: &'static EntityType, id: EntityId) {
        for (slot, field) in (0..).zip(entity_type.fields) {
            let (Need::Implied, Shape::One(part)) = (field.need, &field.shape) else { continue };
            let Some(owner) = self.store.get(id) else { continue };
            let (node, span, key, shared) = (owner.node, owner.span, owner.key, owner.shared);
            let child = self.store.next();
            self.store.entities.push(Entity {
                entity_type: part,
                name: Arc::from(field.name),
                parent: Some(id),
                parent_slot: slot,
                node,
                span,
                key,
                shared,
                slots: vec![Slot::ABSENT; part.fields.len()].into_boxed_slice(),
            });
            self.set(id, slot, Slot { state: State::Known(Value::Entity(child)), ..Slot::ABSENT });
        }
    }

    pub(super) fn set(&mut self, id: EntityId, slot: u16, read: Slot) {
        let place = self.store.entities.get_mut(id.index()).and_then(|e| e.slots.get_mut(usize::from(slot)));
        if let Some(place) = place {
            *place = read;
        }
    }

    pub(super) fn slot(
        &mut self,
        id: EntityId,
        slot: u16,
        field: &'static Field,
        node: NodeId,
        key: Span,
        shared: bool,
    ) -> Slot {
        let tree = self.tree;
        let place = tree.span(node);
        let mut read = Slot {
            state: State::Absent,
            key: Some(key),
            place: Some(place),
            node: Some(node),
            tolerance: None,
            shared,
            measured: None,
        };
        let word = tree.scalar(node).map(|s| s.value.as_ref());
        if self.is_not_known(node) && !matches!(field.shape, Shape::Raw) {
            return read;
        }
        // An entity under whose key nothing stands is there all the same; what it is like has not been said.
        if self.tree.is_null(node) && !matches!(field.shape, Shape::One(_)) {
            return read;
        }
        if word == Some("none") && !matches!(field.shape, Shape::Text | Shape::Raw | Shape::Word(_)) {
            read.state = State::None;
            return read;
        }
        let result = match &field.shape {
            Shape::One(entity_type) => self.one(entity_type, id, slot, field, node, key, shared),
            Shape::Many(entity_type) => self.many(entity_type, id, slot, node, shared),
            Shape::Measured(entity_type) => self.measuring(entity_type, id, slot, node, key, shared),
            Shape::List(entity_type) | Shape::Listed(entity_type) => {
                let short = matches!(field.shape, Shape::Listed(_));
                self.list(entity_type, id, slot, node, key, shared, short)
            }
            Shape::Raw => Ok((Value::Raw(node), None)),
            Shape::RefersAll(entity_type) => {
                if self.tree.is_list(node) {
                    let items = self.tree.items(node).to_vec();
                    self.references.push((id, slot, items, entity_type, true));
                    Ok((Value::Entities(Arc::from([])), None))
                } else {
                    Err(Problem::at(place, format!("expected a list of names, each of {}", entity_type.name))
                        .help("write `[name, name]`"))
                }
            }
            Shape::Refers(entity_type) => match word {
                Some(_) => {
                    self.references.push((id, slot, vec![node], entity_type, false));
                    Ok((Value::Entities(Arc::from([])), None))
                }
                None => {
                    Err(Problem::at(place, format!("expected the name of {}", entity_type.with_article())))
                }
            },
            Shape::Measures(dimension, sign) => self.measures(node, *dimension, *sign),
            Shape::Texts => self.texts(node),
            Shape::Curve(x, y) => self.curve(node, *x, *y).map(|curve| (curve, None)),
            shape => match word {
                Some(word) => self.scalar(shape, word, node),
                None => {
                    let help = "a text that begins with `{` or `[` stands in double quotes, all of it";
                    let help = matches!(shape, Shape::Text).then(|| help.to_owned());
                    let message = format!("expected {}, not a map or a list", due(shape));
                    Err(Problem::at(place, message).maybe_help(help))
                }
            },
        };
        match result {
            Ok((value, tolerance)) => {
                read.state = State::Known(value);
                read.tolerance = tolerance;
            }
            Err(problem) => {
                read.state = State::Wrong;
                self.problem(problem);
            }
        }
        read
    }

    /// True where `unknown` or `?` is written: there is a value in the rocket, and nobody has measured it yet.
    pub(super) fn is_not_known(&self, node: NodeId) -> bool {
        let said = |scalar: &Scalar| matches!(scalar.value.as_ref(), NOT_KNOWN | "?");
        // A `?` without quotes has come through as nothing written.
        self.tree.scalar(node).is_some_and(said) || self.source.slice(self.tree.span(node)) == "?"
    }

    fn scalar(
        &mut self,
        shape: &Shape,
        word: &str,
        node: NodeId,
    ) -> Result<(Value, Option<Tolerance>), Problem> {
        read_scalar(shape, word, self.rows).map_err(|error| self.inside(node, &error))
    }

    pub(super) fn measure(
        &self,
        word: &str,
        node: NodeId,
        dimension: Dimension,
        sign: Sign,
    ) -> Result<Measure, Problem> {
        read_measure(word, dimension, sign).map_err(|error| self.inside(node, &error))
    }

    /// A reading error inside a scalar, at its own bytes where the scalar stands letter by letter in the file.
    fn inside(&self, node: NodeId, error: &ReadError) -> Problem {
        let span = match self.tree.content_start(self.source, node) {
            Some(start) if !error.range.is_empty() => {
                let start = start as usize;
                Span::new(start + error.range.start, start + error.range.end)
            }
            _ => self.tree.span(node),
        };
        Problem::at(span, error.message.clone()).maybe_help(error.help.clone())
    }
}

/// Reads a table's file into entities that are rows.
#[must_use]
pub fn read_table(entity_type: &'static EntityType, source: &Source, tree: &Tree) -> Reading {
    read_as(entity_type, source, tree, None, true)
}
