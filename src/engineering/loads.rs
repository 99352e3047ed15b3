//! Loads on hardware: bolts in tension, threads in a plate, screws across a tube's wall, and the weakest link of a chain.

use std::f64::consts::PI;

use super::{Unworkable, above_zero, at_least_one, finite};
use crate::quantity::{Area, Force, Length, Pressure};

/// Load F = σ A that a bolt bears: its stress area A times its proof strength σ, up to which it takes no lasting set. With the tensile strength instead of
/// the proof strength, the load that breaks it.
///
/// Holds for straight tension without bending; an eye that is bent and not welded shut opens long before. Source: definition of
/// the proof load in ISO 898-1 and SAE J429.
///
/// # Errors
/// A value that is not above zero.
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
/// self-cut thread in plastic or wood has no such profile. Range: an engagement of one pitch or more. Source: profile of ISO
/// 68-1 and ASME B1.1; average shear.
///
/// # Errors
/// A value that is not above zero, a minor diameter not below the major one, less than one pitch of engagement.
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

/// Shear strength τ of a ductile metal of which only the tensile strength σ is known: τ = σ/√3.
///
/// Holds for ductile metals; plastics, wood and laminates have strengths of their own. Source: distortion-energy (von Mises)
/// criterion for pure shear, strength of materials.
///
/// # Errors
/// A strength that is not above zero.
pub fn shear_of_metal(tensile: Pressure) -> Result<Pressure, Unworkable> {
    let s = above_zero("the tensile strength", tensile.si())?;
    finite("the shear strength", s / 3.0_f64.sqrt()).map(Pressure::from_si)
}

/// Screws or rivets through the wall of a tube that are pulled along it toward its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WallHoles {
    /// How many, n, sharing the load.
    pub count: u32,
    /// Diameter d of each.
    pub diameter: Length,
    /// Thickness t of the wall.
    pub wall: Length,
    /// Distance e from the middle of the hole to the edge of the tube.
    pub edge: Length,
}

/// Load F at which the strips of wall between the holes and the edge shear out: F = n 2 (e − d/2) t τ, with the wall's shear
/// strength τ.
///
/// The least length of the strip is taken, from the far side of the hole. Source: average shear on two planes, strength of
/// materials.
///
/// # Errors
/// No hole, a value that is not above zero, an edge that the hole reaches.
pub fn tear_out(holes: &WallHoles, shear: Pressure) -> Result<Force, Unworkable> {
    let n = at_least_one("screw", holes.count)?;
    let d = above_zero("the diameter of the screw", holes.diameter.si())?;
    let t = above_zero("the thickness of the wall", holes.wall.si())?;
    let tau = above_zero("the shear strength of the wall", shear.si())?;
    let strip = holes.edge.si() - d / 2.0;
    if strip.is_nan() || strip <= 0.0 {
        return Err(Unworkable::because("the hole reaches the edge of the tube"));
    }
    finite("the load that tears the wall", n * 2.0 * strip * t * tau).map(Force::from_si)
}

/// Load F at which the screws crush the wall before them: F = n d t σ, with the wall's bearing strength σ.
///
/// Source: average pressure on the hole's projected area, strength of materials.
///
/// # Errors
/// No hole, a value that is not above zero.
pub fn bearing(holes: &WallHoles, strength: Pressure) -> Result<Force, Unworkable> {
    let n = at_least_one("screw", holes.count)?;
    let d = above_zero("the diameter of the screw", holes.diameter.si())?;
    let t = above_zero("the thickness of the wall", holes.wall.si())?;
    let s = above_zero("the bearing strength of the wall", strength.si())?;
    finite("the load that crushes the wall", n * d * t * s).map(Force::from_si)
}

/// The weakest link of a chain that carries one load, with its place in the list; the first of equals.
///
/// Source: statics of links in series.
///
/// # Errors
/// No link, or a link whose load is not above zero.
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
