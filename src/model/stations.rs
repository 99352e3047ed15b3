//! Every part's place on one axis: stations run aft from the nose tip.
//!
//! Sections follow each other by their outside lengths. A part inside one is placed by its tape measure.

use super::joints::Plug;
use super::{AnyComputed, Computed, EvalContext, Formula, Outcome};
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
                formula: Formula::expression("outside lengths of the sections before, and its place in its own"),
                source: "",
                compute: |ctx, id| station(ctx, id.any(), false),
            };
            static $aft: Computed<$entity_type, Styled<Length>> = Computed {
                name: "aft_station",
                doc: "Its aft end, measured aft from the nose tip.",
                words: &[],
                formula: Formula::expression("its fore end and its length"),
                source: "",
                compute: |ctx, id| station(ctx, id.any(), true),
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
    formula: Formula::expression("lengths of what shows of it, added up"),
    source: "",
    compute: |ctx, id| outside_length(ctx, id).map(|l| length(ctx, l)),
};

pub(super) static BODY_DIAMETER: Computed<Section, Styled<Length>> = Computed {
    name: "body_diameter",
    doc: "The outside diameter of the section.",
    words: &[],
    formula: Formula::choice(
        "outer diameter of its tube, else of its switch band, nose cone, transition or coupler",
    ),
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
    formula: Formula::expression("outside lengths of the sections, added up"),
    source: "",
    compute: |ctx, _| {
        let mut total = Ok(0.0);
        for section in sections(ctx)?.iter() {
            let one = ctx.query(section, &OUTSIDE_LENGTH);
            total = super::both(total, one).map(|(t, l)| t + l.si());
        }
        ctx.formula(|| sum_of(ctx, &sections_or_none(ctx)));
        total.map(|metres| length(ctx, metres))
    },
};

static DISTURBANCE: Computed<Vent, Styled<Length>> = Computed {
    name: "distance_from_disturbance",
    doc: "How far the holes are along the body from what disturbs the air there: the tip of the nose cone (of a cone or an \
          unknown shape its base, where the skin has a corner), the ends of a transition or boat-tail.",
    words: &[],
    formula: Formula::expression("least distance from the holes to a disturbance"),
    source: "",
    compute: disturbance,
};

/// The diameter of a part of a section; `None` where there is no such part, or its type has no diameter.
fn across<K: Typed>(
    ctx: &EvalContext<'_>,
    section: Id<Section>,
    part: Key<Section, Id<K>>,
    diameter: Key<K, Length>,
) -> Option<Outcome<Styled<Length>>> {
    let part = ctx.part(section, part).transpose()?;
    let written = part.map(|part| (ctx.has(part, diameter) != Ok(false)).then_some(part)).transpose()?;
    Some(written.and_then(|part| {
        ctx.formula(|| {
            let line = ctx.field_line(part, diameter);
            Formula::Choice(
                format!("{line}, the first of tube, band, cone, transition and coupler that there is").into(),
            )
        });
        ctx.quantity(part, diameter)
    }))
}

/// The outside lengths of sections, added up.
fn sum_of(ctx: &EvalContext<'_>, sections: &[Id<Section>]) -> Formula {
    let terms: Vec<String> = sections.iter().map(|one| ctx.line(*one, OUTSIDE_LENGTH.name)).collect();
    if terms.is_empty() {
        return Formula::fixed("the nose tip, from which stations are measured");
    }
    Formula::Expression(terms.join(" + ").into())
}

/// The sections, for a working.
pub(super) fn sections_or_none(ctx: &EvalContext<'_>) -> Vec<Id<Section>> {
    sections(ctx).map(|all| all.iter().collect()).unwrap_or_default()
}

/// One end of a part.
fn station(ctx: &EvalContext<'_>, id: EntityId, aft: bool) -> Outcome<Styled<Length>> {
    let ends = extent_of(ctx, id)?;
    ctx.record_end(aft);
    Ok(length(ctx, if aft { ends.aft } else { ends.fore }))
}

/// Tells the ends of a part that is placed by its fore end.
fn record_from_fore(ctx: &EvalContext<'_>, id: EntityId, fore: &str, own: &str) {
    ctx.record_ends(|| {
        let from = ctx.offered(id, "fore_station");
        let aft = if own.is_empty() { from } else { format!("{from} + {own}") };
        [Formula::Expression(fore.to_owned().into()), Formula::Expression(aft.into())]
    });
}

/// Tells the ends of a part that is placed by its aft end.
fn record_from_aft(ctx: &EvalContext<'_>, id: EntityId, aft: &str, own: &str) {
    ctx.record_ends(|| {
        let from = ctx.offered(id, "aft_station");
        let fore = if own.is_empty() { from } else { format!("{from} − {own}") };
        [Formula::Expression(fore.into()), Formula::Expression(aft.to_owned().into())]
    });
}

fn length(ctx: &EvalContext<'_>, metres: f64) -> Styled<Length> {
    Styled::in_system(Length::from_si(metres), ctx.system())
}

fn disturbance(ctx: &EvalContext<'_>, id: Id<Vent>) -> Outcome<Styled<Length>> {
    let here = extent(ctx, id)?.fore;
    let mut nearest: Option<(f64, String)> = None;
    let mut consider = |station: f64, part: EntityId, end: &str| {
        let distance = (station - here).abs();
        if nearest.as_ref().is_none_or(|(n, _)| distance < *n) {
            let line = if ctx.is_recording() { ctx.line(part, end) } else { String::new() };
            nearest = Some((distance, line));
        }
    };
    for section in sections(ctx)?.iter() {
        if let Some(nose) = ctx.part(section, section::nose_cone)? {
            let ends = extent(ctx, nose)?;
            // Curved outlines run into the body without a corner.
            let corner = matches!(ctx.get(nose, nose_cone::shape)?, "cone" | "other");
            let (station, end) = if corner { (ends.aft, "aft_station") } else { (ends.fore, "fore_station") };
            consider(station, nose.any(), end);
        }
        if let Some(part) = ctx.part(section, section::transition)? {
            let ends = extent(ctx, part)?;
            consider(ends.fore, part.any(), "fore_station");
            consider(ends.aft, part.any(), "aft_station");
        }
        if let Some(part) = ctx.part(section, section::boat_tail)? {
            let ends = extent(ctx, part)?;
            consider(ends.fore, part.any(), "fore_station");
            consider(ends.aft, part.any(), "aft_station");
        }
    }
    if let Some((_, line)) = &nearest {
        let here = ctx.offered(id, "fore_station");
        ctx.formula(|| Formula::Expression(format!("|{here} − {line}|").into()));
    }
    nearest.map(|(n, _)| length(ctx, n)).ok_or_else(|| ctx.refuse("nothing on the body disturbs the air"))
}

pub(super) fn sections(ctx: &EvalContext<'_>) -> Outcome<Ids<Section>> {
    ctx.entities(ctx.rocket(), rocket::sections)
}

fn metres<E>(ctx: &EvalContext<'_>, entity: Id<E>, key: Key<E, Length>) -> Outcome<f64> {
    ctx.get(entity, key).map(Length::si)
}

fn outside_length(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    let mut total = 0.0;
    let mut terms: Vec<String> = Vec::new();
    let mut add = |long: f64, line: &dyn Fn() -> String| {
        total += long;
        if ctx.is_recording() {
            terms.push(line());
        }
    };
    if let Some(nose) = ctx.part(id, section::nose_cone)? {
        add(metres(ctx, nose, nose_cone::length)?, &|| ctx.field_line(nose, nose_cone::length));
    }
    if let Some(body) = ctx.part(id, section::tube)? {
        add(metres(ctx, body, tube::length)?, &|| ctx.field_line(body, tube::length));
    } else if let Some(band) = ctx.part(id, section::switch_band)? {
        add(metres(ctx, band, switch_band::length)?, &|| ctx.field_line(band, switch_band::length));
    }
    if let Some(part) = ctx.part(id, section::transition)? {
        add(metres(ctx, part, transition::length)?, &|| ctx.field_line(part, transition::length));
    }
    if let Some(tail) = ctx.part(id, section::boat_tail)? {
        add(metres(ctx, tail, boat_tail::length)?, &|| ctx.field_line(tail, boat_tail::length));
    }
    ctx.formula(|| match *terms {
        [] => Formula::fixed("nothing of it shows"),
        _ => Formula::Expression(terms.join(" + ").into()),
    });
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

/// The fore and aft end of a part. In a working they stand as quantities of the part.
pub(super) fn extent(ctx: &EvalContext<'_>, id: impl Into<EntityId>) -> Outcome<Extent> {
    let id = id.into();
    if ctx.is_recording() {
        ctx.offer(id, "fore_station");
        ctx.offer(id, "aft_station");
    }
    ctx.unrecorded(|| extent_of(ctx, id))
}

/// The types that have an extent are distinguished at run time, as nothing else here is.
fn extent_of(ctx: &EvalContext<'_>, id: EntityId) -> Outcome<Extent> {
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
        return super::joints::overlap(ctx, id);
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
            let tube = super::bonds::mount_tube(ctx, id)?;
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
    } else if let Some(id) = ctx.as_a::<Vent>(id) {
        placed(ctx, section, id, vent::at, None)
    } else if let Some(id) = ctx.as_a::<RailButton>(id) {
        placed(ctx, section, id, rail_button::at, None)
    } else {
        Err(ctx.refuse("the part has no place along the rocket"))
    }
}

/// A part that begins somewhere and is as long as it is written.
fn from_fore<E: Typed>(
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
fn from_aft<E: Typed>(
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
fn same_as(ctx: &EvalContext<'_>, other: EntityId) -> Outcome<Extent> {
    ctx.record_ends(|| {
        ["fore_station", "aft_station"].map(|end| Formula::Expression(ctx.offered(other, end).into()))
    });
    extent(ctx, other)
}

/// A part placed by its tape measure in a section.
fn placed<E: Typed>(
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
fn in_joint<E: Typed>(ctx: &EvalContext<'_>, id: Id<E>, key: Key<E, Position>) -> Outcome<Extent> {
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
    place(ctx, id, key, (0.0, None), extent(ctx, part)?, part)
}

/// Where a section begins, and the line that says so.
fn section_start(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
    let fore = ctx.unrecorded(|| section_fore(ctx, section))?;
    Ok((fore, ctx.offered(section, "fore_station")))
}

fn after_nose(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
    let (fore, line) = section_start(ctx, section)?;
    match ctx.part(section, section::nose_cone)? {
        Some(nose) => {
            let long = ctx.unrecorded(|| metres(ctx, nose, nose_cone::length))?;
            Ok((fore + long, ctx.offered(nose, "aft_station")))
        }
        None => Ok((fore, line)),
    }
}

fn after_body(ctx: &EvalContext<'_>, section: Id<Section>) -> Outcome<(f64, String)> {
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

fn coupler_extent(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Coupler>) -> Outcome<Extent> {
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

fn shoulder_extent(ctx: &EvalContext<'_>, id: Id<Shoulder>) -> Outcome<Extent> {
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

fn lid_extent(ctx: &EvalContext<'_>, section: Id<Section>, id: Id<Lid>) -> Outcome<Extent> {
    let coupler = ctx.part(section, section::coupler)?;
    let closed = coupler.ok_or_else(|| ctx.refuse("a lid closes a coupler, and the section has none"))?;
    let (coupler, own) = (extent(ctx, closed)?, metres(ctx, id, lid::thickness)?);
    let recess = match ctx.has(id, lid::recess) {
        Ok(true) => Some(metres(ctx, id, lid::recess)?),
        _ => None,
    };
    let name = ctx.name(id);
    if ctx.is_recording() {
        let thick = ctx.field_line(id, lid::thickness);
        let in_by = |end: &str, sign: &str| match recess {
            Some(_) => format!("{} {sign} {}", ctx.line(closed, end), ctx.field_line(id, lid::recess)),
            None => ctx.line(closed, end),
        };
        if name == "fore" {
            record_from_aft(ctx, id.any(), &in_by("fore_station", "+"), &thick);
        } else {
            record_from_fore(ctx, id.any(), &in_by("aft_station", "−"), &thick);
        }
    }
    let recess = recess.unwrap_or(0.0);
    match name.as_str() {
        "fore" => Ok(span_of(coupler.fore + recess - own, own)),
        "aft" => Ok(span_of(coupler.aft - recess, own)),
        _ => Err(ctx.refuse("a lid is named `fore` or `aft`")),
    }
}

/// A part placed on a base: its near face is where the tape says.
fn place<E: Typed>(
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

/// A distance as a formula adds it and takes it away. What is past an end is written without a sign; what is flush has no distance.
fn distance_text(position: &Position, line: &str) -> (String, String) {
    let (plus, minus) = (format!(" + {line}"), format!(" − {line}"));
    match position.distance.si {
        0.0 => (String::new(), String::new()),
        past if past < 0.0 => (minus, plus),
        _ => (plus, minus),
    }
}

/// Where a part of length `own` lies on a base.
fn on_base(position: &Position, own: f64, base: Extent) -> Extent {
    let distance = position.distance.si;
    match position.edge {
        Edge::Fore => span_of(base.fore + distance, own),
        Edge::Aft => Extent { fore: base.aft - distance - own, aft: base.aft - distance },
    }
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

/// True for kinds that have a fore and an aft station.
#[must_use]
pub(super) fn has_stations(entity_type: &'static EntityType) -> bool {
    COMPUTED.iter().any(|c| c.entity_type() == entity_type && c.name() == "fore_station")
}
