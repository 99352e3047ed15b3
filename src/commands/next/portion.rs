//! The values of a step in portions: those of the first step as they are measured, those of later steps part by part, so that each
//! answer comes after a few values.

use super::outline::{Content, Item};
use crate::design::{
    ALTIMETER, BATTERY, BEFORE_CLOSING, BOND, BULKHEAD, CHARGE, CIRCUIT, FIN_SLOTS, FINS, FLIGHT, HARNESS,
    JOINT, LID, LINK, MOTOR, MOTOR_MOUNT, NOSE_CONE, PARACHUTE, RAIL_BUTTON, ROCKET, SECTION, SWITCH,
    TERMINAL,
};
use crate::rules::HoldPoint;
use crate::vocabulary::{EntityId, EntityType, Field, Shape, Store};

/// So many values of a later step are asked for at a time; a part is not divided.
pub(super) const MOST_AT_ONCE: usize = 15;

/// The parts in the order in which a step asks for their values: first those that settle the most. What the rocket weighs, whether it is
/// stable and how it flies hangs on the first three lines; what bears and holds comes after, what is joined on the day last.
const ORDER: &[&[&EntityType]] = &[
    &[&PARACHUTE],
    &[&NOSE_CONE, &FINS, &FIN_SLOTS, &MOTOR],
    &[&RAIL_BUTTON, &FLIGHT],
    &[&MOTOR_MOUNT],
    &[&HARNESS, &LINK, &CHARGE, &ALTIMETER],
    &[&LID, &BULKHEAD],
    &[&BOND, &BEFORE_CLOSING],
    &[&SECTION],
    &[&JOINT],
    &[&BATTERY, &SWITCH],
    &[&CIRCUIT, &TERMINAL],
];

/// The place of a part in the order: that of the nearest part around it that is listed; after all others where there is none.
pub(super) fn turn(store: &Store, id: EntityId) -> usize {
    let mut at = Some(id);
    while let Some(entity) = at.and_then(|id| store.get(id)) {
        if let Some(turn) = ORDER.iter().position(|types| types.contains(&entity.entity_type)) {
            return turn;
        }
        at = entity.parent;
    }
    ORDER.len()
}

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

/// An outline without its questions: the parts alone, and the values that are written in as usual.
pub(super) fn without_questions(outline: &[Item]) -> Vec<Item> {
    let mut all = outline.to_vec();
    all.retain(|item| item.content != Content::Ask);
    for item in &mut all {
        if let Content::Part(children) = &mut item.content {
            *children = without_questions(children);
        }
    }
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
