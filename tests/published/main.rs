//! Checks of the library and its tables against published works; each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod aloft;
mod ascent;
mod atmosphere;
mod bending;
mod bond;
mod build_up;
mod charge;
mod drag;
mod drills;
mod fall;
mod flutter;
mod gas_cartridge;
mod igniter;
mod integrate;
mod lag;

mod landing;
mod loads;
mod materials;
mod motors;
mod parachute;
mod pins;
mod plates;
mod properties;
mod rule_table;
mod sheet;
mod snatch;
mod spread;
mod stability;
mod supersonic;
mod threads;
mod units;
mod vents;
mod whole_rocket;
mod wires;
