//! Values as they stand in a record.

use std::sync::Arc;

use super::{EntityId, Position};
use crate::quantity::Quantity;
use crate::yaml::NodeId;

/// A calendar date.
pub type Date = jiff::civil::Date;

/// A value of a field or of an expression.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// True or false.
    Truth(bool),
    /// Free text.
    Text(Arc<str>),
    /// Free texts.
    Texts(Arc<[Arc<str>]>),
    /// One of the words of a fixed set.
    Word(&'static str),
    /// A number or a quantity with its dimension.
    Quantity(Quantity),
    /// Several quantities.
    Quantities(Arc<[Quantity]>),
    /// A calendar date.
    Date(Date),
    /// A place measured with a tape.
    Position(Arc<Position>),
    /// Another entity.
    Entity(EntityId),
    /// Several other entities.
    Entities(Arc<[EntityId]>),
    /// Pairs of quantities.
    Curve(Arc<[(Quantity, Quantity)]>),
    /// A part of the file that its reader looks into.
    Raw(NodeId),
}

impl Value {
    /// True when every number in it is one: none is infinite, and none is the result of a sum that has no answer.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        match self {
            Self::Quantity(quantity) => quantity.si.is_finite(),
            Self::Quantities(all) => all.iter().all(|quantity| quantity.si.is_finite()),
            Self::Position(position) => position.distance.si.is_finite(),
            Self::Curve(points) => points.iter().all(|(x, y)| x.si.is_finite() && y.si.is_finite()),
            Self::Truth(_)
            | Self::Text(_)
            | Self::Texts(_)
            | Self::Word(_)
            | Self::Date(_)
            | Self::Entity(_)
            | Self::Entities(_)
            | Self::Raw(_) => true,
        }
    }
}
