//! Packing: the room for parachutes and cords behind a joint, and the joint that a cord ties.

use std::f64::consts::FRAC_PI_4;

use super::joints::{COMPARTMENT, computed, ends, meeting};
use super::stations::{Extent, extent};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{HARNESS, JOINT, harness, motor, motor_mount, rocket, section, tube};
use crate::quantity::{Dimension as D, Length, Volume};
use crate::vocabulary::{EntityId, Value};

computed! {
    /// The room behind the joint for what is packed there: as measured, else the tube between the nearest parts that close it.
    PACKING_ROOM: "packing_room" of JOINT gives Type::Quantity(D::VOLUME),
        "π/4 × inner diameter of the tube² × length between what slides into it and the nearest plug, bulkhead, ring, motor tube or motor (safe side: hollows of couplers and shoulders not counted)",
        "geometry", packing_room;
    /// The joint whose two sections it ties together.
    TIED_JOINT: "joint" of HARNESS gives Type::Entity(&JOINT), "the joint between the same two sections", "", tied_joint;
}

pub(super) const COMPUTED: &[&Computed] = &[&PACKING_ROOM, &TIED_JOINT];

fn packing_room(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let Value::Entity(compartment) = asking.ask(id, &COMPARTMENT)? else {
        return Err(asking.refuse("nothing is packed behind the joint"));
    };
    if asking.model().has(compartment, section::packing_room.slot)? {
        return asking.get(compartment, section::packing_room);
    }
    let Some(tube) = asking.part(compartment, section::tube)? else {
        return Err(asking.refuse(
            "what is packed here is in no plain tube: measure its room and write it as `packing_room`",
        ));
    };
    let whole = extent(asking, tube)?;
    let (_, behind) = ends(asking, id)?;
    let opens_fore = behind == compartment;
    let (mut from, mut to) = (whole.fore, whole.aft);
    // What slides into the opening end, then whatever closes the tube first on the way in.
    let here = meeting(asking, id)?;
    let mut closing = Vec::new();
    if here.socket == tube {
        let plug = extent(asking, here.plug)?;
        if opens_fore { from = from.max(plug.aft) } else { to = to.min(plug.fore) }
    }
    let root = asking.model().root();
    for other in asking.things(root, rocket::joints)?.iter().filter(|other| **other != id) {
        let (fore, aft) = ends(asking, *other)?;
        if fore == compartment || aft == compartment {
            let there = meeting(asking, *other)?;
            if there.socket == tube {
                closing.push(extent(asking, there.plug)?);
            }
        }
    }
    for bulkhead in asking.things(compartment, section::bulkheads)?.iter() {
        closing.push(extent(asking, *bulkhead)?);
    }
    if let Some(mount) = asking.part(compartment, section::motor_mount)? {
        match asking.part(mount, motor_mount::tube)? {
            Some(tube) => closing.push(extent(asking, tube)?),
            // Without a tube of its own the mount is as long as the motor that stands in the body.
            None => {
                let engine = asking.part(root, rocket::motor)?;
                let engine = engine.ok_or_else(|| asking.refuse("no motor is described"))?;
                let long = asking.typed::<Length>(engine, motor::length)?.si();
                let aft = extent(asking, mount)?.aft;
                closing.push(Extent { fore: aft - long, aft });
            }
        }
        for ring in asking.things(mount, motor_mount::rings)?.iter() {
            closing.push(extent(asking, *ring)?);
        }
    }
    for part in closing {
        if opens_fore { to = to.min(part.fore) } else { from = from.max(part.aft) }
    }
    if to <= from {
        return Err(asking.refuse("what stands in the tube leaves no room behind the joint"));
    }
    let long = Length::from_si(to - from);
    asking.step("length of the room", "between the two parts that close it", long);
    let across = asking.typed::<Length>(tube, tube::inner_diameter)?;
    Ok(Value::Quantity(Volume::into(across * across * FRAC_PI_4 * long)))
}

fn tied_joint(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().root();
    let (between, joints) = both(asking.get(id, harness::between), asking.things(root, rocket::joints))?;
    let Value::Entities(between) = between else {
        return Err(asking.refuse("a harness is between two sections"));
    };
    for joint in joints.iter() {
        let (fore, aft) = ends(asking, *joint)?;
        if between.contains(&fore) && between.contains(&aft) {
            return Ok(Value::Entity(*joint));
        }
    }
    Err(asking.refuse("no joint is between the two sections that this harness ties"))
}
