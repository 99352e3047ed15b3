//! The trade's computations: pure functions of plain quantities, one topic a file.
//!
//! Nothing here knows a design file or a rule. Every function gives its symbols, its units (SI inside the quantity types),
//! the range where it holds, its errors and its source. Inputs that make no sense come back as [`Unworkable`].

use std::fmt;

pub mod ascent;
pub mod atmosphere;
pub mod bending;
pub mod bond;
pub mod charge;
pub mod constant_thrust;
pub mod drag;
pub mod fall;
pub mod flutter;
pub mod gas_cartridge;
pub mod igniter;
pub mod integrate;
pub mod lag;
pub mod landing;
pub mod landing_ellipse;
pub mod loads;
pub mod motors;
pub mod nose;
pub mod parachute;
pub mod pins;
pub mod planform;
pub mod plate;
mod power_tables;
pub mod sample_statistics;
pub mod snatch;
pub mod sobol;
pub mod stability;
pub mod supersonic;
pub mod thrust;
pub mod venting;

/// Standard acceleration of free fall g₀, 9.80665 m/s² (3rd General Conference on Weights and Measures, 1901).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// The inputs are all there but make no sense together, or lie outside the range where the method holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unworkable {
    /// What is wrong, as a clause without a full stop; numbers are left to the caller, who knows the author's units.
    pub reason: String,
}

impl Unworkable {
    /// An error with its reason.
    #[must_use]
    pub fn because(reason: impl Into<String>) -> Self {
        Self { reason: reason.into() }
    }
}

impl fmt::Display for Unworkable {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.reason)
    }
}

impl std::error::Error for Unworkable {}

/// The value where it is finite and above zero.
fn above_zero(what: &str, value: f64) -> Result<f64, Unworkable> {
    if value.is_finite() && value > 0.0 {
        Ok(value)
    } else {
        Err(Unworkable::because(format!("{what} must be more than zero")))
    }
}

/// The value where it is finite and not below zero.
fn zero_or_more(what: &str, value: f64) -> Result<f64, Unworkable> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(Unworkable::because(format!("{what} must not be less than zero")))
    }
}

/// The value where it is finite.
fn finite(what: &str, value: f64) -> Result<f64, Unworkable> {
    if value.is_finite() {
        Ok(value)
    } else {
        Err(Unworkable::because(format!("{what} is beyond what can be computed")))
    }
}

/// The count as a number, where it is not zero.
fn at_least_one(what: &str, count: u32) -> Result<f64, Unworkable> {
    if count > 0 {
        Ok(f64::from(count))
    } else {
        Err(Unworkable::because(format!("there must be at least one {what}")))
    }
}
