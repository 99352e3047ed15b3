//! Fields of a model by keys that know their types.

use super::Model;
use crate::design::Rocket;
use crate::quantity::{Dimensional, Quantity, Styled};
use crate::vocabulary::{Decode, EntityId, Id, IdOf, Key, Typed, Value};

impl Model<'_> {
    /// The rocket, as the compiler knows it.
    #[must_use]
    pub fn rocket(&self) -> Id<Rocket> {
        Id::trusted(self.root())
    }

    /// An entity as one of a type that the compiler knows; `None` where it is of another.
    #[must_use]
    pub fn as_a<E: Typed>(&self, id: EntityId) -> Option<Id<E>> {
        (self.entity(id)?.entity_type == E::TYPE).then(|| Id::trusted(id))
    }

    /// Every entity of a type that the compiler knows, in the order of the file.
    #[must_use]
    pub fn every<E: Typed>(&self) -> Vec<Id<E>> {
        self.all_of(E::TYPE).iter().copied().map(Id::trusted).collect()
    }

    /// What a field is; `None` where it is not known, or where the entity is of another type than the key.
    #[must_use]
    pub fn get<E: Typed, T: Decode>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<T> {
        self.get_as(id, key)
    }

    /// The same as another type of Rust: as a quantity that keeps its unit.
    fn get_as<E: Typed, T, U: Decode>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<U> {
        U::decode(&self.value(id, key)?)
    }

    /// What a field is, whatever that may be; `None` where it is not known, or where the entity is of another type than the
    /// key.
    #[must_use]
    pub fn value<E: Typed, T>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<Value> {
        let id: EntityId = id.into();
        if self.entity(id)?.entity_type != E::TYPE {
            return None;
        }
        self.field(id, key.slot).ok()
    }

    /// A quantity with the author's unit; `None` where it is not known, or where the entity is of another type than the key.
    #[must_use]
    pub fn quantity<E: Typed, T: Dimensional>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<Quantity> {
        self.get_as(id, key).map(Styled::<T>::quantity)
    }
}
