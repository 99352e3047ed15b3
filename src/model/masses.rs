//! Masses: what the rocket weighs ready to fly.

use super::computed::computed;
use super::sections::sections;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Harness, Parachute, Rocket, Section, addition, as_built, harness, motor, parachute, rocket, section,
};
use crate::quantity::{Mass, Styled};
use crate::vocabulary::Id;

computed! {
    /// The mass ready to fly by what is written down: the masses of all sections and of what was added to them, of parachutes, of those harnesses that are weighed by themselves, and of the loaded motor. Not known while one section's or one parachute's mass is not.
    MASS_OF_PARTS: "mass_of_parts" of Rocket gives Mass,
        Formula::expression("masses of sections, parachutes, harnesses and the loaded motor, added up"), "", mass_of_parts;
    /// The mass ready to fly: as measured with the motor, or without it and the motor added; else the mass of its parts.
    MASS_AT_IGNITION: "mass_at_ignition" of Rocket gives Styled<Mass>,
        Formula::choice("{mass_of_parts}, as the finished rocket was not weighed"), "", mass_at_ignition;
    /// The mass that comes down under the parachutes.
    MASS_IN_DESCENT: "mass_in_descent" of Rocket gives Mass,
        Formula::expression("{mass_at_ignition} − {propellant_mass}"), "", |ctx, root| {
            let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
            let (ready, propellant) =
                both(ctx.query(root, &MASS_AT_IGNITION), ctx.get(engine, motor::propellant_mass))?;
            let left = ready - propellant;
            if left.si() <= 0.0 {
                return Err(ctx.refuse("the propellant weighs as much as the rocket ready to fly, or more"));
            }
            Ok(left)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&MASS_OF_PARTS, &MASS_AT_IGNITION, &MASS_IN_DESCENT];

fn mass_at_ignition(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Styled<Mass>> {
    if let Ok(Some(measured)) = ctx.part(root, rocket::measured) {
        if ctx.has(measured, as_built::mass_with_motor) == Ok(true) {
            ctx.formula(|| Formula::choice("{mass_with_motor}, as the finished rocket was weighed"));
            return ctx.quantity(measured, as_built::mass_with_motor);
        }
        if ctx.has(measured, as_built::mass_without_motor) == Ok(true) {
            let engine = ctx.part(root, rocket::motor)?.ok_or_else(|| ctx.refuse("no motor is described"))?;
            ctx.formula(|| Formula::expression("{mass_without_motor} + {loaded_mass}"));
            let (empty, loaded) =
                both(ctx.get(measured, as_built::mass_without_motor), ctx.get(engine, motor::loaded_mass))?;
            return Ok((empty + loaded).into());
        }
    }
    ctx.query_quantity(root, &MASS_OF_PARTS)
}

fn mass_of_parts(ctx: &EvalContext<'_>, root: Id<Rocket>) -> Outcome<Mass> {
    let mut total = Ok(0.0);
    let mut terms = Vec::new();
    let mut add = |mass: Outcome<Mass>, line: &dyn Fn() -> String| {
        if ctx.is_recording() {
            terms.push(line());
        }
        let so_far = std::mem::replace(&mut total, Ok(0.0));
        total = both(so_far, mass).map(|(t, m)| t + m.si());
    };
    for section in sections(ctx)?.iter() {
        add(ctx.get(section, section::mass), &|| ctx.field_line(section, section::mass));
        for more in ctx.entities(section, section::additions)?.iter() {
            add(ctx.get(more, addition::mass), &|| ctx.field_line(more, addition::mass));
        }
    }
    for canopy in ctx.every::<Parachute>() {
        add(ctx.get(canopy, parachute::mass), &|| ctx.field_line(canopy, parachute::mass));
    }
    for cord in ctx.every::<Harness>() {
        // A cord's mass is often counted in its section's.
        if ctx.has(cord, harness::mass)? {
            add(ctx.get(cord, harness::mass), &|| ctx.field_line(cord, harness::mass));
        }
    }
    match ctx.part(root, rocket::motor)? {
        Some(one) => add(ctx.get(one, motor::loaded_mass), &|| ctx.field_line(one, motor::loaded_mass)),
        None => return Err(ctx.refuse("no motor is described")),
    }
    ctx.formula(|| Formula::Expression(terms.join(" + ").into()));
    Ok(Mass::from_si(total?))
}

/// The masses that were added to a section, and their lines.
pub(super) fn additions_of(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<Vec<(Mass, String)>> {
    let line = |more| if ctx.is_recording() { ctx.field_line(more, addition::mass) } else { String::new() };
    let all = ctx.entities(section, section::additions)?;
    all.iter().map(|more| ctx.get(more, addition::mass).map(|mass| (mass, line(more)))).collect()
}
