//! The snatch of a cord: two pieces of a rocket are thrown apart by the gas of a charge and caught by the cord between them.

use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Energy, Force, Length, Pressure, Volume};

/// Work that the gas of a charge does while a plug leaves its tube: W = p_i V ln((V + S)/V) − p_a S, with the absolute pressure
/// p_i = p + p_a, the free volume V and the volume S that the plug sweeps.
///
/// The gas keeps its temperature as it expands, and pins, friction, leaks and cold walls take nothing: a figure good to some
/// tens of percent. A constant pressure would do p S, the most that there is. Source: first law of thermodynamics for an ideal
/// gas.
///
/// # Errors
/// A pressure or a volume out of range.
pub fn throw(rise: Pressure, outside: Pressure, free: Volume, swept: Volume) -> Result<Energy, Unworkable> {
    let p = zero_or_more("the pressure of the charge", rise.si())?;
    let air = above_zero("the pressure outside", outside.si())?;
    let v = above_zero("the free volume", free.si())?;
    let s = zero_or_more("the volume that the plug sweeps", swept.si())?;
    // Thin gas is drawn out at the end of a long plug: it does no work there.
    let work = (p + air) * v * libm::log1p(s / v) - air * s;
    finite("the work of the charge", work.max(0.0)).map(Energy::from_si)
}

/// Peak pull of the cord that catches what was thrown apart with the work W: F = √(2 W k), with the stiffness k = F_b/(ε L) of a cord of
/// length L that stretches by the share ε when it breaks at F_b. The masses cancel.
///
/// The cord is taken as a linear spring; real webbing is softer at first and stiffer later, which moves the pull by about a
/// sixth. Source: conservation of energy.
///
/// # Errors
/// A value that is not above zero.
pub fn catch(work: Energy, breaks_at: Force, elongation: f64, length: Length) -> Result<Force, Unworkable> {
    let w = zero_or_more("the work of the charge", work.si())?;
    let f = above_zero("the strength of the cord", breaks_at.si())?;
    let e = above_zero("the stretch of the cord at its breaking load", elongation)?;
    let l = above_zero("the length of the cord", length.si())?;
    finite("the pull of the cord", (2.0 * w * f / (e * l)).sqrt()).map(Force::from_si)
}
