//! Loads on hardware: bolts in tension, threads in a plate, and the weakest link of a chain.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, finite};
use crate::quantity::{Area, Force, Length, Pressure};

/// Load F = σ A that a bolt bears: its stress area A times its proof strength σ, up to which it takes no lasting set. With the tensile strength instead of
/// the proof strength, the load that breaks it.
///
/// Holds for straight tension without bending; an eye that is bent and not welded shut opens long before. Errors: a value that is not above
/// zero. Source: definition of the proof load in ISO 898-1 and SAE J429.
pub fn bolt_load(stress_area: Area, strength: Pressure) -> Result<Force, Unworkable> {
    let a = above_zero("the stress area of the thread", stress_area.si())?;
    let s = above_zero("the strength of the bolt", strength.si())?;
    finite("the load of the bolt", a * s).map(Force::from_si)
}

/// A screw thread in a tapped plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreadedHole {
    /// Major diameter D of the screw.
    pub major_diameter: Length,
    /// Basic minor diameter D₁ of the hole's thread.
    pub minor_diameter: Length,
    /// Pitch P.
    pub pitch: Length,
    /// Length L over which full threads meet: the plate's thickness, if the screw goes through.
    pub engagement: Length,
}

/// The loads at which the threads of a tapped hole strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stripping {
    /// At which the plate's threads shear off around the screw: τ_plate (7/8) π D L.
    pub plate: Force,
    /// At which the screw's threads shear off inside the hole: τ_screw (3/4) π D₁ L.
    pub screw: Force,
}

impl Stripping {
    /// The smaller of the two.
    #[must_use]
    pub fn load(&self) -> Force {
        if self.plate < self.screw { self.plate } else { self.screw }
    }
}

/// Stripping loads of a screw in a tapped plate, for the shear strengths τ of both.
///
/// On the basic 60° profile the plate's thread is 7/8 P thick at D and the screw's 3/4 P thick at D₁. Tolerances leave less; a
/// self-cut thread in plastic or wood has no such profile. Range: an engagement of one pitch or more. Errors: a value that is not above zero, a minor
/// diameter not below the major one, less than one pitch of engagement. Source: profile of ISO 68-1 and ASME B1.1; average shear.
pub fn stripping(hole: &ThreadedHole, plate: Pressure, screw: Pressure) -> Result<Stripping, Unworkable> {
    let major = above_zero("the major diameter", hole.major_diameter.si())?;
    let minor = above_zero("the minor diameter", hole.minor_diameter.si())?;
    let pitch = above_zero("the pitch", hole.pitch.si())?;
    let l = above_zero("the length of engagement", hole.engagement.si())?;
    let tau_plate = above_zero("the shear strength of the plate", plate.si())?;
    let tau_screw = above_zero("the shear strength of the screw", screw.si())?;
    if minor >= major {
        return Err(Unworkable::because("the minor diameter of a thread is below its major diameter"));
    }
    if l < pitch {
        return Err(Unworkable::because("less than one full thread engages"));
    }
    let plate = finite("the load of the plate's threads", tau_plate * 7.0 / 8.0 * PI * major * l)?;
    let screw = finite("the load of the screw's threads", tau_screw * 3.0 / 4.0 * PI * minor * l)?;
    Ok(Stripping { plate: Force::from_si(plate), screw: Force::from_si(screw) })
}

/// The weakest link of a chain that carries one load, with its place in the list; the first of equals.
///
/// Errors: no link, or a link whose load is not above zero. Source: statics of links in series.
pub fn weakest(links: &[Force]) -> Result<(usize, Force), Unworkable> {
    let mut weakest: Option<(usize, Force)> = None;
    for (place, &link) in links.iter().enumerate() {
        above_zero("the load of a link", link.si())?;
        if weakest.is_none_or(|(_, least)| link < least) {
            weakest = Some((place, link));
        }
    }
    weakest.ok_or_else(|| Unworkable::because("there is no link to carry the load"))
}
