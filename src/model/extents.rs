//! Where each part lies: its fore and its aft end, aft from the nose tip.

use super::artifact::Artifact;
use super::lids::closes_fore;
use super::mating::{Plug, meeting};
pub(super) use super::relative_position::{Extent, span_of};
use super::relative_position::{distance_text, on_base};
use super::sections::{
    OUTSIDE_LENGTH, metres, outside_length, record_from_aft, record_from_fore, section_fore,
    sections_or_none, sum_of,
};
use super::{EvalContext, Formula, Outcome, both};
use crate::design::{
    Addition, BoatTail, Bulkhead, Coupler, Fastening, FinSlots, Fins, Holes, Joint, Lid, MotorMount,
    NoseCone, Protuberance, RailButton, Ring, Section, ShearPins, Shoulder, SwitchAccess, SwitchBand,
    Transition, Tube, Vent, addition, boat_tail, bulkhead, coupler, fastening, fin_slots, fins, lid,
    motor_mount, nose_cone, protuberance, rail_button, ring, section, shear_pins, shoulder, switch_access,
    switch_band, transition, tube, vent,
};
use crate::quantity::Length;
use crate::vocabulary::{Edge, EntityId, Id, Key, Position, Typed};

/// Something with a place along the rocket, of whatever type.
pub(super) struct Placed;

static EXTENT: Artifact<Placed, Extent> = Artifact { compute: |ctx, id| extent_of(ctx, id.any()) };

/// The fore and aft end of a part. In a working they stand as quantities of the part.
pub(super) fn extent(ctx: &EvalContext<'_>, id: impl Into<EntityId>) -> Outcome<Extent> {
    let id = id.into();
    if ctx.recording.is_none() {
        return ctx.working_of(Id::<Placed>::trusted(id), &EXTENT).map(|extent| *extent);
    }
    ctx.offer(id, "fore_station");
    ctx.offer(id, "aft_station");
    ctx.unrecorded(|| extent_of(ctx, id))
}

/// The types that have an extent are distinguished at run time, as nothing else here is.
pub(super) fn extent_of(ctx: &EvalContext<'_>, id: EntityId) -> Outcome<Extent> {
    let Some(entity_type) = ctx.model().entity(id).map(|entity| entity.entity_type) else {
        return Err(ctx.refuse("there is no such part"));
    };
    let part = id;
    if let Some(id) = ctx.as_a::<Section>(id) {
        let ends = span_of(section_fore(ctx, id)?, ctx.unrecorded(|| outside_length(ctx, id))?);
        ctx.record_ends(|| {
            let all = sections_or_none(ctx);
            let before = all.split(|one| *one == id).next().unwrap_or_default();
            let aft =
                format!("{} + {}", ctx.offered(id, "fore_station"), ctx.offered(id, OUTSIDE_LENGTH.name));
            [sum_of(ctx, before), Formula::Expression(aft.into())]
        });
        return Ok(ends);
    }
    if let Some(id) = ctx.as_a::<Joint>(id) {
        return overlap(ctx, id);
    }
    if let Some(id) = ctx.as_a::<ShearPins>(id) {
        return in_joint(ctx, id, shear_pins::at);
    }
    if let Some(id) = ctx.as_a::<Fastening>(id) {
        return in_joint(ctx, id, fastening::at);
    }
    if entity_type == Holes::TYPE {
        let parent = ctx.parent(id).ok_or_else(|| ctx.refuse("the holes come with nothing"))?;
        return same_as(ctx, parent);
    }
    if let Some(id) = ctx.as_a::<SwitchAccess>(id) {
        return placed(ctx, super::holes::access_section(ctx, id)?, id, switch_access::at, None);
    }
    let section = ctx.holder::<Section>(id).ok_or_else(|| ctx.refuse("the part stands in no section"))?;
    if let Some(id) = ctx.as_a::<NoseCone>(id) {
        let (fore, line) = section_start(ctx, section)?;
        from_fore(ctx, id, fore, &line, nose_cone::length)
    } else if let Some(id) = ctx.as_a::<Tube>(id) {
        match ctx.holder::<MotorMount>(id) {
            Some(mount) => same_as(ctx, mount.any()),
            None => {
                let (fore, line) = after_nose(ctx, section)?;
                from_fore(ctx, id, fore, &line, tube::length)
            }
        }
    } else if let Some(id) = ctx.as_a::<SwitchBand>(id) {
        let (fore, line) = after_nose(ctx, section)?;
        from_fore(ctx, id, fore, &line, switch_band::length)
    } else if let Some(id) = ctx.as_a::<Coupler>(id) {
        coupler_extent(ctx, section, id)
    } else if let Some(id) = ctx.as_a::<Transition>(id) {
        let (fore, line) = after_body(ctx, section)?;
        from_fore(ctx, id, fore, &line, transition::length)
    } else if let Some(id) = ctx.as_a::<BoatTail>(id) {
        let (mut fore, mut line) = after_body(ctx, section)?;
        if let Some(part) = ctx.part(section, section::transition)? {
            fore += ctx.unrecorded(|| metres(ctx, part, transition::length))?;
            line = ctx.offered(part, "aft_station");
        }
        from_fore(ctx, id, fore, &line, boat_tail::length)
    } else if let Some(id) = ctx.as_a::<Shoulder>(id) {
        shoulder_extent(ctx, id)
    } else if let Some(id) = ctx.as_a::<Lid>(id) {
        lid_extent(ctx, section, id)
    } else if let Some(id) = ctx.as_a::<MotorMount>(id) {
        let aft = placed(ctx, section, id, motor_mount::aft_end, None)?.aft;
        let Some(tube) = ctx.part(id, motor_mount::tube)? else {
            // The body tube is the motor tube: it begins where the body does.
            let tube = super::motor_mount::mount_tube(ctx, id)?;
            let ends = Extent { fore: extent(ctx, tube)?.fore, aft };
            ctx.record_ends(|| {
                let fore = ctx.line(tube, "fore_station");
                [Formula::Expression(fore.into()), ctx.recorded_end(true)]
            });
            return Ok(ends);
        };
        from_aft(ctx, part, aft, tube, tube::length)
    } else if let Some(id) = ctx.as_a::<FinSlots>(id) {
        let aft = placed(ctx, section, id, fin_slots::aft_end, None)?.aft;
        from_aft(ctx, part, aft, id, fin_slots::length)
    } else if let Some(id) = ctx.as_a::<Fins>(id) {
        let aft = placed(ctx, section, id, fins::aft_end, None)?.aft;
        from_aft(ctx, part, aft, id, fins::root_chord)
    } else if let Some(id) = ctx.as_a::<Bulkhead>(id) {
        placed(ctx, section, id, bulkhead::at, Some(bulkhead::thickness))
    } else if let Some(id) = ctx.as_a::<Ring>(id) {
        placed(ctx, section, id, ring::at, Some(ring::thickness))
    } else if let Some(id) = ctx.as_a::<Protuberance>(id) {
        placed(ctx, section, id, protuberance::at, Some(protuberance::length))
    } else if let Some(id) = ctx.as_a::<Addition>(id) {
        if ctx.has(id, addition::at)? {
            placed(ctx, section, id, addition::at, None)
        } else {
            halfway(ctx, section)
        }
    } else if let Some(id) = ctx.as_a::<Vent>(id) {
        placed(ctx, section, id, vent::at, None)
    } else if let Some(id) = ctx.as_a::<RailButton>(id) {
        placed(ctx, section, id, rail_button::at, None)
    } else {
        Err(ctx.refuse("the part has no place along the rocket"))
    }
}

/// What is spread over a section, taken at its middle.
fn halfway(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<Extent> {
    let body = body_of(ctx, section)?;
    let ends = extent(ctx, body)?;
    ctx.record_ends(|| {
        let middle = format!("({} + {}) / 2", ctx.line(body, "fore_station"), ctx.line(body, "aft_station"));
        [Formula::Expression(middle.clone().into()), Formula::Expression(middle.into())]
    });
    Ok(span_of(f64::midpoint(ends.fore, ends.aft), 0.0))
}

/// A part that begins somewhere and is as long as it is written.
pub(super) fn from_fore<E: Typed>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    fore: f64,
    line: &str,
    long: Key<E, Length>,
) -> Outcome<Extent> {
    let own = metres(ctx, id, long)?;
    if ctx.is_recording() {
        record_from_fore(ctx, id.any(), line, &ctx.field_line(id, long));
    }
    Ok(span_of(fore, own))
}

/// A part whose aft end was just placed and recorded.
pub(super) fn from_aft<E: Typed>(
    ctx: &EvalContext<'_>,
    part: EntityId,
    aft: f64,
    of: Id<E>,
    long: Key<E, Length>,
) -> Outcome<Extent> {
    let own = metres(ctx, of, long)?;
    ctx.record_ends(|| {
        let fore = format!("{} − {}", ctx.offered(part, "aft_station"), ctx.field_line(of, long));
        [Formula::Expression(fore.into()), ctx.recorded_end(true)]
    });
    Ok(Extent { fore: aft - own, aft })
}

/// A part that lies where another does.
pub(super) fn same_as(ctx: &EvalContext<'_>, other: EntityId) -> Outcome<Extent> {
    ctx.record_ends(|| {
        ["fore_station", "aft_station"].map(|end| Formula::Expression(ctx.offered(other, end).into()))
    });
    extent(ctx, other)
}

/// A part placed by its tape measure in a section.
pub(super) fn placed<E: Typed>(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    id: Id<E>,
    key: Key<E, Position>,
    long: Option<Key<E, Length>>,
) -> Outcome<Extent> {
    let own = long.map_or(Ok(0.0), |long| metres(ctx, id, long))?;
    let of = ctx.get(id, key)?.of;
    let (base, part) = base(ctx, section, of.as_deref())?;
    place(ctx, id, key, (own, long), base, part)
}

/// Pins or screws, which are placed along the tube of their joint, or along what slides into it where they say so.
pub(super) fn in_joint<E: Typed>(ctx: &EvalContext<'_>, id: Id<E>, key: Key<E, Position>) -> Outcome<Extent> {
    let joint = ctx.parent_as::<Joint>(id).ok_or_else(|| ctx.refuse("the pins stand in no joint"))?;
    let meeting = meeting(ctx, joint)?;
    let part = match (ctx.get(id, key)?.of.as_deref(), meeting.plug) {
        (None | Some("tube"), _) => meeting.socket.any(),
        (Some("coupler"), Plug::Coupler(plug)) => plug.any(),
        (Some("shoulder"), Plug::Shoulder(plug)) => plug.any(),
        (Some(name), plug) => {
            let plug = if matches!(plug, Plug::Coupler(_)) { "coupler" } else { "shoulder" };
            return Err(ctx.refuse(format!(
                "`of {name}`: pins and screws of a joint are placed along its outer tube, or `of {plug}`"
            )));
        }
    };
    place(ctx, id, key, (0.0, None), extent(ctx, part)?, part)
}

/// Where a section begins, and the line that says so.
pub(super) fn section_start(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
    let fore = ctx.unrecorded(|| section_fore(ctx, section))?;
    Ok((fore, ctx.offered(section, "fore_station")))
}

pub(super) fn after_nose(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
    let (fore, line) = section_start(ctx, section)?;
    match ctx.part(section, section::nose_cone)? {
        Some(nose) => {
            let long = ctx.unrecorded(|| metres(ctx, nose, nose_cone::length))?;
            Ok((fore + long, ctx.offered(nose, "aft_station")))
        }
        None => Ok((fore, line)),
    }
}

pub(super) fn after_body(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
    let (fore, line) = after_nose(ctx, section)?;
    if let Some(body) = ctx.part(section, section::tube)? {
        let long = ctx.unrecorded(|| metres(ctx, body, tube::length))?;
        Ok((fore + long, ctx.offered(body, "aft_station")))
    } else if let Some(band) = ctx.part(section, section::switch_band)? {
        let long = ctx.unrecorded(|| metres(ctx, band, switch_band::length))?;
        Ok((fore + long, ctx.offered(band, "aft_station")))
    } else {
        Ok((fore, line))
    }
}

pub(super) fn coupler_extent(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    id: Id<Coupler>,
) -> Outcome<Extent> {
    let own = metres(ctx, id, coupler::length)?;
    let long = || ctx.field_line(id, coupler::length);
    if let Some(tube) = ctx.part(section, section::tube)? {
        let body = extent(ctx, tube)?;
        let end = ctx.get(id, coupler::end)?;
        let out = metres(ctx, id, coupler::stands_out)?;
        let beyond = |end: &str, sign: &str| {
            format!("{} {sign} {}", ctx.line(tube, end), ctx.field_line(id, coupler::stands_out))
        };
        return Ok(if end == "fore" {
            if ctx.is_recording() {
                record_from_fore(ctx, id.any(), &beyond("fore_station", "−"), &long());
            }
            span_of(body.fore - out, own)
        } else {
            if ctx.is_recording() {
                record_from_aft(ctx, id.any(), &beyond("aft_station", "+"), &long());
            }
            Extent { fore: body.aft + out - own, aft: body.aft + out }
        });
    }
    let Some(band) = ctx.part(section, section::switch_band)? else {
        let (band_fore, line) = after_nose(ctx, section)?;
        if ctx.is_recording() {
            record_from_fore(ctx, id.any(), &format!("{line} − {} / 2", long()), &long());
        }
        return Ok(span_of(band_fore - own / 2.0, own));
    };
    let width = metres(ctx, band, switch_band::length)?;
    let (band_fore, line) = after_nose(ctx, section)?;
    if ctx.has(band, switch_band::at) == Ok(true) {
        // The band's place on the coupler, with the coupler taken to begin at zero.
        if let Some(name) = ctx.get(band, switch_band::at)?.of.filter(|name| &**name != "coupler") {
            return Err(ctx.refuse(format!("`of {name}`: a switch band is placed along its coupler")));
        }
        let position = ctx.get(band, switch_band::at)?;
        ctx.see(position.distance);
        let on = on_base(&position, width, span_of(0.0, own));
        if ctx.is_recording() {
            let (_, back) = distance_text(&position, &ctx.field_line(band, switch_band::at));
            let fore = match position.edge {
                Edge::Fore => format!("{line}{back}"),
                Edge::Aft => {
                    format!("{line} − ({}{back} − {})", long(), ctx.field_line(band, switch_band::length))
                }
            };
            record_from_fore(ctx, id.any(), &fore, &long());
        }
        return Ok(span_of(band_fore - on.fore, own));
    }
    if ctx.is_recording() {
        let width = ctx.field_line(band, switch_band::length);
        record_from_fore(ctx, id.any(), &format!("{line} − ({} − {width}) / 2", long()), &long());
    }
    Ok(span_of(band_fore - (own - width) / 2.0, own))
}

pub(super) fn shoulder_extent(ctx: &EvalContext<'_>, id: Id<Shoulder>) -> Outcome<Extent> {
    let own = metres(ctx, id, shoulder::length)?;
    let parent = ctx.parent(id).ok_or_else(|| ctx.refuse("the shoulder stands on nothing"))?;
    let on = extent(ctx, parent)?;
    let fore = ctx.name(id) == "fore_shoulder";
    if ctx.is_recording() {
        let long = ctx.field_line(id, shoulder::length);
        if fore {
            record_from_aft(ctx, id.any(), &ctx.line(parent, "fore_station"), &long);
        } else {
            record_from_fore(ctx, id.any(), &ctx.line(parent, "aft_station"), &long);
        }
    }
    Ok(if fore { span_of(on.fore - own, own) } else { span_of(on.aft, own) })
}

pub(super) fn lid_extent(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Lid>) -> Outcome<Extent> {
    let coupler = ctx.part(section, section::coupler)?;
    let closed = coupler.ok_or_else(|| ctx.refuse("a lid closes a coupler, and the section has none"))?;
    let (coupler, own) = (extent(ctx, closed)?, metres(ctx, id, lid::thickness)?);
    let recess = match ctx.has(id, lid::recess) {
        Ok(true) => Some(metres(ctx, id, lid::recess)?),
        _ => None,
    };
    let closes_fore = closes_fore(ctx, section, id)?;
    if ctx.is_recording() {
        let thick = ctx.field_line(id, lid::thickness);
        let in_by = |end: &str, sign: &str| match recess {
            Some(_) => format!("{} {sign} {}", ctx.line(closed, end), ctx.field_line(id, lid::recess)),
            None => ctx.line(closed, end),
        };
        if closes_fore {
            record_from_aft(ctx, id.any(), &in_by("fore_station", "+"), &thick);
        } else {
            record_from_fore(ctx, id.any(), &in_by("aft_station", "−"), &thick);
        }
    }
    let recess = recess.unwrap_or(0.0);
    Ok(if closes_fore {
        span_of(coupler.fore + recess - own, own)
    } else {
        span_of(coupler.aft - recess, own)
    })
}

/// A part placed on a base: its near face is where the tape says.
pub(super) fn place<E: Typed>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    key: Key<E, Position>,
    (own, long): (f64, Option<Key<E, Length>>),
    base: Extent,
    part: EntityId,
) -> Outcome<Extent> {
    let position = ctx.get(id, key)?;
    ctx.see(position.distance);
    if ctx.is_recording() {
        let (onward, back) = distance_text(&position, &ctx.field_line(id, key));
        let long = long.map_or_else(String::new, |long| ctx.field_line(id, long));
        match position.edge {
            Edge::Fore => {
                record_from_fore(
                    ctx,
                    id.any(),
                    &format!("{}{onward}", ctx.line(part, "fore_station")),
                    &long,
                );
            }
            Edge::Aft => {
                record_from_aft(ctx, id.any(), &format!("{}{back}", ctx.line(part, "aft_station")), &long);
            }
        }
    }
    Ok(on_base(&position, own, base))
}

/// The part of a section that a tape is laid along: the named one, or the main body.
pub(super) fn base(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    part: Option<&str>,
) -> Outcome<(Extent, EntityId)> {
    /// The parts that a tape may be laid along, by their names.
    const PARTS: [&str; 9] = [
        "tube",
        "coupler",
        "switch_band",
        "nose_cone",
        "transition",
        "boat_tail",
        "shoulder",
        "motor_tube",
        "section",
    ];
    let on = |part: EntityId| extent(ctx, part).map(|ends| (ends, part));
    let Some(name) = part else { return on(body_of(ctx, section)?) };
    let found = match name {
        "section" => return on(section.any()),
        "shoulder" => {
            let nose = ctx.part(section, section::nose_cone)?;
            let nose = nose.ok_or_else(|| ctx.refuse("`of shoulder`: the section has no nose cone"))?;
            let shoulder = ctx.part(nose, nose_cone::shoulder)?;
            return on(shoulder.ok_or_else(|| ctx.refuse("the nose cone has no shoulder"))?.any());
        }
        "motor_tube" => {
            let mount = ctx.part(section, section::motor_mount)?;
            return on(mount
                .ok_or_else(|| ctx.refuse("`of motor_tube`: the section has no motor mount"))?
                .any());
        }
        "tube" => ctx.part(section, section::tube)?.map(Id::any),
        "coupler" => ctx.part(section, section::coupler)?.map(Id::any),
        "switch_band" => ctx.part(section, section::switch_band)?.map(Id::any),
        "nose_cone" => ctx.part(section, section::nose_cone)?.map(Id::any),
        "transition" => ctx.part(section, section::transition)?.map(Id::any),
        "boat_tail" => ctx.part(section, section::boat_tail)?.map(Id::any),
        _ => {
            let near = crate::vocabulary::suggest(name, PARTS.iter().copied());
            let help = near.map_or_else(
                || format!("it is one of {}", PARTS.join(", ")),
                |n| format!("did you mean `{n}`?"),
            );
            return Err(ctx.refuse(format!("`of {name}` names no part of a section; {help}")));
        }
    };
    on(found.ok_or_else(|| ctx.refuse(format!("`of {name}`: the section has none")))?)
}

/// The part that a section is built around.
pub(super) fn body_of(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<EntityId> {
    Ok(if let Some(part) = ctx.part(section, section::tube)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::coupler)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::nose_cone)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::transition)? {
        part.any()
    } else {
        return Err(ctx.refuse("the section has neither tube, coupler nor nose cone"));
    })
}

/// Where the inner part lies inside the tube: the extent of the joint itself.
fn overlap(ctx: &EvalContext<'_>, id: Id<Joint>) -> Outcome<Extent> {
    let meeting = meeting(ctx, id)?;
    let (plug, socket) = both(extent(ctx, meeting.plug.id()), extent(ctx, meeting.socket))?;
    let shared = Extent { fore: plug.fore.max(socket.fore), aft: plug.aft.min(socket.aft) };
    ctx.record_ends(|| {
        let of = |word: &str, end: &str| {
            let (inner, tube) = (ctx.line(meeting.plug.id(), end), ctx.line(meeting.socket, end));
            Formula::Expression(format!("{word} of ({inner}, {tube})").into())
        };
        [of("greatest", "fore_station"), of("least", "aft_station")]
    });
    if shared.aft <= shared.fore {
        return Err(ctx.refuse("the inner part does not reach into the tube"));
    }
    Ok(shared)
}
