//! Fin flutter: the airspeed at which a thin fin begins to twist and bend by itself.
//!
//! D. J. Martin, NACA Technical Note 4197 (1958), equation 18, with 39.3 psi and the taper factor (λ + 1)/2 (the note from memory; the
//! constant is derived at [`COEFFICIENT`]). **Beware** of a form that is widely copied: it carries half the coefficient (1.337) *and* keeps
//! (λ + 1)/2, and so overstates the flutter speed by √2. A fin that passes by that form with less than 41 % to spare does not pass by this one.
//!
//! Preliminary by nature: a thin solid plate of one material, clamped at the root, without tip weights; theory of slow flight, used as a guide up to
//! low supersonic speed. A soft bond or a flexible body lowers the speed; a common margin is a flutter speed of 1.25 to 1.5 times the top speed.

use std::f64::consts::PI;

use super::atmosphere::{Air, HEAT_RATIO};
use super::{Unworkable, above_zero, finite, zero_or_more};
use crate::quantity::{Length, Pressure, Speed};

/// Distance ε of the fin's balance line behind its elastic axis, in chords, as the note takes it.
pub const OFFSET: f64 = 0.25;
/// The coefficient without a unit: 24 ε γ/π = 2.6738 on the ambient pressure. At 14.696 psi it is 39.29 psi, which the note rounds to 39.3.
pub const COEFFICIENT: f64 = 24.0 * OFFSET * HEAT_RATIO / PI;

/// One fin as a plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Root chord c_r.
    pub root_chord: Length,
    /// Tip chord c_t; zero for a triangle.
    pub tip_chord: Length,
    /// Span b of one fin, from the body's skin to the tip.
    pub span: Length,
    /// Thickness t.
    pub thickness: Length,
    /// Effective shear modulus G in torsion. For plywood or cloth laid at 0/90° it is the measured in-plane one; E/(2 (1 + ν)) overstates it 2 to 8
    /// times.
    pub shear_modulus: Pressure,
}

impl Plate {
    /// Aspect ratio A = b²/S of the exposed fin, S = b (c_r + c_t)/2.
    #[must_use]
    pub fn aspect_ratio(&self) -> f64 {
        2.0 * self.span.si() / (self.root_chord.si() + self.tip_chord.si())
    }
}

/// Thickness and effective shear modulus in torsion of a sheet with a skin on each side: t + 2 s, and (G t³ + G_s ((t + 2 s)³ −
/// t³))/(t + 2 s)³.
///
/// Source: classical lamination theory, the twisting stiffness of a symmetrical laminate, D₆₆ = Σ G_k (z_k³ − z_(k−1)³)/3 (R.
/// M. Jones, Mechanics of Composite Materials, from memory).
///
/// # Errors
/// A thickness or modulus that is not above zero.
pub fn with_skins(
    (sheet, modulus): (Length, Pressure),
    (skin, skin_modulus): (Length, Pressure),
) -> Result<(Length, Pressure), Unworkable> {
    let t = above_zero("the thickness of the fin", sheet.si())?;
    let g = above_zero("the shear modulus of the fin", modulus.si())?;
    let s = above_zero("the thickness of the cloth", skin.si())?;
    let over = above_zero("the shear modulus of the cloth", skin_modulus.si())?;
    let whole = finite("the thickness of the fin", t + 2.0 * s)?;
    let share = (t / whole).powi(3);
    finite("the shear modulus of the fin", g * share + over * (1.0 - share))
        .map(|effective| (Length::from_si(whole), Pressure::from_si(effective)))
}

/// Flutter speed V_f = a √(G/(2.6738 p A³/((t/c)³ (A + 2)) (λ + 1)/2)), with the speed of sound a and the pressure p of the air around, aspect
/// ratio A = b²/S of one exposed fin of area S = b (c_r + c_t)/2, thickness ratio t/c on the root chord, and taper λ = c_t/c_r.
///
/// Compare it with the airspeed at the same height: it grows with height as the air thins. Range: t/c up to about 0.1, taper up
/// to 1. Source: NACA TN 4197, eq 18.
///
/// # Errors
/// A size or modulus that is not above zero, a tip chord below zero or longer than the root.
pub fn speed(fin: &Plate, air: &Air) -> Result<Speed, Unworkable> {
    let root = above_zero("the root chord", fin.root_chord.si())?;
    let tip = zero_or_more("the tip chord", fin.tip_chord.si())?;
    above_zero("the span of the fin", fin.span.si())?;
    let t = above_zero("the thickness of the fin", fin.thickness.si())?;
    let g = above_zero("the shear modulus of the fin", fin.shear_modulus.si())?;
    let p = above_zero("the air pressure", air.pressure.si())?;
    let a = above_zero("the speed of sound", air.speed_of_sound.si())?;
    if tip > root {
        return Err(Unworkable::because(
            "the flutter formula holds for fins whose tip chord is not longer than the root chord",
        ));
    }
    let aspect = fin.aspect_ratio();
    let stiffness = (t / root).powi(3) * (aspect + 2.0) / aspect.powi(3);
    let taper = f64::midpoint(tip / root, 1.0);
    finite("the flutter speed", a * (g * stiffness / (COEFFICIENT * p * taper)).sqrt()).map(Speed::from_si)
}
