//! Whether the rocket flies nose first: centre of pressure, balance point, and the distance between them along the flight.

use super::airflow::nose;
use super::ascent::{RAIL_EXIT_ANGLE, flown};
use super::joints::computed;
use super::masses::{MASS_AT_IGNITION, MASS_IN_DESCENT};
use super::planform::planform;
use super::stations::{LENGTH, extent, sections};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{
    ROCKET, as_built, boat_tail, fins, motor, rocket, section, switch_band, transition, tube,
};
use crate::engineering::nose::{Shape, SideView};
use crate::engineering::planform::Planform;
use crate::engineering::stability::{self, Contribution, FinSet};
use crate::quantity::{Angle, Dimension as D, Length, Mass, Quantity};
use crate::vocabulary::{Edge, EntityId, Key, Value};

computed! {
    /// The largest outside diameter of the body: one calibre.
    CALIBRE: "calibre" of ROCKET gives Type::Quantity(D::LENGTH),
        "largest outside diameter of the sections", "", calibre;
    /// Where the air's side force acts, aft from the nose tip, at a small angle and well below the speed of sound.
    PRESSURE: "centre_of_pressure" of ROCKET gives Type::Quantity(D::LENGTH),
        "as stated; else Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins",
        "J. S. and J. A. Barrowman, The Theoretical Prediction of the Center of Pressure, 1966", pressure;
    /// Where the finished rocket balances with its motor in, aft from the nose tip.
    BALANCE: "balance_station" of ROCKET gives Type::Quantity(D::LENGTH),
        "as measured, from the nose tip or from the aft end of the rocket", "", balance;
    /// How far the centre of pressure lies behind the balance point, in calibres.
    STABILITY: "stability" of ROCKET gives Type::Quantity(D::NUMBER),
        "(centre of pressure − balance point) / calibre", "definition of the static margin", |asking, id| {
            let (pressure, balance) = both(asking.ask_typed::<Length>(id, &PRESSURE), asking.ask_typed::<Length>(id, &BALANCE))?;
            let calibre = asking.ask_typed::<Length>(id, &CALIBRE)?;
            let margin = asking.worked(stability::static_margin(pressure, balance, calibre))?;
            Ok(Value::Quantity(Quantity::number(margin)))
        };
    /// Where the rocket balances as it leaves the rail, a little of its propellant burnt.
    BALANCE_RAIL_EXIT: "balance_at_rail_exit" of ROCKET gives Type::Quantity(D::LENGTH),
        "(mass × balance point − propellant burnt × middle of the motor) / (mass − propellant burnt)", "statics; the propellant's mass at the middle of the motor",
        |asking, id| balance_at(asking, id, false);
    /// Where the rocket balances at burnout, all its propellant burnt.
    BALANCE_BURNOUT: "balance_at_burnout" of ROCKET gives Type::Quantity(D::LENGTH),
        "(mass × balance point − propellant × middle of the motor) / (mass − propellant)", "statics; the propellant's mass at the middle of the motor",
        |asking, id| balance_at(asking, id, true);
    /// How far the centre of pressure lies behind the balance point as the rocket leaves the rail in still air, in calibres.
    STABILITY_RAIL_EXIT: "stability_at_rail_exit" of ROCKET gives Type::Quantity(D::NUMBER),
        "(centre of pressure − balance point at rail exit) / calibre", "Barrowman 1966", |asking, id| {
            let (balance, pressure) = both(asking.ask_typed::<Length>(id, &BALANCE_RAIL_EXIT), asking.ask_typed::<Length>(id, &PRESSURE))?;
            let calibre = asking.ask_typed::<Length>(id, &CALIBRE)?;
            Ok(Value::Quantity(Quantity::number(asking.worked(stability::static_margin(pressure, balance, calibre))?)))
        };
    /// The same in the stated wind, which meets the rocket at an angle: the lift of the body included.
    STABILITY_WIND: "stability_in_wind" of ROCKET gives Type::Quantity(D::NUMBER),
        "(centre of pressure with body lift at atan(wind / rail exit speed), at most 0.35 rad − balance point) / calibre",
        "Barrowman 1966; body lift: 1.1 × side view / reference area × angle (from memory)", stability_in_wind;
    /// How far the centre of pressure lies behind the balance point at burnout, in calibres; the fins by their Mach number up to 0.8.
    STABILITY_BURNOUT: "stability_at_burnout" of ROCKET gives Type::Quantity(D::NUMBER),
        "(centre of pressure at the Mach number of burnout, at most 0.8 − balance point) / calibre",
        "Barrowman 1966, with the Prandtl–Glauert rule on the fins (1967, from memory)", stability_at_burnout;
}

pub(super) const COMPUTED: &[&Computed] = &[
    &CALIBRE,
    &PRESSURE,
    &BALANCE,
    &STABILITY,
    &BALANCE_RAIL_EXIT,
    &BALANCE_BURNOUT,
    &STABILITY_RAIL_EXIT,
    &STABILITY_WIND,
    &STABILITY_BURNOUT,
];

fn calibre(asking: &EvalContext<'_>, _: EntityId) -> Outcome<Value> {
    let mut largest: Outcome<f64> = Ok(0.0);
    for section in sections(asking)?.iter() {
        let one = asking.ask_typed::<Length>(*section, &super::stations::BODY_DIAMETER);
        largest = both(largest, one).map(|(so_far, d)| so_far.max(d.si()));
    }
    Ok(Value::Quantity(Length::from_si(largest?).into()))
}

/// The outline that a word in the file stands for.
pub(super) fn outline(asking: &EvalContext<'_>, word: &Value) -> Outcome<Shape> {
    match word {
        Value::Word("cone") => Ok(Shape::Cone),
        Value::Word("tangent ogive") => Ok(Shape::TangentOgive),
        Value::Word("ellipsoid") => Ok(Shape::Ellipsoid),
        Value::Word("parabola") => Ok(Shape::Parabola { k: 1.0 }),
        Value::Word("von karman") => Ok(Shape::Haack { c: 0.0 }),
        _ => Err(asking.refuse("the outline of this nose cone is not one whose volume is known here")),
    }
}

fn pressure(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    if let Some(stated) = stated_pressure(asking, root)? {
        return Ok(Value::Quantity(stated.into()));
    }
    let total = asking.worked(stability::total(&contributions(asking, root, 0.0)?))?;
    asking.step("sum of the slopes", "for each radian", Quantity::number(total.slope));
    Ok(Value::Quantity(total.centre.into()))
}

/// The centre of pressure that the author states for a shape that is not worked out here.
fn stated_pressure(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Option<Length>> {
    if !asking.model().has(root, rocket::stated_centre_of_pressure.slot)? {
        return Ok(None);
    }
    from_an_end(asking, root, rocket::stated_centre_of_pressure).map(Some)
}

/// A place measured from an end of the whole rocket, aft from the nose tip.
fn from_an_end(asking: &EvalContext<'_>, holder: EntityId, key: Key) -> Outcome<Length> {
    let Value::Position(position) = asking.get(holder, key)? else {
        return Err(asking.refuse("this is no place"));
    };
    asking.see(position.distance);
    if position.of.is_some() {
        return Err(asking.refuse("this place is measured from an end of the whole rocket"));
    }
    let distance = position.distance.si;
    let root = asking.model().root();
    Ok(Length::from_si(match position.edge {
        Edge::Fore => distance,
        Edge::Aft => asking.ask_typed::<Length>(root, &LENGTH)?.si() - distance,
    }))
}

/// What each part adds to the side force at a small angle and a Mach number.
fn contributions(asking: &EvalContext<'_>, root: EntityId, mach: f64) -> Outcome<Vec<Contribution>> {
    let reference = asking.ask_typed::<Length>(root, &CALIBRE)?;
    let mut parts: Outcome<Vec<Contribution>> = Ok(Vec::new());
    let mut add = |name: &str, station: f64, one: Outcome<Contribution>| {
        let moved = one.map(|c| c.aft_by(Length::from_si(station)));
        if let Ok(moved) = &moved {
            asking.step(format!("{name}: slope"), "for each radian", Quantity::number(moved.slope));
            asking.step(format!("{name}: where it acts"), "aft from the nose tip", moved.centre);
        }
        let so_far = std::mem::replace(&mut parts, Ok(Vec::new()));
        parts = both(so_far, moved).map(|(mut all, c)| {
            all.push(c);
            all
        });
    };
    let mut any_fins = false;
    for section in sections(asking)?.iter().copied() {
        let name = asking.model().entity(section).map(|e| e.name.to_string()).unwrap_or_default();
        if let Some(cone) = asking.part(section, section::nose_cone)? {
            let fore = extent(asking, cone).map(|e| e.fore);
            let one = nose(asking, cone).and_then(|nose| asking.worked(stability::nose(&nose, reference)));
            add("nose cone", fore.unwrap_or(0.0), one);
        }
        if let Some(part) = asking.part(section, section::transition)? {
            let ends = both(
                asking.typed::<Length>(part, transition::fore_diameter),
                asking.typed::<Length>(part, transition::aft_diameter),
            );
            let long = both(asking.typed::<Length>(part, transition::length), extent(asking, part));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                asking.worked(stability::transition(fore, aft, length, reference))
            });
            add(&format!("transition of {name}"), long.map_or(0.0, |(_, e)| e.fore), one);
        }
        if let Some(tail) = asking.part(section, section::boat_tail)? {
            let ends = both(
                asking.ask_typed::<Length>(section, &super::stations::BODY_DIAMETER),
                asking.typed::<Length>(tail, boat_tail::aft_diameter),
            );
            let long = both(asking.typed::<Length>(tail, boat_tail::length), extent(asking, tail));
            let one = both(ends, long.clone()).and_then(|((fore, aft), (length, _))| {
                asking.worked(stability::transition(fore, aft, length, reference))
            });
            add("boat-tail", long.map_or(0.0, |(_, e)| e.fore), one);
        }
        if let Some(set) = asking.part(section, section::fins)? {
            any_fins = true;
            let fore = extent(asking, set).map(|e| e.fore);
            let one = both(fin_set(asking, section, set), fore.clone())
                .and_then(|(set, _)| asking.worked(stability::fins(&set, reference, mach)));
            add(&format!("fins of {name}"), fore.unwrap_or(0.0), one);
        }
    }
    if !any_fins {
        return Err(asking.refuse("a rocket without fins has no centre of pressure that this method knows"));
    }
    parts
}

/// Lift of the body at an angle to the air, part by part.
fn body_lift(asking: &EvalContext<'_>, root: EntityId, angle: Angle) -> Outcome<Vec<Contribution>> {
    let reference = asking.ask_typed::<Length>(root, &CALIBRE)?;
    let mut views: Vec<(f64, Outcome<SideView>)> = Vec::new();
    for section in sections(asking)?.iter().copied() {
        let at = |part| extent(asking, part).map(|e| e.fore);
        let tapered = |fore: Outcome<Length>, aft: Outcome<Length>, long: Outcome<Length>| {
            let ((fore, aft), long) = both(both(fore, aft), long)?;
            asking.worked(stability::side_view(fore, aft, long))
        };
        let across = || asking.ask_typed::<Length>(section, &super::stations::BODY_DIAMETER);
        if let Some(cone) = asking.part(section, section::nose_cone)? {
            views.push((at(cone)?, nose(asking, cone).and_then(|nose| asking.worked(nose.side_view()))));
        }
        if let Some(body) = asking.part(section, section::tube)? {
            views.push((at(body)?, tapered(across(), across(), asking.typed(body, tube::length))));
        } else if let Some(band) = asking.part(section, section::switch_band)? {
            views.push((at(band)?, tapered(across(), across(), asking.typed(band, switch_band::length))));
        }
        if let Some(part) = asking.part(section, section::transition)? {
            let (fore, aft) =
                (asking.typed(part, transition::fore_diameter), asking.typed(part, transition::aft_diameter));
            views.push((at(part)?, tapered(fore, aft, asking.typed(part, transition::length))));
        }
        if let Some(tail) = asking.part(section, section::boat_tail)? {
            let aft = asking.typed(tail, boat_tail::aft_diameter);
            views.push((at(tail)?, tapered(across(), aft, asking.typed(tail, boat_tail::length))));
        }
    }
    let mut lifts = Vec::new();
    for (fore, view) in views {
        let lift =
            asking.worked(stability::body_lift(view?, stability::BODY_LIFT_FACTOR, angle, reference))?;
        lifts.push(lift.aft_by(Length::from_si(fore)));
    }
    Ok(lifts)
}

fn stability_in_wind(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let (angle, balance) = both(
        asking.ask_typed::<Angle>(root, &RAIL_EXIT_ANGLE),
        asking.ask_typed::<Length>(root, &BALANCE_RAIL_EXIT),
    )?;
    let angle = Angle::from_si(angle.si().min(stability::LARGEST_ANGLE));
    let (mut parts, lifts) = both(contributions(asking, root, 0.0), body_lift(asking, root, angle))?;
    let slope: f64 = lifts.iter().map(|lift| lift.slope).sum();
    asking.step(
        "lift of the body: slope",
        "1.1 × side view / reference area × angle",
        Quantity::number(slope),
    );
    parts.extend(lifts);
    margin(asking, root, &parts, balance)
}

fn stability_at_burnout(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let (flight, balance) = both(flown(asking, root), asking.ask_typed::<Length>(root, &BALANCE_BURNOUT))?;
    if let Some(stated) = stated_pressure(asking, root)? {
        let calibre = asking.ask_typed::<Length>(root, &CALIBRE)?;
        let margin = asking.worked(stability::static_margin(stated, balance, calibre))?;
        return Ok(Value::Quantity(Quantity::number(margin)));
    }
    let mach = flight.calm().burnout.mach;
    asking.step("Mach number at burnout", "airspeed / speed of sound", Quantity::number(mach));
    let parts = contributions(asking, root, mach.min(stability::HIGHEST_MACH))?;
    margin(asking, root, &parts, balance)
}

fn margin(asking: &EvalContext<'_>, root: EntityId, parts: &[Contribution], balance: Length) -> Outcome<Value> {
    let calibre = asking.ask_typed::<Length>(root, &CALIBRE)?;
    let total = asking.worked(stability::total(parts))?;
    asking.step("centre of pressure", "Σ slope × station / Σ slope", total.centre);
    let margin = asking.worked(stability::static_margin(total.centre, balance, calibre))?;
    Ok(Value::Quantity(Quantity::number(margin)))
}

/// The middle of the motor, aft from the nose tip, when its thrust ring meets the aft end of the motor tube.
pub(super) fn motor_middle(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Length> {
    let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
    let mut mount = None;
    for section in sections(asking)?.iter() {
        mount = mount.or(asking.part(*section, section::motor_mount)?);
    }
    let mount = mount.ok_or_else(|| asking.refuse("no motor mount is described"))?;
    let (long, ends) = both(asking.typed::<Length>(engine, motor::length), extent(asking, mount))?;
    Ok(Length::from_si(ends.aft - long.si() / 2.0))
}

fn balance_at(asking: &EvalContext<'_>, root: EntityId, burnout: bool) -> Outcome<Value> {
    let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
    let before =
        both(asking.ask_typed::<Mass>(root, &MASS_AT_IGNITION), asking.ask_typed::<Length>(root, &BALANCE));
    let inside = both(asking.typed::<Mass>(engine, motor::propellant_mass), motor_middle(asking, root));
    let ((mass, balance), (propellant, middle)) = both(before, inside)?;
    asking.ask_typed::<Mass>(root, &MASS_IN_DESCENT)?;
    let burnt = if burnout {
        propellant
    } else {
        let flight = flown(asking, root)?;
        mass - flight.mass_at_rail_exit()
    };
    asking.step("propellant burnt", "in proportion to the impulse delivered", burnt);
    asking.step("middle of the motor", "aft from the nose tip", middle);
    let left = (mass - burnt).si();
    let station = (mass.si() * balance.si() - burnt.si() * middle.si()) / left;
    Ok(Value::Quantity(Length::from_si(station).into()))
}

fn fin_set(asking: &EvalContext<'_>, section: EntityId, set: EntityId) -> Outcome<FinSet> {
    let around = both(
        asking.count(set, fins::count),
        asking.ask_typed::<Length>(section, &super::stations::BODY_DIAMETER),
    );
    let (Planform { root_chord, tip_chord, span, sweep }, (count, body_diameter)) =
        both(planform(asking, set), around)?;
    Ok(FinSet { count, root_chord, tip_chord, span, sweep, body_diameter })
}

fn balance(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let Some(measured) = asking.part(root, rocket::measured)? else {
        return Err(asking.refuse("the finished rocket was not measured"));
    };
    from_an_end(asking, measured, as_built::balance_point).map(|station| Value::Quantity(station.into()))
}
