//! Holdpoint reviews the design of a hand-built high-power rocket.
//!
//! The rooms of the house, ground floor first; a room imports only from rooms above it in this list.

pub mod commands;
pub mod design;
pub mod engineering;
pub mod language;
pub mod model;
pub mod quantity;
pub mod report;
pub mod review;
pub mod rules;
pub mod tables;
pub mod text;
pub mod vocabulary;
