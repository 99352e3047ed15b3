//! The ascent in a wind that changes with height, and the fall of what does not open in it.
//!
//! Seen from the air of one height the flight turns as the wind changes: it stays in no plane, and is integrated in space.

use super::super::fall::Wind;
use super::super::integrate::{DormandPrince, Tolerance};
use super::super::thrust::Line;
use super::super::{Unworkable, above_zero};
use super::burn::Burn;
use super::flight::{Accuracy, Impact, OverGround, Rail, Rocket, Site};
use super::motion::{self, ABSOLUTE, RELATIVE, Setting};
use super::peaks::Watch;
use crate::quantity::{Angle, Length, Speed, Time};

/// The errors of a step are allowed this part of those in a plane: the mean over six components counts those that hardly change, and how
/// a flight turns in its wind goes with each error made at low speed.
const STRICTER: f64 = 0.1;
/// More steps than any flight takes.
const MOST_STEPS: u32 = 20_000;

/// The highest point of an ascent in a wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Top {
    /// Since ignition.
    pub time: Time,
    /// Above the site.
    pub height: Length,
    /// Speed through the air.
    pub airspeed: Speed,
    /// Where it stands over the ground, from the rail's lean.
    pub place: OverGround,
    /// The level speed over the ground, upwind and to the right of that, m/s.
    level: [f64; 2],
}

/// A rocket in space: upwind of the pad, to the right of that, height, and their rates.
type State = [f64; 6];

/// What it flies through.
struct Through<'a> {
    setting: &'a Setting<'a>,
    wind: &'a Wind,
    /// Where the rocket points that no air meets.
    rail: [f64; 3],
}

impl Through<'_> {
    /// The velocity through the air, and its size.
    fn through_air(&self, [_, _, z, vx, vy, vz]: &State) -> ([f64; 3], f64) {
        let wind = self.wind.at(Length::from_si(z.max(0.0))).si();
        let velocity = [vx + wind, *vy, *vz];
        let [x, y, z] = velocity;
        (velocity, (x * x + y * y + z * z).sqrt())
    }

    fn slope(&self, line: Option<&Line>, t: f64, state: &State) -> State {
        let ([ux, uy, uz], airspeed) = self.through_air(state);
        let [_, _, z, vx, vy, vz] = *state;
        let (push, gravity) = self.setting.push(line, t, z, airspeed);
        let [ax, ay, az] = if airspeed > 0.0 { [ux, uy, uz].map(|u| u / airspeed) } else { self.rail };
        [vx, vy, vz, push * ax, push * ay, push * az - gravity]
    }
}

/// How large the errors of a step may be.
fn tolerance(slack: f64) -> Tolerance<6> {
    let share = STRICTER * slack;
    Tolerance { relative: RELATIVE * share, absolute: [ABSOLUTE * share; 6] }
}

/// See [`super::fly_aloft`].
pub(super) fn fly(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    (wind, azimuth): (&Wind, Angle),
    accuracy: Accuracy,
) -> Result<Top, Unworkable> {
    let travel = above_zero("the travel along the rail", rail.travel.si())?;
    // On the rail the air is that at the ground.
    let ground = site.in_wind(wind.at(Length::from_si(0.0)), azimuth);
    let setting = &motion::setting(rocket, rail, &ground)?.to(accuracy);
    let mut burn = Burn::of(rocket);
    let liftoff = motion::release(setting, &mut burn, 0.0, 0.0)?;
    let (mut watch, mut boost) = (Watch::new(), None);
    let launch = (travel, liftoff);
    let (exit, speed) = motion::along_rail(setting, &mut burn, &mut watch, &mut boost, launch, &mut |_| {})?;
    let (sine, cosine) = libm::sincos(rail.angle.si());
    let (side, ahead) = libm::sincos(azimuth.si());
    let pointing = [sine * ahead, sine * side, cosine];
    let through = Through { setting, wind, rail: pointing };
    let [x, y, z] = pointing;
    let state = [x * travel, y * travel, z * travel, x * speed, y * speed, z * speed];
    let mut motion = DormandPrince::new(tolerance(setting.slack()), exit, state);
    for _ in 0..MOST_STEPS {
        let line = burn.line();
        if motion.time() >= burn.limit() {
            let (t, state) = (motion.time(), *motion.state());
            if !burn.advance() {
                motion.restart(t, state);
            }
            continue;
        }
        let mut slope = |t: f64, state: &State| through.slope(line, t, state);
        let step = motion.advance(&mut slope, burn.limit())?;
        if let Some(t) = step.rise(|_, [.., vz]| -vz) {
            if !burn.is_out() {
                return Err(Unworkable::because("the rocket stops climbing before its motor burns out"));
            }
            let end = step.at(t);
            let [x, y, z, vx, vy, _] = end;
            return Ok(Top {
                time: Time::from_si(t),
                height: Length::from_si(z),
                airspeed: Speed::from_si(through.through_air(&end).1),
                place: along_lean((x, y), azimuth),
                level: [vx, vy],
            });
        }
        let [_, _, z, ..] = step.at(step.end());
        setting.within_air(z)?;
    }
    Err(Unworkable::because("the ascent takes too many steps; the drag may jump about"))
}

/// A place upwind of the pad and to the right of that, told from a rail's lean.
fn along_lean((upwind, right): (f64, f64), azimuth: Angle) -> OverGround {
    let (sine, cosine) = libm::sincos(azimuth.si());
    OverGround {
        along: Length::from_si(upwind * cosine + right * sine),
        across: Length::from_si(right * cosine - upwind * sine),
    }
}

/// See [`super::strike_aloft`].
pub(super) fn strike(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    (wind, azimuth): (&Wind, Angle),
    top: &Top,
) -> Result<Impact, Unworkable> {
    let setting = &motion::setting(rocket, rail, site)?;
    let through = Through { setting, wind, rail: [0.0, 0.0, -1.0] };
    let (upwind, right) = top.place.against_wind(azimuth);
    let [vx, vy] = top.level;
    let state = [upwind.si(), right.si(), top.height.si(), vx, vy, 0.0];
    let mut fall = DormandPrince::new(tolerance(1.0), top.time.si(), state);
    for _ in 0..MOST_STEPS {
        let mut slope = |t: f64, state: &State| through.slope(None, t, state);
        let step = fall.advance(&mut slope, f64::INFINITY)?;
        if let Some(t) = step.rise(|_, [_, _, z, ..]| -z) {
            let end = step.at(t);
            let [x, y, ..] = end;
            return Ok(Impact {
                place: along_lean((x, y), azimuth),
                speed: Speed::from_si(through.through_air(&end).1),
                time: Time::from_si(t),
            });
        }
    }
    Err(Unworkable::because("the fall takes too many steps; the drag may jump about"))
}
