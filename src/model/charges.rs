//! Ejection charges: the pressure they raise and the force they put on a joint.
//!
//! A figure here is a starting point for tests on the ground, made only by those who are licensed and trained for it.

use super::computed::computed;
use super::joints::force_on;
use super::launch_site::{planned_flight, standard_air};
use super::{AnyComputed, Computed, EvalContext, Formula, Outcome, both};
use crate::design::{Charge, charge, flight, gas_cartridge};
use crate::engineering;
use crate::quantity::{Dimension, Force, Length, Pressure, Quantity, Styled, Temperature, Volume};
use crate::vocabulary::Id;

computed! {
    /// The free volume that it fills.
    FILLS: "fills" of Charge gives Styled<Volume>, Formula::choice("{free_volume}, as it is written"), "", fills;
    /// The rise of pressure that the charge gives in its free volume; of a gas cartridge the least that it comes to.
    PRESSURE: "pressure" of Charge gives Pressure,
        Formula::expression("{powder} × {R T} / {fills}"),
        "powder by common practice, as an ideal gas, a gas cartridge by what its formula names; a ground test decides", pressure;
    /// The most that the rise of pressure comes to: of a gas cartridge, when all of its gas is as warm as the field; of powder the same as `pressure`.
    MOST_PRESSURE: "most_pressure" of Charge gives Pressure, Formula::choice("{pressure}, as of powder"),
        "", most_pressure;
    /// The force of that pressure on the bore of the joint.
    FORCE: "force" of Charge gives Force, Formula::expression("{pressure} × π / 4 × {socket_diameter}²"), "statics",
        |ctx, id| force(ctx, id, &PRESSURE);
    /// The force of the most pressure on the bore of the joint.
    MOST_FORCE: "most_force" of Charge gives Force, Formula::expression("{most_pressure} × π / 4 × {socket_diameter}²"), "statics",
        |ctx, id| force(ctx, id, &MOST_PRESSURE);
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&FILLS, &PRESSURE, &MOST_PRESSURE, &FORCE, &MOST_FORCE];

fn pressure(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Pressure> {
    if let Some(cartridge) = ctx.part(id, charge::gas_cartridge)? {
        let (free, (mass, (field, elevation))) =
            both(ctx.query(id, &FILLS), both(ctx.get(cartridge, gas_cartridge::mass), field(ctx)))?;
        let outside = standard_air(ctx, elevation)?.pressure;
        ctx.step("air outside", || Formula::method("standard pressure at `site_elevation`"), outside);
        ctx.formula(|| {
            Formula::method(
                "what settles in `fills` with the air that is there, when nothing else warms the gas and the rest of it lies there as dry ice; energies by Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996)",
            )
        });
        return ctx.or_refuse(engineering::gas_cartridge::cold_rise(mass, free, field, outside));
    }
    // The volume first: powder is weighed in grams everywhere, and the pressure is wanted in the author's units.
    let (free, powder) = both(ctx.query(id, &FILLS), ctx.get(id, charge::powder))?;
    let gas = engineering::charge::POWDER_GAS_CONSTANT * engineering::charge::POWDER_TEMPERATURE;
    let per_mass = Dimension::SPEED.power(2).unwrap_or(Dimension::NUMBER);
    ctx.fixed(
        "R T",
        "effective constants of burnt powder: 22.16 ft·lbf/(lb·°R) × 3307 °R",
        Quantity::new(gas, per_mass),
    );
    ctx.or_refuse(engineering::charge::pressure_rise(powder, free))
}

fn most_pressure(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Pressure> {
    let Some(cartridge) = ctx.part(id, charge::gas_cartridge)? else { return ctx.query(id, &PRESSURE) };
    let (free, (mass, (field, _))) =
        both(ctx.query(id, &FILLS), both(ctx.get(cartridge, gas_cartridge::mass), field(ctx)))?;
    ctx.formula(|| {
        Formula::method("equation of state of Peng and Robinson, Ind. Eng. Chem. Fundam. 15 (1976), with all of the gas in `fills` at the temperature of the field")
    });
    ctx.or_refuse(engineering::gas_cartridge::warm_rise(mass, free, field))
}

/// How warm the field is, and how high it lies.
fn field(ctx: &EvalContext<'_>) -> Outcome<(Temperature, Length)> {
    let place = planned_flight(ctx, ctx.rocket())?;
    both(ctx.get(place, flight::temperature), ctx.get(place, flight::site_elevation))
}

fn fills(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Styled<Volume>> {
    if ctx.has(id, charge::free_volume) != Ok(true)
        && ctx.has(id, charge::room)?
        && ctx.has(id, charge::packed)?
    {
        let (room, packed) = both(ctx.quantity(id, charge::room), ctx.get(id, charge::packed))?;
        let left = room.value() - packed;
        if left.si() <= 0.0 {
            return Err(ctx.refuse("what is packed takes more than the room"));
        }
        ctx.formula(|| Formula::expression("{room} − {packed}"));
        return Ok(left.into());
    }
    ctx.quantity(id, charge::free_volume)
}

fn force(
    ctx: &EvalContext<'_>,
    id: Id<Charge>,
    pressure: &'static Computed<Charge, Pressure>,
) -> Outcome<Force> {
    let (pressure, joint) = both(ctx.query(id, pressure), ctx.get(id, charge::joint))?;
    force_on(ctx, joint, pressure)
}
