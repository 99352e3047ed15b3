//! Whether the rocket flies nose first: centre of pressure, balance point, and the distance between them along the flight.

use super::ascent::{RAIL_EXIT_ANGLE, flight_result};
use super::computed::computed;
use super::extents::extent;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::motor_mount::motor_mount;
use super::sections::{CALIBRE, LENGTH};
use super::side_forces::{SideForces, body_lift, contributions};
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Rocket, as_built, motor, rocket};
use crate::engineering::stability::{self};
use crate::quantity::{Angle, Length, Quantity};
use crate::vocabulary::{Edge, Id, Key, Position, Typed};

/// Where the rocket balances with a part of its propellant burnt.
pub(super) const BURNT: Formula = Formula::expression(
    "({mass_at_ignition} × {balance_station} − {propellant burnt} × {middle of the motor}) / ({mass_at_ignition} − {propellant burnt})",
);

/// Where the centre of pressure at a Mach number comes from.
pub(super) const FINS_BY_MACH: &str = "Barrowman 1966; fins by the Prandtl–Glauert rule up to Mach 0.8 (1967, from memory), by linear theory from 1.2, in a straight line between";

computed! {
    /// Where the air's side force acts, aft from the nose tip, at a small angle and well below the speed of sound.
    PRESSURE: "centre_of_pressure" of Rocket gives Length,
        Formula::expression("Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins"),
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", pressure;
    /// Where the air's side force acts by the method used here, whatever is stated, aft from the nose tip.
    COMPUTED_PRESSURE: "computed_centre_of_pressure" of Rocket gives Length,
        Formula::expression("Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins"),
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", computed_pressure;
    /// Where the finished rocket balances with its motor in, aft from the nose tip.
    BALANCE: "balance_station" of Rocket gives Length,
        Formula::choice("{balance_point}, as the finished rocket was laid on an edge"), "", balance;
    /// How far the centre of pressure lies behind the balance point, in calibres; ready to fly, the full motor in.
    STABILITY: "stability" of Rocket gives f64,
        Formula::expression("({centre_of_pressure} − {balance_station}) / {calibre}"), "definition of the static margin", |ctx, id| {
            let (pressure, balance) = both(ctx.query(id, &PRESSURE), ctx.query(id, &BALANCE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// Where the rocket balances as it leaves the rail, a little of its propellant burnt.
    BALANCE_RAIL_EXIT: "balance_at_rail_exit" of Rocket gives Length,
        BURNT, "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, false);
    /// Where the rocket balances with all its propellant burnt.
    BALANCE_BURNOUT: "balance_at_burnout" of Rocket gives Length,
        BURNT, "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, true);
    /// How far the centre of pressure lies behind the balance point as the rocket leaves the rail in still air, in calibres; the fins as in slow air, whatever the Mach number.
    STABILITY_RAIL_EXIT: "stability_at_rail_exit" of Rocket gives f64,
        Formula::expression("({centre_of_pressure} − {balance_at_rail_exit}) / {calibre}"), "Barrowman 1966", |ctx, id| {
            let (balance, pressure) = both(ctx.query(id, &BALANCE_RAIL_EXIT), ctx.query(id, &PRESSURE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// How far the centre of pressure lies behind the balance point as the rocket leaves the rail, in calibres, in the stated wind, which meets the rocket at an angle: the lift of the body included.
    STABILITY_WIND: "stability_in_wind" of Rocket gives f64,
        Formula::expression("({centre of pressure} − {balance_at_rail_exit}) / {calibre}"),
        "Barrowman 1966; body lift: 1.1 × side view / reference area × angle (from memory)", stability_in_wind;
    /// How far the centre of pressure lies behind the balance point at burnout, in calibres; the fins by their Mach number.
    STABILITY_BURNOUT: "stability_at_burnout" of Rocket gives f64,
        Formula::expression("({centre of pressure} − {balance_at_burnout}) / {calibre}"),
        FINS_BY_MACH, stability_at_burnout;
}

/// How far the centre of pressure lies behind a balance point, in calibres.
fn static_margin(ctx: &EvalContext<'_>, id: Id<Rocket>, pressure: Length, balance: Length) -> Outcome<f64> {
    let calibre = ctx.query(id, &CALIBRE)?;
    ctx.or_refuse(stability::static_margin(pressure, balance, calibre))
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &CALIBRE,
    &PRESSURE,
    &COMPUTED_PRESSURE,
    &BALANCE,
    &STABILITY,
    &BALANCE_RAIL_EXIT,
    &BALANCE_BURNOUT,
    &STABILITY_RAIL_EXIT,
    &STABILITY_WIND,
    &STABILITY_BURNOUT,
];

pub(super) fn pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    match stated_pressure(ctx, root)? {
        Some(stated) => Ok(stated),
        None => computed_pressure(ctx, root),
    }
}

fn computed_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let parts = contributions(ctx, root, 0.0)?;
    let total = ctx.or_refuse(stability::total(&parts.all))?;
    let Some(shift) = shift(ctx, root)? else {
        ctx.formula(|| parts.centre());
        return Ok(total.centre);
    };
    ctx.step("as worked out", || parts.centre(), total.centre);
    ctx.formula(|| Formula::expression("{as worked out} + {pressure_shift}"));
    Ok(total.centre + shift)
}

/// How far behind the place that is worked out the centre of pressure was found, where somebody has said.
pub(super) fn shift(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Option<Length>> {
    match ctx.has(root, rocket::pressure_shift)? {
        true => ctx.get(root, rocket::pressure_shift).map(Some),
        false => Ok(None),
    }
}

/// The centre of pressure that the author states for a shape that is not worked out here.
pub(super) fn stated_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Option<Length>> {
    if !ctx.has(root, rocket::stated_centre_of_pressure)? {
        return Ok(None);
    }
    from_an_end(ctx, root, rocket::stated_centre_of_pressure).map(Some)
}

/// A place measured from an end of the whole rocket, aft from the nose tip.
fn from_an_end<E: Typed>(ctx: &EvalContext<'_>, holder: Id<E>, key: Key<E, Position>) -> Outcome<Length> {
    let position = ctx.get(holder, key)?;
    ctx.see(position.distance);
    if position.of.is_some() {
        return Err(ctx.refuse("this place is measured from an end of the whole rocket"));
    }
    let distance = position.distance.si;
    let root = ctx.rocket();
    ctx.formula(|| {
        let line = ctx.field_line(holder, key);
        match position.edge {
            Edge::Fore => Formula::Choice(format!("{line}, from the nose tip").into()),
            Edge::Aft => Formula::Expression(format!("{} − {line}", ctx.line(root, LENGTH.name)).into()),
        }
    });
    Ok(Length::from_si(match position.edge {
        Edge::Fore => distance,
        Edge::Aft => ctx.query(root, &LENGTH)?.si() - distance,
    }))
}

fn stability_in_wind(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (angle, balance) = both(ctx.query(root, &RAIL_EXIT_ANGLE), ctx.query(root, &BALANCE_RAIL_EXIT))?;
    let angle = Angle::from_si(angle.si().min(stability::LARGEST_ANGLE));
    ctx.step("angle to the air", || Formula::expression("least of ({rail_exit_angle}, 0.35 rad)"), angle);
    let (mut parts, lifts) = both(contributions(ctx, root, 0.0), body_lift(ctx, root, angle))?;
    parts.all.extend(lifts.all);
    parts.names.extend(lifts.names);
    margin(ctx, root, &parts, balance)
}

fn stability_at_burnout(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (flight, balance) = both(flight_result(ctx, root), ctx.query(root, &BALANCE_BURNOUT))?;
    if let Some(stated) = stated_pressure(ctx, root)? {
        let calibre = ctx.query(root, &CALIBRE)?;
        ctx.offer(root, PRESSURE.name);
        ctx.formula(|| Formula::expression("({centre_of_pressure} − {balance_at_burnout}) / {calibre}"));
        return ctx.or_refuse(stability::static_margin(stated, balance, calibre));
    }
    let mach = flight.calm().burnout.mach;
    ctx.step("Mach number", || Formula::method("of the ascent at burnout"), Quantity::number(mach));
    let parts = contributions(ctx, root, mach)?;
    margin(ctx, root, &parts, balance)
}

pub(super) fn margin(
    ctx: &EvalContext<'_>,
    root: Id<Rocket>,
    parts: &SideForces,
    balance: Length,
) -> Outcome<f64> {
    let calibre = ctx.query(root, &CALIBRE)?;
    let mut centre = ctx.or_refuse(stability::total(&parts.all))?.centre;
    if let Some(shift) = shift(ctx, root)? {
        ctx.step("as worked out", || parts.centre(), centre);
        centre = centre + shift;
        ctx.step("centre of pressure", || Formula::expression("{as worked out} + {pressure_shift}"), centre);
    } else {
        ctx.step("centre of pressure", || parts.centre(), centre);
    }
    ctx.or_refuse(stability::static_margin(centre, balance, calibre))
}

/// The middle of the motor, aft from the nose tip, when its thrust ring meets the aft end of the motor tube.
pub(super) fn motor_middle(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let mount = motor_mount(ctx)?;
    let (long, ends) = both(ctx.get(engine, motor::length), extent(ctx, mount))?;
    ctx.step(
        "middle of the motor",
        || {
            let (aft, long) = (ctx.line(mount, "aft_station"), ctx.field_line(engine, motor::length));
            Formula::Expression(format!("{aft} − {long} / 2").into())
        },
        Length::from_si(ends.aft - long.si() / 2.0),
    );
    Ok(Length::from_si(ends.aft - long.si() / 2.0))
}

/// The fore and the aft end of the motor, aft from the nose tip.
pub(super) fn motor_ends(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<(Length, Length)> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let (middle, long) = both(motor_middle(ctx, root), ctx.get(engine, motor::length))?;
    Ok((middle - long * 0.5, middle + long * 0.5))
}

fn balance_at(ctx: &EvalContext<'_>, root: Id<Rocket>, burnout: bool) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let before = both(ctx.query(root, &MASS_AT_IGNITION), ctx.query(root, &BALANCE));
    let inside = both(ctx.get(engine, motor::propellant_mass), motor_middle(ctx, root));
    let ((mass, balance), (propellant, middle)) = both(before, inside)?;
    ctx.query(root, &MASS_IN_DESCENT)?;
    let burnt = if burnout {
        ctx.step("propellant burnt", || Formula::choice("{propellant_mass}, all of it"), propellant);
        propellant
    } else {
        let flight = flight_result(ctx, root)?;
        let burnt = mass - flight.mass_at_rail_exit();
        ctx.step(
            "share of the impulse",
            || {
                Formula::method(
                    "area under the thrust curve until the upper button leaves the rail, over the whole",
                )
            },
            Quantity::number(flight.share_at_rail_exit()),
        );
        ctx.step(
            "propellant burnt",
            || Formula::expression("{propellant_mass} × {share of the impulse}"),
            burnt,
        );
        burnt
    };
    let left = (mass - burnt).si();
    let station = (mass.si() * balance.si() - burnt.si() * middle.si()) / left;
    Ok(Length::from_si(station))
}

fn balance(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let Some(measured) = ctx.part(root, rocket::measured)? else {
        return Err(ctx.refuse("the finished rocket was not measured"));
    };
    from_an_end(ctx, measured, as_built::balance_point)
}
