//! The descent: rates, time, drift, and what each piece lands with.

use super::airflow::standard_air;
use super::ascent::APOGEE;
use super::joints::computed;
use super::masses::MASS_IN_DESCENT;
use super::stations::sections;
use super::{EvalContext, Computed, Gap, Outcome, Type, both};
use crate::design::{
    ALTIMETER, CIRCUIT, JOINT, PARACHUTE, ROCKET, SECTION, altimeter, circuit, flight, joint, motor,
    parachute, recovery, rocket, section,
};
use crate::engineering::parachute as descent;
use crate::quantity::{Area, Dimension as D, Length, Mass, Quantity, Speed, Time};
use crate::vocabulary::{EntityId, Value};

computed! {
    /// Drag coefficient times its area.
    DRAG_AREA: "drag_area" of PARACHUTE gives Type::Quantity(D::AREA),
        "drag coefficient × its reference area, or the circle of the canopy's diameter", "", drag_area;
    /// How fast the rocket comes down under it at the field's height, all sections hanging from it.
    DESCENT_RATE: "descent_rate" of PARACHUTE gives Type::Quantity(D::SPEED),
        "√(2 × mass × g / (density at the field × drag area)); the mass that comes down",
        "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; standard density", descent_rate;
    /// Drag area of all that is open when the rocket lands.
    LANDING_DRAG_AREA: "landing_drag_area" of ROCKET gives Type::Quantity(D::AREA),
        "Σ drag area of the parachutes that open last; what opened before them is not counted (safe side)", "", |asking, id| {
            let (_, last) = events(asking, id)?;
            Ok(Value::Quantity(total_area(asking, &last)?.into()))
        };
    /// How fast the rocket lands.
    LANDING_SPEED: "landing_speed" of ROCKET gives Type::Quantity(D::SPEED),
        "√(2 × mass that comes down × g / (density at the field × drag area at landing))",
        "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; standard density", |asking, id| {
            let (mass, (area, site)) = both(
                asking.ask_typed::<Mass>(id, &MASS_IN_DESCENT),
                both(asking.ask_typed::<Area>(id, &LANDING_DRAG_AREA), elevation(asking, id)))?;
            let air = standard_air(asking, site)?;
            asking.step("density at the field", "standard atmosphere", air.density);
            Ok(Value::Quantity(asking.worked(descent::descent_rate(mass, area, air.density))?.into()))
        };
    /// The height above the field at which the main is let out first: the highest that an altimeter is set to.
    MAIN_HEIGHT: "main_height" of ROCKET gives Type::Quantity(D::LENGTH), "greatest main height of the altimeters", "", |asking, id| main_height(asking, id, true);
    /// The height above the field at which the main is let out last: the lowest that an altimeter is set to.
    LOWEST_MAIN_HEIGHT: "lowest_main_height" of ROCKET gives Type::Quantity(D::LENGTH), "least main height of the altimeters", "", |asking, id| main_height(asking, id, false);
    /// Time from the highest point to the ground.
    DESCENT_TIME: "descent_time" of ROCKET gives Type::Quantity(D::TIME),
        "∫ dh / rate of descent, the density following the height: from apogee to the main's height, then to the ground",
        "T. W. Knacke, NWC TP 6575; U.S. Standard Atmosphere, 1976", descent_time;
    /// How far the wind carries the rocket from where it opens, the stated wind at every height.
    DRIFT: "drift" of ROCKET gives Type::Quantity(D::LENGTH), "wind × time of descent; that the ascent leans into the wind is not set against it (safe side)",
        "kinematics", |asking, id| {
            let place = asking.part(id, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))?;
            let (wind, time) = both(asking.typed::<Speed>(place, flight::wind), asking.ask_typed::<Time>(id, &DESCENT_TIME))?;
            Ok(Value::Quantity(asking.worked(descent::drift(wind, time))?.into()))
        };
    /// The foremost section of the piece that this section lands in: what is joined by joints that never part stays together.
    PIECE: "piece" of SECTION gives Type::Entity(&SECTION), "sections joined by joints that never part", "", |asking, id| {
        let piece = piece(asking, id)?;
        piece.first().map(|first| Value::Entity(*first)).ok_or_else(|| asking.refuse("the section is not one of the rocket's"))
    };
    /// Mass of the piece that this section lands in, the burnt motor in it; parachutes are not counted, they hang above.
    LANDING_MASS: "landing_mass" of SECTION gives Type::Quantity(D::MASS),
        "Σ mass of the sections of the piece, with the motor less its propellant in the one that carries it", "", landing_mass;
    /// Energy with which the piece that this section is in lands.
    LANDING_ENERGY: "landing_energy" of SECTION gives Type::Quantity(D::ENERGY), "½ × landing mass × landing speed²", "mechanics", |asking, id| {
        let root = asking.model().root();
        let (mass, speed) = both(asking.ask_typed::<Mass>(id, &LANDING_MASS), asking.ask_typed::<Speed>(root, &LANDING_SPEED))?;
        Ok(Value::Quantity(asking.worked(descent::landing_energy(mass, speed))?.into()))
    };
}

pub(super) const COMPUTED: &[&Computed] = &[
    &DRAG_AREA,
    &DESCENT_RATE,
    &LANDING_DRAG_AREA,
    &LANDING_SPEED,
    &MAIN_HEIGHT,
    &LOWEST_MAIN_HEIGHT,
    &DESCENT_TIME,
    &DRIFT,
    &PIECE,
    &LANDING_MASS,
    &LANDING_ENERGY,
];

fn elevation(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Length> {
    let place = asking.part(root, rocket::flight)?.ok_or_else(|| asking.refuse("no flight is described"))?;
    asking.typed::<Length>(place, flight::site_elevation)
}

fn drag_area(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let coefficient = asking.quantity(id, parachute::drag_coefficient);
    if asking.model().has(id, parachute::reference_area.slot)? {
        let (coefficient, area) = both(coefficient, asking.typed::<Area>(id, parachute::reference_area))?;
        return Ok(Value::Quantity((area * coefficient.si).into()));
    }
    let (coefficient, across) = both(coefficient, asking.typed::<Length>(id, parachute::diameter))?;
    Ok(Value::Quantity(asking.worked(descent::round_canopy(coefficient.si, across))?.into()))
}

fn descent_rate(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().root();
    let (mass, (area, site)) = both(
        asking.ask_typed::<Mass>(root, &MASS_IN_DESCENT),
        both(asking.ask_typed::<Area>(id, &DRAG_AREA), elevation(asking, root)),
    )?;
    let air = standard_air(asking, site)?;
    asking.step("density at the field", "standard atmosphere", air.density);
    Ok(Value::Quantity(asking.worked(descent::descent_rate(mass, area, air.density))?.into()))
}

/// The parachutes that open first, at the highest point, and those that open last.
fn events(asking: &EvalContext<'_>, root: EntityId) -> Outcome<(Vec<EntityId>, Vec<EntityId>)> {
    let recovery = asking.part(root, rocket::recovery)?;
    let recovery = recovery.ok_or_else(|| asking.refuse("the rocket has no recovery system"))?;
    let (mut first, mut last) = (Vec::new(), Vec::new());
    for canopy in asking.things(recovery, recovery::parachutes)?.iter() {
        if asking.get(*canopy, parachute::opens_at)? == Value::Word("main") {
            last.push(*canopy);
        } else {
            first.push(*canopy);
        }
    }
    if last.is_empty() {
        last.clone_from(&first);
    }
    if last.is_empty() {
        return Err(asking.refuse("no parachute is described"));
    }
    Ok((first, last))
}

fn total_area(asking: &EvalContext<'_>, canopies: &[EntityId]) -> Outcome<Area> {
    let mut total = Ok(Area::from_si(0.0));
    for canopy in canopies {
        total = both(total, asking.ask_typed::<Area>(*canopy, &DRAG_AREA)).map(|(t, a)| t + a);
    }
    total
}

fn main_height(asking: &EvalContext<'_>, _: EntityId, highest: bool) -> Outcome<Value> {
    let mut found: Option<Quantity> = None;
    for one in asking.model().all_of(&ALTIMETER) {
        if asking.model().has(one, altimeter::main_height.slot).unwrap_or(true) {
            let height = asking.quantity(one, altimeter::main_height)?;
            let better = found
                .is_none_or(|so_far| if highest { height.si > so_far.si } else { height.si < so_far.si });
            if better {
                found = Some(height);
            }
        } else if lets_out_main(asking, one)? {
            return Err(Gap::missing(one, altimeter::main_height.slot));
        }
    }
    found.map(Value::Quantity).ok_or_else(|| asking.refuse("no altimeter lets out a main"))
}

/// Whether a circuit on its main channel says that this altimeter lets out the main.
fn lets_out_main(asking: &EvalContext<'_>, one: EntityId) -> Outcome<bool> {
    for wired in asking.model().all_of(&CIRCUIT) {
        let (fires, channel) =
            both(asking.get(wired, circuit::altimeter), asking.get(wired, circuit::channel))?;
        if fires == Value::Entity(one) && channel == Value::Word("main") {
            return Ok(true);
        }
    }
    Ok(false)
}

/// A stretch of the descent under what is open then, heights above the field.
pub(super) struct Stretch {
    area: Area,
    from: Length,
    to: Length,
}

/// The stretches of the descent from the highest point to the ground, with the mass and the field's height above the sea.
fn stretches(asking: &EvalContext<'_>, root: EntityId) -> Outcome<(Vec<Stretch>, Mass, Length)> {
    let (first, last) = events(asking, root)?;
    let (mass, (site, apogee)) = both(
        asking.ask_typed::<Mass>(root, &MASS_IN_DESCENT),
        both(elevation(asking, root), asking.ask_typed::<Length>(root, &APOGEE)),
    )?;
    let under = |canopies: &[EntityId], from: Length, to: Length| -> Outcome<Stretch> {
        Ok(Stretch { area: total_area(asking, canopies)?, from, to })
    };
    let ground = Length::from_si(0.0);
    let all = if first == last {
        vec![under(&last, apogee, ground)?]
    } else if first.is_empty() {
        return Err(
            asking.refuse("nothing opens at the highest point: the time down to the main is not known")
        );
    } else {
        let height = asking.ask_typed::<Length>(root, &MAIN_HEIGHT)?;
        let height = if height > apogee { apogee } else { height };
        let (high, low) = both(under(&first, apogee, height), under(&last, height, ground))?;
        vec![high, low]
    };
    Ok((all, mass, site))
}

fn descent_time(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let (all, mass, site) = stretches(asking, root)?;
    let mut times = Vec::new();
    for one in &all {
        times.push(asking.worked(descent::fall_time(mass, one.area, site + one.from, site + one.to))?);
    }
    if let [high, low] = *times {
        asking.step(
            "from the highest point to the main's height",
            "∫ dh / rate under what opened at apogee",
            high,
        );
        asking.step("from the main's height to the ground", "∫ dh / rate under the main", low);
    }
    let total = times.into_iter().fold(Time::from_si(0.0), |sum, time| sum + time);
    Ok(Value::Quantity(total.into()))
}

/// The height above the field by time since the highest point, a number of steps for each stretch.
pub(super) fn descent_course(
    asking: &EvalContext<'_>,
    root: EntityId,
    steps: u32,
) -> Outcome<Vec<(Time, Length)>> {
    let (all, mass, site) = stretches(asking, root)?;
    let mut points = Vec::new();
    let mut since = Time::from_si(0.0);
    for one in &all {
        for step in 0..=steps {
            let share = f64::from(step) / f64::from(steps.max(1));
            let height = one.from - (one.from - one.to) * share;
            let fallen = asking.worked(descent::fall_time(mass, one.area, site + one.from, site + height))?;
            points.push((since + fallen, height));
        }
        since = points.last().map_or(since, |(time, _)| *time);
    }
    Ok(points)
}

/// The sections that stay together with one, fore to aft.
fn piece(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Vec<EntityId>> {
    let mut fixed = Vec::new();
    for one in asking.model().all_of(&JOINT) {
        if asking.get(one, joint::parts_at)? == Value::Word("never")
            && let [fore, aft] = *asking.things(one, joint::between)?
        {
            fixed.push((fore, aft));
        }
    }
    let mut together = vec![id];
    loop {
        let before = together.len();
        for (fore, aft) in &fixed {
            match (together.contains(fore), together.contains(aft)) {
                (true, false) => together.push(*aft),
                (false, true) => together.push(*fore),
                _ => {}
            }
        }
        if together.len() == before {
            break;
        }
    }
    Ok(sections(asking)?.iter().copied().filter(|section| together.contains(section)).collect())
}

fn landing_mass(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().root();
    let mut total = Ok(0.0);
    let add = |total: Outcome<f64>, mass: Outcome<Mass>| both(total, mass).map(|(t, m)| t + m.si());
    for one in piece(asking, id)? {
        total = add(total, asking.typed::<Mass>(one, section::mass));
        if asking.part(one, section::motor_mount)?.is_some() {
            let engine =
                asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
            let burnt = both(
                asking.typed::<Mass>(engine, motor::loaded_mass),
                asking.typed::<Mass>(engine, motor::propellant_mass),
            )
            .map(|(loaded, propellant)| loaded - propellant);
            if let Ok(burnt) = &burnt {
                asking.step("burnt motor", "loaded mass − propellant", *burnt);
            }
            total = add(total, burnt);
        }
    }
    Ok(Value::Quantity(Mass::from_si(total?).into()))
}
