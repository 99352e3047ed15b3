//! What a builder lays out with tape and drill, and may lay out otherwise.

use super::{
    bulkhead, fastening, fin_slots, fin_tab, lid, motor_mount, rail_button, ring, rods, shear_pins, vent,
};
use crate::vocabulary::{AnyKey, EntityType};

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
