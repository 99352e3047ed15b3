//! What a design says that no rule can check: it is taken on its author's word, and every report shows it.

use super::{drag, fins, parachute, rocket, shear_pins, vent};
use crate::vocabulary::AnyKey;

/// What stands behind a value that nobody was asked for, until somebody has looked.
pub const GRANTED: &str = "# taken for granted: check it";

/// How many lines of a design bear that mark.
#[must_use]
pub fn granted_lines(text: &str) -> usize {
    text.lines().filter(|line| line.ends_with(GRANTED)).count()
}

/// The fields that let a rule be kept by words, or stand in place of what is worked out.
pub const ON_WORD: &[AnyKey] = &[
    vent::because.any(),
    shear_pins::because.any(),
    rocket::roughness.any(),
    rocket::stated_centre_of_pressure.any(),
    drag::coefficient.any(),
    drag::against_mach.any(),
    drag::while_burning.any(),
    fins::shear_modulus.any(),
    parachute::speed_at_opening.any(),
];
