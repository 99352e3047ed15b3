//! Ejection charges: the pressure they raise and the force they put on a joint.
//!
//! A figure here is a starting point for tests on the ground, made only by those who are licensed and trained for it.

use super::joints::{computed, force_on};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{CHARGE, charge};
use crate::engineering;
use crate::quantity::{Dimension as D, Mass, Pressure, Volume};
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The rise of pressure that the charge gives in its free volume.
    PRESSURE: "pressure" of CHARGE gives Type::Quantity(D::PRESSURE),
        "mass × R × T / free volume, R = 22.16 ft·lbf/(lb·°R), T = 3307 °R (effective constants)",
        "common practice; an ideal gas, and a ground test decides", |asking, id| {
            // The volume first: powder is weighed in grams everywhere, and the pressure is wanted in the author's units.
            let (free, powder) = both(asking.typed::<Volume>(id, charge::free_volume), asking.typed::<Mass>(id, charge::powder))?;
            Ok(Value::Quantity(asking.worked(engineering::charge::pressure_rise(powder, free))?.into()))
        };
    /// The force of that pressure on the bore of the joint.
    FORCE: "force" of CHARGE gives Type::Quantity(D::FORCE), "pressure × π/4 × socket diameter²", "statics", force;
}

pub(super) const COMPUTED: &[&Computed] = &[&PRESSURE, &FORCE];

fn force(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let (pressure, joint) = both(asking.ask_typed::<Pressure>(id, &PRESSURE), asking.get(id, charge::joint))?;
    let Value::Entity(joint) = joint else { return Err(asking.refuse("the charge opens no joint")) };
    Ok(Value::Quantity(force_on(asking, joint, pressure)?.into()))
}
