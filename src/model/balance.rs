//! Whether the rocket flies nose first, and how fast it comes down.

use super::joints::computed;
use super::masses::MASS_AT_IGNITION;
use super::stations::{LENGTH, extent, sections};
use super::{Asking, Computed, Outcome, Type, both};
use crate::design::{
    PARACHUTE, ROCKET, as_built, boat_tail, fins, flight, motor, nose_cone, parachute, rocket, section,
    transition,
};
use crate::engineering::nose::{Nose, Shape};
use crate::engineering::stability::{Contribution, FinSet};
use crate::engineering::{atmosphere, parachute as descent, stability};
use crate::quantity::{Area, Dimension as D, Length, Mass, Quantity};
use crate::vocabulary::{Edge, EntityId, Value};

computed! {
    /// The largest outside diameter of the body: one calibre.
    CALIBRE: "calibre" of ROCKET gives Type::Quantity(D::LENGTH),
        "largest outside diameter of the sections", "", calibre;
    /// Where the air's side force acts, aft from the nose tip, at a small angle and well below the speed of sound.
    PRESSURE: "centre_of_pressure" of ROCKET gives Type::Quantity(D::LENGTH),
        "Σ slope × station / Σ slope over nose cone, transitions, boat-tails and fins",
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
    /// Drag coefficient times its area.
    DRAG_AREA: "drag_area" of PARACHUTE gives Type::Quantity(D::AREA),
        "drag coefficient × its reference area, or the circle of the canopy's diameter", "", drag_area;
    /// How fast the rocket comes down under it at the field's height, all sections hanging from it.
    DESCENT_RATE: "descent_rate" of PARACHUTE gives Type::Quantity(D::SPEED),
        "√(2 × mass × g / (density at the field × drag area)); mass ready to fly less the propellant, where that is written down",
        "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; standard density", descent_rate;
}

pub(super) const COMPUTED: &[&Computed] =
    &[&CALIBRE, &PRESSURE, &BALANCE, &STABILITY, &DRAG_AREA, &DESCENT_RATE];

fn calibre(asking: &Asking<'_>, _: EntityId) -> Outcome<Value> {
    let mut largest: Outcome<f64> = Ok(0.0);
    for section in sections(asking)?.iter() {
        let one = asking.ask_typed::<Length>(*section, &super::stations::BODY_DIAMETER);
        largest = both(largest, one).map(|(so_far, d)| so_far.max(d.si()));
    }
    Ok(Value::Quantity(Length::from_si(largest?).into()))
}

/// The outline that a word in the file stands for.
fn outline(asking: &Asking<'_>, word: &Value) -> Outcome<Shape> {
    match word {
        Value::Word("cone") => Ok(Shape::Cone),
        Value::Word("tangent ogive") => Ok(Shape::TangentOgive),
        Value::Word("ellipsoid") => Ok(Shape::Ellipsoid),
        Value::Word("parabola") => Ok(Shape::Parabola { k: 1.0 }),
        Value::Word("von karman") => Ok(Shape::Haack { c: 0.0 }),
        _ => Err(asking.refuse("the outline of this nose cone is not one whose volume is known here")),
    }
}

fn pressure(asking: &Asking<'_>, root: EntityId) -> Outcome<Value> {
    let reference = asking.ask_typed::<Length>(root, &CALIBRE)?;
    let mut parts: Outcome<Vec<Contribution>> = Ok(Vec::new());
    let mut add = |name: &str, station: f64, one: Outcome<Contribution>| {
        let moved = one.map(|c| c.aft_by(Length::from_si(station)));
        if let Ok(moved) = &moved {
            asking.step(&format!("{name}: slope"), "for each radian", Quantity::number(moved.slope));
            asking.step(&format!("{name}: where it acts"), "aft from the nose tip", moved.centre);
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
            let sizes = both(
                asking.typed::<Length>(cone, nose_cone::length),
                asking.typed::<Length>(cone, nose_cone::outer_diameter),
            );
            let shape = asking.get(cone, nose_cone::shape).and_then(|word| outline(asking, &word));
            let one = both(sizes, shape).and_then(|((length, base), shape)| {
                let nose = asking.worked(Nose::new(shape, length, base))?;
                asking.worked(stability::nose(&nose, reference))
            });
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
                .and_then(|(set, _)| asking.worked(stability::fins(&set, reference, 0.0)));
            add(&format!("fins of {name}"), fore.unwrap_or(0.0), one);
        }
    }
    if !any_fins {
        return Err(asking.refuse("a rocket without fins has no centre of pressure that this method knows"));
    }
    let total = asking.worked(stability::total(&parts?))?;
    asking.step("sum of the slopes", "for each radian", Quantity::number(total.slope));
    Ok(Value::Quantity(total.centre.into()))
}

fn fin_set(asking: &Asking<'_>, section: EntityId, set: EntityId) -> Outcome<FinSet> {
    let chords =
        both(asking.typed::<Length>(set, fins::root_chord), asking.typed::<Length>(set, fins::tip_chord));
    let reach = both(asking.typed::<Length>(set, fins::span), asking.typed::<Length>(set, fins::sweep));
    let around = both(
        asking.count(set, fins::count),
        asking.ask_typed::<Length>(section, &super::stations::BODY_DIAMETER),
    );
    let ((root_chord, tip_chord), ((span, sweep), (count, body_diameter))) =
        both(chords, both(reach, around))?;
    Ok(FinSet { count, root_chord, tip_chord, span, sweep, body_diameter })
}

fn balance(asking: &Asking<'_>, root: EntityId) -> Outcome<Value> {
    let Some(measured) = asking.part(root, rocket::measured)? else {
        return Err(asking.refuse("the finished rocket was not measured"));
    };
    let Value::Position(position) = asking.get(measured, as_built::balance_point)? else {
        return Err(asking.refuse("the balance point is no place"));
    };
    asking.see(position.distance);
    if position.of.is_some() {
        return Err(asking.refuse("the balance point is measured from an end of the whole rocket"));
    }
    let slot = as_built::balance_point.slot;
    let distance = asking.model().distance(measured, slot).unwrap_or(position.distance.si);
    let station = match position.edge {
        Edge::Fore => distance,
        Edge::Aft => asking.ask_typed::<Length>(root, &LENGTH)?.si() - distance,
    };
    Ok(Value::Quantity(Length::from_si(station).into()))
}

fn drag_area(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let coefficient = asking.quantity(id, parachute::drag_coefficient);
    if asking.model().has(id, parachute::reference_area.slot)? {
        let (coefficient, area) = both(coefficient, asking.typed::<Area>(id, parachute::reference_area))?;
        return Ok(Value::Quantity((area * coefficient.si).into()));
    }
    let (coefficient, across) = both(coefficient, asking.typed::<Length>(id, parachute::diameter))?;
    Ok(Value::Quantity(asking.worked(descent::round_canopy(coefficient.si, across))?.into()))
}

fn descent_rate(asking: &Asking<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().design().store.root();
    let place = asking.part(root, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))?;
    let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
    let ready = asking.ask_typed::<Mass>(root, &MASS_AT_IGNITION);
    let area = asking.ask_typed::<Area>(id, &DRAG_AREA);
    let site = asking.typed::<Length>(place, flight::site_elevation);
    let (ready, (area, site)) = both(ready, both(area, site))?;
    let mut mass = ready;
    // Without it the rocket is taken with its propellant: heavier, so faster, which is the safe side.
    if asking.model().has(engine, motor::propellant_mass.slot)? {
        mass = mass - asking.typed::<Mass>(engine, motor::propellant_mass)?;
    }
    asking.step(
        "mass under the parachute",
        "ready to fly less the propellant, where that is written down",
        mass,
    );
    let air = atmosphere::at(site).map_err(|e| asking.refuse(e.to_string()))?;
    asking.step("density at the field", "standard atmosphere", air.density);
    Ok(Value::Quantity(asking.worked(descent::descent_rate(mass, area, air.density))?.into()))
}
