//! From any thing in the file to the drawn part that stands for it.

use super::Drawing;
use crate::design::{
    ALTIMETER, BATTERY, CHARGE, CIRCUIT, GROUND_TEST, HARNESS, MOTOR_MOUNT, SECTION, SWITCH, altimeter,
    charge, circuit, ground_test, harness, motor_mount, section,
};
use crate::report::reading::Reading;
use crate::vocabulary::EntityId;

/// More steps than any chain of things is long; a file may refer in circles.
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

/// What stands for a thing that is not drawn: what it acts on, else the thing that it is part of.
fn next(reading: Reading<'_>, id: EntityId) -> Option<EntityId> {
    let model = reading.model;
    let entity = model.entity(id)?;
    let kind = entity.kind;
    let acts_on = if kind == &SECTION {
        [section::tube, section::coupler, section::nose_cone, section::transition, section::boat_tail]
            .into_iter()
            .find_map(|key| reading.part(id, key))
    } else if kind == &MOTOR_MOUNT {
        reading.part(id, motor_mount::tube)
    } else if kind == &CHARGE {
        reading.part(id, charge::joint)
    } else if kind == &GROUND_TEST {
        reading.part(id, ground_test::joint)
    } else if kind == &CIRCUIT {
        reading.part(id, circuit::lid).or_else(|| reading.part(id, circuit::altimeter))
    } else if kind == &HARNESS {
        reading.things(id, harness::between).first().copied()
    } else if kind == &BATTERY || kind == &SWITCH {
        let key = if kind == &BATTERY { altimeter::battery } else { altimeter::switch };
        let fed = model.design().store.of_kind(&ALTIMETER).find(|one| reading.part(*one, key) == Some(id));
        fed.and_then(|one| model.holder(one, &SECTION))
    } else {
        None
    };
    acts_on.or(entity.parent)
}
