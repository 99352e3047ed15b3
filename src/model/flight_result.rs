//! An ascent worked out, and what it was worked out from.

use super::airflow::FlightDrag;
use crate::engineering::Unworkable;
use crate::engineering::ascent::{
    self, Accuracy, Ascent, Impact, Moment, OverGround, Rail, Site, Top, Trajectory,
};
use crate::engineering::fall::Wind;
use crate::engineering::thrust::ThrustCurve;
use crate::quantity::{Angle, Area, Length, Mass, Speed, Time};

/// An ascent in a wind.
#[derive(Clone, Debug)]
pub(super) enum InWind {
    /// The same wind at every height.
    Steady(Box<Ascent>),
    /// A wind that changes with height.
    ByHeights(Top),
}

impl InWind {
    /// The highest point above the field.
    pub(super) fn height(&self) -> Length {
        match self {
            Self::Steady(flight_result) => flight_result.apogee.height,
            Self::ByHeights(top) => top.height,
        }
    }

    /// The speed through the air there.
    pub(super) fn airspeed(&self) -> Speed {
        match self {
            Self::Steady(flight_result) => flight_result.apogee.airspeed,
            Self::ByHeights(top) => top.airspeed,
        }
    }

    /// Where it stands over the ground.
    pub(super) fn place(&self) -> OverGround {
        match self {
            Self::Steady(flight_result) => flight_result.place,
            Self::ByHeights(top) => top.place,
        }
    }
}

/// A flight worked out once for all the quantities that show it.
#[derive(Debug)]
pub struct FlightResult {
    pub(super) dry_mass: Mass,
    pub(super) propellant: Mass,
    pub(super) area: Area,
    pub(super) thrust: ThrustCurve,
    pub(super) law: FlightDrag,
    pub(super) rail: Rail,
    pub(super) site: Site,
    pub(super) trajectory: Trajectory,
    pub(super) accuracy: Accuracy,
}

impl FlightResult {
    /// What it came to without wind.
    #[must_use]
    pub fn calm(&self) -> &Ascent {
        self.trajectory.ascent()
    }

    /// The moments of the ascent without wind, a steady time apart; empty where there are none so far apart.
    #[must_use]
    pub fn moments(&self, apart: Time) -> Vec<Moment> {
        self.trajectory.moments(&self.rocket(), &self.rail, &self.site.calm(), apart).unwrap_or_default()
    }

    /// The moment of the ascent without wind, off the rail, at which something is least.
    pub(super) fn least(&self, of: impl Fn(&Moment) -> f64) -> Result<Moment, Unworkable> {
        self.trajectory.least(&self.rocket(), &self.rail, &self.site.calm(), of)
    }

    /// Time, height above the field and climb at those moments.
    pub(super) fn climb(&self, apart: Time) -> Vec<(Time, Length, Speed)> {
        self.trajectory.climb(apart).unwrap_or_default()
    }

    /// The ascent in a wind, from a rail that leans to a side of where it comes from.
    pub(super) fn windy(&self, wind: &Wind, azimuth: Angle) -> Result<InWind, Unworkable> {
        match wind {
            Wind::Steady(speed) if speed.si() == 0.0 => Ok(InWind::Steady(Box::new(*self.calm()))),
            Wind::Steady(speed) => {
                let site = self.site.in_wind(*speed, azimuth);
                ascent::fly_to(&self.rocket(), &self.rail, &site, self.accuracy)
                    .map(|flight_result| InWind::Steady(Box::new(flight_result)))
            }
            _ => {
                let wind = (wind, azimuth);
                let top = ascent::fly_aloft(&self.rocket(), &self.rail, &self.site, wind, self.accuracy);
                top.map(InWind::ByHeights)
            }
        }
    }

    /// How the rocket strikes the ground after an ascent in a wind if nothing opens.
    pub(super) fn strike(
        &self,
        flight_result: &InWind,
        wind: &Wind,
        azimuth: Angle,
    ) -> Result<Impact, Unworkable> {
        match flight_result {
            InWind::Steady(flight_result) => {
                let site = self.site.in_wind(wind.at(Length::from_si(0.0)), azimuth);
                ascent::strike(&self.rocket(), &self.rail, &site, flight_result)
            }
            InWind::ByHeights(top) => {
                ascent::strike_aloft(&self.rocket(), &self.rail, &self.site, (wind, azimuth), top)
            }
        }
    }

    /// How it strikes the ground in still air if nothing opens.
    pub(super) fn strike_in_still_air(&self, azimuth: Angle) -> Result<Impact, Unworkable> {
        self.strike(&InWind::Steady(Box::new(*self.calm())), &Wind::Steady(Speed::from_si(0.0)), azimuth)
    }

    /// The place and the day, in still air.
    #[must_use]
    pub fn site(&self) -> &Site {
        &self.site
    }

    /// Share of the impulse that is delivered until a time since ignition.
    pub(super) fn share_until(&self, time: Time) -> f64 {
        self.thrust.share_until(time)
    }

    /// Share of the impulse that is delivered when the upper button leaves the rail.
    pub(super) fn share_at_rail_exit(&self) -> f64 {
        self.share_until(self.calm().rail_exit.time)
    }

    /// Mass when the upper button leaves the rail.
    pub(super) fn mass_at_rail_exit(&self) -> Mass {
        self.dry_mass + self.propellant * (1.0 - self.thrust.share_until(self.calm().rail_exit.time))
    }

    pub(super) fn rocket(&self) -> ascent::Rocket<'_> {
        ascent::Rocket {
            dry_mass: self.dry_mass,
            propellant: self.propellant,
            area: self.area,
            thrust: &self.thrust,
            drag: &self.law,
        }
    }
}
