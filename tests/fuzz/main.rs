//! Random inputs, many of them: nothing panics, nothing goes on without end, and what is promised of any input holds.
//!
//! `cargo test` takes a few hundred inputs of each target, the same ones each time. `FUZZ_SECONDS=600` goes on with each target for so
//! long, from `FUZZ_SEED`; `FUZZ_AGAIN` takes one input again, as a failure names it. `DEVELOPERS.md` has the command.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::indexing_slicing,
    reason = "a test may panic, and says how much it did"
)]

mod choices;
mod clubs;
mod corpus;
mod decided;
mod designs;
mod driver;
mod generated;
mod language;
mod measures;
mod messages;
#[path = "../helpers/plain_tree.rs"]
mod plain_tree;
mod respelled;
mod trees;
