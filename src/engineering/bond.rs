//! Glued joints: the average shear stress in the glue line.
//!
//! An average is what laboratories report for a lap (ASTM D1002, D5868); the ends of a real lap carry more, paper and plywood fail
//! before the glue does, and room-cured epoxies soften above 45 to 60 °C (from memory). Hence the large factors asked of it.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, at_least_one, finite, zero_or_more};
use crate::quantity::{Area, Force, Length, Pressure};

/// Area A of the glue line between n rings of thickness t and a tube of outer diameter d: A = n π d t. Fillets are not counted.
///
/// Source: geometry.
///
/// # Errors
/// No ring, a size that is not above zero.
pub fn ring_area(rings: u32, thickness: Length, tube: Length) -> Result<Area, Unworkable> {
    let n = at_least_one("ring", rings)?;
    let t = above_zero("the thickness of a ring", thickness.si())?;
    let d = above_zero("the diameter of the tube", tube.si())?;
    finite("the bonded area", n * PI * d * t).map(Area::from_si)
}

/// Area A of a single lap of width w and overlap l: A = w l.
///
/// Source: ASTM D1002, the area that its shear strength refers to.
///
/// # Errors
/// A size that is not above zero.
pub fn lap_area(width: Length, overlap: Length) -> Result<Area, Unworkable> {
    let w = above_zero("the width of the lap", width.si())?;
    let l = above_zero("the overlap", overlap.si())?;
    finite("the bonded area", w * l).map(Area::from_si)
}

/// Average shear stress τ of a force F over a bonded area A: τ = F/A.
///
/// Source: ASTM D1002's definition.
///
/// # Errors
/// An area that is not above zero, a force below zero.
pub fn average_shear(force: Force, area: Area) -> Result<Pressure, Unworkable> {
    let f = zero_or_more("the force on the bond", force.si())?;
    let a = above_zero("the bonded area", area.si())?;
    finite("the shear stress", f / a).map(Pressure::from_si)
}

/// Average shear stress τ = F/(n π d t) where n rings of thickness t carry a force F, such as the peak thrust, into or out of a tube of
/// outer diameter d.
///
/// Holds for rings that share the load; fillets and a thrust plate are paths of their own and make the true stress smaller.
/// Source: average shear over the glue line, strength of materials.
///
/// # Errors
/// No ring, a size that is not above zero, a force below zero.
pub fn ring_shear(force: Force, rings: u32, thickness: Length, tube: Length) -> Result<Pressure, Unworkable> {
    average_shear(force, ring_area(rings, thickness, tube)?)
}

/// Safety factor of a bond: its allowable shear stress over the stress it carries.
///
/// Source: definition.
///
/// # Errors
/// A stress or an allowable that is not above zero.
pub fn safety_factor(allowable: Pressure, stress: Pressure) -> Result<f64, Unworkable> {
    let allowed = above_zero("the allowable shear stress", allowable.si())?;
    let carried = above_zero("the shear stress", stress.si())?;
    finite("the safety factor", allowed / carried)
}
