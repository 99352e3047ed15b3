//! Packing: the room for parachutes and cords behind a joint, and the joint that a cord ties.

use std::f64::consts::FRAC_PI_4;

use super::descent::PIECE;
use super::joints::{COMPARTMENT, computed, ends, meeting};
use super::stations::{Extent, extent};
use super::{AnyComputed, EvalContext, Outcome, both};
use crate::design::{Harness, Joint, harness, joint, motor, motor_mount, rocket, section, tube};
use crate::quantity::{Length, Styled, Volume};
use crate::vocabulary::Id;

computed! {
    /// The room behind the joint for what is packed there: as measured, else the tube between the nearest parts that close it.
    PACKING_ROOM: "packing_room" of Joint gives Styled<Volume>,
        "π/4 × inner diameter of the tube² × length between what slides into it and the nearest plug, bulkhead, ring, motor tube or motor (safe side: hollows of couplers and shoulders not counted)",
        "geometry", packing_room;
    /// The joint whose two sections it ties together.
    TIED_JOINT: "joint" of Harness gives Id<Joint>, "the joint between the same two sections", "", tied_joint;
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[&PACKING_ROOM, &TIED_JOINT];

fn packing_room(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Styled<Volume>> {
    let compartment = ctx.query(id, &COMPARTMENT)?;
    if ctx.has(compartment, section::packing_room)? {
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
    // What slides into the opening end, then whatever closes the tube first on the way in.
    let here = meeting(ctx, id)?;
    let mut closing = Vec::new();
    if here.socket == tube {
        let plug = extent(ctx, here.plug.id())?;
        if opens_fore { from = from.max(plug.aft) } else { to = to.min(plug.fore) }
    }
    let root = ctx.rocket();
    for other in ctx.entities(root, rocket::joints)?.iter().filter(|other| *other != id) {
        let (fore, aft) = ends(ctx, other)?;
        if fore == compartment || aft == compartment {
            let there = meeting(ctx, other)?;
            if there.socket == tube {
                closing.push(extent(ctx, there.plug.id())?);
            }
        }
    }
    for bulkhead in ctx.entities(compartment, section::bulkheads)?.iter() {
        closing.push(extent(ctx, bulkhead)?);
    }
    if let Some(mount) = ctx.part(compartment, section::motor_mount)? {
        match ctx.part(mount, motor_mount::tube)? {
            Some(tube) => closing.push(extent(ctx, tube)?),
            // Without a tube of its own the mount is as long as the motor that stands in the body.
            None => {
                let engine = ctx.part(root, rocket::motor)?;
                let engine = engine.ok_or_else(|| ctx.refuse("no motor is described"))?;
                let long = ctx.get(engine, motor::length)?.si();
                let aft = extent(ctx, mount)?.aft;
                closing.push(Extent { fore: aft - long, aft });
            }
        }
        for ring in ctx.entities(mount, motor_mount::rings)?.iter() {
            closing.push(extent(ctx, ring)?);
        }
    }
    for part in closing {
        if opens_fore { to = to.min(part.fore) } else { from = from.max(part.aft) }
    }
    if to <= from {
        return Err(ctx.refuse("what stands in the tube leaves no room behind the joint"));
    }
    let long = Length::from_si(to - from);
    ctx.step("length of the room", "between the two parts that close it", long);
    let across = ctx.get(tube, tube::inner_diameter)?;
    Ok((across * across * FRAC_PI_4 * long).into())
}

fn tied_joint(ctx: &EvalContext<'_>, id: Id<Harness>) -> Outcome<Id<Joint>> {
    let root = ctx.rocket();
    let (between, joints) = both(ctx.get(id, harness::between), ctx.entities(root, rocket::joints))?;
    for joint in joints.iter() {
        let (fore, aft) = ends(ctx, joint)?;
        if between.contains(fore) && between.contains(aft) {
            return Ok(joint);
        }
    }
    // Its eyes may be farther in: then it is the joint that parts the pieces that they stand in.
    let mut pieces = Vec::new();
    for end in between.iter() {
        pieces.push(ctx.query(end, &PIECE)?);
    }
    for joint in joints.iter() {
        if ctx.get(joint, joint::parts_at)? != "never" {
            let (fore, aft) = ends(ctx, joint)?;
            let (fore, aft) = both(ctx.query(fore, &PIECE), ctx.query(aft, &PIECE))?;
            if pieces.contains(&fore) && pieces.contains(&aft) {
                return Ok(joint);
            }
        }
    }
    Err(ctx.refuse("no joint is between the two sections that this harness ties"))
}
