//! What a quantity is to a rule.

use std::fmt;

use crate::quantity::Dimension;
use crate::vocabulary::{EntityType, Shape};

/// What a quantity is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Type {
    /// True or false.
    Truth,
    /// Free text.
    Text,
    /// Free texts.
    Texts,
    /// One of a fixed set of words.
    Word(&'static [&'static str]),
    /// A quantity of a dimension; a plain number has [`Dimension::NUMBER`].
    Quantity(Dimension),
    /// Several quantities.
    Quantities(Dimension),
    /// A date.
    Date,
    /// A place on a part; rules use its station.
    Position,
    /// An entity.
    Entity(&'static EntityType),
    /// Several entities.
    Entities(&'static EntityType),
    /// A curve of the second dimension against the first.
    Curve(Dimension, Dimension),
    /// A part of a file that no rule can look into.
    Raw,
}

impl Type {
    /// What a field of this shape is to a rule.
    #[must_use]
    pub fn of(shape: &Shape) -> Self {
        match shape {
            Shape::Measure(dimension, _) => Self::Quantity(*dimension),
            Shape::Measures(dimension, _) => Self::Quantities(*dimension),
            Shape::Number(_) | Shape::Count(_) => Self::Quantity(Dimension::NUMBER),
            Shape::Truth => Self::Truth,
            Shape::Text => Self::Text,
            Shape::Texts => Self::Texts,
            Shape::Date => Self::Date,
            Shape::Word(words) => Self::Word(words),
            Shape::Position => Self::Position,
            Shape::One(entity_type)
            | Shape::Measured(entity_type)
            | Shape::Refers(entity_type)
            | Shape::Row(entity_type) => Self::Entity(entity_type),
            Shape::Many(entity_type)
            | Shape::List(entity_type)
            | Shape::Listed(entity_type)
            | Shape::RefersAll(entity_type) => Self::Entities(entity_type),
            Shape::Curve(x, y) => Self::Curve(*x, *y),
            Shape::Raw => Self::Raw,
        }
    }
}

impl fmt::Display for Type {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Truth => f.write_str("a truth"),
            Self::Text => f.write_str("a text"),
            Self::Texts => f.write_str("a list of texts"),
            Self::Word(words) => write!(f, "one of the words {}", words.join(", ")),
            Self::Quantity(dimension) => f.write_str(&dimension.in_words()),
            Self::Quantities(dimension) => write!(f, "a list, each item {}", dimension.in_words()),
            Self::Date => f.write_str("a date"),
            Self::Position => f.write_str("a place on a part"),
            Self::Entity(entity_type) => write!(f, "{}", entity_type.with_article()),
            Self::Entities(entity_type) => write!(f, "a collection of {}", entity_type.name),
            Self::Curve(x, y) => write!(f, "a curve of {} against {}", y.in_words(), x.in_words()),
            Self::Raw => f.write_str("a part of a file"),
        }
    }
}
