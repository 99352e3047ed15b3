//! Ejection charges: pressure from powder burnt in a closed volume.
//!
//! **Caution.** The constants are *effective* ones, chosen by practitioners so that an ideal gas gives a usable first guess. More than half
//! of the mass of black powder ends as condensed solids and much heat goes into the walls, so real peaks lie below the ideal; leaks at
//! the joint and vents lower them more. Powder burns badly where it is not confined, above all in thin air. **Only a ground test
//! decides the size of a charge.** Black powder and igniters are handled only by those who are licensed and trained for it.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Force, Length, Mass, Pressure, Volume};

/// Effective specific gas constant R of burnt black powder: 22.16 ft lbf/(lbm °R), in J/(kg K). Source: common practice (a
/// practitioner's article prints 266 in lbf/(lbm °R)).
pub const POWDER_GAS_CONSTANT: f64 = 22.16 * 0.3048 * 9.806_65 * 1.8;
/// Effective temperature T of burnt black powder: 3307 °R, in K. Source: common practice (the same article).
pub const POWDER_TEMPERATURE: f64 = 3307.0 / 1.8;

/// Rise of pressure P over the air outside when a powder mass m burns in a free volume V: P = m R T/V.
///
/// V is what is left of the bay when everything in it is packed. The rise does not depend on the pressure before. Range:
/// charges of some 0.2 to 10 g of fine black powder, rises up to about 30 psi. Source: ideal gas with the constants above; see
/// the caution at the head of this file.
///
/// # Errors
/// A volume that is not above zero, a mass below zero.
pub fn pressure_rise(powder: Mass, free_volume: Volume) -> Result<Pressure, Unworkable> {
    let m = zero_or_more("the powder mass", powder.si())?;
    let v = above_zero("the free volume", free_volume.si())?;
    finite("the pressure of the charge", m * POWDER_GAS_CONSTANT * POWDER_TEMPERATURE / v)
        .map(Pressure::from_si)
}

/// Powder mass m for a wanted rise of pressure P in a free volume V: m = P V/(R T); the inverse of [`pressure_rise`].
///
/// A starting point for ground tests, never a charge to fly. Source: as [`pressure_rise`].
///
/// # Errors
/// A volume that is not above zero, a pressure below zero.
pub fn mass_for(rise: Pressure, free_volume: Volume) -> Result<Mass, Unworkable> {
    let p = zero_or_more("the wanted pressure", rise.si())?;
    let v = above_zero("the free volume", free_volume.si())?;
    finite("the powder mass", p * v / (POWDER_GAS_CONSTANT * POWDER_TEMPERATURE)).map(Mass::from_si)
}

/// Force F of a pressure difference P on a bulkhead that closes a bore of diameter D: F = P π D²/4. The sign is that of P.
///
/// Source: statics.
///
/// # Errors
/// A diameter that is not above zero.
pub fn bulkhead_force(pressure: Pressure, bore: Length) -> Result<Force, Unworkable> {
    let d = above_zero("the bore", bore.si())?;
    finite("the force on the bulkhead", pressure.si() * PI / 4.0 * d * d).map(Force::from_si)
}

/// Pressure P that puts a force F on a bulkhead in a bore of diameter D: P = 4 F/(π D²); the inverse of [`bulkhead_force`].
///
/// Source: statics.
///
/// # Errors
/// A diameter that is not above zero.
pub fn pressure_for_force(force: Force, bore: Length) -> Result<Pressure, Unworkable> {
    let d = above_zero("the bore", bore.si())?;
    finite("the pressure", force.si() / (PI / 4.0 * d * d)).map(Pressure::from_si)
}
