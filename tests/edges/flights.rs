//! Thrust curves, ascents, ways down and the air in a bay on the way.

use holdpoint::engineering::ascent::{
    self, Accuracy, Ascent, Impact, Moment, OverGround, Peak, Rail, Rocket, Site, Top, Trajectory,
};
use holdpoint::engineering::constant_thrust::{self, Flight};
use holdpoint::engineering::drag::law::SteadyDrag;
use holdpoint::engineering::fall::Wind;
use holdpoint::engineering::lag::{self, Waypoint};
use holdpoint::engineering::thrust::{self, ThrustCurve};
use holdpoint::engineering::venting::VentedBay;
use holdpoint::engineering::{Unworkable, atmosphere};
use holdpoint::quantity::{Angle, Area, Force, Length, Mass, Speed, TemperatureDifference, Time};

use super::edge::{Edge, edge};
use super::numbers::{Given, Taken};

/// A rocket on its rail: dry mass, propellant, area, drag coefficient, the thrust's time and size, travel, lean, elevation, warmth, wind, wind
/// from the side.
struct Flown([f64; 12]);

const ORDINARY: [f64; 12] = [5.0, 1.2, 0.008, 0.5, 2.5, 900.0, 1.8, 0.05, 300.0, 8.0, 3.0, 1.0];

impl Taken for Flown {
    fn taken(from: &mut dyn Iterator<Item = f64>) -> Self {
        Self(Taken::taken(from))
    }
}

impl Flown {
    fn with<T>(
        &self,
        ask: impl FnOnce(&Rocket<'_>, &Rail, &Site) -> Result<T, Unworkable>,
    ) -> Result<T, Unworkable> {
        let [dry, propellant, area, cd, burn, force, travel, lean, elevation, warmer, wind, across] = self.0;
        let at = |t: f64, f: f64| (Time::from_si(t), Force::from_si(f));
        let thrust = ThrustCurve::new(&[at(0.0, force), at(burn, force), at(burn, 0.0)], None)?;
        let rocket = Rocket {
            dry_mass: Mass::from_si(dry),
            propellant: Mass::from_si(propellant),
            area: Area::from_si(area),
            thrust: &thrust,
            drag: &SteadyDrag::new(cd)?,
        };
        let rail = Rail { travel: Length::from_si(travel), lower_travel: None, angle: Angle::from_si(lean) };
        let site = Site {
            elevation: Length::from_si(elevation),
            temperature_offset: TemperatureDifference::from_si(warmer),
            wind: Speed::from_si(wind),
            across: Speed::from_si(across),
        };
        ask(&rocket, &rail, &site)
    }
}

impl<T: Given> Given for Peak<T> {
    fn give(&self, to: &mut Vec<f64>) -> bool {
        self.value.give(to) && self.time.give(to) && self.height.give(to)
    }
}

macro_rules! given {
    ($($type:ty { $($field:ident),* })*) => {$(
        impl Given for $type {
            fn give(&self, to: &mut Vec<f64>) -> bool {
                $(self.$field.give(to))&&*
            }
        }
    )*};
}
given! {
    Moment { height, time, drift, speed, climb, airspeed, mach, dynamic_pressure, acceleration, felt, thrust, drag, mass }
    OverGround { along, across }
    Impact { place, speed, time }
    Ascent { apogee, liftoff, top_speed, top_mach, peak_dynamic_pressure, peak_acceleration, peak_felt, peak_deceleration,
        peak_felt_deceleration, burnout, place }
}

fn top(top: &Top) -> (Time, Length) {
    (top.time, top.height)
}

fn ascents(all: &mut Vec<Edge>) {
    let apart = Time::from_si(0.5);
    all.extend([
        edge("ascent::rail_travel", &[2.4, 0.1, 1.8, 1.2], "+--+", ascent::rail_travel),
        edge("ascent::temperature_offset", &[295.0, 300.0], "++", ascent::temperature_offset),
        edge("ascent::thrust_to_weight", &[900.0, 6.2], "+-", ascent::thrust_to_weight),
        edge("ascent::fly", &ORDINARY, "..--.....+..", |f: Flown| f.with(ascent::fly)),
        edge("ascent::fly_to", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| ascent::fly_to(rocket, rail, site, Accuracy::Slopes))
        }),
        edge("ascent::fly_both", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| {
                ascent::fly_both(rocket, rail, site).map(|both| (both.calm, both.windy))
            })
        }),
        edge("ascent::strike", &ORDINARY, "............", |f: Flown| {
            f.with(|rocket, rail, site| ascent::strike(rocket, rail, site, &ascent::fly(rocket, rail, site)?))
        }),
        edge("ascent::fly_aloft", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| {
                let wind = Wind::OpenGround { speed: site.wind, measured_at: Length::from_si(3.0) };
                ascent::fly_aloft(rocket, rail, site, (&wind, Angle::from_si(0.4)), Accuracy::Figures)
                    .map(|one| top(&one))
            })
        }),
        edge("ascent::strike_aloft", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| {
                let wind = (&Wind::Steady(site.wind), Angle::from_si(0.4));
                let top = ascent::fly_aloft(rocket, rail, site, wind, Accuracy::Figures)?;
                ascent::strike_aloft(rocket, rail, site, wind, &top)
            })
        }),
        edge("ascent::trajectory", &ORDINARY, "############", move |f: Flown| {
            f.with(|rocket, rail, site| ascent::trajectory(rocket, rail, site, apart))
        }),
        edge("ascent::trajectory", &[0.5], "#", |apart| {
            Flown(ORDINARY).with(|rocket, rail, site| ascent::trajectory(rocket, rail, site, apart))
        }),
        edge("trajectory::fly", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| Trajectory::fly(rocket, rail, site, Accuracy::Figures).map(|_| 0.0))
        }),
        edge("trajectory::ascent", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| {
                Trajectory::fly(rocket, rail, site, Accuracy::Figures).map(|way| *way.ascent())
            })
        }),
        edge("trajectory::moments", &ORDINARY, "############", move |f: Flown| {
            f.with(|rocket, rail, site| {
                Trajectory::fly(rocket, rail, site, Accuracy::Figures)?.moments(rocket, rail, site, apart)
            })
        }),
        edge("trajectory::climb", &[0.5], "#", |apart| {
            Flown(ORDINARY).with(|rocket, rail, site| {
                Trajectory::fly(rocket, rail, site, Accuracy::Figures)?.climb(apart)
            })
        }),
        edge("trajectory::least", &ORDINARY, "############", |f: Flown| {
            f.with(|rocket, rail, site| {
                let way = Trajectory::fly(rocket, rail, site, Accuracy::Figures)?;
                way.least(rocket, rail, site, |moment| 1.0 - moment.mach)
            })
        }),
        edge("flight::coast", &ORDINARY, "############", |f: Flown| {
            f.with(ascent::fly).map(|flight_result| flight_result.coast())
        }),
        edge("flight::calm", &ORDINARY, "############", |f: Flown| f.with(|_, _, site| Ok(site.calm().wind))),
        edge("flight::in_wind", &[5.0, 0.4], "..", |wind, azimuth| {
            Flown(ORDINARY)
                .with(|_, _, site| Ok(site.in_wind(wind, azimuth)))
                .map_or((0.0, 0.0), |site| (site.wind.si(), site.across.si()))
        }),
        edge("flight::against_wind", &[100.0, 20.0, 0.4], "...", |along, across, azimuth| {
            OverGround { along, across }.against_wind(azimuth)
        }),
    ]);
}

fn motors(all: &mut Vec<Edge>) {
    const CURVE: [f64; 6] = [0.1, 900.0, 1.5, 700.0, 2.5, 10.0];
    const WITH_TIME: [f64; 7] = [0.1, 900.0, 1.5, 700.0, 2.5, 10.0, 0.9];
    let of = |points: [(Time, Force); 3]| ThrustCurve::new(&points, None);
    all.extend([
        edge("thrust::drawn_impulse", &CURVE, ".+.+.+", |points: [(Time, Force); 3]| {
            thrust::drawn_impulse(&points)
        }),
        edge(
            "thrust::new",
            &[0.1, 900.0, 1.5, 700.0, 2.5, 10.0, 1600.0],
            "......#",
            |points: [(Time, Force); 3], stated| {
                ThrustCurve::new(&points, Some(stated)).map(|curve| curve.peak())
            },
        ),
        edge("thrust::scaled", &WITH_TIME, ".+.+.++", move |points, factor: f64| {
            of(points)?.scaled(factor).map(|curve| curve.impulse())
        }),
        edge("thrust::impulse", &CURVE, ".+.+.+", move |points| of(points).map(|curve| curve.impulse())),
        edge("thrust::burnout", &CURVE, "..#.+#", move |points| of(points).map(|curve| curve.burnout())),
        edge("thrust::peak", &CURVE, ".+.+.+", move |points| of(points).map(|curve| curve.peak())),
        edge("thrust::burn_time", &CURVE, "######", move |points| of(points).map(|curve| curve.burn_time())),
        edge("thrust::average", &CURVE, "######", move |points| of(points).map(|curve| curve.average())),
        edge("thrust::at", &WITH_TIME, "#######", move |points, time| of(points).map(|curve| curve.at(time)))
            .of_read(),
        edge("thrust::share_until", &WITH_TIME, "######+", move |points, time| {
            of(points).map(|curve| curve.share_until(time))
        })
        .of_read(),
        edge("constant_thrust::drag_factor", &[1.1, 0.5, 0.008], "+++", constant_thrust::drag_factor),
        edge("constant_thrust::fly", &[900.0, 2.5, 5.6, 5.0, 0.002], "++-..", |f: Flight| {
            constant_thrust::fly(&f)
        }),
    ]);
}

fn bays(all: &mut Vec<Edge>) {
    const BAY: [f64; 13] = [0.002, 3e-5, 0.6, 290.0, 0.0, 300.0, 0.0, 3.0, 700.0, 150.0, 12.0, 1400.0, 0.0];
    all.extend([
        edge("lag::of", &[2.0, 300.0, 100.0], "...", |time, height, elevation| {
            let moment = Flown(ORDINARY).with(ascent::fly).unwrap().apogee;
            let point = Waypoint::of(&Moment { time, height, ..moment }, elevation);
            (point.time, point.altitude, point.climb)
        }),
        edge("lag::along", &BAY, "....#..#..#..", |bay: VentedBay, way: [Waypoint; 3]| {
            lag::along(&bay, &way)
        })
        .known_to(1e-3, 10.0),
        edge("lag::history", &BAY, "#############", |bay: VentedBay, way: [Waypoint; 3]| {
            lag::history(&bay, &way)
        }),
        edge("lag::pressures_inside", &BAY, "#############", |bay: VentedBay, way: [Waypoint; 3]| {
            lag::pressures_inside(&bay, &way)
        }),
    ]);
}

pub(super) fn all() -> Vec<Edge> {
    let mut all = Vec::new();
    ascents(&mut all);
    motors(&mut all);
    bays(&mut all);
    // The ordinary site is one of the standard atmosphere.
    assert!(atmosphere::at(Length::from_si(ORDINARY[8])).is_ok());
    all
}
