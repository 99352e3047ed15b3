//! The greatest pull at a joint on the way up: drag and the air shut in behind it, at the same moment.

use std::rc::Rc;

use super::artifact::Artifact;
use super::ascent::flight_result;
use super::computed::computed;
use super::joints::{FORE_MASS, SOCKET_DIAMETER};
use super::launch_site::planned_flight;
use super::vent_flow::compartment_pressure;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Joint, flight};
use crate::engineering::ascent::Moment;
use crate::engineering::{atmosphere, pins, venting};
use crate::quantity::{Acceleration, Force, Pressure, Time};
use crate::vocabulary::Id;

computed! {
    /// The greatest pull at the joint on the way up: the part before it moves on while drag slows the part behind it, its own drag not counted, and the air that its compartment still holds pushes, both at the same moment.
    FLIGHT_PULL: "flight_pull" of Joint gives Force,
        Formula::expression("{fore_mass} × {deceleration then} + {pressure then} × π / 4 × {socket_diameter}²"),
        "Newton's second law; U.S. Standard Atmosphere, 1976; mass balance and isentropic orifice, first principles", |ctx, id| {
            let pull = greatest_pull(ctx, id)?;
            ctx.step("deceleration then", || Formula::method("of the ascent in still air, where the pull is greatest: (drag − thrust) / mass"), pull.deceleration);
            ctx.step("pressure then", || Formula::method(pull.air), pull.pressure);
            Ok(pull.force)
        };
    /// When the pull at the joint is greatest, from ignition.
    FLIGHT_PULL_TIME: "flight_pull_time" of Joint gives Time,
        Formula::method("of the ascent in still air, where `flight_pull` is greatest"), "", |ctx, id| Ok(greatest_pull(ctx, id)?.time);
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&FLIGHT_PULL, &FLIGHT_PULL_TIME];

/// How the air is followed that no hole lets out, and that which leaves through holes.
const SEALED: &str =
    "standard pressure at `site_elevation`, less that at the height then; no hole lets the air out";
const VENTED: &str = "integrated along the ascent: inside − outside, through the holes of `compartment` (discharge coefficient 0.6)";

#[derive(Debug)]
struct GreatestPull {
    time: Time,
    /// Drag less thrust over mass: below zero while the motor pushes harder.
    deceleration: Acceleration,
    pressure: Pressure,
    /// How the pressure came about.
    air: &'static str,
    force: Force,
}

/// Asked for by two quantities, and worked out once.
static GREATEST_PULL: Artifact<Joint, GreatestPull> = Artifact { compute: along_the_ascent };

fn greatest_pull(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Rc<GreatestPull>> {
    ctx.working_of(id, &GREATEST_PULL)
}

fn along_the_ascent(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<GreatestPull> {
    let root = ctx.rocket();
    let site = ctx.get(planned_flight(ctx, root)?, flight::site_elevation);
    let sizes = both(ctx.query(id, &FORE_MASS), ctx.query(id, &SOCKET_DIAMETER));
    let air = both(site, compartment_pressure(ctx, id));
    let ((mass, bore), ((site, behind_holes), flight)) = both(sizes, both(air, flight_result(ctx, root)))?;
    let excess = |moment: &Moment| match &behind_holes {
        Some(inside) => {
            let outside = atmosphere::at(site + moment.height)?.pressure;
            Ok(Pressure::from_si(between(inside, moment.time).si() - outside.si()))
        }
        None => venting::trapped_pressure(site, site + moment.height),
    };
    let force = |moment: &Moment| {
        let pressure = excess(moment)?;
        let push = pins::trapped_air_pull(pressure, bore)?;
        Ok((pressure, Force::from_si(mass.si() * deceleration(moment).si()) + push))
    };
    let least =
        flight.least(|moment| force(moment).map_or(f64::INFINITY, |(_, pull): (_, Force)| -pull.si()));
    let moment = ctx.or_refuse(least)?;
    let (pressure, pull) = ctx.or_refuse(force(&moment))?;
    Ok(GreatestPull {
        time: moment.time,
        deceleration: deceleration(&moment),
        pressure,
        air: if behind_holes.is_some() { VENTED } else { SEALED },
        force: pull,
    })
}

/// Less than this is what rounding leaves of the speed at the highest point, m/s².
const STILL: f64 = 1e-9;

fn deceleration(moment: &Moment) -> Acceleration {
    let deceleration = (moment.drag.si() - moment.thrust.si()) / moment.mass.si();
    Acceleration::from_si(if deceleration.abs() < STILL { 0.0 } else { deceleration })
}

/// The pressure at a time, on straight lines between points in the order of time.
fn between(points: &[(Time, Pressure)], time: Time) -> Pressure {
    let after = points.partition_point(|(t, _)| t.si() <= time.si());
    let (before, after) = (after.checked_sub(1).and_then(|i| points.get(i)), points.get(after));
    match (before, after) {
        (Some((from, low)), Some((to, high))) => {
            let share = (time.si() - from.si()) / (to.si() - from.si());
            Pressure::from_si(low.si() + share * (high.si() - low.si()))
        }
        (Some((_, only)), None) | (None, Some((_, only))) => *only,
        (None, None) => Pressure::from_si(0.0),
    }
}
