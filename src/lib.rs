//! Holdpoint reviews the design of a hand-built high-power rocket.
//!
//! Each module here is a layer, and imports only from lower ones; `DEVELOPERS.md` lists them, the lowest first.

// Numbers come out the same on every system: see clippy.toml.
#![cfg_attr(not(test), deny(clippy::disallowed_methods))]

pub mod commands;
pub mod design;
pub mod engineering;
pub mod language;
pub mod language_server;
pub mod model;
pub mod quantity;
pub mod report;
pub mod review;
pub mod rules;
pub mod tables;
pub mod vocabulary;
pub mod yaml;
