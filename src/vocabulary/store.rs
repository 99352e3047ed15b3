//! Entities as they were written, each field in its slot with its place.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::identity::EntityId;
use super::{Decode, EntityType, Id, IdOf, Key, Typed, Value};
use crate::quantity::{Quantity, Tolerance};
use crate::yaml::{NodeId, Span};

/// What stands in a slot.
#[derive(Clone, Debug, PartialEq)]
pub enum State {
    /// Nothing is written.
    Absent,
    /// `none` is written: it is known that there is none.
    None,
    /// Something is written that could not be read; the reader has said so.
    Wrong,
    /// A value.
    Known(Value),
}

/// A field of an entity: its value and where it stands.
#[derive(Clone, Debug)]
pub struct Slot {
    /// What stands there.
    pub state: State,
    /// The key's bytes.
    pub key: Option<Span>,
    /// The value's bytes.
    pub place: Option<Span>,
    /// The value's node.
    pub node: Option<NodeId>,
    /// The tolerance stated beside a measure, in SI.
    pub tolerance: Option<Tolerance>,
    /// The value's bytes are used by more than one place (an alias or a merge key): editing one edits all.
    pub shared: bool,
    /// That the value was measured, and what is stated beside it.
    pub measured: Option<Box<Stated>>,
}

/// What is stated of a value that was measured: by a catalogue or a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// The stated value; none where only the measured one is written.
    pub value: Option<Quantity>,
}

impl Slot {
    pub(super) const ABSENT: Self = Self {
        state: State::Absent,
        key: None,
        place: None,
        node: None,
        tolerance: None,
        shared: false,
        measured: None,
    };
}

/// One entity as written.
#[derive(Clone, Debug)]
pub struct Entity {
    /// Its kind.
    pub entity_type: &'static EntityType,
    /// Its name in the file: the key it stands under, or its number in a list.
    pub name: Arc<str>,
    /// The entity it is written in.
    pub parent: Option<EntityId>,
    /// The slot of the parent that holds it.
    pub parent_slot: u16,
    /// Its map in the tree.
    pub node: NodeId,
    /// The bytes of its map.
    pub span: Span,
    /// The bytes of the key it stands under; the first key of the file for the root.
    pub key: Span,
    /// Reached through an alias or a merge key.
    pub shared: bool,
    pub(super) slots: Box<[Slot]>,
}

impl Entity {
    /// What is written in a field; `None` where nothing is, or nothing that could be read, or where the entity is of
    /// another type than the key.
    #[must_use]
    pub fn get<E: Typed, T: Decode>(&self, key: Key<E, T>) -> Option<T> {
        self.get_as(key)
    }

    /// A field that is free text.
    #[must_use]
    pub fn text<E: Typed>(&self, key: Key<E, Arc<str>>) -> Option<&str> {
        match &self.field(key)?.state {
            State::Known(Value::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// The same as another type of Rust: as a quantity that keeps its unit.
    pub(crate) fn get_as<E: Typed, T, U: Decode>(&self, key: Key<E, T>) -> Option<U> {
        match &self.field(key)?.state {
            State::Known(value) => U::decode(value),
            _ => None,
        }
    }

    /// A field; `None` where the entity is of another type than the key.
    #[must_use]
    pub fn field<E: Typed, T>(&self, key: Key<E, T>) -> Option<&Slot> {
        (self.entity_type == E::TYPE).then(|| self.slot(key.slot))
    }

    /// A field of the entity.
    #[must_use]
    pub fn slot(&self, slot: u16) -> &Slot {
        static ABSENT: Slot = Slot::ABSENT;
        self.slots.get(usize::from(slot)).unwrap_or(&ABSENT)
    }
}

/// All entities of one file.
#[derive(Clone, Debug, Default)]
pub struct Store {
    /// In the order of the file.
    pub(super) entities: Vec<Entity>,
    pub(super) table: bool,
    /// What the identities are, where they are not the order of the file.
    aligned: Option<Alignment>,
}

/// Identities taken over from an earlier reading of a file.
#[derive(Clone, Debug, Default)]
struct Alignment {
    /// The identity of each entity, in the order of the file.
    identities: Vec<EntityId>,
    /// Where in the order of the file each identity stands; none where it has gone.
    places: Vec<Option<u32>>,
}

impl Store {
    /// The entity the whole file describes.
    #[must_use]
    pub fn root(&self) -> EntityId {
        self.identity(0)
    }

    /// An entity by its identity; `None` for one of another store.
    #[must_use]
    pub fn get(&self, id: EntityId) -> Option<&Entity> {
        if id.is_row() != self.table {
            return None;
        }
        match &self.aligned {
            None => self.entities.get(id.index()),
            Some(aligned) => self.entities.get((*aligned.places.get(id.index())?)? as usize),
        }
    }

    /// Fills in what follows from what is written, in fields where nothing is.
    pub(crate) fn fill_in(
        &mut self,
        entity_type: &'static EntityType,
        follows: impl Fn(&Entity) -> Vec<(u16, State)>,
    ) {
        for entity in self.entities.iter_mut().filter(|entity| entity.entity_type == entity_type) {
            for (slot, state) in follows(entity) {
                let absent = |slot: &&mut Slot| matches!(slot.state, State::Absent);
                if let Some(slot) = entity.slots.get_mut(usize::from(slot)).filter(absent) {
                    slot.state = state;
                }
            }
        }
    }

    /// What is written in a field of an entity; `None` where nothing is, or where the entity is of another type than the key.
    #[must_use]
    pub fn value<E: Typed, T: Decode>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<T> {
        self.get(id.into())?.get(key)
    }

    /// An entity as one of a type that the compiler knows; `None` where it is of another.
    #[must_use]
    pub fn as_a<E: Typed>(&self, id: EntityId) -> Option<Id<E>> {
        (self.get(id)?.entity_type == E::TYPE).then(|| Id::trusted(id))
    }

    /// Every entity of a type that the compiler knows, in the order of the file.
    pub fn every<E: Typed>(&self) -> impl Iterator<Item = Id<E>> {
        self.of_type(E::TYPE).map(Id::trusted)
    }

    /// Every identity that this store or one that it is aligned with has given, those that have gone included.
    pub(crate) fn identities(&self) -> impl Iterator<Item = EntityId> {
        let count = self.aligned.as_ref().map_or(self.entities.len(), |a| a.places.len());
        (0..count).map(|i| self.numbered(i))
    }

    /// The same entities, with the identities that they have in an earlier reading: an entity is the same where its type and the
    /// names on the way to it are. New ones get identities that were never used.
    #[must_use]
    pub fn aligned_with(mut self, earlier: &Self) -> Self {
        let mut known: BTreeMap<(Option<EntityId>, u16, Arc<str>), EntityId> = earlier
            .all()
            .map(|(id, entity)| ((entity.parent, entity.parent_slot, Arc::clone(&entity.name)), id))
            .collect();
        let mut count = earlier.identities().count();
        let mut identities: Vec<EntityId> = Vec::with_capacity(self.entities.len());
        // An entity stands behind the one that it is written in, so that one has its identity already.
        for entity in &self.entities {
            let parent = entity.parent.and_then(|p| identities.get(p.index()).copied());
            let key = (parent, entity.parent_slot, Arc::clone(&entity.name));
            let same = known.get(&key).copied();
            let same =
                same.filter(|id| earlier.get(*id).is_some_and(|e| e.entity_type == entity.entity_type));
            identities.push(same.unwrap_or_else(|| {
                count += 1;
                self.numbered(count - 1)
            }));
            known.remove(&key);
        }
        let renamed = |id: EntityId| identities.get(id.index()).copied().unwrap_or(id);
        let mut places = vec![None; count];
        for (place, entity) in (0_u32..).zip(&mut self.entities) {
            entity.parent = entity.parent.map(renamed);
            for slot in &mut entity.slots {
                match &mut slot.state {
                    State::Known(Value::Entity(id)) if !id.is_row() => *id = renamed(*id),
                    State::Known(Value::Entities(ids)) if !ids.iter().any(|id| id.is_row()) => {
                        *ids = ids.iter().map(|id| renamed(*id)).collect();
                    }
                    _ => {}
                }
            }
            let id = identities.get(place as usize);
            if let Some(at) = id.and_then(|id| places.get_mut(id.index())) {
                *at = Some(place);
            }
        }
        self.aligned = Some(Alignment { identities, places });
        self
    }

    /// Every entity, in the order of the file.
    pub fn all(&self) -> impl Iterator<Item = (EntityId, &Entity)> {
        self.entities.iter().enumerate().map(|(i, e)| (self.identity(i), e))
    }

    /// Every entity of one type, in the order of the file.
    pub fn of_type(&self, entity_type: &'static EntityType) -> impl Iterator<Item = EntityId> {
        self.all().filter(move |(_, e)| e.entity_type == entity_type).map(|(id, _)| id)
    }

    /// The keys that lead to an entity, joined by dots: `sections.av_bay.vents.statics`. Empty for the root.
    #[must_use]
    pub fn path(&self, id: EntityId) -> String {
        let mut parts: Vec<&str> = Vec::new();
        let mut at = Some(id);
        while let Some(entity) = at.and_then(|id| self.get(id)) {
            let Some(parent) = entity.parent.and_then(|p| self.get(p)) else { break };
            let key = parent.entity_type.field(entity.parent_slot).map_or("", |f| f.name);
            parts.push(&entity.name);
            if key != &*entity.name {
                parts.push(key);
            }
            at = entity.parent;
        }
        parts.reverse();
        parts.join(".")
    }

    /// The path of a field of an entity.
    #[must_use]
    pub fn field_path(&self, id: EntityId, slot: u16) -> String {
        let path = self.path(id);
        let entity = self.get(id);
        let name = entity.and_then(|e| e.entity_type.field(slot)).map_or("", |f| f.name);
        let measured = entity.is_some_and(|e| e.slot(slot).measured.is_some());
        let between = if measured { "measured." } else { "" };
        if path.is_empty() { name.to_owned() } else { format!("{path}.{between}{name}") }
    }

    /// The identity of the entity at a place in the order of the file.
    fn identity(&self, place: usize) -> EntityId {
        let aligned = self.aligned.as_ref().and_then(|a| a.identities.get(place).copied());
        aligned.unwrap_or_else(|| self.numbered(place))
    }

    fn numbered(&self, index: usize) -> EntityId {
        let bit = if self.table { EntityId::TABLE_BIT } else { 0 };
        EntityId(u32::try_from(index).unwrap_or(u32::MAX >> 1) | bit)
    }

    pub(super) fn next(&self) -> EntityId {
        self.numbered(self.entities.len())
    }

    /// Joins the entities of another table file to this one, moving their identities.
    pub(crate) fn absorb(&mut self, other: Self) {
        let by = u32::try_from(self.entities.len()).unwrap_or(0);
        for mut entity in other.entities {
            entity.parent = entity.parent.map(|p| EntityId(p.0 + by));
            for slot in &mut entity.slots {
                match &mut slot.state {
                    State::Known(Value::Entity(id)) if id.is_row() => *id = EntityId(id.0 + by),
                    State::Known(Value::Entities(ids)) => {
                        *ids = ids.iter().map(|id| EntityId(id.0 + by)).collect();
                    }
                    _ => {}
                }
            }
            self.entities.push(entity);
        }
    }

    pub(crate) fn tables() -> Self {
        Self { table: true, ..Self::default() }
    }
}
