//! What a builder lays out with tape and drill, and may lay out otherwise.

use super::{
    bulkhead, fastening, fin_slots, fin_tab, lid, motor_mount, rail_button, ring, rods, shear_pins, vent,
};
use crate::vocabulary::{Key, Kind};

/// The fields that a remedy may set without asking: holes, slots, places and counts of what is made by hand, which can be
/// proved on paper. Not among them, because a person must look, choose or test first: masses and materials, the
/// measures of bought parts, motors, charges, the pins that a charge must shear, wiring, and whatever was measured.
pub const MAY_BE_SET: &[Key] = &[
    vent::count,
    vent::diameter,
    vent::at,
    ring::at,
    ring::outer_diameter,
    ring::inner_diameter,
    bulkhead::at,
    bulkhead::outer_diameter,
    lid::recess,
    rods::length,
    fin_slots::count,
    fin_slots::length,
    fin_slots::width,
    fin_slots::aft_end,
    fin_tab::length,
    fin_tab::depth,
    rail_button::at,
    shear_pins::at,
    fastening::at,
    fastening::count,
    motor_mount::aft_end,
];

/// Whether a remedy may set a field without asking.
#[must_use]
pub fn may_be_set(kind: &'static Kind, slot: u16) -> bool {
    MAY_BE_SET.iter().any(|key| key.kind == kind && key.slot == slot)
}
