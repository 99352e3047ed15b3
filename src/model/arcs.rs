//! Arcs around the body, from the holes of a set to what runs along it.

use std::f64::consts::TAU;

use super::holes::{BODY, DIAMETER, Owner, angles, least_between, outer_section, owner};
use super::mating::ends;
use super::sections::sections;
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{Fins, Holes, Section, fins};
use crate::quantity::{Angle, Length};
use crate::vocabulary::Id;

/// Heads of screws and pins are low: what lies this many body diameters behind them is in calm air again.
pub(super) const CALM_BEHIND_HEADS: f64 = 4.0;

pub(super) fn metres(si: f64) -> Length {
    Length::from_si(si)
}

/// The sections whose insides holes may meet: those of the joint, or their own and its neighbours.
pub(super) fn near_sections(ctx: &EvalContext<'_>, owner: Owner) -> Outcome<Vec<Id<Section>>> {
    if let Some(joint) = owner.joint(ctx) {
        let (fore, aft) = ends(ctx, joint)?;
        return Ok(vec![fore, aft]);
    }
    let own = outer_section(ctx, owner)?;
    let order = sections(ctx)?;
    let at = order.iter().position(|s| s == own).unwrap_or(0);
    Ok(order.iter().skip(at.saturating_sub(1)).take(if at == 0 { 2 } else { 3 }).collect())
}

pub(super) fn fin_angles(ctx: &EvalContext<'_>, fins: Id<Fins>) -> Outcome<Vec<f64>> {
    let count = ctx.get(fins, fins::count)?;
    let first = if ctx.has(fins, fins::clock)? { ctx.get(fins, fins::clock)?.si() } else { 0.0 };
    Ok((0..count).map(|n| first + TAU * f64::from(n) / f64::from(count)).collect())
}

/// The arc from the holes of a set to lines along the body.
pub(super) fn arc_to(ctx: &EvalContext<'_>, id: Id<Holes>, lines: &[f64]) -> Outcome<f64> {
    let mine = owner(ctx, id)?;
    let ((radius, size), angles) =
        both(both(ctx.query(id, &BODY), ctx.query(id, &DIAMETER)), angles(ctx, mine))?;
    Ok(least_between(&angles, lines) * radius.si() / 2.0 - size.si() / 2.0)
}

/// Tells the arc to the nearest of several lines along the body, less half the width of what stands there.
pub(super) fn record_arc(ctx: &EvalContext<'_>, id: Id<Holes>, lines: &[f64], of: &str, across: &str) {
    if !ctx.is_recording() {
        return;
    }
    let Ok(angles) = owner(ctx, id).and_then(|mine| angles(ctx, mine)) else { return };
    let how = format!("least angle between a hole and one {of}, by their `clock`");
    ctx.step("angle between", || Formula::Method(how.into()), Angle::from_si(least_between(&angles, lines)));
    ctx.formula(|| {
        let (around, size) = (ctx.line(id, BODY.name), ctx.line(id, DIAMETER.name));
        let across = if across.is_empty() { String::new() } else { format!(" − {across} / 2") };
        Formula::Expression(format!("{{angle between}} × {around} / 2 − {size} / 2{across}").into())
    });
}
