//! The values of the first step in portions, as they are measured: so the first answer comes after a few values.

use super::outline::{Content, Item};
use crate::design::{MOTOR, ROCKET};
use crate::rules::HoldPoint;
use crate::vocabulary::{EntityType, Field, Shape};

/// What of the first step is asked for: each portion holds those before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::commands) enum Portion {
    /// What a calliper measures: whether the parts go into each other.
    Diameters,
    /// What a tape measures, and what the parts are made of.
    Lengths,
    /// What a scale and the motor's data sheet tell.
    All,
}

impl Portion {
    /// Every portion, in the order in which they are asked for.
    pub(super) const EACH: [Self; 3] = [Self::Diameters, Self::Lengths, Self::All];

    /// The portion that a value belongs to.
    pub(super) fn of(entity_type: &EntityType, field: &Field) -> Self {
        if matches!(field.shape, Shape::One(_) | Shape::Many(_)) || field.name.ends_with("diameter") {
            Self::Diameters
        } else if entity_type.name == MOTOR.name || field.name == "mass" {
            Self::All
        } else {
            Self::Lengths
        }
    }
}

/// An outline without the questions of the first step that belong to later portions.
pub(in crate::commands) fn portioned(outline: &[Item], portion: Portion) -> Vec<Item> {
    let mut all = outline.to_vec();
    keep(&ROCKET, &mut all, portion);
    all
}

fn keep(entity_type: &'static EntityType, items: &mut Vec<Item>, portion: Portion) {
    let field = |key: &str| entity_type.slot(key).and_then(|slot| entity_type.field(slot));
    items.retain(|item| {
        item.due > HoldPoint::Parts
            || item.content != Content::Ask
            || field(&item.key).is_none_or(|field| Portion::of(entity_type, field) <= portion)
    });
    for item in items {
        let shape = field(&item.key).map(|field| &field.shape);
        let Content::Part(children) = &mut item.content else { continue };
        match shape {
            Some(Shape::One(inner)) => keep(inner, children, portion),
            Some(Shape::Many(inner)) => {
                for child in children {
                    if let Content::Part(fields) = &mut child.content {
                        keep(inner, fields, portion);
                    }
                }
            }
            _ => {}
        }
    }
}
