//! Round plates that are pulled at their middle: the bending stress at the rim of a stiff washer.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite};
use crate::quantity::Length;

/// Poisson's ratio ν of usual plates: 0.3 for metals, near it for laminates along both their directions.
const POISSON: f64 = 0.3;

/// How the rim of a plate is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// It may turn: a lid that lies on the end of a tube, a glued disc.
    SimplySupported,
    /// It cannot turn.
    Clamped,
}

/// Bending stress σ = β W/t² of a plate of thickness t that is held along a circle of diameter D and pulled with W at a stiff washer
/// of diameter d in its middle, which cannot tilt: β at the rim of the washer, where it is greatest.
///
/// With ρ = d/D: β = 3/(2π) |1 − κ/ρ²|, κ = (2 − 2 (1 + ν) ln ρ)/((1 + ν)/ρ² + 1 − ν) for an edge that may turn, κ = −2 ln
/// ρ/(1/ρ² − 1) for one that may not. Range: thin plates of one stiffness in all directions, t below a quarter of the radius, a
/// deflection below half of t. Source: Kirchhoff's plate, solved for a ring load at a guided inner edge (Timoshenko &
/// Woinowsky-Krieger, Theory of Plates and Shells, chapter 3, from memory for the equation).
///
/// # Errors
/// A size that is not above zero, a washer that is not smaller than the plate.
pub fn hub_factor(plate: Length, washer: Length, edge: Edge) -> Result<f64, Unworkable> {
    let outer = above_zero("the diameter of the plate", plate.si())?;
    let inner = above_zero("the diameter of the washer", washer.si())?;
    if inner >= outer {
        return Err(Unworkable::because("the washer is not smaller than the plate"));
    }
    let share = inner / outer;
    let log = libm::log(share);
    let square = share * share;
    let turned = match edge {
        Edge::SimplySupported => {
            (2.0 - 2.0 * (1.0 + POISSON) * log) / ((1.0 + POISSON) / square + 1.0 - POISSON)
        }
        Edge::Clamped => -2.0 * log / (1.0 / square - 1.0),
    };
    finite("the factor of the plate", 3.0 / (2.0 * PI) * (1.0 - turned / square).abs())
}
