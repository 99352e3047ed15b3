//! Keys and identities that know the entity type they belong to, and the one place where a [`Value`] becomes a value of Rust.

use std::cmp::Ordering;
use std::fmt;
use std::marker::PhantomData;
use std::sync::Arc;

use super::{Date, EntityId, EntityType, Position, Value};
use crate::quantity::{
    Acceleration, Angle, Area, Current, Density, Dimensional, ElectricCharge, Energy, Force, Impulse, Length,
    Mass, Pressure, Quantity, Resistance, Speed, Styled, Temperature, TemperatureDifference, Time, Voltage,
    Volume,
};
use crate::yaml::NodeId;

/// An entity type as the compiler knows it; made by [`entity_types!`](crate::entity_types).
pub trait Typed: 'static {
    /// What may be written of it.
    const TYPE: &'static EntityType;
}

/// The identity of an entity whose type is known to the compiler.
pub struct Id<E> {
    id: EntityId,
    of: PhantomData<fn() -> E>,
}

impl<E> Id<E> {
    /// The identity of something that is known to be of the type.
    pub(crate) const fn trusted(id: EntityId) -> Self {
        Self { id, of: PhantomData }
    }

    /// The identity by itself.
    #[must_use]
    pub const fn any(self) -> EntityId {
        self.id
    }
}

impl<E> Clone for Id<E> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<E> Copy for Id<E> {}

impl<E> PartialEq for Id<E> {
    fn eq(&self, other: &Self) -> bool {
        self.id == other.id
    }
}

impl<E> Eq for Id<E> {}

impl<E> PartialEq<EntityId> for Id<E> {
    fn eq(&self, other: &EntityId) -> bool {
        self.id == *other
    }
}

impl<E> PartialOrd for Id<E> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<E> Ord for Id<E> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.id.cmp(&other.id)
    }
}

impl<E> fmt::Debug for Id<E> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.id.fmt(f)
    }
}

impl<E> From<Id<E>> for EntityId {
    fn from(id: Id<E>) -> Self {
        id.id
    }
}

/// What may be asked with a key of an entity type: an identity of that type, or one whose type is compared at run time.
pub trait IdOf<E>: Into<EntityId> + Copy {}

impl<E> IdOf<E> for Id<E> {}
impl<E> IdOf<E> for EntityId {}

/// The identities of several entities of one type.
pub struct Ids<E> {
    ids: Arc<[EntityId]>,
    of: PhantomData<fn() -> E>,
}

impl<E> Ids<E> {
    /// The identities of entities that are known to be of the type.
    pub(crate) fn trusted(ids: Arc<[EntityId]>) -> Self {
        Self { ids, of: PhantomData }
    }

    /// Each, in order.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = Id<E>> + ExactSizeIterator + '_ {
        self.ids.iter().map(|id| Id::trusted(*id))
    }

    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ids.len()
    }

    /// True when there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.ids.is_empty()
    }

    /// The two that there are; `None` where there are more or fewer.
    #[must_use]
    pub fn both(&self) -> Option<(Id<E>, Id<E>)> {
        match *self.ids {
            [first, second] => Some((Id::trusted(first), Id::trusted(second))),
            _ => None,
        }
    }

    /// True when one of them is this.
    #[must_use]
    pub fn contains(&self, id: Id<E>) -> bool {
        self.ids.contains(&id.any())
    }

    /// The identities by themselves.
    #[must_use]
    pub fn any(&self) -> &Arc<[EntityId]> {
        &self.ids
    }
}

impl<E> Clone for Ids<E> {
    fn clone(&self) -> Self {
        Self { ids: Arc::clone(&self.ids), of: PhantomData }
    }
}

impl<E> fmt::Debug for Ids<E> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.ids.fmt(f)
    }
}

/// The key of a field: it knows the entity type that has the field, and what the field is in Rust. Made by
/// [`entity_types!`](crate::entity_types).
///
/// ```
/// use holdpoint::{design::{Tube, tube}, quantity::Length, vocabulary::Key};
/// let key: Key<Tube, Length> = tube::inner_diameter;
/// ```
///
/// A length is no mass:
///
/// ```compile_fail,E0308
/// use holdpoint::{design::{Tube, tube}, quantity::Mass, vocabulary::Key};
/// let key: Key<Tube, Mass> = tube::inner_diameter;
/// ```
pub struct Key<E, T> {
    /// The slot of the field.
    pub slot: u16,
    of: PhantomData<fn() -> (E, T)>,
}

impl<E: Typed, T> Key<E, T> {
    #[doc(hidden)]
    #[must_use]
    pub const fn in_slot(slot: u16) -> Self {
        Self { slot, of: PhantomData }
    }

    /// The key without what the compiler knows of it.
    #[must_use]
    pub const fn any(self) -> AnyKey {
        AnyKey { entity_type: E::TYPE, slot: self.slot }
    }
}

impl<E, T> Clone for Key<E, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<E, T> Copy for Key<E, T> {}

impl<E: Typed, T> fmt::Debug for Key<E, T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", E::TYPE.name, E::TYPE.field(self.slot).map_or("", |field| field.name))
    }
}

/// The key of a field of any entity type, for lists of fields.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AnyKey {
    /// The kind that has the field.
    pub entity_type: &'static EntityType,
    /// Its slot.
    pub slot: u16,
}

/// A type of Rust that a field or a computed quantity may be.
pub trait Decode: Sized {
    /// The value as this type; `None` where it is of another.
    fn decode(value: &Value) -> Option<Self>;
}

macro_rules! decoded {
    ($( $type:ty: $pattern:pat => $value:expr; )*) => { $(
        impl Decode for $type {
            fn decode(value: &Value) -> Option<Self> {
                match value {
                    $pattern => Some($value),
                    _ => None,
                }
            }
        }
    )* };
}

decoded! {
    bool: Value::Truth(truth) => *truth;
    Arc<str>: Value::Text(text) => Arc::clone(text);
    Arc<[Arc<str>]>: Value::Texts(texts) => Arc::clone(texts);
    &'static str: Value::Word(word) => word;
    Quantity: Value::Quantity(quantity) => *quantity;
    Date: Value::Date(date) => *date;
    Position: Value::Position(position) => Position::clone(position);
    NodeId: Value::Raw(node) => *node;
}

macro_rules! quantities {
    ($($type:ident)*) => { $(
        impl Decode for $type {
            fn decode(value: &Value) -> Option<Self> {
                Styled::decode(value).map(Styled::value)
            }
        }
    )* };
}

quantities! { f64 Length Area Volume Mass Time Speed Acceleration Force Pressure Energy Impulse Density Angle Temperature
TemperatureDifference Current Voltage Resistance ElectricCharge }

impl Decode for u32 {
    fn decode(value: &Value) -> Option<Self> {
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "read as a whole number below a million"
        )]
        f64::decode(value).map(|count| count.round() as Self)
    }
}

impl<T: Dimensional> Decode for Styled<T> {
    fn decode(value: &Value) -> Option<Self> {
        match value {
            Value::Quantity(quantity) => Self::of(*quantity),
            _ => None,
        }
    }
}

/// One alone stands for a list of one.
impl<T: Dimensional> Decode for Vec<T> {
    fn decode(value: &Value) -> Option<Self> {
        let value_of = |quantity: &Quantity| Styled::of(*quantity).map(Styled::value);
        match value {
            Value::Quantities(all) => all.iter().map(value_of).collect(),
            Value::Quantity(one) => value_of(one).map(|one| vec![one]),
            _ => None,
        }
    }
}

impl<X: Dimensional, Y: Dimensional> Decode for Vec<(X, Y)> {
    fn decode(value: &Value) -> Option<Self> {
        match value {
            Value::Curve(pairs) => {
                pairs.iter().map(|(x, y)| Some((Styled::of(*x)?.value(), Styled::of(*y)?.value()))).collect()
            }
            _ => None,
        }
    }
}

impl<E> Decode for Id<E> {
    fn decode(value: &Value) -> Option<Self> {
        match value {
            Value::Entity(id) => Some(Self::trusted(*id)),
            _ => None,
        }
    }
}

impl<E> Decode for Ids<E> {
    fn decode(value: &Value) -> Option<Self> {
        match value {
            Value::Entities(ids) => Some(Self::trusted(Arc::clone(ids))),
            Value::Entity(one) => Some(Self::trusted(Arc::from([*one]))),
            _ => None,
        }
    }
}
