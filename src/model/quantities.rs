//! The quantities that Rust works out, by topic, and the catalogue of them.

use super::{
    AnyComputed, Catalogue, airflow, ascent, balance, bays, bending, bonds, charges, descent,
    drag_coefficient, flight_pull, flutter, hole_gaps, holes, joints, landing, load_path, margin_in_flight,
    masses, measured_parts, motor_mount, motors, openings, packing, parts_balance, snatch, stations,
    vent_flow,
};
use crate::design::ROCKET;

/// The quantities that Rust works out, by topic.
const COMPUTED: &[&[&dyn AnyComputed]] = &[
    stations::COMPUTED,
    measured_parts::COMPUTED,
    joints::COMPUTED,
    holes::COMPUTED,
    hole_gaps::COMPUTED,
    bays::COMPUTED,
    vent_flow::COMPUTED,
    charges::COMPUTED,
    snatch::COMPUTED,
    masses::COMPUTED,
    balance::COMPUTED,
    margin_in_flight::COMPUTED,
    flight_pull::COMPUTED,
    airflow::COMPUTED,
    drag_coefficient::COMPUTED,
    motors::COMPUTED,
    ascent::COMPUTED,
    descent::COMPUTED,
    landing::COMPUTED,
    flutter::COMPUTED,
    parts_balance::COMPUTED,
    packing::COMPUTED,
    motor_mount::COMPUTED,
    load_path::COMPUTED,
    bonds::COMPUTED,
    openings::COMPUTED,
    bending::COMPUTED,
];

/// The catalogue before any pack adds to it.
#[must_use]
pub fn catalogue() -> Catalogue {
    Catalogue::new(&ROCKET, COMPUTED)
}
