//! Which system of units values are written in, counted.

use crate::design::Design;
use crate::quantity::System;
use crate::vocabulary::{State, Value};

/// How many values of a design are written in customary units, and how many in metric ones.
pub(super) fn unit_systems(design: &Design) -> (u32, u32) {
    let mut seen = (0, 0);
    for (_, entity) in design.store.all() {
        for slot in (0..).take(entity.entity_type.fields.len()) {
            let (customary, metric) = unit_systems_of(&entity.slot(slot).state);
            seen = (seen.0 + customary, seen.1 + metric);
        }
    }
    seen
}

/// The same of one field.
pub(super) fn unit_systems_of(state: &State) -> (u32, u32) {
    match state {
        State::Known(Value::Quantity(quantity)) => counted((0, 0), quantity.style.system),
        State::Known(Value::Position(position)) => counted((0, 0), position.distance.style.system),
        _ => (0, 0),
    }
}

/// Customary and metric values counted, one more seen.
pub(super) fn counted(seen: (u32, u32), system: System) -> (u32, u32) {
    match system {
        System::Imperial => (seen.0 + 1, seen.1),
        System::Metric => (seen.0, seen.1 + 1),
        System::Unknown => seen,
    }
}

/// The system that was seen more often; none where they are even.
pub(super) fn majority(seen: (u32, u32)) -> Option<System> {
    match seen.0.cmp(&seen.1) {
        std::cmp::Ordering::Greater => Some(System::Imperial),
        std::cmp::Ordering::Less => Some(System::Metric),
        std::cmp::Ordering::Equal => None,
    }
}
