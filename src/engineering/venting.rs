//! Vents: holes that let a bay breathe, and what the air does in a bay that cannot.

use std::f64::consts::PI;

use super::{STANDARD_GRAVITY, Unworkable, above_zero, at_least_one, atmosphere, finite, zero_or_more};
use crate::quantity::{Area, Length, Pressure, Speed, Temperature, Volume};

/// Diameter of the one hole in the published rule: 1/4 in, in m.
pub const RULE_HOLE: f64 = 0.25 * 0.0254;
/// Volume of bay that one such hole serves: 100 in³, in m³.
pub const RULE_BAY: f64 = 100.0 * 0.0254 * 0.0254 * 0.0254;

/// Vent area A that the rule asks for a bay of air volume V: A = (π/4)(1/4 in)² V/(100 in³), whatever the number of holes.
///
/// Range: bays of an altimeter, some 10 to 1000 in³; the rule gives far less lag than an altimeter could notice, its margin is
/// for holes that are blocked or badly placed. Other published rules ask for up to four times this area. Source: common
/// practice (practitioners' articles).
///
/// # Errors
/// A volume that is not above zero.
pub fn area_by_rule(bay: Volume) -> Result<Area, Unworkable> {
    let v = above_zero("the volume of the bay", bay.si())?;
    finite("the vent area", PI / 4.0 * RULE_HOLE * RULE_HOLE * v / RULE_BAY).map(Area::from_si)
}

/// Diameter d of each of n equal round holes of total area A: d = √(4 A/(π n)).
///
/// Source: geometry.
///
/// # Errors
/// No hole, or an area that is not above zero.
pub fn hole_diameter(total: Area, holes: u32) -> Result<Length, Unworkable> {
    let n = at_least_one("vent hole", holes)?;
    let a = above_zero("the vent area", total.si())?;
    finite("the diameter of a vent hole", (4.0 * a / (PI * n)).sqrt()).map(Length::from_si)
}

/// Total area A of n round holes of diameter d: A = n π d²/4.
///
/// Source: geometry.
///
/// # Errors
/// No hole, or a diameter that is not above zero.
pub fn hole_area(diameter: Length, holes: u32) -> Result<Area, Unworkable> {
    let n = at_least_one("vent hole", holes)?;
    let d = above_zero("the diameter of the vent", diameter.si())?;
    finite("the vent area", n * PI / 4.0 * d * d).map(Area::from_si)
}

/// Pressure Δp that a tightly sealed bay holds against the air outside at geometric altitude `at`, when it was closed at geometric
/// altitude `closed_at`: Δp = p(closed_at) − p(at). Positive pushes outward, as in a climb.
///
/// Holds for rigid walls and air that keeps its temperature; a bay that cools on the way up holds less. Source: ideal gas at
/// constant volume; pressures of the *U.S. Standard Atmosphere, 1976*.
///
/// # Errors
/// An altitude outside the standard atmosphere.
pub fn trapped_pressure(closed_at: Length, at: Length) -> Result<Pressure, Unworkable> {
    let inside = atmosphere::at(closed_at)?.pressure.si();
    let outside = atmosphere::at(at)?.pressure.si();
    Ok(Pressure::from_si(inside - outside))
}

/// A bay that breathes through its vents while the rocket climbs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VentedBay {
    /// Free air volume V.
    pub volume: Volume,
    /// Open area A of all vents.
    pub vents: Area,
    /// Discharge coefficient Cd of the holes: 0.6 for a sharp edge, up to 0.8 through a thick wall (from memory).
    pub discharge_coefficient: f64,
    /// Temperature Tᵢ of the air in the bay, taken as constant.
    pub temperature: Temperature,
}

/// How far a bay lags behind the air outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lag {
    /// The bay's pressure less the pressure outside.
    pub pressure: Pressure,
    /// The same as height: how much too low a barometric altimeter reads.
    pub height: Length,
}

/// Steady lag of a bay's pressure in a climb of speed v through geometric altitude Z:
/// Δp = (1/(2 ρᵢ)) (V ρₑ g v/(R Tᵢ Cd A))², Δh = Δp/(ρₑ g), with ρᵢ = p/(R Tᵢ) inside and ρₑ outside.
///
/// Holds where Δp is small beside the pressure (refused above 5 % of it) and the speed changes slowly; the lag goes with v², so
/// it is gone at apogee. Source: quasi-steady balance of an isothermal bay through a subsonic orifice, first principles; the
/// tests compare it with an integrated compressible orifice.
///
/// # Errors
/// A size or coefficient that is not above zero, an altitude outside the standard atmosphere, a lag too large for the method.
pub fn lag_in_climb(bay: &VentedBay, speed: Speed, altitude: Length) -> Result<Lag, Unworkable> {
    let volume = above_zero("the volume of the bay", bay.volume.si())?;
    let area = above_zero("the vent area", bay.vents.si())?;
    let coefficient = above_zero("the discharge coefficient", bay.discharge_coefficient)?;
    let inside = above_zero("the absolute temperature in the bay", bay.temperature.si())?;
    let speed = zero_or_more("the speed of the climb", speed.si())?;
    let outside = atmosphere::at(altitude)?;
    let gas = atmosphere::AIR_GAS_CONSTANT * inside;
    let density_inside = outside.pressure.si() / gas;
    let weight = outside.density.si() * STANDARD_GRAVITY;
    let flow = volume * weight * speed / (gas * coefficient * area);
    let pressure = finite("the lag", flow * flow / (2.0 * density_inside))?;
    if pressure > 0.05 * outside.pressure.si() {
        return Err(Unworkable::because(
            "the vents are too small for this speed: the lag is no longer small beside the air pressure",
        ));
    }
    Ok(Lag { pressure: Pressure::from_si(pressure), height: Length::from_si(pressure / weight) })
}
