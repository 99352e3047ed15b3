//! Whether the rocket flies nose first: centre of pressure, balance point, and the distance between them along the flight.

use super::airflow::nose;
use super::ascent::{RAIL_EXIT_ANGLE, flown};
use super::joints::computed;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::planform::planform;
use super::stations::{LENGTH, extent, sections};
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{
    Fins, Rocket, Section, as_built, boat_tail, fins, motor, rocket, section, switch_band, transition, tube,
};
use crate::engineering::nose::{Shape, SideView};
use crate::engineering::planform::Planform;
use crate::engineering::stability::{self, Contribution, FinSet};
use crate::quantity::{Angle, Length, Quantity};
use crate::vocabulary::{Edge, EntityId, Id, Key, Position};

computed! {
    /// The largest outside diameter of the body: one calibre.
    CALIBRE: "calibre" of Rocket gives Length,
        "largest outside diameter of the sections", "", calibre;
    /// Where the air's side force acts, aft from the nose tip, at a small angle and well below the speed of sound.
    PRESSURE: "centre_of_pressure" of Rocket gives Length,
        "as stated; else Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins",
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", pressure;
    /// Where it acts by the method used here, whatever is stated.
    COMPUTED_PRESSURE: "computed_centre_of_pressure" of Rocket gives Length,
        "Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins",
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", computed_pressure;
    /// Where the finished rocket balances with its motor in, aft from the nose tip.
    BALANCE: "balance_station" of Rocket gives Length,
        "as measured, from the nose tip or from the aft end of the rocket", "", balance;
    /// How far the centre of pressure lies behind the balance point, in calibres.
    STABILITY: "stability" of Rocket gives f64,
        "(centre of pressure − balance point) / calibre", "definition of the static margin", |ctx, id| {
            let (pressure, balance) = both(ctx.query(id, &PRESSURE), ctx.query(id, &BALANCE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// Where the rocket balances as it leaves the rail, a little of its propellant burnt.
    BALANCE_RAIL_EXIT: "balance_at_rail_exit" of Rocket gives Length,
        "(mass × balance point − propellant burnt × middle of the motor) / (mass − propellant burnt)", "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, false);
    /// Where the rocket balances at burnout, all its propellant burnt.
    BALANCE_BURNOUT: "balance_at_burnout" of Rocket gives Length,
        "(mass × balance point − propellant × middle of the motor) / (mass − propellant)", "statics; the propellant's mass at the middle of the motor",
        |ctx, id| balance_at(ctx, id, true);
    /// How far the centre of pressure lies behind the balance point as the rocket leaves the rail in still air, in calibres.
    STABILITY_RAIL_EXIT: "stability_at_rail_exit" of Rocket gives f64,
        "(centre of pressure − balance point at rail exit) / calibre", "Barrowman 1966", |ctx, id| {
            let (balance, pressure) = both(ctx.query(id, &BALANCE_RAIL_EXIT), ctx.query(id, &PRESSURE))?;
            static_margin(ctx, id, pressure, balance)
        };
    /// The same in the stated wind, which meets the rocket at an angle: the lift of the body included.
    STABILITY_WIND: "stability_in_wind" of Rocket gives f64,
        "(centre of pressure with body lift at atan(wind / rail exit speed), at most 0.35 rad − balance point) / calibre",
        "Barrowman 1966; body lift: 1.1 × side view / reference area × angle (from memory)", stability_in_wind;
    /// How far the centre of pressure lies behind the balance point at burnout, in calibres; the fins by their Mach number up to 0.8.
    STABILITY_BURNOUT: "stability_at_burnout" of Rocket gives f64,
        "(centre of pressure at the Mach number of burnout, at most 0.8 − balance point) / calibre",
        "Barrowman 1966, with the Prandtl–Glauert rule on the fins (1967, from memory)", stability_at_burnout;
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

fn calibre(ctx: &EvalContext<'_>, _: Id<Rocket>) -> Outcome<Length> {
    let mut largest: Outcome<f64> = Ok(0.0);
    for section in sections(ctx)?.iter() {
        let one = ctx.query(section, &super::stations::BODY_DIAMETER);
        largest = both(largest, one).map(|(so_far, d)| so_far.max(d.si()));
    }
    Ok(Length::from_si(largest?))
}

/// The outline that a word in the file stands for.
pub(super) fn outline(ctx: &EvalContext<'_>, word: &str) -> Outcome<Shape> {
    match word {
        "cone" => Ok(Shape::Cone),
        "tangent ogive" => Ok(Shape::TangentOgive),
        "ellipsoid" => Ok(Shape::Ellipsoid),
        "parabola" => Ok(Shape::Parabola { k: 1.0 }),
        "von karman" => Ok(Shape::Haack { c: 0.0 }),
        _ => Err(ctx.refuse("the outline of this nose cone is not one whose volume is known here")),
    }
}

fn pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    match stated_pressure(ctx, root)? {
        Some(stated) => Ok(stated),
        None => computed_pressure(ctx, root),
    }
}

fn computed_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let total = ctx.or_refuse(stability::total(&contributions(ctx, root, 0.0)?))?;
    ctx.step("sum of the slopes", "for each radian", Quantity::number(total.slope));
    Ok(total.centre)
}

/// The centre of pressure that the author states for a shape that is not worked out here.
fn stated_pressure(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Option<Length>> {
    if !ctx.has(root, rocket::stated_centre_of_pressure)? {
        return Ok(None);
    }
    from_an_end(ctx, root, rocket::stated_centre_of_pressure).map(Some)
}

/// A place measured from an end of the whole rocket, aft from the nose tip.
fn from_an_end<E>(ctx: &EvalContext<'_>, holder: Id<E>, key: Key<E, Position>) -> Outcome<Length> {
    let position = ctx.get(holder, key)?;
    ctx.see(position.distance);
    if position.of.is_some() {
        return Err(ctx.refuse("this place is measured from an end of the whole rocket"));
    }
    let distance = position.distance.si;
    let root = ctx.rocket();
    Ok(Length::from_si(match position.edge {
        Edge::Fore => distance,
        Edge::Aft => ctx.query(root, &LENGTH)?.si() - distance,
    }))
}

/// What each part adds to the side force at a small angle and a Mach number.
fn contributions(ctx: &EvalContext<'_>, root: Id<Rocket>, mach: f64) -> Outcome<Vec<Contribution>> {
    let reference = ctx.query(root, &CALIBRE)?;
    let mut parts: Outcome<Vec<Contribution>> = Ok(Vec::new());
    let mut add = |name: &str, station: f64, one: Outcome<Contribution>| {
        let moved = one.map(|c| c.aft_by(Length::from_si(station)));
        if let Ok(moved) = &moved {
            ctx.step(format!("{name}: slope"), "for each radian", Quantity::number(moved.slope));
            ctx.step(format!("{name}: where it acts"), "aft from the nose tip", moved.centre);
        }
        let so_far = std::mem::replace(&mut parts, Ok(Vec::new()));
        parts = both(so_far, moved).map(|(mut all, c)| {
            all.push(c);
            all
        });
    };
    let mut any_fins = false;
    for section in sections(ctx)?.iter() {
        let name = ctx.name(section);
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            let fore = extent(ctx, cone).map(|e| e.fore);
            let one = nose(ctx, cone).and_then(|nose| ctx.or_refuse(stability::nose(&nose, reference)));
            add("nose cone", fore.unwrap_or(0.0), one);
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends =
                both(ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            let long = both(ctx.get(part, transition::length), extent(ctx, part));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                ctx.or_refuse(stability::transition(fore, aft, length, reference))
            });
            add(&format!("transition of {name}"), long.map_or(0.0, |(_, e)| e.fore), one);
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let ends = both(
                ctx.query(section, &super::stations::BODY_DIAMETER),
                ctx.get(tail, boat_tail::aft_diameter),
            );
            let long = both(ctx.get(tail, boat_tail::length), extent(ctx, tail));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                ctx.or_refuse(stability::transition(fore, aft, length, reference))
            });
            add("boat-tail", long.map_or(0.0, |(_, e)| e.fore), one);
        }
        if let Some(set) = ctx.part(section, section::fins)? {
            any_fins = true;
            let fore = extent(ctx, set).map(|e| e.fore);
            let one = both(fin_set(ctx, section, set), fore.clone())
                .and_then(|(set, _)| ctx.or_refuse(stability::fins(&set, reference, mach)));
            add(&format!("fins of {name}"), fore.unwrap_or(0.0), one);
        }
    }
    if !any_fins {
        return Err(ctx.refuse("a rocket without fins has no centre of pressure that this method knows"));
    }
    parts
}

/// Lift of the body at an angle to the air, part by part.
fn body_lift(ctx: &EvalContext<'_>, root: Id<Rocket>, angle: Angle) -> Outcome<Vec<Contribution>> {
    let reference = ctx.query(root, &CALIBRE)?;
    let mut views: Vec<(f64, Outcome<SideView>)> = Vec::new();
    for section in sections(ctx)?.iter() {
        let at = |part: EntityId| extent(ctx, part).map(|e| e.fore);
        let tapered = |fore: Outcome<Length>, aft: Outcome<Length>, long: Outcome<Length>| {
            let ((fore, aft), long) = both(both(fore, aft), long)?;
            ctx.or_refuse(stability::side_view(fore, aft, long))
        };
        let across = || ctx.query(section, &super::stations::BODY_DIAMETER);
        if let Some(cone) = ctx.part(section, section::nose_cone)? {
            views.push((at(cone.any())?, nose(ctx, cone).and_then(|nose| ctx.or_refuse(nose.side_view()))));
        }
        if let Some(body) = ctx.part(section, section::tube)? {
            views.push((at(body.any())?, tapered(across(), across(), ctx.get(body, tube::length))));
        } else if let Some(band) = ctx.part(section, section::switch_band)? {
            views.push((at(band.any())?, tapered(across(), across(), ctx.get(band, switch_band::length))));
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let (fore, aft) =
                (ctx.get(part, transition::fore_diameter), ctx.get(part, transition::aft_diameter));
            views.push((at(part.any())?, tapered(fore, aft, ctx.get(part, transition::length))));
        }
        if let Some(tail) = ctx.part(section, section::boat_tail)? {
            let aft = ctx.get(tail, boat_tail::aft_diameter);
            views.push((at(tail.any())?, tapered(across(), aft, ctx.get(tail, boat_tail::length))));
        }
    }
    let mut lifts = Vec::new();
    for (fore, view) in views {
        let lift =
            ctx.or_refuse(stability::body_lift(view?, stability::BODY_LIFT_FACTOR, angle, reference))?;
        lifts.push(lift.aft_by(Length::from_si(fore)));
    }
    Ok(lifts)
}

fn stability_in_wind(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (angle, balance) = both(ctx.query(root, &RAIL_EXIT_ANGLE), ctx.query(root, &BALANCE_RAIL_EXIT))?;
    let angle = Angle::from_si(angle.si().min(stability::LARGEST_ANGLE));
    let (mut parts, lifts) = both(contributions(ctx, root, 0.0), body_lift(ctx, root, angle))?;
    let slope: f64 = lifts.iter().map(|lift| lift.slope).sum();
    ctx.step("lift of the body: slope", "1.1 × side view / reference area × angle", Quantity::number(slope));
    parts.extend(lifts);
    margin(ctx, root, &parts, balance)
}

fn stability_at_burnout(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<f64> {
    let (flight, balance) = both(flown(ctx, root), ctx.query(root, &BALANCE_BURNOUT))?;
    if let Some(stated) = stated_pressure(ctx, root)? {
        let calibre = ctx.query(root, &CALIBRE)?;
        return ctx.or_refuse(stability::static_margin(stated, balance, calibre));
    }
    let mach = flight.calm().burnout.mach;
    ctx.step("Mach number at burnout", "airspeed / speed of sound", Quantity::number(mach));
    let parts = contributions(ctx, root, mach.min(stability::HIGHEST_MACH))?;
    margin(ctx, root, &parts, balance)
}

fn margin(ctx: &EvalContext<'_>, root: Id<Rocket>, parts: &[Contribution], balance: Length) -> Outcome<f64> {
    let calibre = ctx.query(root, &CALIBRE)?;
    let total = ctx.or_refuse(stability::total(parts))?;
    ctx.step("centre of pressure", "Σ slope × station / Σ slope", total.centre);
    ctx.or_refuse(stability::static_margin(total.centre, balance, calibre))
}

/// The middle of the motor, aft from the nose tip, when its thrust ring meets the aft end of the motor tube.
pub(super) fn motor_middle(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let mut mount = None;
    for section in sections(ctx)?.iter() {
        mount = mount.or(ctx.part(section, section::motor_mount)?);
    }
    let mount = mount.ok_or_else(|| ctx.refuse("no motor mount is described"))?;
    let (long, ends) = both(ctx.get(engine, motor::length), extent(ctx, mount))?;
    Ok(Length::from_si(ends.aft - long.si() / 2.0))
}

fn balance_at(ctx: &EvalContext<'_>, root: Id<Rocket>, burnout: bool) -> Outcome<Length> {
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    let before = both(ctx.query(root, &MASS_AT_IGNITION), ctx.query(root, &BALANCE));
    let inside = both(ctx.get(engine, motor::propellant_mass), motor_middle(ctx, root));
    let ((mass, balance), (propellant, middle)) = both(before, inside)?;
    ctx.query(root, &MASS_IN_DESCENT)?;
    let burnt = if burnout {
        propellant
    } else {
        let flight = flown(ctx, root)?;
        mass - flight.mass_at_rail_exit()
    };
    ctx.step("propellant burnt", "in proportion to the impulse delivered", burnt);
    ctx.step("middle of the motor", "aft from the nose tip", middle);
    let left = (mass - burnt).si();
    let station = (mass.si() * balance.si() - burnt.si() * middle.si()) / left;
    Ok(Length::from_si(station))
}

fn fin_set(ctx: &EvalContext<'_>, section: Id<Section>, set: Id<Fins>) -> Outcome<FinSet> {
    let around = both(ctx.get(set, fins::count), ctx.query(section, &super::stations::BODY_DIAMETER));
    let (Planform { root_chord, tip_chord, span, sweep }, (count, body_diameter)) =
        both(planform(ctx, set), around)?;
    Ok(FinSet { count, root_chord, tip_chord, span, sweep, body_diameter })
}

fn balance(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let Some(measured) = ctx.part(root, rocket::measured)? else {
        return Err(ctx.refuse("the finished rocket was not measured"));
    };
    from_an_end(ctx, measured, as_built::balance_point)
}
