//! Packing: the room for parachutes and cords in the compartment of a joint.

use std::f64::consts::FRAC_PI_4;

use super::computed::computed;
use super::cords::{COMPARTMENT, LIES_IN, TIED_JOINT};
use super::extents::{Extent, extent};
use super::mating::{ends, meeting};
use super::{AnyComputed, EvalContext, Formula, Outcome};
use crate::design::{Joint, motor, motor_mount, rocket, section, tube};
use crate::quantity::{Length, Styled, Volume};
use crate::vocabulary::{EntityId, Id};

computed! {
    /// The room for what is packed in the compartment of the joint, before or behind it: as measured, else the tube between the nearest parts that close it.
    PACKING_ROOM: "packing_room" of Joint gives Styled<Volume>,
        Formula::expression("π / 4 × {inner_diameter}² × {length of the room}"),
        "geometry", packing_room;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&PACKING_ROOM, &TIED_JOINT, &LIES_IN];

fn packing_room(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Styled<Volume>> {
    let compartment = ctx.query(id, &COMPARTMENT)?;
    if ctx.has(compartment, section::packing_room)? {
        ctx.formula(|| Formula::choice("{packing_room}, as measured"));
        return ctx.quantity(compartment, section::packing_room);
    }
    let Some(tube) = ctx.part(compartment, section::tube)? else {
        return Err(ctx.refuse(
            "what is packed here is in no plain tube: measure its room and write it as `packing_room`",
        ));
    };
    let whole = extent(ctx, tube)?;
    let (_, behind) = ends(ctx, id)?;
    let opens_fore = behind == compartment;
    let (mut from, mut to) = (whole.fore, whole.aft);
    let mut closing_lines = if ctx.is_recording() {
        (ctx.line(tube, "fore_station"), ctx.line(tube, "aft_station"))
    } else {
        (String::new(), String::new())
    };
    let closes =
        |part: EntityId, end: &str| if ctx.is_recording() { ctx.line(part, end) } else { String::new() };
    // What slides into the opening end, then whatever closes the tube first on the way in.
    let here = meeting(ctx, id)?;
    let mut closing = Vec::new();
    if here.socket == tube {
        let plug = extent(ctx, here.plug.id())?;
        if opens_fore && plug.aft > from {
            (from, closing_lines.0) = (plug.aft, closes(here.plug.id(), "aft_station"));
        } else if !opens_fore && plug.fore < to {
            (to, closing_lines.1) = (plug.fore, closes(here.plug.id(), "fore_station"));
        }
    }
    let root = ctx.rocket();
    for other in ctx.entities(root, rocket::joints)?.iter().filter(|other| *other != id) {
        let (fore, aft) = ends(ctx, other)?;
        if fore == compartment || aft == compartment {
            let there = meeting(ctx, other)?;
            if there.socket == tube {
                let plug = there.plug.id();
                closing.push((extent(ctx, plug)?, Some(plug)));
            }
        }
    }
    for bulkhead in ctx.entities(compartment, section::bulkheads)?.iter() {
        closing.push((extent(ctx, bulkhead)?, Some(bulkhead.any())));
    }
    if let Some(mount) = ctx.part(compartment, section::motor_mount)? {
        match ctx.part(mount, motor_mount::tube)? {
            Some(tube) => closing.push((extent(ctx, tube)?, Some(tube.any()))),
            // Without a tube of its own the mount is as long as the motor that stands in the body.
            None => {
                let engine = ctx.part(root, rocket::motor)?;
                let engine = engine.ok_or_else(|| ctx.refuse("no motor is described"))?;
                let long = ctx.get(engine, motor::length)?.si();
                let aft = extent(ctx, mount)?.aft;
                let front = Length::from_si(aft - long);
                ctx.step(
                    "fore end of the motor",
                    || {
                        let (aft, long) =
                            (ctx.line(mount, "aft_station"), ctx.field_line(engine, motor::length));
                        Formula::Expression(format!("{aft} − {long}").into())
                    },
                    front,
                );
                closing.push((Extent { fore: aft - long, aft }, None));
            }
        }
        for ring in ctx.entities(mount, motor_mount::rings)?.iter() {
            closing.push((extent(ctx, ring)?, Some(ring.any())));
        }
    }
    for (ends, part) in closing {
        let line =
            |end: &str| part.map_or_else(|| "{fore end of the motor}".to_owned(), |part| closes(part, end));
        if opens_fore && ends.fore < to {
            (to, closing_lines.1) = (ends.fore, line("fore_station"));
        } else if !opens_fore && ends.aft > from {
            (from, closing_lines.0) = (ends.aft, line("aft_station"));
        }
    }
    if to <= from {
        return Err(ctx.refuse("what stands in the tube leaves no room behind the joint"));
    }
    let long = Length::from_si(to - from);
    ctx.step(
        "length of the room",
        || Formula::Expression(format!("{} − {}", closing_lines.1, closing_lines.0).into()),
        long,
    );
    let across = ctx.get(tube, tube::inner_diameter)?;
    ctx.formula(|| {
        let bore = ctx.field_line(tube, tube::inner_diameter);
        Formula::Expression(format!("π / 4 × {bore}² × {{length of the room}}").into())
    });
    Ok((across * across * FRAC_PI_4 * long).into())
}
