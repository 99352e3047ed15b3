//! Shear pins: what they hold, and what pulls at the joint before the charge does.
//!
//! The strength of nylon screws spreads by some 30 % and falls as they take up moisture. Use the upper strength to size what must break the
//! pins and the lower one for what they must hold.

use super::{Unworkable, above_zero, at_least_one, charge, finite, zero_or_more};
use crate::quantity::{Acceleration, Area, Force, Length, Mass, Pressure};

/// Load F at which n pins in single shear let go: F = n τ A, with the root area A of the thread and the shear strength τ.
///
/// Holds for pins that share the load and are cut across the thread; fewer than three share it badly. Source: average shear
/// stress, strength of materials; root area as in ASME B1.1's tables.
///
/// # Errors
/// No pin, an area or a strength that is not above zero.
pub fn shear_load(pins: u32, root_area: Area, strength: Pressure) -> Result<Force, Unworkable> {
    let n = at_least_one("shear pin", pins)?;
    let a = above_zero("the root area of the thread", root_area.si())?;
    let tau = above_zero("the shear strength", strength.si())?;
    finite("the load of the pins", n * tau * a).map(Force::from_si)
}

/// Pull F of trapped air on a joint: F = Δp π D²/4, with the pressure difference Δp (see [`super::venting::trapped_pressure`]) and the
/// bore D. Negative where the air outside presses the joint together.
///
/// Source: statics.
///
/// # Errors
/// A diameter that is not above zero.
pub fn trapped_air_pull(difference: Pressure, bore: Length) -> Result<Force, Unworkable> {
    charge::bulkhead_force(difference, bore)
}

/// Inertial pull F of a mass m beyond the joint that the joint must slow down or speed up by a: F = m a.
///
/// Use it where nothing but the joint acts on the mass, as when a harness jerks one half. The size of `acceleration` counts,
/// not its sign. Source: Newton's second law.
///
/// # Errors
/// A mass that is not above zero.
pub fn inertial_pull(beyond: Mass, acceleration: Acceleration) -> Result<Force, Unworkable> {
    let m = above_zero("the mass beyond the joint", beyond.si())?;
    finite("the inertial pull", m * acceleration.si().abs()).map(Force::from_si)
}

/// One half of a coasting rocket, before or behind a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Half {
    /// Its mass m.
    pub mass: Mass,
    /// The drag D on it alone.
    pub drag: Force,
}

/// Pull F of unequal drag on a joint in the coast: F = (m_f D_a − m_a D_f)/(m_f + m_a) for the fore half f and the aft half a.
/// Positive pulls the joint apart (drag separation: a light, finned aft half behind a heavy nose); negative presses it together.
///
/// Holds without thrust, at a small angle to the flow; gravity pulls both halves alike and drops out. Source: Newton's second
/// law for the two halves with one acceleration.
///
/// # Errors
/// A mass that is not above zero, a drag below zero.
pub fn drag_separation_pull(fore: Half, aft: Half) -> Result<Force, Unworkable> {
    let m_f = above_zero("the mass before the joint", fore.mass.si())?;
    let m_a = above_zero("the mass behind the joint", aft.mass.si())?;
    let d_f = zero_or_more("the drag before the joint", fore.drag.si())?;
    let d_a = zero_or_more("the drag behind the joint", aft.drag.si())?;
    finite("the pull of the drag", (m_f * d_a - m_a * d_f) / (m_f + m_a)).map(Force::from_si)
}
