//! Balance worked out from the parts, before there is a finished rocket to lay on an edge.

use std::f64::consts::FRAC_PI_4;

use super::airflow::nose;
use super::balance::{CALIBRE, PRESSURE, motor_middle};
use super::joints::computed;
use super::planform::planform;
use super::stations::{extent, sections};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{
    PARACHUTE, ROCKET, SECTION, bulkhead, coupler, fins, motor, motor_mount, nose_cone, parachute, ring,
    rocket, section, tube,
};
use crate::engineering::stability;
use crate::quantity::{Density, Dimension as D, Length, Mass, Quantity, Volume};
use crate::tables::material;
use crate::vocabulary::{Edge, EntityId, Key, Value};

computed! {
    /// Where the section balances by itself, aft from the nose tip: as stated, else estimated from its parts.
    SECTION_BALANCE: "balance_station" of SECTION gives Type::Quantity(D::LENGTH),
        "`balance` where it is stated; else Σ mass × station over the parts that can be weighed, what is left of the section's mass at its middle (an estimate)",
        "statics", section_balance;
    /// Where the rocket should balance ready to fly by its parts, aft from the nose tip; an estimate.
    BALANCE_OF_PARTS: "balance_of_parts" of ROCKET gives Type::Quantity(D::LENGTH),
        "Σ mass × station / Σ mass over sections, parachutes and the loaded motor, each parachute at the middle of its section",
        "statics", balance_of_parts;
    /// How far the centre of pressure lies behind the balance point that the parts come to, in calibres; an estimate, before there is a finished rocket to measure.
    STABILITY_OF_PARTS: "stability_of_parts" of ROCKET gives Type::Quantity(D::NUMBER),
        "(centre of pressure − balance point by the parts) / calibre", "definition of the static margin", |asking, id| {
            let (pressure, balance) = both(asking.ask_typed::<Length>(id, &PRESSURE), asking.ask_typed::<Length>(id, &BALANCE_OF_PARTS))?;
            let calibre = asking.ask_typed::<Length>(id, &CALIBRE)?;
            Ok(Value::Quantity(Quantity::number(asking.worked(stability::static_margin(pressure, balance, calibre))?)))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&SECTION_BALANCE, &BALANCE_OF_PARTS, &STABILITY_OF_PARTS];

/// A mass and where it is, in kg and m aft from the nose tip.
struct Weight {
    mass: f64,
    station: f64,
}

fn section_balance(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    if asking.model().has(id, section::balance.slot)? {
        let Value::Position(position) = asking.get(id, section::balance)? else {
            return Err(asking.refuse("the balance point is no place"));
        };
        asking.see(position.distance);
        let ends = extent(asking, id)?;
        let distance = position.distance.si;
        let station = match position.edge {
            Edge::Fore => ends.fore + distance,
            Edge::Aft => ends.aft - distance,
        };
        return Ok(Value::Quantity(Length::from_si(station).into()));
    }
    let (whole, middle) = both(asking.typed::<Mass>(id, section::mass), middle(asking, id))?;
    let parts = weighed(asking, id)?;
    let known: f64 = parts.iter().map(|part| part.mass).sum();
    let left = whole.si() - known;
    // Rounded scales: a gram in a hundred over is no contradiction.
    if left < -0.01 * whole.si() {
        return Err(asking.refuse("the parts of the section weigh more than the section"));
    }
    let left = left.max(0.0);
    asking.step("parts weighed or reckoned", "Σ mass", Mass::from_si(known));
    asking.step(
        "rest of the section",
        "its mass − those; taken at its middle (estimate)",
        Mass::from_si(left),
    );
    let moment: f64 = parts.iter().map(|part| part.mass * part.station).sum();
    Ok(Value::Quantity(Length::from_si((moment + left * middle) / (known + left)).into()))
}

/// The middle of what a section is built around, which may reach into its neighbours.
fn middle(asking: &EvalContext<'_>, id: EntityId) -> Outcome<f64> {
    for key in [section::tube, section::coupler, section::nose_cone, section::transition] {
        if let Some(part) = asking.part(id, key)? {
            return extent(asking, part).map(|e| f64::midpoint(e.fore, e.aft));
        }
    }
    Err(asking.refuse("the section has neither tube, coupler nor nose cone"))
}

/// The parts of a section whose mass is written down or follows from size and material; the others are left to the rest.
fn weighed(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Vec<Weight>> {
    let mut parts = Vec::new();
    let mut add = |part: EntityId, mass: Option<Mass>, along: f64| -> Outcome<()> {
        if let Some(mass) = mass {
            let ends = extent(asking, part)?;
            parts.push(Weight { mass: mass.si(), station: ends.fore + along * (ends.aft - ends.fore) });
        }
        Ok(())
    };
    if let Some(cone) = asking.part(id, section::nose_cone)? {
        // The silhouette's centroid is that of a thin shell of gentle slope.
        let along = nose(asking, cone).ok().and_then(|nose| {
            let view = nose.side_view().ok()?;
            Some(view.centroid.si() / nose.length().si())
        });
        add(cone, written(asking, cone, nose_cone::mass)?, along.unwrap_or(0.5))?;
    }
    if let Some(body) = asking.part(id, section::tube)? {
        add(body, mass_of_tube(asking, body)?, 0.5)?;
    }
    if let Some(inner) = asking.part(id, section::coupler)? {
        let mass = match written(asking, inner, coupler::mass)? {
            Some(mass) => Some(mass),
            None => reckoned(asking, inner, coupler::material, |asking| {
                hollow(asking, inner, coupler::outer_diameter, coupler::inner_diameter, coupler::length)
            })?,
        };
        add(inner, mass, 0.5)?;
    }
    for plate in asking.things(id, section::bulkheads)?.iter() {
        let mass = if asking.model().has(*plate, bulkhead::outer_diameter.slot)? {
            reckoned(asking, *plate, bulkhead::material, |asking| {
                let across = asking.typed::<Length>(*plate, bulkhead::outer_diameter)?;
                Ok(across * across * asking.typed::<Length>(*plate, bulkhead::thickness)? * FRAC_PI_4)
            })?
        } else {
            None
        };
        add(*plate, mass, 0.5)?;
    }
    if let Some(mount) = asking.part(id, section::motor_mount)? {
        if let Some(inner) = asking.part(mount, motor_mount::tube)? {
            add(inner, mass_of_tube(asking, inner)?, 0.5)?;
        }
        for one in asking.things(mount, motor_mount::rings)?.iter() {
            let mass = reckoned(asking, *one, ring::material, |asking| {
                hollow(asking, *one, ring::outer_diameter, ring::inner_diameter, ring::thickness)
            })?;
            add(*one, mass, 0.5)?;
        }
    }
    if let Some(set) = asking.part(id, section::fins)? {
        fin_weight(asking, set, &mut parts)?;
    }
    Ok(parts)
}

fn fin_weight(asking: &EvalContext<'_>, set: EntityId, parts: &mut Vec<Weight>) -> Outcome<()> {
    let shape = planform(asking, set)?;
    let (root, tip, span, sweep) = (shape.root_chord, shape.tip_chord, shape.span, shape.sweep);
    let mass = match written(asking, set, fins::mass)? {
        Some(mass) => Some(mass),
        None => reckoned(asking, set, fins::material, |asking| {
            let count = f64::from(asking.count(set, fins::count)?);
            let thickness = asking.typed::<Length>(set, fins::thickness)?;
            Ok((root + tip) * 0.5 * span * thickness * count)
        })?,
    };
    if let Some(mass) = mass {
        let (c, t, x) = (root.si(), tip.si(), sweep.si());
        // Centroid of the trapezoid along the body, from the leading corner of the root.
        let along = x / 3.0 * (c + 2.0 * t) / (c + t) + (c * c + c * t + t * t) / (3.0 * (c + t));
        let fore = extent(asking, set)?.fore;
        parts.push(Weight { mass: mass.si(), station: fore + along });
    }
    Ok(())
}

fn mass_of_tube(asking: &EvalContext<'_>, part: EntityId) -> Outcome<Option<Mass>> {
    match written(asking, part, tube::mass)? {
        Some(mass) => Ok(Some(mass)),
        None => reckoned(asking, part, tube::material, |asking| {
            hollow(asking, part, tube::outer_diameter, tube::inner_diameter, tube::length)
        }),
    }
}

fn written(asking: &EvalContext<'_>, part: EntityId, key: Key) -> Outcome<Option<Mass>> {
    if asking.model().has(part, key.slot)? { asking.typed(part, key).map(Some) } else { Ok(None) }
}

/// Volume × density of the material, where the material is written down and has one.
fn reckoned(
    asking: &EvalContext<'_>,
    part: EntityId,
    key: Key,
    volume: impl Fn(&EvalContext<'_>) -> Outcome<Volume>,
) -> Outcome<Option<Mass>> {
    if !asking.model().has(part, key.slot)? {
        return Ok(None);
    }
    let Value::Entity(row) = asking.get(part, key)? else { return Ok(None) };
    if asking.model().has(row, material::density.slot) != Ok(true) {
        return Ok(None);
    }
    let (density, volume) = both(asking.typed::<Density>(row, material::density), volume(asking))?;
    let name = asking.model().entity(part).map(|e| e.name.to_string()).unwrap_or_default();
    let mass = density * volume;
    asking.step(format!("{name} (estimated)"), "volume × density of its material", mass);
    Ok(Some(mass))
}

fn hollow(asking: &EvalContext<'_>, part: EntityId, outer: Key, inner: Key, long: Key) -> Outcome<Volume> {
    let across = both(asking.typed::<Length>(part, outer), asking.typed::<Length>(part, inner));
    let ((outer, inner), long) = both(across, asking.typed::<Length>(part, long))?;
    if inner >= outer {
        return Err(asking.refuse("the inside is as wide as the outside, or wider"));
    }
    Ok((outer * outer - inner * inner) * long * FRAC_PI_4)
}

fn balance_of_parts(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let mut total: Outcome<(f64, f64)> = Ok((0.0, 0.0));
    let mut add = |mass: Outcome<Mass>, station: Outcome<Length>| {
        let so_far = std::mem::replace(&mut total, Ok((0.0, 0.0)));
        total = both(so_far, both(mass, station))
            .map(|((m, moment), (mass, at))| (m + mass.si(), moment + mass.si() * at.si()));
    };
    for one in sections(asking)?.iter() {
        add(asking.typed::<Mass>(*one, section::mass), asking.ask_typed::<Length>(*one, &SECTION_BALANCE));
    }
    for canopy in asking.model().all_of(&PARACHUTE) {
        let home = match asking.get(canopy, parachute::packed_in) {
            Ok(Value::Entity(home)) => middle(asking, home).map(Length::from_si),
            Ok(_) => Err(asking.refuse("the parachute is packed in no section")),
            Err(gap) => Err(gap),
        };
        add(asking.typed::<Mass>(canopy, parachute::mass), home);
    }
    let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
    add(asking.typed::<Mass>(engine, motor::loaded_mass), motor_middle(asking, root));
    let (mass, moment) = total?;
    asking.step("mass of what is counted", "Σ mass", Mass::from_si(mass));
    Ok(Value::Quantity(Length::from_si(moment / mass).into()))
}
