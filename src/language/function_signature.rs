//! What a function of the language is: what it takes, what it gives, and what it may look at.

use crate::model::{Access, EvalContext, Model, Outcome, Read, Type, Unknown};
use crate::quantity::{Dimension as D, Quantity};
use crate::vocabulary::{EntityId, Value};

/// What a function takes.
#[derive(Clone, Copy, Debug)]
pub enum Parameter {
    /// A quantity of one dimension.
    Quantity(D),
    /// A quantity of any dimension, the same for all parameters of this sort.
    AnyQuantity,
    /// An entity with a fore and an aft end on the rocket.
    Placed,
    /// An entity of a type.
    Entity(&'static str),
    /// An entity of any type.
    AnyEntity,
    /// A day.
    Date,
    /// A text or a word.
    Text,
    /// A list of texts.
    Texts,
    /// A list of quantities of any dimension.
    Quantities,
    /// Where a value is looked up, the last of all: pairs that are written out, a column of a table or a curve. What is found
    /// there is what the function gives.
    Pairs,
}

impl Parameter {
    pub(super) fn in_words(self, first: Option<D>) -> String {
        match self {
            Self::Quantity(dimension) => dimension.in_words(),
            Self::AnyQuantity => first.map_or_else(|| "a quantity".to_owned(), D::in_words),
            Self::Placed => "a part with a fore and an aft end".to_owned(),
            Self::Entity(entity_type) => format!("a {entity_type}"),
            Self::AnyEntity => "a part".to_owned(),
            Self::Date => "a date".to_owned(),
            Self::Text => "a text".to_owned(),
            Self::Texts => "a list of texts".to_owned(),
            Self::Quantities => "a list of quantities".to_owned(),
            Self::Pairs => "pairs of quantities".to_owned(),
        }
    }
}

/// A function of the language.
pub struct Function {
    /// Its name.
    pub name: &'static str,
    /// What it gives, in a sentence.
    pub doc: &'static str,
    /// What it takes.
    pub parameters: &'static [Parameter],
    /// What it gives, by the dimension of the argument that may be any quantity; none where it has no meaning.
    pub gives: fn(Option<D>) -> Option<Type>,
    /// Works it out.
    pub call: fn(&Calling<'_>, &[Value]) -> Outcome<Value>,
}

impl std::fmt::Debug for Function {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.name)
    }
}

/// What a function may look at, and where it notes what it read.
pub struct Calling<'m> {
    pub(super) model: &'m Model<'m>,
    pub(super) ctx: Option<&'m EvalContext<'m>>,
    pub(super) reads: std::cell::RefCell<Vec<Read>>,
}

impl<'m> Calling<'m> {
    pub(super) fn model(&self) -> &'m Model<'m> {
        self.model
    }

    pub(super) fn read(&self, entity: EntityId, access: Access) -> Outcome<Value> {
        let read = Read { entity, access };
        self.reads.borrow_mut().push(read);
        let value = self.model.read(read);
        if let Some(ctx) = self.ctx {
            ctx.note(read, &value);
        }
        value
    }

    pub(super) fn station(&self, entity: EntityId, name: &str) -> Outcome<f64> {
        let entity_type = self.model.entity(entity).map(|e| e.entity_type);
        let number =
            entity_type.and_then(|k| self.model.catalogue().computed(k).iter().position(|e| e.name == name));
        let number = number.and_then(|n| u16::try_from(n).ok());
        let number = number.ok_or_else(|| Unknown::refused("the part has no place along the rocket", []))?;
        match self.read(entity, Access::Computed(number))? {
            Value::Quantity(quantity) => Ok(quantity.si),
            _ => Err(Unknown::refused("the part has no place along the rocket", [])),
        }
    }
}

pub(super) fn length(_: Option<D>) -> Option<Type> {
    Some(Type::Quantity(D::LENGTH))
}

pub(super) fn truth(_: Option<D>) -> Option<Type> {
    Some(Type::Truth)
}

pub(super) fn text(_: Option<D>) -> Option<Type> {
    Some(Type::Text)
}

pub(super) fn as_given(dimension: Option<D>) -> Option<Type> {
    dimension.filter(|d| !d.is_absolute()).map(Type::Quantity)
}

pub(super) fn quantity(values: &[Value], at: usize) -> Quantity {
    match values.get(at) {
        Some(Value::Quantity(quantity)) => *quantity,
        _ => Quantity::number(0.0),
    }
}

pub(super) fn entity_at(values: &[Value], at: usize) -> Outcome<EntityId> {
    match values.get(at) {
        Some(Value::Entity(id)) => Ok(*id),
        _ => Err(Unknown::refused("there is no such part", [])),
    }
}

pub(super) fn unworkable(reason: impl std::fmt::Display) -> Unknown {
    Unknown::refused(reason.to_string(), [])
}
