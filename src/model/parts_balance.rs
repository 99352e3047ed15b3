//! Balance worked out from the parts, before there is a finished rocket to lay on an edge.

use std::f64::consts::FRAC_PI_4;

use super::airflow::nose;
use super::balance::{CALIBRE, PRESSURE, motor_middle};
use super::joints::computed;
use super::planform::planform;
use super::stations::{extent, main_body, sections};
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{
    Fins, Parachute, Rocket, Section, Tube, bulkhead, coupler, fins, motor, motor_mount, nose_cone,
    parachute, ring, rocket, section, tube,
};
use crate::engineering::stability;
use crate::quantity::{Length, Mass, Volume};
use crate::tables::{Material, material};
use crate::vocabulary::{Edge, EntityId, Id, Key};

computed! {
    /// Where the section balances by itself, aft from the nose tip: as stated, else estimated from its parts.
    SECTION_BALANCE: "balance_station" of Section gives Length,
        "`balance` where it is stated; else Σ mass × station over the parts that can be weighed, what is left of the section's mass at its middle (an estimate)",
        "statics", section_balance;
    /// Where the rocket should balance ready to fly by its parts, aft from the nose tip; an estimate.
    BALANCE_OF_PARTS: "balance_of_parts" of Rocket gives Length,
        "Σ mass × station / Σ mass over sections, parachutes and the loaded motor, each parachute at the middle of its section",
        "statics", balance_of_parts;
    /// How far the centre of pressure lies behind the balance point that the parts come to, in calibres; an estimate, before there is a finished rocket to measure.
    STABILITY_OF_PARTS: "stability_of_parts" of Rocket gives f64,
        "(centre of pressure − balance point by the parts) / calibre", "definition of the static margin", |ctx, id| {
            let (pressure, balance) = both(ctx.query(id, &PRESSURE), ctx.query(id, &BALANCE_OF_PARTS))?;
            let calibre = ctx.query(id, &CALIBRE)?;
            ctx.or_refuse(stability::static_margin(pressure, balance, calibre))
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&SECTION_BALANCE, &BALANCE_OF_PARTS, &STABILITY_OF_PARTS];

/// A mass and where it is, in kg and m aft from the nose tip.
struct Weight {
    mass: f64,
    station: f64,
}

fn section_balance(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Length> {
    if ctx.has(id, section::balance)? {
        let position = ctx.get(id, section::balance)?;
        ctx.see(position.distance);
        // Here the tape is laid along the whole section, as it is balanced.
        let part = position.of.as_deref().unwrap_or("section");
        let ends = super::stations::base(ctx, id, Some(part))?;
        let distance = position.distance.si;
        let station = match position.edge {
            Edge::Fore => ends.fore + distance,
            Edge::Aft => ends.aft - distance,
        };
        return Ok(Length::from_si(station));
    }
    let (whole, middle) = both(ctx.get(id, section::mass), middle(ctx, id))?;
    let parts = weighed(ctx, id)?;
    let known: f64 = parts.iter().map(|part| part.mass).sum();
    let left = whole.si() - known;
    // Rounded scales: a gram in a hundred over is no contradiction.
    if left < -0.01 * whole.si() {
        return Err(ctx.refuse("the parts of the section weigh more than the section"));
    }
    let left = left.max(0.0);
    ctx.step("parts weighed or reckoned", "Σ mass", Mass::from_si(known));
    ctx.step("rest of the section", "its mass − those; taken at its middle (estimate)", Mass::from_si(left));
    let moment: f64 = parts.iter().map(|part| part.mass * part.station).sum();
    Ok(Length::from_si((moment + left * middle) / (known + left)))
}

/// The middle of what a section is built around, which may reach into its neighbours.
fn middle(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    main_body(ctx, id).map(|e| f64::midpoint(e.fore, e.aft))
}

/// The parts of a section whose mass is written down or follows from size and material; the others are left to the rest.
fn weighed(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Vec<Weight>> {
    let mut parts = Vec::new();
    let mut add = |part: EntityId, mass: Option<Mass>, along: f64| -> Outcome<()> {
        if let Some(mass) = mass {
            let ends = extent(ctx, part)?;
            parts.push(Weight { mass: mass.si(), station: ends.fore + along * (ends.aft - ends.fore) });
        }
        Ok(())
    };
    if let Some(cone) = ctx.part(id, section::nose_cone)? {
        // The silhouette's centroid is that of a thin shell of gentle slope.
        let along = nose(ctx, cone).ok().and_then(|nose| {
            let view = nose.side_view().ok()?;
            Some(view.centroid.si() / nose.length().si())
        });
        add(cone.any(), written(ctx, cone, nose_cone::mass)?, along.unwrap_or(0.5))?;
    }
    if let Some(body) = ctx.part(id, section::tube)? {
        add(body.any(), mass_of_tube(ctx, body)?, 0.5)?;
    }
    if let Some(inner) = ctx.part(id, section::coupler)? {
        let mass = match written(ctx, inner, coupler::mass)? {
            Some(mass) => Some(mass),
            None => reckoned(ctx, inner, coupler::material, |ctx| {
                hollow(ctx, inner, coupler::outer_diameter, coupler::inner_diameter, coupler::length)
            })?,
        };
        add(inner.any(), mass, 0.5)?;
    }
    for plate in ctx.entities(id, section::bulkheads)?.iter() {
        let mass = if ctx.has(plate, bulkhead::outer_diameter)? {
            reckoned(ctx, plate, bulkhead::material, |ctx| {
                let across = ctx.get(plate, bulkhead::outer_diameter)?;
                Ok(across * across * ctx.get(plate, bulkhead::thickness)? * FRAC_PI_4)
            })?
        } else {
            None
        };
        add(plate.any(), mass, 0.5)?;
    }
    if let Some(mount) = ctx.part(id, section::motor_mount)? {
        if let Some(inner) = ctx.part(mount, motor_mount::tube)? {
            add(inner.any(), mass_of_tube(ctx, inner)?, 0.5)?;
        }
        for one in ctx.entities(mount, motor_mount::rings)?.iter() {
            let mass = reckoned(ctx, one, ring::material, |ctx| {
                hollow(ctx, one, ring::outer_diameter, ring::inner_diameter, ring::thickness)
            })?;
            add(one.any(), mass, 0.5)?;
        }
    }
    if let Some(set) = ctx.part(id, section::fins)? {
        fin_weight(ctx, set, &mut parts)?;
    }
    Ok(parts)
}

fn fin_weight(ctx: &EvalContext<'_>, set: Id<Fins>, parts: &mut Vec<Weight>) -> Outcome<()> {
    let shape = planform(ctx, set)?;
    let (root, tip, span, sweep) = (shape.root_chord, shape.tip_chord, shape.span, shape.sweep);
    let mass = match written(ctx, set, fins::mass)? {
        Some(mass) => Some(mass),
        None => reckoned(ctx, set, fins::material, |ctx| {
            let count = f64::from(ctx.get(set, fins::count)?);
            let thickness = ctx.get(set, fins::thickness)?;
            Ok((root + tip) * 0.5 * span * thickness * count)
        })?,
    };
    if let Some(mass) = mass {
        let (c, t, x) = (root.si(), tip.si(), sweep.si());
        // Centroid of the trapezoid along the body, from the leading corner of the root.
        let along = x / 3.0 * (c + 2.0 * t) / (c + t) + (c * c + c * t + t * t) / (3.0 * (c + t));
        let fore = extent(ctx, set)?.fore;
        parts.push(Weight { mass: mass.si(), station: fore + along });
    }
    Ok(())
}

fn mass_of_tube(ctx: &EvalContext<'_>, part: Id<Tube>) -> Outcome<Option<Mass>> {
    match written(ctx, part, tube::mass)? {
        Some(mass) => Ok(Some(mass)),
        None => reckoned(ctx, part, tube::material, |ctx| {
            hollow(ctx, part, tube::outer_diameter, tube::inner_diameter, tube::length)
        }),
    }
}

fn written<E>(ctx: &EvalContext<'_>, part: Id<E>, key: Key<E, Mass>) -> Outcome<Option<Mass>> {
    if ctx.has(part, key)? { ctx.get(part, key).map(Some) } else { Ok(None) }
}

/// Volume × density of the material, where the material is written down and has one.
fn reckoned<E>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    key: Key<E, Id<Material>>,
    volume: impl Fn(&EvalContext<'_>) -> Outcome<Volume>,
) -> Outcome<Option<Mass>> {
    if !ctx.has(part, key)? {
        return Ok(None);
    }
    let row = ctx.get(part, key)?;
    if ctx.has(row, material::density) != Ok(true) {
        return Ok(None);
    }
    let (density, volume) = both(ctx.get(row, material::density), volume(ctx))?;
    let name = ctx.name(part);
    let mass = density * volume;
    ctx.step(format!("{name} (estimated)"), "volume × density of its material", mass);
    Ok(Some(mass))
}

fn hollow<E>(
    ctx: &EvalContext<'_>,
    part: Id<E>,
    outer: Key<E, Length>,
    inner: Key<E, Length>,
    long: Key<E, Length>,
) -> Outcome<Volume> {
    let across = both(ctx.get(part, outer), ctx.get(part, inner));
    let ((outer, inner), long) = both(across, ctx.get(part, long))?;
    if inner >= outer {
        return Err(ctx.refuse("the inside is as wide as the outside, or wider"));
    }
    Ok((outer * outer - inner * inner) * long * FRAC_PI_4)
}

fn balance_of_parts(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Length> {
    let mut total: Outcome<(f64, f64)> = Ok((0.0, 0.0));
    let mut add = |mass: Outcome<Mass>, station: Outcome<Length>| {
        let so_far = std::mem::replace(&mut total, Ok((0.0, 0.0)));
        total = both(so_far, both(mass, station))
            .map(|((m, moment), (mass, at))| (m + mass.si(), moment + mass.si() * at.si()));
    };
    for one in sections(ctx)?.iter() {
        add(ctx.get(one, section::mass), ctx.query(one, &SECTION_BALANCE));
    }
    for canopy in ctx.every::<Parachute>() {
        let home = ctx.get(canopy, parachute::packed_in).and_then(|home| middle(ctx, home));
        add(ctx.get(canopy, parachute::mass), home.map(Length::from_si));
    }
    let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
    add(ctx.get(engine, motor::loaded_mass), motor_middle(ctx, root));
    let (mass, moment) = total?;
    ctx.step("mass of what is counted", "Σ mass", Mass::from_si(mass));
    Ok(Length::from_si(moment / mass))
}
