//! Every function of the trade's computations over its whole range: a number or a refusal, without jumps, and growing where physics does.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod airframe;
mod edge;
mod flights;
mod listed;
mod numbers;
mod recovery;
mod sweep;
mod workshop;
