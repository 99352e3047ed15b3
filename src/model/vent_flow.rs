//! How far the air in an altimeter bay lags behind the air outside along the computed ascent.

use std::f64::consts::FRAC_PI_4;
use std::rc::Rc;

use super::ascent::flown;
use super::bays::AIR_VOLUME;
use super::joints::computed;
use super::memo::Artifact;
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{Section, flight, rocket, section, vent};
use crate::engineering::lag::{self, BayLag, Waypoint};
use crate::engineering::venting::{self, BreathingBay};
use crate::quantity::{Area, Length, Pressure, Time};
use crate::vocabulary::Id;

/// Discharge coefficient of a drilled hole with sharp edges: the low end, which makes the lag larger (from memory).
const SHARP_EDGE: f64 = 0.6;
/// How far apart the points of the ascent lie, s: the curve between them is a cubic with their climbs.
const APART: f64 = 0.05;

computed! {
    /// How much too low an altimeter in the bay reads at most on the way up.
    CLIMB_LAG: "climb_lag" of Section gives Length,
        "greatest along the ascent, from dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6)",
        "mass balance and isentropic orifice, first principles", |ctx, id| {
            let flow_through_vents = vent_flow(ctx, id)?;
            let VentFlow { bay, way, lag } = &*flow_through_vents;
            by_hand(ctx, bay, way, lag);
            ctx.step("greatest lag: when", "since ignition", lag.greatest_at);
            ctx.step("greatest lag: pressure", "inside − outside", lag.greatest.pressure);
            Ok(lag.greatest.height)
        };
    /// How much too low an altimeter in the bay reads at the highest point.
    APOGEE_LAG: "apogee_lag" of Section gives Length,
        "at the end of the ascent, from dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6)",
        "mass balance and isentropic orifice, first principles", |ctx, id| {
            let lag = &vent_flow(ctx, id)?.lag;
            ctx.step("lag: pressure", "inside − outside", lag.last.pressure);
            Ok(lag.last.height)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&CLIMB_LAG, &APOGEE_LAG];

/// The lag as a calculator gives it, for a steady climb as fast as at the moment when it is greatest.
fn by_hand(ctx: &EvalContext<'_>, bay: &BreathingBay, way: &[Waypoint], lag: &BayLag) {
    let apart = |point: &Waypoint| (point.time.si() - lag.greatest_at.si()).abs();
    let Some(then) = way.iter().min_by(|a, b| apart(a).total_cmp(&apart(b))) else { return };
    // Holes too small by far have no such sum; the integrated lag stands by itself then.
    let Ok(steady) = venting::lag_in_climb(bay, then.climb, then.altitude) else { return };
    ctx.step("climb then", "of the ascent", then.climb);
    ctx.step("altitude then", "above the sea", then.altitude);
    ctx.step(
        "by hand: pressure of a steady climb",
        "(density × g × climb × air volume / (0.6 × vent area × R × T))² / (2 × density)",
        steady.pressure,
    );
    ctx.step("by hand: the same as height", "pressure / (density × g)", steady.height);
}

/// The lag of an altimeter bay along the ascent: how much too low an altimeter in it reads, by time since ignition.
pub(super) fn lag_course(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<(Time, Length)>> {
    let flow_through_vents = vent_flow(ctx, id)?;
    let VentFlow { bay, way, .. } = &*flow_through_vents;
    let points = ctx.or_refuse(lag::course(bay, way))?;
    Ok(points.into_iter().map(|(time, lag)| (time, lag.height)).collect())
}

/// The flow through the vents of a bay along the ascent.
#[derive(Debug)]
pub(super) struct VentFlow {
    bay: BreathingBay,
    way: Vec<Waypoint>,
    lag: BayLag,
}

/// Asked for by two quantities and a plot, and worked out once.
static VENT_FLOW: Artifact<Section, VentFlow> = Artifact { compute: flow_through_vents };

fn vent_flow(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Rc<VentFlow>> {
    ctx.working_of(id, &VENT_FLOW)
}

/// The area of the holes of a section.
fn vent_area(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    let mut vents: Outcome<f64> = Ok(0.0);
    for hole in ctx.entities(id, section::vents)?.iter() {
        let one = both(ctx.get(hole, vent::count), ctx.get(hole, vent::diameter));
        vents =
            both(vents, one).map(|(sum, (count, d))| sum + f64::from(count) * FRAC_PI_4 * d.si() * d.si());
    }
    vents
}

/// The excess of pressure in a section with holes in a steady climb as fast as the rocket's fastest; `None` where it has no holes, or
/// holes too small by far for such a sum.
pub(super) fn steady_excess(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Option<Pressure>> {
    let root = ctx.rocket();
    let place = ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))?;
    let bay = both(vent_area(ctx, id), ctx.query(id, &AIR_VOLUME));
    let day = both(ctx.get(place, flight::temperature), ctx.get(place, flight::site_elevation));
    let ((vents, volume), ((temperature, elevation), flight)) = both(bay, both(day, flown(ctx, root)))?;
    if vents <= 0.0 {
        return Ok(None);
    }
    let vents = Area::from_si(vents);
    let bay = BreathingBay { volume, vents, discharge_coefficient: SHARP_EDGE, temperature };
    let fastest = flight.calm().top_speed;
    let Ok(steady) = venting::lag_in_climb(&bay, fastest.value, elevation + fastest.height) else {
        return Ok(None);
    };
    ctx.step("area of the holes", "Σ count × π/4 × diameter²", vents);
    ctx.step("fastest climb", "top speed of the ascent", fastest.value);
    ctx.step("pressure inside − outside", "of a steady climb as fast", steady.pressure);
    Ok(Some(steady.pressure))
}

fn flow_through_vents(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<VentFlow> {
    let root = ctx.rocket();
    let vents = vent_area(ctx, id);
    let place = ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))?;
    let bay = both(vents, ctx.query(id, &AIR_VOLUME));
    let day = both(ctx.get(place, flight::temperature), ctx.get(place, flight::site_elevation));
    let ((vents, volume), ((temperature, elevation), flight)) = both(bay, both(day, flown(ctx, root)))?;
    if vents <= 0.0 {
        return Err(ctx.refuse("a bay without holes does not follow the air outside at all"));
    }
    let vents = Area::from_si(vents);
    ctx.step("vent area", "Σ count × π/4 × diameter²", vents);
    let bay = BreathingBay { volume, vents, discharge_coefficient: SHARP_EDGE, temperature };
    let way: Vec<Waypoint> = flight
        .climb(Time::from_si(APART))
        .into_iter()
        .map(|(time, height, climb)| Waypoint { time, altitude: elevation + height, climb })
        .collect();
    let lag = ctx.or_refuse(lag::along(&bay, &way))?;
    Ok(VentFlow { bay, way, lag })
}
