//! The descent: rates, time, drift, and what each piece lands with.

use super::airflow::standard_air;
use super::ascent::APOGEE;
use super::joints::computed;
use super::masses::MASS_IN_DESCENT;
use super::stations::sections;
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{
    Altimeter, Circuit, Joint, Parachute, Rocket, Section, altimeter, circuit, flight, joint, motor,
    parachute, recovery, rocket, section,
};
use crate::engineering::parachute as descent;
use crate::quantity::{Area, Energy, Length, Mass, Speed, Styled, Time};
use crate::vocabulary::Id;

computed! {
    /// Drag coefficient times its area.
    DRAG_AREA: "drag_area" of Parachute gives Area,
        "drag coefficient × its reference area, or the circle of the canopy's diameter", "", drag_area;
    /// How fast the rocket comes down under it at the field's height, all sections hanging from it.
    DESCENT_RATE: "descent_rate" of Parachute gives Speed,
        "√(2 × mass × g / (density at the field × drag area)); the mass that comes down",
        "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; standard density", descent_rate;
    /// Drag area of all that is open when the rocket lands.
    LANDING_DRAG_AREA: "landing_drag_area" of Rocket gives Area,
        "Σ drag area of the parachutes that open last; what opened before them is not counted (safe side)", "", |ctx, id| {
            let (_, last) = events(ctx, id)?;
            total_area(ctx, &last)
        };
    /// How fast the rocket lands.
    LANDING_SPEED: "landing_speed" of Rocket gives Speed,
        "√(2 × mass that comes down × g / (density at the field × drag area at landing))",
        "T. W. Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575; standard density", |ctx, id| {
            let (mass, (area, site)) = both(
                ctx.query(id, &MASS_IN_DESCENT),
                both(ctx.query(id, &LANDING_DRAG_AREA), elevation(ctx, id)))?;
            let air = standard_air(ctx, site)?;
            ctx.step("density at the field", "standard atmosphere", air.density);
            ctx.or_refuse(descent::descent_rate(mass, area, air.density))
        };
    /// The height above the field at which the main is let out first: the highest that an altimeter is set to.
    MAIN_HEIGHT: "main_height" of Rocket gives Styled<Length>, "greatest main height of the altimeters", "", |ctx, id| main_height(ctx, id, true);
    /// The height above the field at which the main is let out last: the lowest that an altimeter is set to.
    LOWEST_MAIN_HEIGHT: "lowest_main_height" of Rocket gives Styled<Length>, "least main height of the altimeters", "", |ctx, id| main_height(ctx, id, false);
    /// Time from the highest point to the ground.
    DESCENT_TIME: "descent_time" of Rocket gives Time,
        "∫ dh / rate of descent, the density following the height: from apogee to the main's height, then to the ground",
        "T. W. Knacke, NWC TP 6575; U.S. Standard Atmosphere, 1976", descent_time;
    /// How far the wind carries the rocket from where it opens, the stated wind at every height.
    DRIFT: "drift" of Rocket gives Length, "wind × time of descent; that the ascent leans into the wind is not set against it (safe side)",
        "kinematics", |ctx, id| {
            let place = ctx.part(id, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))?;
            let (wind, time) = both(ctx.get(place, flight::wind), ctx.query(id, &DESCENT_TIME))?;
            ctx.or_refuse(descent::drift(wind, time))
        };
    /// The foremost section of the piece that this section lands in: what is joined by joints that never part stays together.
    PIECE: "piece" of Section gives Id<Section>, "sections joined by joints that never part", "", |ctx, id| {
        let piece = piece(ctx, id)?;
        piece.first().copied().ok_or_else(|| ctx.refuse("the section is not one of the rocket's"))
    };
    /// Mass of the piece that this section lands in, the burnt motor in it; parachutes are not counted, they hang above.
    LANDING_MASS: "landing_mass" of Section gives Mass,
        "Σ mass of the sections of the piece, with the motor less its propellant in the one that carries it", "", landing_mass;
    /// Energy with which the piece that this section is in lands.
    LANDING_ENERGY: "landing_energy" of Section gives Energy, "½ × landing mass × landing speed²", "mechanics", |ctx, id| {
        let root = ctx.rocket();
        let (mass, speed) = both(ctx.query(id, &LANDING_MASS), ctx.query(root, &LANDING_SPEED))?;
        ctx.or_refuse(descent::landing_energy(mass, speed))
    };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
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

fn elevation(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let place = ctx.part(root, rocket::flight)?.ok_or_else(|| ctx.refuse("no flight is described"))?;
    ctx.get(place, flight::site_elevation)
}

fn drag_area(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Area> {
    let coefficient = ctx.get(id, parachute::drag_coefficient);
    if ctx.has(id, parachute::reference_area)? {
        let (coefficient, area) = both(coefficient, ctx.get(id, parachute::reference_area))?;
        return Ok(area * coefficient);
    }
    let (coefficient, across) = both(coefficient, ctx.get(id, parachute::diameter))?;
    ctx.or_refuse(descent::round_canopy(coefficient, across))
}

fn descent_rate(ctx: &EvalContext<'_>, id: Id<Parachute>) -> Outcome<Speed> {
    let root = ctx.rocket();
    let (mass, (area, site)) =
        both(ctx.query(root, &MASS_IN_DESCENT), both(ctx.query(id, &DRAG_AREA), elevation(ctx, root)))?;
    let air = standard_air(ctx, site)?;
    ctx.step("density at the field", "standard atmosphere", air.density);
    ctx.or_refuse(descent::descent_rate(mass, area, air.density))
}

type Canopies = Vec<Id<Parachute>>;

/// The parachutes that open first, at the highest point, and those that open last.
fn events(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<(Canopies, Canopies)> {
    let recovery = ctx.part(root, rocket::recovery)?;
    let recovery = recovery.ok_or_else(|| ctx.refuse("the rocket has no recovery system"))?;
    let (mut first, mut last) = (Vec::new(), Vec::new());
    for canopy in ctx.entities(recovery, recovery::parachutes)?.iter() {
        if ctx.get(canopy, parachute::opens_at)? == "main" {
            last.push(canopy);
        } else {
            first.push(canopy);
        }
    }
    if last.is_empty() {
        last.clone_from(&first);
    }
    if last.is_empty() {
        return Err(ctx.refuse("no parachute is described"));
    }
    Ok((first, last))
}

fn total_area(ctx: &EvalContext<'_>, canopies: &[Id<Parachute>]) -> Outcome<Area> {
    let mut total = Ok(Area::from_si(0.0));
    for canopy in canopies {
        total = both(total, ctx.query(*canopy, &DRAG_AREA)).map(|(t, a)| t + a);
    }
    total
}

fn main_height(ctx: &EvalContext<'_>, _: Id<Rocket>, highest: bool) -> Outcome<Styled<Length>> {
    let mut found: Option<Styled<Length>> = None;
    for one in ctx.every::<Altimeter>() {
        if ctx.has(one, altimeter::main_height).unwrap_or(true) {
            let height = ctx.quantity(one, altimeter::main_height)?;
            let better = found.is_none_or(|so_far| {
                let (new, old) = (height.value(), so_far.value());
                if highest { new > old } else { new < old }
            });
            if better {
                found = Some(height);
            }
        } else if lets_out_main(ctx, one)? {
            return Err(ctx.missing(one, altimeter::main_height));
        }
    }
    found.ok_or_else(|| ctx.refuse("no altimeter lets out a main"))
}

/// Whether a circuit on its main channel says that this altimeter lets out the main.
fn lets_out_main(ctx: &EvalContext<'_>, one: Id<Altimeter>) -> Outcome<bool> {
    for wired in ctx.every::<Circuit>() {
        let (fires, channel) = both(ctx.get(wired, circuit::altimeter), ctx.get(wired, circuit::channel))?;
        if fires == one && channel == "main" {
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
fn stretches(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<(Vec<Stretch>, Mass, Length)> {
    let (first, last) = events(ctx, root)?;
    let (mass, (site, apogee)) =
        both(ctx.query(root, &MASS_IN_DESCENT), both(elevation(ctx, root), ctx.query(root, &APOGEE)))?;
    let under = |canopies: &[Id<Parachute>], from: Length, to: Length| -> Outcome<Stretch> {
        Ok(Stretch { area: total_area(ctx, canopies)?, from, to })
    };
    let ground = Length::from_si(0.0);
    let all = if first == last {
        vec![under(&last, apogee, ground)?]
    } else if first.is_empty() {
        return Err(ctx.refuse("nothing opens at the highest point: the time down to the main is not known"));
    } else {
        let height = ctx.query(root, &MAIN_HEIGHT)?;
        let height = if height > apogee { apogee } else { height };
        let (high, low) = both(under(&first, apogee, height), under(&last, height, ground))?;
        vec![high, low]
    };
    Ok((all, mass, site))
}

fn descent_time(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Time> {
    let (all, mass, site) = stretches(ctx, root)?;
    let mut times = Vec::new();
    for one in &all {
        times.push(ctx.or_refuse(descent::fall_time(mass, one.area, site + one.from, site + one.to))?);
    }
    if let [high, low] = *times {
        ctx.step(
            "from the highest point to the main's height",
            "∫ dh / rate under what opened at apogee",
            high,
        );
        ctx.step("from the main's height to the ground", "∫ dh / rate under the main", low);
    }
    let total = times.into_iter().fold(Time::from_si(0.0), |sum, time| sum + time);
    Ok(total)
}

/// The height above the field by time since the highest point, a number of steps for each stretch.
pub(super) fn descent_course(
    ctx: &EvalContext<'_>,
    root: Id<Rocket>,
    steps: u32,
) -> Outcome<Vec<(Time, Length)>> {
    let (all, mass, site) = stretches(ctx, root)?;
    let mut points = Vec::new();
    let mut since = Time::from_si(0.0);
    for one in &all {
        for step in 0..=steps {
            let share = f64::from(step) / f64::from(steps.max(1));
            let height = one.from - (one.from - one.to) * share;
            let fallen = ctx.or_refuse(descent::fall_time(mass, one.area, site + one.from, site + height))?;
            points.push((since + fallen, height));
        }
        since = points.last().map_or(since, |(time, _)| *time);
    }
    Ok(points)
}

/// The sections that stay together with one, fore to aft.
fn piece(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<Id<Section>>> {
    let mut fixed = Vec::new();
    for one in ctx.every::<Joint>() {
        if ctx.get(one, joint::parts_at)? == "never"
            && let Some(ends) = ctx.entities(one, joint::between)?.both()
        {
            fixed.push(ends);
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
    Ok(sections(ctx)?.iter().filter(|section| together.contains(section)).collect())
}

fn landing_mass(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Mass> {
    let root = ctx.rocket();
    let mut total = Ok(0.0);
    let add = |total: Outcome<f64>, mass: Outcome<Mass>| both(total, mass).map(|(t, m)| t + m.si());
    for one in piece(ctx, id)? {
        total = add(total, ctx.get(one, section::mass));
        if ctx.part(one, section::motor_mount)?.is_some() {
            let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
            let burnt = both(ctx.get(engine, motor::loaded_mass), ctx.get(engine, motor::propellant_mass))
                .map(|(loaded, propellant)| loaded - propellant);
            if let Ok(burnt) = &burnt {
                ctx.step("burnt motor", "loaded mass − propellant", *burnt);
            }
            total = add(total, burnt);
        }
    }
    Ok(Mass::from_si(total?))
}
