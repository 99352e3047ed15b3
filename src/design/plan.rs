//! What a builder lays out with tape and drill, and may lay out otherwise.

use super::{
    CHARGE, bulkhead, fastening, fin_slots, fin_tab, lid, motor, motor_mount, rail_button, ring, rods,
    shear_pins, vent,
};
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

/// Whether a field is written by a person alone, whatever a remedy says: what was done or seen, which a truth says and no program
/// can make so, and all of a charge, which only a test on the ground proves.
#[must_use]
pub fn is_for_a_person(entity_type: &'static EntityType, slot: u16) -> bool {
    let is_truth = entity_type.field(slot).is_some_and(|field| matches!(field.shape, Shape::Truth));
    let own_charge = motor::ejection_charge.any();
    let is_own_charge = own_charge.entity_type == entity_type && own_charge.slot == slot;
    is_truth || is_own_charge || entity_type == &CHARGE
}
