//! The fall of a rocket of which nothing opens: on from its apogee, nose first, down to the ground.

use super::super::Unworkable;
use super::super::integrate::{DormandPrince, Tolerance};
use super::flight::{Ascent, Impact, Rail, Rocket, Site};
use super::motion::{self, ABSOLUTE, RELATIVE};
use super::plane::Plane;

/// More steps than any fall takes.
const MOST_STEPS: u32 = 20_000;

/// See [`super::strike`].
pub(super) fn strike(
    rocket: &Rocket<'_>,
    rail: &Rail,
    site: &Site,
    ascent: &Ascent,
) -> Result<Impact, Unworkable> {
    let plane = Plane::of(rail, site, ascent.rail_exit.speed.si());
    let setting = &motion::setting(rocket, rail, site)?.in_wind(plane.wind);
    let tolerance = Tolerance { relative: RELATIVE, absolute: [ABSOLUTE; 4] };
    let top = &ascent.apogee;
    let level = plane.forward * top.airspeed.si() - plane.wind;
    let state = [plane.along(&ascent.place), top.height.si(), level, 0.0];
    let mut fall = DormandPrince::new(tolerance, top.time.si(), state);
    for _ in 0..MOST_STEPS {
        let mut slope = |t: f64, state: &[f64; 4]| {
            let (_, ax, az) = setting.in_air(None, t, state);
            let [_, _, vx, vz] = state;
            [*vx, *vz, ax, az]
        };
        let step = fall.advance(&mut slope, f64::INFINITY)?;
        if let Some(t) = step.rise(|_, [_, z, ..]| -z) {
            let end = step.at(t);
            let [x, ..] = end;
            let moment = setting.moment_in_air(None, t, &end);
            return Ok(Impact {
                place: plane.over_ground(x, t - ascent.rail_exit.time.si()),
                speed: moment.airspeed,
                time: moment.time,
            });
        }
    }
    Err(Unworkable::because("the fall takes too many steps; the drag may jump about"))
}
