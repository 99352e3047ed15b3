//! The ascent: from ignition along the rail, through the burn and the coast to apogee.
//!
//! A point mass in a vertical plane. The choices that another program may make differently:
//! - height is geometric, above the site; the air is that of the standard day at that altitude, with one temperature offset added at every
//!   height while the pressure stays; gravity is g₀ (r₀/(r₀ + Z))² at the altitude Z above the sea;
//! - thrust goes in straight lines between the points of its curve and is nothing after the last; burnout is when it falls below 5 % of
//!   its peak for the last time, and a tail beyond that still pushes; propellant burns in proportion to the impulse delivered;
//! - the rocket is held until the thrust exceeds its weight along the rail; the rail has no friction and carries all side loads; exit
//!   is when the upper button leaves;
//! - off the rail, thrust and drag act along the velocity through the air at once: no attitude, no lift. A wind at every height then
//!   bounds what weathercocking can do;
//! - Mach number and dynamic pressure go by the speed through the air, the top speed by that over the ground.
//!
//! Sources: Newton's second law; *U.S. Standard Atmosphere, 1976* for air and gravity. The choices themselves are common practice.

mod aloft;
mod burn;
mod flight;
mod motion;
mod peaks;
mod plane;
mod segment;
mod strike;
mod trajectory;

pub use aloft::Top;
use flight::offset_in_range;
pub use flight::{
    Accuracy, Ascent, GREATEST_OFFSET, Impact, Moment, OverGround, Peak, Rail, RailExit, Rocket, Site,
};
pub use trajectory::Trajectory;

use super::fall::Wind;
use super::{STANDARD_GRAVITY, Unworkable, above_zero, atmosphere, finite};
use crate::quantity::{Angle, Force, Length, Mass, Temperature, TemperatureDifference, Time};

/// The ascents that bound the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Without wind: the nominal one.
    pub calm: Ascent,
    /// With the stated wind at every height.
    pub windy: Ascent,
}

/// How far a rocket slides until a button leaves the rail: s = L_rail − h − (L − x), with the length of the rail L_rail, the height h of
/// the aft end above the foot of the rail, the overall length L and the station x of the button, aft from the nose tip.
///
/// Source: geometry.
///
/// # Errors
/// A length that is not above zero; a rail that does not reach the button.
pub fn rail_travel(
    rail: Length,
    aft_end_height: Length,
    overall: Length,
    button: Length,
) -> Result<Length, Unworkable> {
    let rail = above_zero("the length of the rail", rail.si())?;
    let overall = above_zero("the overall length", overall.si())?;
    let h = finite("the height of the aft end above the foot of the rail", aft_end_height.si())?;
    let x = finite("the station of the button", button.si())?;
    let travel = rail - h - (overall - x);
    if travel > 0.0 {
        finite("the way along the rail", travel).map(Length::from_si)
    } else {
        Err(Unworkable::because("the rail does not reach the button"))
    }
}

/// The day's temperature at the site less the standard temperature at its elevation. Source: definition.
///
/// # Errors
/// An elevation outside the standard atmosphere; a difference of more than 80 K, which is no day on earth.
pub fn temperature_offset(
    temperature: Temperature,
    elevation: Length,
) -> Result<TemperatureDifference, Unworkable> {
    let standard = atmosphere::at(elevation)?.temperature;
    let offset = TemperatureDifference::from_si(temperature.si() - standard.si());
    offset_in_range(offset)?;
    Ok(offset)
}

/// Thrust to weight F/(m g₀).
///
/// Source: definition.
///
/// # Errors
/// A mass that is not above zero.
pub fn thrust_to_weight(thrust: Force, mass: Mass) -> Result<f64, Unworkable> {
    let m = above_zero("the mass", mass.si())?;
    finite("thrust to weight", thrust.si() / (m * STANDARD_GRAVITY))
}

/// Flies a rocket to its apogee; the choices stand at the head of this file.
///
/// Range: from 5 km below to 32 km above sea level. Against an integration with a tolerance of 1e-10 (the tests), the figures err
/// by less than 3e-5, and the speed off the rail by less than 1e-6.
///
/// # Errors
/// A mass, area or travel that is not above zero; a rail at 90° or more; a thrust that never moves the rocket off the rail; a
/// rocket that stops climbing while its motor burns, that climbs out of the range, or whose drag coefficient is not a number.
pub fn fly(rocket: &Rocket<'_>, rail: &Rail, site: &Site) -> Result<Ascent, Unworkable> {
    fly_to(rocket, rail, site, Accuracy::Figures)
}

/// The same to an accuracy.
///
/// # Errors
/// As [`fly`].
pub fn fly_to(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    accuracy: Accuracy,
) -> Result<Ascent, Unworkable> {
    motion::run(rocket, rail, site, accuracy, &mut |_| {})
}

/// Where a rocket strikes the ground of which nothing opens: on from the apogee of its ascent, nose first, by the same
/// equations.
///
/// Range: as [`fly`]. Source: [`fly`].
///
/// # Errors
/// As [`fly`].
pub fn strike(rocket: &Rocket<'_>, rail: &Rail, site: &Site, ascent: &Ascent) -> Result<Impact, Unworkable> {
    strike::strike(rocket, rail, site, ascent)
}

/// Flies a rocket to its highest point in a wind that changes with height, from a rail that leans to a side of where it comes from: to
/// `azimuth`, clockwise. The air on the rail is that at the ground; off it the rocket turns into the air that it meets at once, at each
/// height. The wind of `site` is left aside.
///
/// Range and accuracy: as [`fly`]. Source: [`fly`].
///
/// # Errors
/// As [`fly`].
pub fn fly_aloft(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    wind: (&Wind, Angle),
    accuracy: Accuracy,
) -> Result<Top, Unworkable> {
    aloft::fly(rocket, rail, site, wind, accuracy)
}

/// Where a rocket strikes the ground of which nothing opens, in a wind that changes with height: on from the highest point of
/// [`fly_aloft`].
///
/// Range: as [`fly`]. Source: [`fly`].
///
/// # Errors
/// As [`fly`].
pub fn strike_aloft(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    wind: (&Wind, Angle),
    top: &Top,
) -> Result<Impact, Unworkable> {
    aloft::strike(rocket, rail, site, wind, top)
}

/// Flies it twice: without wind, and with the wind of the site.
///
/// # Errors
/// As [`fly`].
pub fn fly_both(rocket: &Rocket<'_>, rail: &Rail, site: &Site) -> Result<Bounds, Unworkable> {
    let calm = fly(rocket, rail, &site.calm())?;
    let windy = if site.wind.si() == 0.0 { calm } else { fly(rocket, rail, site)? };
    Ok(Bounds { calm, windy })
}

/// The moments of an ascent from lift-off to apogee, both of them included, a steady time apart.
///
/// # Errors
/// As [`fly`], and a time apart that is not above zero or below a millisecond.
pub fn trajectory(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    apart: Time,
) -> Result<Vec<Moment>, Unworkable> {
    Trajectory::fly(rocket, rail, site, Accuracy::Figures)?.moments(rocket, rail, site, apart)
}
