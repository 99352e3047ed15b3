//! What a builder lays out with tape and drill, and may lay out otherwise.

use super::{
    AS_BUILT, BEFORE_CLOSING, BOND, CHARGE, GROUND_TEST, bulkhead, fastening, fin_slots, fin_tab, lid, motor,
    motor_mount, rail_button, ring, rods, shear_pins, vent,
};
use crate::quantity::Dimension;
use crate::vocabulary::{AnyKey, EntityType, Shape};

/// The fields that a remedy may set without asking: holes, slots, places and counts of what is made by hand, which can be
/// proved on paper. Not among them, because a person must look, choose or test first: masses and materials, the
/// measures of bought parts, motors, charges, the pins that a charge must shear, wiring, and whatever was measured.
pub const MAY_BE_SET: &[AnyKey] = &[
    vent::count.any(),
    vent::diameter.any(),
    vent::at.any(),
    ring::at.any(),
    ring::outer_diameter.any(),
    ring::inner_diameter.any(),
    bulkhead::at.any(),
    bulkhead::outer_diameter.any(),
    lid::recess.any(),
    rods::length.any(),
    fin_slots::count.any(),
    fin_slots::length.any(),
    fin_slots::width.any(),
    fin_slots::aft_end.any(),
    fin_tab::length.any(),
    fin_tab::depth.any(),
    rail_button::at.any(),
    shear_pins::at.any(),
    fastening::at.any(),
    fastening::count.any(),
    motor_mount::aft_end.any(),
];

/// Whether a remedy may set a field without asking.
#[must_use]
pub fn may_be_set(entity_type: &'static EntityType, slot: u16) -> bool {
    MAY_BE_SET.iter().any(|key| key.entity_type == entity_type && key.slot == slot)
}

/// The types that say how something was made, treated, tried or weighed, and the charge, which only a test on the ground proves.
const FACTS: &[&EntityType] = &[&AS_BUILT, &BEFORE_CLOSING, &BOND, &CHARGE, &GROUND_TEST];

/// Whether a field is written by a person alone, whatever a remedy says: what was done, seen, weighed or pulled until it broke, which
/// no program can make so, and all of a charge. What is left to remedies is what a builder chooses: a size, a place, a count, a
/// setting, a sort to buy.
#[must_use]
pub fn is_for_a_person(entity_type: &'static EntityType, slot: u16) -> bool {
    let is_told = entity_type.field(slot).is_some_and(|field| match field.shape {
        Shape::Truth => true,
        Shape::Measure(dimension, _) => matches!(dimension, Dimension::MASS | Dimension::FORCE),
        _ => false,
    });
    let own_charge = motor::ejection_charge.any();
    let is_own_charge = own_charge.entity_type == entity_type && own_charge.slot == slot;
    is_told || is_own_charge || FACTS.contains(&entity_type)
}
