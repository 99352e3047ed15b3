//! Bays: the air inside, and the holes through which it flows.

use std::f64::consts::FRAC_PI_4;

use super::computed::computed;
use super::lids::closes_fore;
use super::sections::BODY_DIAMETER;
use super::{AnyComputed, EvalContext, Formula, Outcome, both};
use crate::design::{Section, Vent, coupler, lid, rods, section, tube};
use crate::engineering::venting;
use crate::quantity::{Area, Length, Volume};
use crate::tables::thread;
use crate::vocabulary::Id;

computed! {
    /// The air inside the section: of an altimeter bay without a tube the inside of its coupler less lids and rods, else the bare inside of its tube; less what is written as `filled`. Mounts, couplers and what is packed in a tube are not taken off by themselves, so that its holes are judged by no less air than there is.
    AIR_VOLUME: "air_volume" of Section gives Volume,
        Formula::expression("{inside volume}"), "geometry", air_volume;
    /// The vent area that the rule of one quarter-inch hole for each hundred cubic inches asks for.
    VENT_AREA_BY_RULE: "vent_area_by_rule" of Section gives Area,
        Formula::expression("π / 4 × (1/4 in)² × {air_volume} / 100 in³"), "common practice", |ctx, id| {
            let air = ctx.query(id, &AIR_VOLUME)?;
            ctx.or_refuse(venting::area_by_rule(air))
        };
    /// The outside diameter of the section that the holes are in.
    VENT_DIAMETER: "body_diameter" of Vent gives Length,
        Formula::choice("{body_diameter}, of the section"), "", |ctx, id| {
            let section = ctx.holder::<Section>(id).ok_or_else(|| ctx.refuse("the holes are in no section"))?;
            ctx.query(section, &BODY_DIAMETER)
        };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&AIR_VOLUME, &VENT_AREA_BY_RULE, &VENT_DIAMETER];

fn air_volume(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<Volume> {
    let bay = ctx.part(id, section::coupler)?;
    let tube = ctx.part(id, section::tube)?;
    let (inner, long) = match (bay, tube) {
        (_, Some(tube)) => both(ctx.get(tube, tube::inner_diameter), ctx.get(tube, tube::length))?,
        (Some(bay), None) => both(ctx.get(bay, coupler::inner_diameter), ctx.get(bay, coupler::length))?,
        (None, None) => return Err(ctx.refuse("the section has neither tube nor coupler to hold air")),
    };
    let bore = inner * inner * FRAC_PI_4;
    let mut air = bore * long;
    let mut terms = vec!["{inside volume}"];
    ctx.step("inside volume", || Formula::expression("π / 4 × {inner_diameter}² × {length}"), air);
    if tube.is_none() {
        for one in ctx.entities(id, section::lids)?.iter() {
            if ctx.has(one, lid::recess)? {
                let taken = bore * ctx.get(one, lid::recess)?;
                if ctx.is_recording() {
                    let recess = ctx.field_line(one, lid::recess);
                    let formula = format!("π / 4 × {{inner_diameter}}² × {recess}");
                    let fore = closes_fore(ctx, id, one)?;
                    terms.push(if fore { "{fore lid}" } else { "{aft lid}" });
                    let name = if fore { "fore lid" } else { "aft lid" };
                    ctx.step(name, || Formula::Expression(formula.into()), taken);
                }
                air = air - taken;
            }
        }
        if let Some(rods) = ctx.part(id, section::rods)?
            && ctx.has(rods, rods::thread)?
        {
            let row = ctx.get(rods, rods::thread)?;
            let across = ctx.get(row, thread::major_diameter)?;
            let count = f64::from(ctx.get(rods, rods::count)?);
            let taken = across * across * FRAC_PI_4 * long * count;
            ctx.step("rods", || Formula::expression("{count} × π / 4 × {major_diameter}² × {length}"), taken);
            terms.push("{rods}");
            air = air - taken;
        }
    }
    if ctx.has(id, section::filled)? {
        air = air - ctx.get(id, section::filled)?;
        terms.push("{filled}");
    }
    ctx.formula(|| Formula::Expression(terms.join(" − ").into()));
    if air.si() <= 0.0 {
        return Err(ctx.refuse("what fills the section takes more room than there is"));
    }
    Ok(air)
}
