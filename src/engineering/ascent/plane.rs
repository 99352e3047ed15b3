//! The vertical plane in which the air meets a rocket once it is off the rail.
//!
//! Thrust and drag act along the velocity through the air, and weight acts down: seen from the air, a flight stays in the plane that its
//! velocity had as it left the rail. Over the ground the wind carries that plane along.

use super::flight::{OverGround, Rail, Site};
use crate::quantity::Length;

/// That plane, by directions over the ground: towards where the rail leans, and to the right of that.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plane {
    /// The direction of the plane.
    direction: [f64; 2],
    /// The wind that blows against that direction.
    pub(super) wind: f64,
    /// The wind that comes from the right of it.
    sideways: f64,
    /// Where the flight leaves the rail.
    foot: f64,
    /// The level speed over the ground along the plane as it leaves the rail.
    pub(super) level: f64,
    /// Which way along the plane the rocket flies through the air: 1, or −1.
    pub(super) forward: f64,
}

impl Plane {
    /// The plane of a rocket that leaves a rail at a speed.
    pub(super) fn of(rail: &Rail, site: &Site, exit_speed: f64) -> Self {
        let sine = libm::sin(rail.angle.si());
        let foot = rail.travel.si() * sine;
        let (wind, across) = (site.wind.si(), site.across.si());
        let level = exit_speed * sine;
        let along = level + wind;
        let through_air = (along * along + across * across).sqrt();
        if across == 0.0 || through_air == 0.0 {
            let forward = if along < 0.0 { -1.0 } else { 1.0 };
            return Self { direction: [1.0, 0.0], wind, sideways: 0.0, foot, level, forward };
        }
        let [a, b] = [along / through_air, across / through_air];
        let within = wind * a + across * b;
        Self {
            direction: [a, b],
            wind: within,
            sideways: across * a - wind * b,
            foot,
            level: through_air - within,
            forward: 1.0,
        }
    }

    /// Where along the plane the rail ends.
    pub(super) fn start(&self) -> f64 {
        let [a, _] = self.direction;
        self.foot * a
    }

    /// Where a point of the plane lies over the ground some time after the rail was left.
    pub(super) fn over_ground(&self, x: f64, since: f64) -> OverGround {
        let [a, b] = self.direction;
        // The rail's end itself need not lie in the plane through the pad.
        let beside = -self.foot * b - self.sideways * since;
        OverGround { along: Length::from_si(x * a - beside * b), across: Length::from_si(x * b + beside * a) }
    }

    /// The place along the plane of a point over the ground.
    pub(super) fn along(&self, place: &OverGround) -> f64 {
        let [a, b] = self.direction;
        place.along.si() * a + place.across.si() * b
    }
}
