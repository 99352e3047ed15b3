//! Checks of the library and its tables against published works; each check names its source.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod ascent;
mod atmosphere;
mod bond;
mod charge;
mod drills;
mod integrate;
mod lag;
mod pins;
mod rule_table;
mod sheet;
mod threads;
mod units;
mod vents;
