//! Bays: the air inside, and the holes that let it breathe.

use std::f64::consts::FRAC_PI_4;

use super::joints::{body_diameter, computed};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{SECTION, VENT, coupler, lid, rods, section, tube};
use crate::engineering::venting;
use crate::quantity::{Dimension as D, Length, Volume};
use crate::tables::thread;
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The air inside the section: its coupler where it is an altimeter bay, else its tube, less what is known to fill it.
    AIR_VOLUME: "air_volume" of SECTION gives Type::Quantity(D::VOLUME),
        "π/4 × inner diameter² × length − recessed lids − rods − what is stated as filled", "geometry", air_volume;
    /// The vent area that the rule of one quarter-inch hole for each hundred cubic inches asks for.
    VENT_AREA_BY_RULE: "vent_area_by_rule" of SECTION gives Type::Quantity(D::AREA),
        "π/4 × (1/4 in)² × air volume / 100 in³", "common practice", |asking, id| {
            let air = asking.ask_typed::<Volume>(id, &AIR_VOLUME)?;
            Ok(Value::Quantity(asking.worked(venting::area_by_rule(air))?.into()))
        };
    /// How many outside diameters away the nearest disturbance of the air is.
    VENT_DIAMETER: "body_diameter" of VENT gives Type::Quantity(D::LENGTH),
        "outside diameter of the section", "", |asking, id| {
            let section = asking.model().holder(id, &SECTION).ok_or_else(|| asking.refuse("the holes are in no section"))?;
            Ok(Value::Quantity(body_diameter(asking, section)?.into()))
        };
}

pub(super) const COMPUTED: &[&Computed] = &[&AIR_VOLUME, &VENT_AREA_BY_RULE, &VENT_DIAMETER];

fn air_volume(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let bay = asking.part(id, section::coupler)?;
    let tube = asking.part(id, section::tube)?;
    let (inner, long) = match (bay, tube) {
        (_, Some(tube)) => both(
            asking.typed::<Length>(tube, tube::inner_diameter),
            asking.typed::<Length>(tube, tube::length),
        )?,
        (Some(bay), None) => both(
            asking.typed::<Length>(bay, coupler::inner_diameter),
            asking.typed::<Length>(bay, coupler::length),
        )?,
        (None, None) => return Err(asking.refuse("the section has neither tube nor coupler to hold air")),
    };
    let bore = inner * inner * FRAC_PI_4;
    let mut air = bore * long;
    asking.step("inside volume", "π/4 × inner diameter² × length", air);
    if tube.is_none() {
        for one in asking.things(id, section::lids)?.iter() {
            if asking.model().has(*one, lid::recess.slot)? {
                let taken = bore * asking.typed::<Length>(*one, lid::recess)?;
                asking.step("lid", "π/4 × inner diameter² × recess", taken);
                air = air - taken;
            }
        }
        if let Some(rods) = asking.part(id, section::rods)?
            && asking.model().has(rods, rods::thread.slot)?
            && let Value::Entity(row) = asking.get(rods, rods::thread)?
        {
            let across = asking.typed::<Length>(row, thread::major_diameter)?;
            let count = f64::from(asking.count(rods, rods::count)?);
            let taken = across * across * FRAC_PI_4 * long * count;
            asking.step("rods", "count × π/4 × major diameter² × length", taken);
            air = air - taken;
        }
    }
    if asking.model().has(id, section::filled.slot)? {
        air = air - asking.typed::<Volume>(id, section::filled)?;
    }
    if air.si() <= 0.0 {
        return Err(asking.refuse("what fills the section takes more room than there is"));
    }
    Ok(Value::Quantity(air.into()))
}
