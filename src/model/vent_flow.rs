//! How far the air in an altimeter bay lags behind the air outside along the computed ascent.

use std::f64::consts::FRAC_PI_4;
use std::rc::Rc;

use super::artifact::Artifact;
use super::ascent::flight_result;
use super::bays::AIR_VOLUME;
use super::computed::computed;
use super::cords::COMPARTMENT;
use super::launch_site::{planned_flight, standard_air};
use super::packing::PACKING_ROOM;
use super::{AnyComputed, EvalContext, FlightResult, Formula, Outcome, both};
use crate::design::{Joint, Section, flight, section, vent};
use crate::engineering::atmosphere;
use crate::engineering::lag::{self, BayLag, Waypoint};
use crate::engineering::venting::{self, VentedBay};
use crate::quantity::{Area, Density, Dimension, Length, Pressure, Quantity, Time, Volume};
use crate::vocabulary::Id;

/// Discharge coefficient of a drilled hole with sharp edges: the low end, which makes the lag larger (from memory).
const SHARP_EDGE: f64 = 0.6;
/// How far apart the points of the ascent lie, s: the curve between them is a cubic with their climbs.
const APART: f64 = 0.05;

computed! {
    /// How much too low an altimeter in the section reads, or would read, at most on the way up.
    CLIMB_LAG: "climb_lag" of Section gives Length,
        Formula::method("integrated along the ascent, where it is greatest: dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6); `by hand` lies within 3 %"),
        "mass balance and isentropic orifice, first principles", |ctx, id| {
            let flow_through_vents = vent_flow(ctx, id)?;
            let VentFlow { bay, way, lag } = &*flow_through_vents;
            ctx.step("greatest lag: when", || Formula::method("integrated: since ignition"), lag.greatest_at);
            ctx.step("greatest lag: pressure", || Formula::method("integrated: inside − outside"), lag.greatest.pressure);
            if ctx.is_recording() {
                by_hand(ctx, id, bay, way, lag)?;
            }
            Ok(lag.greatest.height)
        };
    /// How much too low an altimeter in the section reads, or would read, at the highest point.
    APOGEE_LAG: "apogee_lag" of Section gives Length,
        Formula::method("integrated to the end of the ascent: dp/dt = −R T / air volume × flow through the vents (discharge coefficient 0.6); `climb_lag` has the check by hand"),
        "mass balance and isentropic orifice, first principles", |ctx, id| {
            let lag = &vent_flow(ctx, id)?.lag;
            ctx.step("lag: pressure", || Formula::method("integrated: inside − outside"), lag.last.pressure);
            Ok(lag.last.height)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&CLIMB_LAG, &APOGEE_LAG];

/// The lag as a calculator gives it, for a steady climb as fast as at the moment when it is greatest.
fn by_hand(
    ctx: &EvalContext<'_>,
    id: Id<Section>,
    bay: &VentedBay,
    way: &[Waypoint],
    lag: &BayLag,
) -> Outcome<()> {
    let apart = |point: &Waypoint| (point.time.si() - lag.greatest_at.si()).abs();
    let Some(then) = way.iter().min_by(|a, b| apart(a).total_cmp(&apart(b))) else { return Ok(()) };
    // Holes too small by far have no such sum; the integrated lag stands by itself then.
    let Ok(steady) = venting::lag_in_climb(bay, then.climb, then.altitude) else {
        ctx.formula(|| Formula::method("integrated along the ascent, where it is greatest; the holes are too small for a check by hand"));
        return Ok(());
    };
    ctx.step("climb then", || Formula::method("of the ascent"), then.climb);
    ctx.step("altitude then", || Formula::method("of the ascent, above the sea"), then.altitude);
    let air = ctx.line(id, AIR_VOLUME.name);
    record_steady(ctx, id, bay, &air, then.altitude, steady.pressure)?;
    let height = Quantity::from(steady.height).of_flight();
    ctx.step("by hand", || Formula::expression("{pressure by hand} / ({ρ} × g)"), height);
    Ok(())
}

/// Records the excess of pressure in a bay in a steady climb, whose values were recorded before as `climb then` and `altitude then`.
fn record_steady(
    ctx: &EvalContext<'_>,
    id: Id<Section>,
    bay: &VentedBay,
    air: &str,
    altitude: Length,
    pressure: Pressure,
) -> Outcome<()> {
    let outside = standard_air(ctx, altitude)?;
    let vents: Vec<String> = ctx
        .entities(id, section::vents)?
        .iter()
        .map(|hole| {
            let (count, across) = (ctx.field_line(hole, vent::count), ctx.field_line(hole, vent::diameter));
            format!("{count} × π / 4 × {across}²")
        })
        .collect();
    ctx.step("vent area", || Formula::Expression(vents.join(" + ").into()), bay.vents);
    let standard = || Formula::method("standard atmosphere at that altitude");
    ctx.step("ρ, density outside", standard, outside.density);
    ctx.step("p, pressure outside", standard, outside.pressure);
    let gas = atmosphere::AIR_GAS_CONSTANT * bay.temperature.si();
    let per_mass = Dimension::SPEED.power(2).unwrap_or(Dimension::NUMBER);
    ctx.step(
        "R T of the air inside",
        || Formula::method("287.05 J/(kg K) × `temperature`, counted from absolute zero"),
        Quantity::new(gas, per_mass),
    );
    ctx.step(
        "ρi, density inside",
        || Formula::expression("{p} / {R T of the air inside}"),
        Density::from_si(outside.pressure.si() / gas),
    );
    ctx.step(
        "pressure by hand",
        || {
            let flow = format!(
                "{{ρ}} × g × {{climb then}} × {air} / (0.6 × {{vent area}} × {{R T of the air inside}})"
            );
            Formula::Expression(format!("({flow})² / (2 × {{ρi}})").into())
        },
        pressure,
    );
    Ok(())
}

/// The lag of an altimeter bay along the ascent: how much too low an altimeter in it reads, by time since ignition.
pub(super) fn lag_course(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<(Time, Length)>> {
    let flow_through_vents = vent_flow(ctx, id)?;
    let VentFlow { bay, way, .. } = &*flow_through_vents;
    let points = ctx.or_refuse(lag::history(bay, way))?;
    Ok(points.into_iter().map(|(time, lag)| (time, lag.height)).collect())
}

/// The flow through the vents of a bay along the ascent.
#[derive(Debug)]
pub(super) struct VentFlow {
    bay: VentedBay,
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

/// The pressure behind the holes of the compartment of a joint, from ignition to the highest point; `None` where it has no holes. The air is
/// that of the room beside the joint, or of the whole section where that room is not known.
pub(super) fn compartment_pressure(
    ctx: &EvalContext<'_>,
    joint: Id<Joint>,
) -> Outcome<Option<Vec<(Time, Pressure)>>> {
    let id = ctx.query(joint, &COMPARTMENT)?;
    let vents = vent_area(ctx, id)?;
    if vents <= 0.0 {
        return Ok(None);
    }
    let is_known = ctx.unrecorded(|| ctx.query(joint, &PACKING_ROOM)).is_ok();
    let volume = if is_known { ctx.query(joint, &PACKING_ROOM) } else { ctx.query(id, &AIR_VOLUME) };
    let (bay, way) = bay_and_way(ctx, both(Ok(vents), volume))?;
    ctx.or_refuse(lag::pressures_inside(&bay, &way)).map(Some)
}

fn flow_through_vents(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<VentFlow> {
    let (bay, way) = bay_and_way(ctx, both(vent_area(ctx, id), ctx.query(id, &AIR_VOLUME)))?;
    let lag = ctx.or_refuse(lag::along(&bay, &way))?;
    Ok(VentFlow { bay, way, lag })
}

/// A space with so much area of holes, m², and such a volume of air on the planned day, and the ascent.
fn bay_and_way(ctx: &EvalContext<'_>, space: Outcome<(f64, Volume)>) -> Outcome<(VentedBay, Vec<Waypoint>)> {
    let root = ctx.rocket();
    let place = planned_flight(ctx, root)?;
    let day = both(ctx.get(place, flight::temperature), ctx.get(place, flight::site_elevation));
    let ((vents, volume), ((temperature, elevation), flight)) =
        both(space, both(day, flight_result(ctx, root)))?;
    if vents <= 0.0 {
        return Err(ctx.refuse("a bay without holes does not follow the air outside at all"));
    }
    let vents = Area::from_si(vents);
    let bay = VentedBay { volume, vents, discharge_coefficient: SHARP_EDGE, temperature };
    Ok((bay, waypoints(&flight, elevation)))
}

/// The ascent, point by point.
fn waypoints(flight: &FlightResult, elevation: Length) -> Vec<Waypoint> {
    let points = flight.climb(Time::from_si(APART)).into_iter();
    points.map(|(time, height, climb)| Waypoint { time, altitude: elevation + height, climb }).collect()
}
