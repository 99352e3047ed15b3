//! Ejection charges: the pressure they raise and the force they put on a joint.
//!
//! A figure here is a starting point for tests on the ground, made only by those who are licensed and trained for it.

use super::joints::{computed, force_on};
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{Charge, charge};
use crate::engineering;
use crate::quantity::{Force, Pressure};
use crate::vocabulary::Id;

computed! {
    /// The rise of pressure that the charge gives in its free volume.
    PRESSURE: "pressure" of Charge gives Pressure,
        "mass × R × T / free volume, R = 22.16 ft·lbf/(lb·°R), T = 3307 °R (effective constants)",
        "common practice; an ideal gas, and a ground test decides", |ctx, id| {
            // The volume first: powder is weighed in grams everywhere, and the pressure is wanted in the author's units.
            let (free, powder) = both(ctx.get(id, charge::free_volume), ctx.get(id, charge::powder))?;
            ctx.or_refuse(engineering::charge::pressure_rise(powder, free))
        };
    /// The force of that pressure on the bore of the joint.
    FORCE: "force" of Charge gives Force, "pressure × π/4 × socket diameter²", "statics", force;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&PRESSURE, &FORCE];

fn force(ctx: &EvalContext<'_>, id: Id<Charge>) -> Outcome<Force> {
    let (pressure, joint) = both(ctx.query(id, &PRESSURE), ctx.get(id, charge::joint))?;
    force_on(ctx, joint, pressure)
}
