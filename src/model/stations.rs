//! Every part's place on one axis: stations run aft from the nose tip.
//!
//! Sections follow each other by their outside lengths. A part inside one is placed by its tape measure.

use super::joints::Plug;
use super::{AnyComputed, Computed, EvalContext, Outcome};
use crate::design::{
    BoatTail, Bulkhead, Coupler, Fastening, FinSlots, Fins, Holes, Joint, Lid, MotorMount, NoseCone,
    Protuberance, RailButton, Ring, Rocket, Section, ShearPins, Shoulder, SwitchAccess, SwitchBand,
    Transition, Tube, Vent, boat_tail, bulkhead, coupler, fastening, fin_slots, fins, lid, motor_mount,
    nose_cone, protuberance, rail_button, ring, rocket, section, shear_pins, shoulder, switch_access,
    switch_band, transition, tube, vent,
};
use crate::quantity::{Length, Styled};
use crate::vocabulary::{Edge, EntityId, EntityType, Id, Ids, Key, Position, Typed};

/// The fore and the aft end of a part, in metres aft of the nose tip.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    pub(super) fore: f64,
    pub(super) aft: f64,
}

macro_rules! stations {
    ($( $fore:ident $aft:ident $entity_type:ident )*) => {
        $(
            static $fore: Computed<$entity_type, Styled<Length>> = Computed {
                name: "fore_station",
                doc: "Its fore end, measured aft from the nose tip.",
                words: &[],
                formula: "outside lengths of the sections before, and its place in its own",
                source: "",
                compute: |ctx, id| extent(ctx, id).map(|e| length(ctx, e.fore)),
            };
            static $aft: Computed<$entity_type, Styled<Length>> = Computed {
                name: "aft_station",
                doc: "Its aft end, measured aft from the nose tip.",
                words: &[],
                formula: "its fore end and its length",
                source: "",
                compute: |ctx, id| extent(ctx, id).map(|e| length(ctx, e.aft)),
            };
        )*

        pub(super) const COMPUTED: &[&dyn AnyComputed] = &[ $( &$fore, &$aft, )* &OUTSIDE_LENGTH, &BODY_DIAMETER, &DISTURBANCE, &LENGTH ];
    };
}

stations! {
    SECTION_FORE SECTION_AFT Section
    NOSE_FORE NOSE_AFT NoseCone
    SHOULDER_FORE SHOULDER_AFT Shoulder
    TUBE_FORE TUBE_AFT Tube
    COUPLER_FORE COUPLER_AFT Coupler
    BAND_FORE BAND_AFT SwitchBand
    TRANSITION_FORE TRANSITION_AFT Transition
    BOAT_TAIL_FORE BOAT_TAIL_AFT BoatTail
    BULKHEAD_FORE BULKHEAD_AFT Bulkhead
    LID_FORE LID_AFT Lid
    RING_FORE RING_AFT Ring
    MOUNT_FORE MOUNT_AFT MotorMount
    SLOTS_FORE SLOTS_AFT FinSlots
    FINS_FORE FINS_AFT Fins
    VENT_FORE VENT_AFT Vent
    PINS_FORE PINS_AFT ShearPins
    FASTENING_FORE FASTENING_AFT Fastening
    BUTTON_FORE BUTTON_AFT RailButton
    JOINT_FORE JOINT_AFT Joint
    HOLES_FORE HOLES_AFT Holes
    ACCESS_FORE ACCESS_AFT SwitchAccess
    OUT_FORE OUT_AFT Protuberance
}

pub(super) static OUTSIDE_LENGTH: Computed<Section, Styled<Length>> = Computed {
    name: "outside_length",
    doc: "The length of the section that shows when the rocket is joined.",
    words: &[],
    formula: "nose cone + tube (or switch band, for a bay in a coupler) + transition + boat-tail",
    source: "",
    compute: |ctx, id| outside_length(ctx, id).map(|l| length(ctx, l)),
};

pub(super) static BODY_DIAMETER: Computed<Section, Styled<Length>> = Computed {
    name: "body_diameter",
    doc: "The outside diameter of the section.",
    words: &[],
    formula: "outer diameter of its tube, else of its switch band, nose cone, transition or coupler",
    source: "",
    compute: |ctx, id| {
        let of_tube = across(ctx, id, section::tube, tube::outer_diameter);
        let found = of_tube
            .or_else(|| across(ctx, id, section::switch_band, switch_band::outer_diameter))
            .or_else(|| across(ctx, id, section::nose_cone, nose_cone::outer_diameter))
            .or_else(|| across(ctx, id, section::transition, transition::aft_diameter))
            .or_else(|| across(ctx, id, section::coupler, coupler::outer_diameter));
        found.unwrap_or_else(|| Err(ctx.refuse("the section has neither tube, coupler nor nose cone")))
    },
};

pub(super) static LENGTH: Computed<Rocket, Styled<Length>> = Computed {
    name: "length",
    doc: "The length of the rocket from nose tip to the aft end of its last section.",
    words: &[],
    formula: "sum of the outside lengths of the sections",
    source: "",
    compute: |ctx, _| {
        let mut total = Ok(0.0);
        for section in sections(ctx)?.iter() {
            let one = ctx.query(section, &OUTSIDE_LENGTH);
            total = super::both(total, one).map(|(t, l)| t + l.si());
        }
        total.map(|metres| length(ctx, metres))
    },
};

static DISTURBANCE: Computed<Vent, Styled<Length>> = Computed {
    name: "distance_from_disturbance",
    doc: "How far the holes are along the body from what disturbs the air there: the tip of the nose cone (of a cone or an \
          unknown shape its base, where the skin has a corner), the ends of a transition or boat-tail.",
    words: &[],
    formula: "least of |station of the holes − station of the disturbance|",
    source: "",
    compute: disturbance,
};

/// The diameter of a part of a section; `None` where there is no such part, or it is told that it has no diameter.
fn across<K>(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    part: Key<Section, Id<K>>,
    diameter: Key<K, Length>,
) -> Option<Outcome<Styled<Length>>> {
    let part = ctx.part(section, part).transpose()?;
    let written = part.map(|part| (ctx.has(part, diameter) != Ok(false)).then_some(part)).transpose()?;
    Some(written.and_then(|part| ctx.quantity(part, diameter)))
}

fn length(ctx: &EvalContext<'_>, metres: f64) -> Styled<Length> {
    Styled::in_system(Length::from_si(metres), ctx.system())
}

fn disturbance(ctx: &EvalContext<'_>, id: Id<Vent>) -> Outcome<Styled<Length>> {
    let here = extent(ctx, id)?.fore;
    let mut nearest: Option<f64> = None;
    let mut consider = |station: f64| {
        let distance = (station - here).abs();
        nearest = Some(nearest.map_or(distance, |n: f64| n.min(distance)));
    };
    for section in sections(ctx)?.iter() {
        if let Some(nose) = ctx.part(section, section::nose_cone)? {
            let ends = extent(ctx, nose)?;
            // Curved outlines run into the body without a corner.
            let corner = matches!(ctx.get(nose, nose_cone::shape)?, "cone" | "other");
            consider(if corner { ends.aft } else { ends.fore });
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends = extent(ctx, part)?;
            consider(ends.fore);
            consider(ends.aft);
        }
        if let Some(part) = ctx.part(section, section::boat_tail)? {
            let ends = extent(ctx, part)?;
            consider(ends.fore);
            consider(ends.aft);
        }
    }
    nearest.map(|n| length(ctx, n)).ok_or_else(|| ctx.refuse("nothing on the body disturbs the air"))
}

pub(super) fn sections(ctx: &EvalContext<'_>) -> Outcome<Ids<Section>> {
    ctx.entities(ctx.rocket(), rocket::sections)
}

fn metres<E>(ctx: &EvalContext<'_>, entity: Id<E>, key: Key<E, Length>) -> Outcome<f64> {
    ctx.get(entity, key).map(Length::si)
}

fn outside_length(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    let mut total = 0.0;
    if let Some(nose) = ctx.part(id, section::nose_cone)? {
        total += metres(ctx, nose, nose_cone::length)?;
    }
    if let Some(body) = ctx.part(id, section::tube)? {
        total += metres(ctx, body, tube::length)?;
    } else if let Some(band) = ctx.part(id, section::switch_band)? {
        total += metres(ctx, band, switch_band::length)?;
    }
    if let Some(part) = ctx.part(id, section::transition)? {
        total += metres(ctx, part, transition::length)?;
    }
    if let Some(tail) = ctx.part(id, section::boat_tail)? {
        total += metres(ctx, tail, boat_tail::length)?;
    }
    Ok(total)
}

/// Where the section begins: after the outside lengths of those before it.
fn section_fore(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    let mut station = 0.0;
    for section in sections(ctx)?.iter() {
        if section == id {
            return Ok(station);
        }
        station += ctx.query(section, &OUTSIDE_LENGTH)?.si();
    }
    Err(ctx.refuse("the section is not one of the rocket's"))
}

fn span_of(fore: f64, length: f64) -> Extent {
    Extent { fore, aft: fore + length }
}

/// The fore and aft end of a part.
pub(super) fn extent(ctx: &EvalContext<'_>, id: impl Into<EntityId>) -> Outcome<Extent> {
    extent_of(ctx, id.into())
}

/// The types that have an extent are told apart at run time, as nothing else here is.
fn extent_of(ctx: &EvalContext<'_>, id: EntityId) -> Outcome<Extent> {
    let Some(entity_type) = ctx.model().entity(id).map(|entity| entity.entity_type) else {
        return Err(ctx.refuse("there is no such part"));
    };
    if let Some(id) = ctx.as_a::<Section>(id) {
        return Ok(span_of(section_fore(ctx, id)?, outside_length(ctx, id)?));
    }
    if let Some(id) = ctx.as_a::<Joint>(id) {
        return super::joints::overlap(ctx, id);
    }
    if let Some(id) = ctx.as_a::<ShearPins>(id) {
        return in_joint(ctx, id, shear_pins::at);
    }
    if let Some(id) = ctx.as_a::<Fastening>(id) {
        return in_joint(ctx, id, fastening::at);
    }
    if entity_type == Holes::TYPE {
        return extent(ctx, ctx.parent(id).ok_or_else(|| ctx.refuse("the holes come with nothing"))?);
    }
    if let Some(id) = ctx.as_a::<SwitchAccess>(id) {
        return placed(ctx, super::holes::access_section(ctx, id)?, id, switch_access::at, 0.0);
    }
    let section = ctx.holder::<Section>(id).ok_or_else(|| ctx.refuse("the part stands in no section"))?;
    if let Some(id) = ctx.as_a::<NoseCone>(id) {
        Ok(span_of(section_fore(ctx, section)?, metres(ctx, id, nose_cone::length)?))
    } else if let Some(id) = ctx.as_a::<Tube>(id) {
        match ctx.holder::<MotorMount>(id) {
            Some(mount) => extent(ctx, mount),
            None => Ok(span_of(after_nose(ctx, section)?, metres(ctx, id, tube::length)?)),
        }
    } else if let Some(id) = ctx.as_a::<SwitchBand>(id) {
        Ok(span_of(after_nose(ctx, section)?, metres(ctx, id, switch_band::length)?))
    } else if let Some(id) = ctx.as_a::<Coupler>(id) {
        coupler_extent(ctx, section, id)
    } else if let Some(id) = ctx.as_a::<Transition>(id) {
        Ok(span_of(after_body(ctx, section)?, metres(ctx, id, transition::length)?))
    } else if let Some(id) = ctx.as_a::<BoatTail>(id) {
        let mut fore = after_body(ctx, section)?;
        if let Some(part) = ctx.part(section, section::transition)? {
            fore += metres(ctx, part, transition::length)?;
        }
        Ok(span_of(fore, metres(ctx, id, boat_tail::length)?))
    } else if let Some(id) = ctx.as_a::<Shoulder>(id) {
        shoulder_extent(ctx, id)
    } else if let Some(id) = ctx.as_a::<Lid>(id) {
        lid_extent(ctx, section, id)
    } else if let Some(id) = ctx.as_a::<MotorMount>(id) {
        let aft = placed(ctx, section, id, motor_mount::aft_end, 0.0)?.aft;
        let Some(tube) = ctx.part(id, motor_mount::tube)? else {
            // The body tube is the motor tube: it begins where the body does.
            return Ok(Extent { fore: extent(ctx, super::bonds::mount_tube(ctx, id)?)?.fore, aft });
        };
        let own = metres(ctx, tube, tube::length)?;
        Ok(Extent { fore: aft - own, aft })
    } else if let Some(id) = ctx.as_a::<FinSlots>(id) {
        let aft = placed(ctx, section, id, fin_slots::aft_end, 0.0)?.aft;
        Ok(Extent { fore: aft - metres(ctx, id, fin_slots::length)?, aft })
    } else if let Some(id) = ctx.as_a::<Fins>(id) {
        let aft = placed(ctx, section, id, fins::aft_end, 0.0)?.aft;
        Ok(Extent { fore: aft - metres(ctx, id, fins::root_chord)?, aft })
    } else if let Some(id) = ctx.as_a::<Bulkhead>(id) {
        let own = metres(ctx, id, bulkhead::thickness)?;
        placed(ctx, section, id, bulkhead::at, own)
    } else if let Some(id) = ctx.as_a::<Ring>(id) {
        let own = metres(ctx, id, ring::thickness)?;
        placed(ctx, section, id, ring::at, own)
    } else if let Some(id) = ctx.as_a::<Protuberance>(id) {
        let own = metres(ctx, id, protuberance::length)?;
        placed(ctx, section, id, protuberance::at, own)
    } else if let Some(id) = ctx.as_a::<Vent>(id) {
        placed(ctx, section, id, vent::at, 0.0)
    } else if let Some(id) = ctx.as_a::<RailButton>(id) {
        placed(ctx, section, id, rail_button::at, 0.0)
    } else {
        Err(ctx.refuse("the part has no place along the rocket"))
    }
}

/// A part placed by its tape measure in a section.
fn placed<E>(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    id: Id<E>,
    key: Key<E, Position>,
    own: f64,
) -> Outcome<Extent> {
    let of = ctx.get(id, key)?.of;
    place(ctx, id, key, own, base(ctx, section, of.as_deref())?)
}

/// Pins or screws, which are placed along the tube of their joint, or along what slides into it where they say so.
fn in_joint<E>(ctx: &EvalContext<'_>, id: Id<E>, key: Key<E, Position>) -> Outcome<Extent> {
    let joint = ctx.parent_as::<Joint>(id).ok_or_else(|| ctx.refuse("the pins stand in no joint"))?;
    let meeting = super::joints::meeting(ctx, joint)?;
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
    place(ctx, id, key, 0.0, extent(ctx, part)?)
}

fn after_nose(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<f64> {
    let fore = section_fore(ctx, section)?;
    match ctx.part(section, section::nose_cone)? {
        Some(nose) => Ok(fore + metres(ctx, nose, nose_cone::length)?),
        None => Ok(fore),
    }
}

fn after_body(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<f64> {
    let fore = after_nose(ctx, section)?;
    if let Some(body) = ctx.part(section, section::tube)? {
        Ok(fore + metres(ctx, body, tube::length)?)
    } else if let Some(band) = ctx.part(section, section::switch_band)? {
        Ok(fore + metres(ctx, band, switch_band::length)?)
    } else {
        Ok(fore)
    }
}

fn coupler_extent(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Coupler>) -> Outcome<Extent> {
    let own = metres(ctx, id, coupler::length)?;
    if let Some(body) = ctx.part(section, section::tube)? {
        let body = extent(ctx, body)?;
        let end = ctx.get(id, coupler::end)?;
        let out = metres(ctx, id, coupler::stands_out)?;
        return Ok(if end == "fore" {
            span_of(body.fore - out, own)
        } else {
            Extent { fore: body.aft + out - own, aft: body.aft + out }
        });
    }
    let Some(band) = ctx.part(section, section::switch_band)? else {
        return Ok(span_of(after_nose(ctx, section)? - own / 2.0, own));
    };
    let width = metres(ctx, band, switch_band::length)?;
    let band_fore = after_nose(ctx, section)?;
    if ctx.has(band, switch_band::at) == Ok(true) {
        // The band's place on the coupler, with the coupler taken to begin at zero.
        if let Some(name) = ctx.get(band, switch_band::at)?.of.filter(|name| &**name != "coupler") {
            return Err(ctx.refuse(format!("`of {name}`: a switch band is placed along its coupler")));
        }
        let on = place(ctx, band, switch_band::at, width, span_of(0.0, own))?;
        return Ok(span_of(band_fore - on.fore, own));
    }
    Ok(span_of(band_fore - (own - width) / 2.0, own))
}

fn shoulder_extent(ctx: &EvalContext<'_>, id: Id<Shoulder>) -> Outcome<Extent> {
    let own = metres(ctx, id, shoulder::length)?;
    let parent = ctx.parent(id).ok_or_else(|| ctx.refuse("the shoulder stands on nothing"))?;
    let on = extent(ctx, parent)?;
    let fore = ctx.name(id) == "fore_shoulder";
    Ok(if fore { span_of(on.fore - own, own) } else { span_of(on.aft, own) })
}

fn lid_extent(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Lid>) -> Outcome<Extent> {
    let coupler = ctx.part(section, section::coupler)?;
    let coupler = coupler.ok_or_else(|| ctx.refuse("a lid closes a coupler, and the section has none"))?;
    let (coupler, own) = (extent(ctx, coupler)?, metres(ctx, id, lid::thickness)?);
    let recess = match ctx.has(id, lid::recess) {
        Ok(true) => metres(ctx, id, lid::recess)?,
        _ => 0.0,
    };
    let name = ctx.name(id);
    match name.as_str() {
        "fore" => Ok(span_of(coupler.fore + recess - own, own)),
        "aft" => Ok(span_of(coupler.aft - recess, own)),
        _ => Err(ctx.refuse("a lid is named `fore` or `aft`")),
    }
}

/// A part of length `own` placed on a base: its near face is where the tape says.
fn place<E>(
    ctx: &EvalContext<'_>,
    id: Id<E>,
    key: Key<E, Position>,
    own: f64,
    base: Extent,
) -> Outcome<Extent> {
    let position = ctx.get(id, key)?;
    let distance = position.distance.si;
    ctx.see(position.distance);
    Ok(match position.edge {
        Edge::Fore => span_of(base.fore + distance, own),
        Edge::Aft => Extent { fore: base.aft - distance - own, aft: base.aft - distance },
    })
}

/// The part of a section that a tape is laid along: the named one, or the main body.
pub(super) fn base(ctx: &EvalContext<'_>, section: Id<Section>, part: Option<&str>) -> Outcome<Extent> {
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
    let Some(name) = part else { return main_body(ctx, section) };
    let found = match name {
        "section" => return extent(ctx, section),
        "shoulder" => {
            let nose = ctx.part(section, section::nose_cone)?;
            let nose = nose.ok_or_else(|| ctx.refuse("`of shoulder`: the section has no nose cone"))?;
            let shoulder = ctx.part(nose, nose_cone::shoulder)?;
            return extent(ctx, shoulder.ok_or_else(|| ctx.refuse("the nose cone has no shoulder"))?);
        }
        "motor_tube" => {
            let mount = ctx.part(section, section::motor_mount)?;
            return extent(
                ctx,
                mount.ok_or_else(|| ctx.refuse("`of motor_tube`: the section has no motor mount"))?,
            );
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
    extent(ctx, found.ok_or_else(|| ctx.refuse(format!("`of {name}`: the section has none")))?)
}

/// The part that a section is built around.
pub(super) fn main_body(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<Extent> {
    let body = if let Some(part) = ctx.part(section, section::tube)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::coupler)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::nose_cone)? {
        part.any()
    } else if let Some(part) = ctx.part(section, section::transition)? {
        part.any()
    } else {
        return Err(ctx.refuse("the section has neither tube, coupler nor nose cone"));
    };
    extent(ctx, body)
}

/// True for kinds that have a fore and an aft station.
#[must_use]
pub(super) fn has_stations(entity_type: &'static EntityType) -> bool {
    COMPUTED.iter().any(|c| c.entity_type() == entity_type && c.name() == "fore_station")
}
