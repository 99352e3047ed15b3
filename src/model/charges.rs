//! Ejection charges: the pressure they raise and the force they put on a joint.
//!
//! A figure here is a starting point for tests on the ground, made only by those who are licensed and trained for it.

use super::computed::computed;
use super::joints::force_on;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Charge, charge};
use crate::engineering;
use crate::quantity::{Dimension, Force, Pressure, Quantity, Styled, Volume};
use crate::vocabulary::Id;

computed! {
    /// The free volume that it fills.
    FILLS: "fills" of Charge gives Styled<Volume>, Formula::choice("{free_volume}, as it is written"), "", fills;
    /// The rise of pressure that the charge gives in its free volume.
    PRESSURE: "pressure" of Charge gives Pressure,
        Formula::expression("{powder} × {R T} / {fills}"),
        "common practice; an ideal gas, and a ground test decides", |ctx, id| {
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
        };
    /// The force of that pressure on the bore of the joint.
    FORCE: "force" of Charge gives Force, Formula::expression("{pressure} × π / 4 × {socket_diameter}²"), "statics", force;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&FILLS, &PRESSURE, &FORCE];

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

fn force(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Force> {
    let (pressure, joint) = both(ctx.query(id, &PRESSURE), ctx.get(id, charge::joint))?;
    force_on(ctx, joint, pressure)
}
