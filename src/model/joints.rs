//! Joints: which part slides into which, how far, and what pulls at them.

use super::stations::{BODY_DIAMETER, Extent, extent, sections};
use super::{EvalContext, Computed, Outcome, Type, both};
use crate::design::{
    CHARGE, JOINT, PARACHUTE, SECTION, TUBE, charge, coupler, flight, joint, nose_cone, parachute, recovery,
    rocket, section, shoulder, transition, tube,
};
use crate::engineering::{pins, venting};
use crate::quantity::{Acceleration, Dimension as D, Force, Length, Mass, Pressure, Quantity};
use crate::vocabulary::{EntityId, Key, Value};

/// The two parts of a joint: the one that slides in, and the tube it slides into.
pub(super) struct Meeting {
    pub(super) plug: EntityId,
    pub(super) plug_diameter: Key,
    pub(super) socket: EntityId,
}

macro_rules! computed {
    ($( $(#[doc = $doc:literal])+ $id:ident: $name:literal of $kind:ident gives $gives:expr, $formula:literal, $source:literal, $compute:expr; )*) => {
        $(
            $(#[doc = $doc])+
            pub(super) static $id: Computed = Computed {
                kind: &$kind,
                name: $name,
                doc: concat!($($doc),+),
                gives: $gives,
                formula: $formula,
                source: $source,
                compute: $compute,
            };
        )*
    };
}
pub(super) use computed;

computed! {
    /// The section before the joint.
    FORE: "fore" of JOINT gives Type::Entity(&SECTION), "the first of `between`", "", |asking, id| end(asking, id, true);
    /// The section behind the joint.
    AFT: "aft" of JOINT gives Type::Entity(&SECTION), "the second of `between`", "", |asking, id| end(asking, id, false);
    /// How far the inner part slides into the outer.
    INSERTION: "insertion" of JOINT gives Type::Quantity(D::LENGTH),
        "length of the shoulder, or of the coupler beyond its switch band or tube", "", insertion;
    /// The tube that takes what slides in.
    SOCKET: "socket" of JOINT gives Type::Entity(&TUBE), "the tube of the section that is reached into", "",
        |asking, id| Ok(Value::Entity(meeting(asking, id)?.socket));
    /// Outer diameter of the part that slides in.
    PLUG_DIAMETER: "plug_diameter" of JOINT gives Type::Quantity(D::LENGTH),
        "outer diameter of the coupler or shoulder", "", |asking, id| {
            let meeting = meeting(asking, id)?;
            asking.get(meeting.plug, meeting.plug_diameter)
        };
    /// Inner diameter of the tube it slides into.
    SOCKET_DIAMETER: "socket_diameter" of JOINT gives Type::Quantity(D::LENGTH),
        "inner diameter of the tube", "", |asking, id| asking.get(meeting(asking, id)?.socket, tube::inner_diameter);
    /// Outside diameter of the rocket at the joint.
    JOINT_DIAMETER: "body_diameter" of JOINT gives Type::Quantity(D::LENGTH),
        "outer diameter of the tube", "", |asking, id| asking.get(meeting(asking, id)?.socket, tube::outer_diameter);
    /// The section whose parachute leaves through the joint.
    COMPARTMENT: "compartment" of JOINT gives Type::Entity(&SECTION),
        "the section of `between` in which a parachute is packed", "", compartment;
    /// The pull of air trapped at the field and carried to the highest point, were the compartment sealed.
    TRAPPED_AIR: "trapped_air_pull" of JOINT gives Type::Quantity(D::FORCE),
        "(pressure at the field − pressure at apogee) × π/4 × socket diameter²",
        "U.S. Standard Atmosphere, 1976; ideal gas at constant volume and temperature", trapped_air;
    /// Mass of everything before the joint.
    FORE_MASS: "fore_mass" of JOINT gives Type::Quantity(D::MASS),
        "sum of the masses of the sections before the joint and of the parachutes packed in them", "", fore_mass;
    /// The pull of the part before the joint while drag slows the part behind it, its own drag not counted.
    COAST_PULL: "coast_pull" of JOINT gives Type::Quantity(D::FORCE),
        "mass before the joint × hardest drag / mass after burnout (safe side: no drag on the fore part; gravity pulls both parts alike)",
        "Newton's second law", coast_pull;
    /// The charge that opens the joint first.
    PRIMARY: "primary_charge" of JOINT gives Type::Entity(&CHARGE),
        "the charge for this joint that backs up no other", "", primary;
}

pub(super) const COMPUTED: &[&Computed] = &[
    &FORE,
    &AFT,
    &INSERTION,
    &SOCKET,
    &PLUG_DIAMETER,
    &SOCKET_DIAMETER,
    &JOINT_DIAMETER,
    &COMPARTMENT,
    &TRAPPED_AIR,
    &FORE_MASS,
    &COAST_PULL,
    &PRIMARY,
];

pub(super) fn ends(asking: &EvalContext<'_>, id: EntityId) -> Outcome<(EntityId, EntityId)> {
    match asking.get(id, joint::between)? {
        Value::Entities(all) => match *all {
            [fore, aft] if fore != aft => {
                let order = sections(asking)?;
                let place = |of| order.iter().position(|s| *s == of);
                if place(fore) > place(aft) {
                    return Err(asking
                        .refuse("the sections of a joint are written fore one first, and these are not"));
                }
                Ok((fore, aft))
            }
            _ => Err(asking.refuse("a joint is between two sections")),
        },
        _ => Err(asking.refuse("a joint is between two sections")),
    }
}

fn end(asking: &EvalContext<'_>, id: EntityId, fore: bool) -> Outcome<Value> {
    ends(asking, id).map(|(f, a)| Value::Entity(if fore { f } else { a }))
}

/// The part of a section that reaches into its neighbour on one side.
fn reaching(asking: &EvalContext<'_>, id: EntityId, aft: bool) -> Outcome<Option<(EntityId, Key)>> {
    let tube = asking.part(id, section::tube)?;
    if let Some(coupler) = asking.part(id, section::coupler)? {
        let reaches = match tube {
            None => true,
            Some(_) => asking.get(coupler, coupler::end)? == Value::Word(if aft { "aft" } else { "fore" }),
        };
        if reaches {
            return Ok(Some((coupler, coupler::outer_diameter)));
        }
    }
    if let Some(part) = asking.part(id, section::transition)? {
        let key = if aft { transition::aft_shoulder } else { transition::fore_shoulder };
        if (aft || tube.is_none())
            && let Some(found) = asking.part(part, key)?
        {
            return Ok(Some((found, shoulder::outer_diameter)));
        }
    }
    if aft
        && tube.is_none()
        && let Some(nose) = asking.part(id, section::nose_cone)?
        && let Some(found) = asking.part(nose, nose_cone::shoulder)?
    {
        return Ok(Some((found, shoulder::outer_diameter)));
    }
    Ok(None)
}

/// Which part slides into which.
pub(super) fn meeting(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Meeting> {
    let (fore, aft) = ends(asking, id)?;
    let (from_fore, from_aft) = both(reaching(asking, fore, true), reaching(asking, aft, false))?;
    let (plug, into) = match (from_fore, from_aft) {
        (Some(plug), None) => (plug, aft),
        (None, Some(plug)) => (plug, fore),
        (None, None) => {
            return Err(asking
                .refuse("nothing slides from one section into the other: a coupler or shoulder is wanting"));
        }
        (Some(_), Some(_)) => {
            return Err(asking.refuse("both sections reach into each other, and no tube takes them"));
        }
    };
    let socket = asking.part(into, section::tube)?;
    let socket =
        socket.ok_or_else(|| asking.refuse("the section that should take the coupler has no tube"))?;
    Ok(Meeting { plug: plug.0, plug_diameter: plug.1, socket })
}

/// Where the inner part lies inside the tube: the extent of the joint itself.
pub(super) fn overlap(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Extent> {
    let meeting = meeting(asking, id)?;
    let (plug, socket) = both(extent(asking, meeting.plug), extent(asking, meeting.socket))?;
    let shared = Extent { fore: plug.fore.max(socket.fore), aft: plug.aft.min(socket.aft) };
    asking.step("station of the inner part", "fore end", Length::from_si(plug.fore));
    asking.step("station of the tube", "fore end", Length::from_si(socket.fore));
    if shared.aft <= shared.fore {
        return Err(asking.refuse("the inner part does not reach into the tube"));
    }
    Ok(shared)
}

fn insertion(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let shared = overlap(asking, id)?;
    Ok(Value::Quantity(Quantity::from(Length::from_si(shared.aft - shared.fore))))
}

fn compartment(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let (fore, aft) = ends(asking, id)?;
    let event = asking.get(id, joint::parts_at)?;
    let root = asking.model().root();
    let Some(recovery) = asking.part(root, rocket::recovery)? else {
        return Err(asking.refuse("the rocket has no recovery system"));
    };
    for parachute in asking.things(recovery, recovery::parachutes)?.iter() {
        let (packed, opens) =
            both(asking.get(*parachute, parachute::packed_in), asking.get(*parachute, parachute::opens_at))?;
        if let Value::Entity(section) = packed
            && (section == fore || section == aft)
            && opens == event
        {
            return Ok(Value::Entity(section));
        }
    }
    // A joint may open only to let out what is packed further in: then the free side is the one with a tube.
    for section in [aft, fore] {
        if asking.part(section, section::tube)?.is_some() {
            return Ok(Value::Entity(section));
        }
    }
    Err(asking.refuse("neither section of the joint has a tube to hold a parachute"))
}

fn trapped_air(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().root();
    let Some(place) = asking.part(root, rocket::flight)? else {
        return Err(asking.refuse("no flight is described"));
    };
    let bore = asking.ask_typed::<Length>(id, &SOCKET_DIAMETER);
    let heights = both(
        asking.typed::<Length>(place, flight::site_elevation),
        asking.ask_typed::<Length>(root, &super::ascent::APOGEE),
    );
    let (bore, (site, apogee)) = both(bore, heights)?;
    let difference = asking.worked(venting::trapped_pressure(site, site + apogee))?;
    asking.step("trapped pressure", "standard pressure at the field − at apogee", difference);
    let pull = asking.worked(pins::trapped_air_pull(difference, bore))?;
    Ok(Value::Quantity(pull.into()))
}

fn fore_mass(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let (fore, _) = ends(asking, id)?;
    let mut total = Ok(0.0);
    let add = |total: Outcome<f64>, mass: Outcome<Mass>| both(total, mass).map(|(t, m)| t + m.si());
    let mut before = Vec::new();
    for section in sections(asking)?.iter() {
        total = add(total, asking.typed::<Mass>(*section, section::mass));
        before.push(*section);
        if *section == fore {
            break;
        }
    }
    for parachute in asking.model().all_of(&PARACHUTE) {
        match asking.get(parachute, parachute::packed_in) {
            Ok(Value::Entity(section)) if before.contains(&section) => {
                total = add(total, asking.typed::<Mass>(parachute, parachute::mass));
            }
            Ok(_) => {}
            // It may hang before the joint: the mass is not known until it is told where.
            Err(gap) => total = add(total, Err(gap)),
        }
    }
    Ok(Value::Quantity(Mass::from_si(total?).into()))
}

fn coast_pull(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let root = asking.model().root();
    let (mass, deceleration) = both(
        asking.ask_typed::<Mass>(id, &FORE_MASS),
        asking.ask_typed::<Acceleration>(root, &super::ascent::DECELERATION),
    )?;
    let pull = asking.worked(pins::inertial_pull(mass, deceleration))?;
    Ok(Value::Quantity(pull.into()))
}

/// The charges that open a joint, each with whether it backs up another.
pub(super) fn charges_of(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Vec<(EntityId, bool)>> {
    let mut found = Vec::new();
    for one in asking.model().all_of(&CHARGE) {
        if asking.get(one, charge::joint)? == Value::Entity(id) {
            found.push((one, asking.model().has(one, charge::backs_up.slot)?));
        }
    }
    Ok(found)
}

fn primary(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let first = charges_of(asking, id)?.into_iter().find(|(_, backup)| !backup);
    first.map(|(one, _)| Value::Entity(one)).ok_or_else(|| asking.refuse("no charge opens this joint"))
}

/// The force of a pressure on the bore of a joint.
pub(super) fn force_on(asking: &EvalContext<'_>, joint: EntityId, pressure: Pressure) -> Outcome<Force> {
    let bore = asking.ask_typed::<Length>(joint, &SOCKET_DIAMETER)?;
    asking.worked(crate::engineering::charge::bulkhead_force(pressure, bore))
}

/// The outside diameter of a section, for rooms that need it beside a joint.
pub(super) fn body_diameter(asking: &EvalContext<'_>, section: EntityId) -> Outcome<Length> {
    asking.ask_typed::<Length>(section, &BODY_DIAMETER)
}
