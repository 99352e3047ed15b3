//! From any entity in the file to the drawn part that stands for it.

use super::Drawing;
use crate::design::{
    Altimeter, BATTERY, CHARGE, CIRCUIT, GROUND_TEST, HARNESS, MOTOR_MOUNT, SECTION, SWITCH, altimeter,
    charge, circuit, ground_test, harness, motor_mount, section,
};
use crate::report::reading::Reading;
use crate::vocabulary::{EntityId, Id};

/// More steps than any chain of entities is long; a file may refer in circles.
const MOST_STEPS: u32 = 12;

pub(super) fn number_of(drawing: &Drawing, reading: Reading<'_>, id: EntityId) -> Option<usize> {
    let mut at = id;
    for _ in 0..MOST_STEPS {
        if let Some(place) = drawing.parts.iter().position(|p| p.id == at) {
            return Some(place + 1);
        }
        at = next(reading, at)?;
    }
    None
}

/// What stands for an entity that is not drawn: what it acts on, else the entity that it is part of.
fn next(reading: Reading<'_>, id: EntityId) -> Option<EntityId> {
    let model = reading.model;
    let entity = model.entity(id)?;
    let entity_type = entity.entity_type;
    let acts_on = if entity_type == &SECTION {
        let tube = reading.part(id, section::tube).map(Id::any);
        tube.or_else(|| reading.part(id, section::coupler).map(Id::any))
            .or_else(|| reading.part(id, section::nose_cone).map(Id::any))
            .or_else(|| reading.part(id, section::transition).map(Id::any))
            .or_else(|| reading.part(id, section::boat_tail).map(Id::any))
    } else if entity_type == &MOTOR_MOUNT {
        reading.part(id, motor_mount::tube).map(Id::any)
    } else if entity_type == &CHARGE {
        reading.part(id, charge::joint).map(Id::any)
    } else if entity_type == &GROUND_TEST {
        reading.part(id, ground_test::joint).map(Id::any)
    } else if entity_type == &CIRCUIT {
        let lid = reading.part(id, circuit::lid).map(Id::any);
        lid.or_else(|| reading.part(id, circuit::altimeter).map(Id::any))
    } else if entity_type == &HARNESS {
        reading.entities(id, harness::between).first().copied()
    } else if entity_type == &BATTERY || entity_type == &SWITCH {
        let fed = model.design().store.every::<Altimeter>().find(|one| {
            reading.part(*one, altimeter::battery).is_some_and(|battery| battery == id)
                || reading.part(*one, altimeter::switch).is_some_and(|switch| switch == id)
        });
        fed.map(Id::any).and_then(|one| model.holder(one, &SECTION))
    } else {
        None
    };
    acts_on.or(entity.parent)
}
