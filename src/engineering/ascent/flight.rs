//! What flies, from what and into what; and what an ascent comes to.

use super::super::{Unworkable, drag::law::DragLaw, thrust::ThrustCurve};
use crate::quantity::{
    Acceleration, Angle, Area, Force, Length, Mass, Pressure, Speed, TemperatureDifference, Time,
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
    /// How far the rocket slides until its upper button leaves; see [`super::rail_travel`].
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
    /// The day's temperature less that of the standard day; see [`super::temperature_offset`].
    pub temperature_offset: TemperatureDifference,
    /// Wind at every height, blowing against the lean of the rail, so that weathercocking adds to the lean and the apogee is the lowest.
    /// A wind below zero blows with the lean.
    pub wind: Speed,
    /// Wind at every height from the right of the lean; below zero from the left.
    pub across: Speed,
}

impl Site {
    /// The same without wind.
    #[must_use]
    pub fn calm(self) -> Self {
        Self { wind: Speed::from_si(0.0), across: Speed::from_si(0.0), ..self }
    }

    /// The same in a wind that comes from a side: `azimuth` is the side to which the rail leans, clockwise from where the wind comes from.
    #[must_use]
    pub fn in_wind(self, wind: Speed, azimuth: Angle) -> Self {
        let (sine, cosine) = libm::sincos(azimuth.si());
        // Into the wind and with it, nothing comes from the side: not even what is left of π in a number.
        let sine = if sine.abs() < 1e-12 { 0.0 } else { sine };
        Self { wind: wind * cosine, across: wind * -sine, ..self }
    }
}

/// A place over the ground, from the pad.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverGround {
    /// Towards where the rail leans.
    pub along: Length,
    /// To the right of that.
    pub across: Length,
}

impl OverGround {
    /// The same place upwind of the pad, and to the right of that, for a rail that leans to an azimuth from where the wind comes from.
    #[must_use]
    pub fn against_wind(self, azimuth: Angle) -> (Length, Length) {
        let (sine, cosine) = libm::sincos(azimuth.si());
        (self.along * cosine - self.across * sine, self.along * sine + self.across * cosine)
    }
}

/// Where and how a rocket strikes the ground that comes down as it flew: whole, and nose first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Impact {
    /// Where.
    pub place: OverGround,
    /// How fast, through the air.
    pub speed: Speed,
    /// When, since ignition.
    pub time: Time,
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
    /// Drag.
    pub drag: Force,
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
    /// Peak of what an accelerometer feels while drag outdoes thrust: after burnout drag alone, along a weak tail of the thrust curve drag less
    /// thrust.
    pub peak_felt_deceleration: Peak<Acceleration>,
    /// The rocket at burnout, when its thrust falls below 5 % of its peak for the last time.
    pub burnout: Moment,
    /// The rocket at apogee; its `drift` is how far off that stands, in the plane in which the air meets the rocket.
    pub apogee: Moment,
    /// Where the apogee stands over the ground.
    pub place: OverGround,
}

impl Ascent {
    /// Time from burnout to apogee, which is also the best delay of a motor's own charge.
    #[must_use]
    pub fn coast(&self) -> Time {
        self.apogee.time - self.burnout.time
    }
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

pub(super) fn offset_in_range(offset: TemperatureDifference) -> Result<f64, Unworkable> {
    if offset.si().abs() <= GREATEST_OFFSET {
        Ok(offset.si())
    } else {
        Err(Unworkable::because("no day on earth is so far from the standard temperature"))
    }
}
