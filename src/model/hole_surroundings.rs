//! What lies ahead of a hole and what stands behind its wall: disturbances of the air, rods and seams.

use super::arcs::{CALM_BEHIND_HEADS, arc_to, fin_angles, metres, near_sections, record_arc};
use super::extents::{Extent, extent};
use super::holes::{BODY, DIAMETER, Owner, all, angles, angles_of_rods, owner};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{
    Fins, Holes, Protuberance, RailButton, Rods, fins, protuberance, rail_button, rods, section, tube,
};
use crate::quantity::{Angle, Length};
use crate::tables::thread;
use crate::vocabulary::Id;
use std::f64::consts::PI;

pub(super) fn from_upstream(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let here = extent(ctx, id)?.fore;
    let around = ctx.query(id, &BODY)?.si();
    let mut least: Outcome<f64> = Ok(PI * around / 2.0);
    let mut nearest: Option<(Vec<f64>, String)> = None;
    let mut consider = |one: Outcome<(Vec<f64>, f64)>, width: &dyn Fn() -> String| {
        let so_far = std::mem::replace(&mut least, Ok(0.0));
        let arc = match &one {
            Ok((lines, across)) => arc_to(ctx, id, lines).map(|arc| arc - across / 2.0),
            Err(gap) => Err(gap.clone()),
        };
        if ctx.is_recording()
            && let (Ok(so_far), Ok(arc), Ok((lines, across))) = (&so_far, &arc, one)
            && arc < so_far
        {
            nearest = Some((lines, if across == 0.0 { String::new() } else { width() }));
        }
        least = both(so_far, arc).map(|(a, b)| a.min(b));
    };
    let mut single = |fore: f64,
                      line: &dyn Fn() -> Outcome<Angle>,
                      across: &dyn Fn() -> Outcome<f64>,
                      width: &dyn Fn() -> String| {
        if fore < here {
            let line = line();
            let across = across()?;
            consider(line.map(|line| (vec![line.si()], across)), width);
        }
        Ok(())
    };
    for button in ctx.every::<RailButton>() {
        let fore = extent(ctx, button)?.fore;
        single(
            fore,
            &|| ctx.get(button, rail_button::clock),
            &|| {
                // What is not said to be wide is at least a line.
                if ctx.has(button, rail_button::width)? {
                    ctx.get(button, rail_button::width).map(Length::si)
                } else {
                    Ok(0.0)
                }
            },
            &|| ctx.field_line(button, rail_button::width),
        )?;
    }
    for id in ctx.every::<Protuberance>() {
        let fore = extent(ctx, id)?.fore;
        single(
            fore,
            &|| ctx.get(id, protuberance::clock),
            &|| {
                if ctx.has(id, protuberance::width)? {
                    ctx.get(id, protuberance::width).map(Length::si)
                } else {
                    Ok(0.0)
                }
            },
            &|| ctx.field_line(id, protuberance::width),
        )?;
    }
    for set in ctx.every::<Fins>() {
        if extent(ctx, set)?.fore < here {
            let arc = both(fin_angles(ctx, set), ctx.get(set, fins::thickness));
            consider(arc.map(|(lines, thick)| (lines, thick.si())), &|| ctx.field_line(set, fins::thickness));
        }
    }
    for other in all(ctx)? {
        let theirs = owner(ctx, other)?;
        if !matches!(theirs, Owner::Pins(_) | Owner::Screws(_)) {
            continue;
        }
        let ahead = here - extent(ctx, other)?.fore;
        if ahead > 0.0 && ahead < CALM_BEHIND_HEADS * around {
            let arc = both(angles(ctx, theirs), ctx.query(other, &DIAMETER));
            consider(arc.map(|(lines, size)| (lines, size.si())), &|| ctx.line(other, DIAMETER.name));
        }
    }
    match nearest {
        Some((lines, width)) => record_arc(ctx, id, &lines, "of what stands out ahead", &width),
        None => ctx.formula(|| Formula::Expression(format!("π × {} / 2", ctx.line(id, BODY.name)).into())),
    }
    Ok(metres(least?))
}

/// The rods of a bay along whose coupler the holes lie.
pub(super) fn rods_beside(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Option<Id<Rods>>> {
    let here = extent(ctx, id)?.fore;
    for section in near_sections(ctx, owner(ctx, id)?)? {
        if let Some(rods) = ctx.part(section, section::rods)?
            && let Some(coupler) = ctx.part(section, section::coupler)?
        {
            let Extent { fore, aft } = extent(ctx, coupler)?;
            if here >= fore && here <= aft {
                return Ok(Some(rods));
            }
        }
    }
    Ok(None)
}

/// The clock angles of the seams of the tubes that the holes go through.
pub(super) fn seams(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Vec<f64>> {
    let here = extent(ctx, id)?.fore;
    let mut lines = Vec::new();
    for section in near_sections(ctx, owner(ctx, id)?)? {
        let Some(wall) = ctx.part(section, section::tube)? else { continue };
        if ctx.has(wall, tube::seam)? {
            let Extent { fore, aft } = extent(ctx, wall)?;
            if here >= fore && here <= aft {
                lines.push(ctx.get(wall, tube::seam)?.si());
            }
        }
    }
    Ok(lines)
}

pub(super) fn from_rods(ctx: &EvalContext<'_>, id: Id<Holes>) -> Outcome<Length> {
    let Some(set) = rods_beside(ctx, id)? else {
        return Err(ctx.refuse("no rods run beside these holes"));
    };
    let count = ctx.get(set, rods::count)?;
    let lines = angles_of_rods(ctx, set, count)?;
    let row = ctx.get(set, rods::thread)?;
    let across = ctx.get(row, thread::major_diameter)?.si();
    if ctx.is_recording() {
        record_arc(ctx, id, &lines, "of the rods", &ctx.field_line(row, thread::major_diameter));
    }
    Ok(metres(arc_to(ctx, id, &lines)? - across / 2.0))
}
