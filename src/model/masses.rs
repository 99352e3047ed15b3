//! Masses: what the rocket weighs ready to fly.

use super::joints::computed;
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{HARNESS, PARACHUTE, ROCKET, as_built, harness, motor, parachute, rocket, section};
use crate::model::stations::sections;
use crate::quantity::{Dimension as D, Mass};
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The mass ready to fly by the masses of the parts that are written down.
    MASS_OF_PARTS: "mass_of_parts" of ROCKET gives Type::Quantity(D::MASS),
        "sections + parachutes + harnesses + loaded motor", "", mass_of_parts;
    /// The mass ready to fly: as measured, else the sum of what is written down.
    MASS_AT_IGNITION: "mass_at_ignition" of ROCKET gives Type::Quantity(D::MASS),
        "measured mass with motor; else the mass of the parts", "", mass_at_ignition;
    /// What comes down under the parachutes.
    MASS_IN_DESCENT: "mass_in_descent" of ROCKET gives Type::Quantity(D::MASS),
        "mass ready to fly − propellant", "", |asking, root| {
            let engine = asking.part(root, rocket::motor)?.ok_or_else(|| asking.refuse("no motor is described"))?;
            let (ready, propellant) =
                both(asking.ask_typed::<Mass>(root, &MASS_AT_IGNITION), asking.typed::<Mass>(engine, motor::propellant_mass))?;
            let left = ready - propellant;
            if left.si() <= 0.0 {
                return Err(asking.refuse("the propellant weighs as much as the rocket ready to fly, or more"));
            }
            Ok(Value::Quantity(left.into()))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&MASS_OF_PARTS, &MASS_AT_IGNITION, &MASS_IN_DESCENT];

fn mass_at_ignition(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    if let Ok(Some(measured)) = asking.part(root, rocket::measured)
        && asking.model().has(measured, as_built::mass_with_motor.slot) == Ok(true)
    {
        return asking.get(measured, as_built::mass_with_motor);
    }
    asking.ask(root, &MASS_OF_PARTS)
}

fn mass_of_parts(asking: &EvalContext<'_>, root: EntityId) -> Outcome<Value> {
    let mut total = Ok(0.0);
    let mut add = |mass: Outcome<Mass>| {
        let so_far = std::mem::replace(&mut total, Ok(0.0));
        total = both(so_far, mass).map(|(t, m)| t + m.si());
    };
    for section in sections(asking)?.iter() {
        add(asking.typed(*section, section::mass));
    }
    let model = asking.model();
    for canopy in model.all_of(&PARACHUTE) {
        add(asking.typed(canopy, parachute::mass));
    }
    for cord in model.all_of(&HARNESS) {
        // A cord's mass is often counted in its section's.
        if asking.model().has(cord, harness::mass.slot)? {
            add(asking.typed(cord, harness::mass));
        }
    }
    match asking.part(root, rocket::motor)? {
        Some(one) => add(asking.typed(one, motor::loaded_mass)),
        None => return Err(asking.refuse("no motor is described")),
    }
    Ok(Value::Quantity(Mass::from_si(total?).into()))
}
