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

mod course;
mod motion;
mod watch;

pub use course::Course;

use super::{
    STANDARD_GRAVITY, Unworkable, above_zero, atmosphere, drag_law::DragLaw, finite, thrust::ThrustCurve,
};
use crate::quantity::{
    Acceleration, Angle, Area, Force, Length, Mass, Pressure, Speed, Temperature, TemperatureDifference, Time,
};

/// The largest temperature offset that is taken for a day on earth, K.
pub const GREATEST_OFFSET: f64 = 80.0;

/// What flies.
#[derive(Clone, Copy)]
pub struct Rocket<'a> {
    /// Mass ready to fly less the propellant: what is left at burnout.
    pub dry_mass: Mass,
    /// Mass of the propellant.
    pub propellant: Mass,
    /// The area A that the drag coefficient refers to.
    pub area: Area,
    /// Thrust of the motor, or of all motors together.
    pub thrust: &'a ThrustCurve,
    /// Drag coefficient.
    pub drag: &'a dyn DragLaw,
}

/// What it flies from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rail {
    /// How far the rocket slides until its upper button leaves; see [`rail_travel`].
    pub travel: Length,
    /// How far it moves until its lower button would leave, where its speed then is asked for; not less than `travel`.
    pub lower_travel: Option<Length>,
    /// Angle of the rail from the vertical.
    pub angle: Angle,
}

/// Where and into what it flies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Geometric altitude above mean sea level.
    pub elevation: Length,
    /// The day's temperature less that of the standard day; see [`temperature_offset`].
    pub temperature_offset: TemperatureDifference,
    /// Wind at every height, blowing against the lean of the rail, so that weathercocking adds to the lean and the apogee is the lowest.
    /// A wind below zero blows with the lean.
    pub wind: Speed,
}

impl Site {
    /// The same without wind.
    #[must_use]
    pub fn calm(self) -> Self {
        Self { wind: Speed::from_si(0.0), ..self }
    }
}

/// The rocket at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Time since ignition.
    pub time: Time,
    /// Geometric height above the site.
    pub height: Length,
    /// Distance over the ground, positive to where the rail leans and the wind comes from.
    pub drift: Length,
    /// Speed over the ground.
    pub speed: Speed,
    /// The upward part of it.
    pub climb: Speed,
    /// Speed through the air.
    pub airspeed: Speed,
    /// Airspeed over the speed of sound.
    pub mach: f64,
    /// Dynamic pressure q = ½ ρ v².
    pub dynamic_pressure: Pressure,
    /// Size of the acceleration, |dv/dt|.
    pub acceleration: Acceleration,
    /// What an accelerometer along the body feels: |thrust − drag|/m.
    pub felt: Acceleration,
    /// Thrust.
    pub thrust: Force,
    /// Mass.
    pub mass: Mass,
}

/// The greatest value of something, and when and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak<T> {
    /// The value.
    pub value: T,
    /// Time since ignition.
    pub time: Time,
    /// Height above the site.
    pub height: Length,
}

/// Leaving the rail.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailExit {
    /// When the upper button leaves, since ignition.
    pub time: Time,
    /// The speed then.
    pub speed: Speed,
    /// Thrust then over the weight m g₀ then.
    pub thrust_to_weight: f64,
    /// The speed when the lower button leaves, where that was asked for and the rocket climbs so far.
    pub lower_speed: Option<Speed>,
}

/// What an ascent comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ascent {
    /// When the rocket starts to move, since ignition.
    pub liftoff: Time,
    /// Leaving the rail.
    pub rail_exit: RailExit,
    /// Top speed over the ground.
    pub top_speed: Peak<Speed>,
    /// Top Mach number.
    pub top_mach: Peak<f64>,
    /// Peak dynamic pressure.
    pub peak_dynamic_pressure: Peak<Pressure>,
    /// Peak size of the acceleration until burnout.
    pub peak_acceleration: Peak<Acceleration>,
    /// Peak of what an accelerometer feels until burnout.
    pub peak_felt: Peak<Acceleration>,
    /// Peak size of the acceleration after burnout: drag and gravity together slow the rocket down.
    pub peak_deceleration: Peak<Acceleration>,
    /// Peak of what an accelerometer feels after burnout: drag alone.
    pub peak_felt_deceleration: Peak<Acceleration>,
    /// The rocket at burnout, when its thrust falls below 5 % of its peak for the last time.
    pub burnout: Moment,
    /// The rocket at apogee; its `drift` is how far off that stands.
    pub apogee: Moment,
}

impl Ascent {
    /// Time from burnout to apogee, which is also the best delay of a motor's own charge.
    #[must_use]
    pub fn coast(&self) -> Time {
        self.apogee.time - self.burnout.time
    }
}

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
/// Errors: a length that is not above zero; a rail that does not reach the button. Source: geometry.
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
        Ok(Length::from_si(travel))
    } else {
        Err(Unworkable::because("the rail does not reach the button"))
    }
}

/// The day's temperature at the site less the standard temperature at its elevation.
///
/// Errors: an elevation outside the standard atmosphere; a difference of more than 80 K, which is no day on earth.
pub fn temperature_offset(
    temperature: Temperature,
    elevation: Length,
) -> Result<TemperatureDifference, Unworkable> {
    let standard = atmosphere::at(elevation)?.temperature;
    let offset = TemperatureDifference::from_si(temperature.si() - standard.si());
    offset_in_range(offset)?;
    Ok(offset)
}

fn offset_in_range(offset: TemperatureDifference) -> Result<f64, Unworkable> {
    if offset.si().abs() <= GREATEST_OFFSET {
        Ok(offset.si())
    } else {
        Err(Unworkable::because("no day on earth is so far from the standard temperature"))
    }
}

/// Thrust to weight F/(m g₀).
///
/// Errors: a mass that is not above zero. Source: definition.
pub fn thrust_to_weight(thrust: Force, mass: Mass) -> Result<f64, Unworkable> {
    let m = above_zero("the mass", mass.si())?;
    finite("thrust to weight", thrust.si() / (m * STANDARD_GRAVITY))
}

/// Flies a rocket to its apogee; the choices stand at the head of this file.
///
/// Range: from 5 km below to 32 km above sea level. Errors: a mass, area or travel that is not above zero; a rail at 90° or more; a
/// thrust that never moves the rocket off the rail; a rocket that stops climbing while its motor burns, that climbs out of the range, or
/// whose drag coefficient is not a number. Against an integration with a
/// tolerance of 1e-10 (the tests), the figures err by less than 3e-5, and the speed off the rail by less than 1e-6.
pub fn fly(rocket: &Rocket<'_>, rail: &Rail, site: &Site) -> Result<Ascent, Unworkable> {
    fly_to(rocket, rail, site, Accuracy::Figures)
}

/// The same to an accuracy.
///
/// Errors: as [`fly`].
pub fn fly_to(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    accuracy: Accuracy,
) -> Result<Ascent, Unworkable> {
    motion::run(rocket, rail, site, accuracy, &mut |_| {})
}

/// What a flight is flown for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Accuracy {
    /// Its figures are reported: they err by less than 3e-5.
    #[default]
    Figures,
    /// Only how its figures change with a value, beside another flight to the same accuracy: a step may err a hundred times as
    /// much, and both err alike.
    Slopes,
}

/// Flies it twice: without wind, and with the wind of the site.
///
/// Errors: as [`fly`].
pub fn fly_both(rocket: &Rocket<'_>, rail: &Rail, site: &Site) -> Result<Bounds, Unworkable> {
    let calm = fly(rocket, rail, &site.calm())?;
    let windy = if site.wind.si() == 0.0 { calm } else { fly(rocket, rail, site)? };
    Ok(Bounds { calm, windy })
}

/// The moments of an ascent from lift-off to apogee, both of them included, a steady time apart.
///
/// Errors: as [`fly`], and a time apart that is not above zero or below a millisecond.
pub fn trajectory(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    apart: Time,
) -> Result<Vec<Moment>, Unworkable> {
    Course::fly(rocket, rail, site, Accuracy::Figures)?.moments(rocket, rail, site, apart)
}
