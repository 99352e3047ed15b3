//! Every part's place on one axis: stations run aft from the nose tip.
//!
//! Sections follow each other by their outside lengths. A part inside one is placed by its tape measure.

use super::{EvalContext, Computed, Outcome, Type};
use crate::design::{
    BOAT_TAIL, BULKHEAD, COUPLER, FASTENING, FIN_SLOTS, FINS, HOLES, JOINT, LID, MOTOR_MOUNT, NOSE_CONE,
    PROTUBERANCE, RAIL_BUTTON, RING, ROCKET, SECTION, SHEAR_PINS, SHOULDER, SWITCH_ACCESS, SWITCH_BAND,
    TRANSITION, TUBE, VENT, boat_tail, bulkhead, coupler, fastening, fin_slots, fins, lid, motor_mount,
    nose_cone, protuberance, rail_button, ring, rocket, section, shear_pins, shoulder, switch_access,
    switch_band, transition, tube, vent,
};
use crate::quantity::{Dimension as D, Length, Quantity};
use crate::vocabulary::{Edge, EntityId, Key, Kind, Position, Value};

/// The fore and the aft end of a part, in metres aft of the nose tip.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    pub(super) fore: f64,
    pub(super) aft: f64,
}

macro_rules! stations {
    ($( $fore:ident $aft:ident $kind:ident )*) => {
        $(
            static $fore: Computed = Computed {
                kind: &$kind,
                name: "fore_station",
                doc: "Its fore end, measured aft from the nose tip.",
                gives: Type::Quantity(D::LENGTH),
                formula: "outside lengths of the sections before, and its place in its own",
                source: "",
                compute: |asking, id| extent(asking, id).map(|e| length(asking, e.fore)),
            };
            static $aft: Computed = Computed {
                kind: &$kind,
                name: "aft_station",
                doc: "Its aft end, measured aft from the nose tip.",
                gives: Type::Quantity(D::LENGTH),
                formula: "its fore end and its length",
                source: "",
                compute: |asking, id| extent(asking, id).map(|e| length(asking, e.aft)),
            };
        )*

        pub(super) const COMPUTED: &[&Computed] = &[ $( &$fore, &$aft, )* &OUTSIDE_LENGTH, &BODY_DIAMETER, &DISTURBANCE, &LENGTH ];
    };
}

stations! {
    SECTION_FORE SECTION_AFT SECTION
    NOSE_FORE NOSE_AFT NOSE_CONE
    SHOULDER_FORE SHOULDER_AFT SHOULDER
    TUBE_FORE TUBE_AFT TUBE
    COUPLER_FORE COUPLER_AFT COUPLER
    BAND_FORE BAND_AFT SWITCH_BAND
    TRANSITION_FORE TRANSITION_AFT TRANSITION
    BOAT_TAIL_FORE BOAT_TAIL_AFT BOAT_TAIL
    BULKHEAD_FORE BULKHEAD_AFT BULKHEAD
    LID_FORE LID_AFT LID
    RING_FORE RING_AFT RING
    MOUNT_FORE MOUNT_AFT MOTOR_MOUNT
    SLOTS_FORE SLOTS_AFT FIN_SLOTS
    FINS_FORE FINS_AFT FINS
    VENT_FORE VENT_AFT VENT
    PINS_FORE PINS_AFT SHEAR_PINS
    FASTENING_FORE FASTENING_AFT FASTENING
    BUTTON_FORE BUTTON_AFT RAIL_BUTTON
    JOINT_FORE JOINT_AFT JOINT
    HOLES_FORE HOLES_AFT HOLES
    ACCESS_FORE ACCESS_AFT SWITCH_ACCESS
    OUT_FORE OUT_AFT PROTUBERANCE
}

pub(super) static OUTSIDE_LENGTH: Computed = Computed {
    kind: &SECTION,
    name: "outside_length",
    doc: "The length of the section that shows when the rocket is joined.",
    gives: Type::Quantity(D::LENGTH),
    formula: "nose cone + tube (or switch band, for a bay in a coupler) + transition + boat-tail",
    source: "",
    compute: |asking, id| outside_length(asking, id).map(|l| length(asking, l)),
};

pub(super) static BODY_DIAMETER: Computed = Computed {
    kind: &SECTION,
    name: "body_diameter",
    doc: "The outside diameter of the section.",
    gives: Type::Quantity(D::LENGTH),
    formula: "outer diameter of its tube, else of its switch band, nose cone, transition or coupler",
    source: "",
    compute: |asking, id| {
        for (part, key) in [
            (section::tube, tube::outer_diameter),
            (section::switch_band, switch_band::outer_diameter),
            (section::nose_cone, nose_cone::outer_diameter),
            (section::transition, transition::aft_diameter),
            (section::coupler, coupler::outer_diameter),
        ] {
            if let Some(part) = asking.part(id, part)?
                && asking.model().has(part, key.slot) != Ok(false)
            {
                return asking.get(part, key);
            }
        }
        Err(asking.refuse("the section has neither tube, coupler nor nose cone"))
    },
};

pub(super) static LENGTH: Computed = Computed {
    kind: &ROCKET,
    name: "length",
    doc: "The length of the rocket from nose tip to the aft end of its last section.",
    gives: Type::Quantity(D::LENGTH),
    formula: "sum of the outside lengths of the sections",
    source: "",
    compute: |asking, _| {
        let mut total = Ok(0.0);
        for section in sections(asking)?.iter() {
            let one = asking.ask_typed::<Length>(*section, &OUTSIDE_LENGTH);
            total = super::both(total, one).map(|(t, l)| t + l.si());
        }
        total.map(|metres| length(asking, metres))
    },
};

static DISTURBANCE: Computed = Computed {
    kind: &VENT,
    name: "distance_from_disturbance",
    doc: "How far the holes are from the nearest thing that disturbs the air along the body: the base of the nose cone, \
          the ends of a transition or boat-tail, a rail button.",
    gives: Type::Quantity(D::LENGTH),
    formula: "least of |station of the holes − station of the disturbance|",
    source: "",
    compute: disturbance,
};

fn length(asking: &EvalContext<'_>, metres: f64) -> Value {
    let mut quantity = Quantity::from(Length::from_si(metres));
    quantity.style.system = asking.system();
    Value::Quantity(quantity)
}

fn disturbance(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Value> {
    let here = extent(asking, id)?.fore;
    let mut nearest: Option<f64> = None;
    let mut consider = |station: f64| {
        let distance = (station - here).abs();
        nearest = Some(nearest.map_or(distance, |n: f64| n.min(distance)));
    };
    for section in sections(asking)?.iter() {
        if let Some(nose) = asking.part(*section, section::nose_cone)? {
            consider(extent(asking, nose)?.aft);
        }
        for key in [section::transition, section::boat_tail] {
            if let Some(part) = asking.part(*section, key)? {
                let ends = extent(asking, part)?;
                consider(ends.fore);
                consider(ends.aft);
            }
        }
        for button in asking.things(*section, section::rail_buttons)?.iter() {
            consider(extent(asking, *button)?.fore);
        }
    }
    nearest.map(|n| length(asking, n)).ok_or_else(|| asking.refuse("nothing on the body disturbs the air"))
}

pub(super) fn sections(asking: &EvalContext<'_>) -> Outcome<std::sync::Arc<[EntityId]>> {
    asking.things(asking.model().root(), rocket::sections)
}

fn metres(asking: &EvalContext<'_>, entity: EntityId, key: Key) -> Outcome<f64> {
    asking.typed::<Length>(entity, key).map(Length::si)
}

fn outside_length(asking: &EvalContext<'_>, id: EntityId) -> Outcome<f64> {
    let mut total = 0.0;
    if let Some(nose) = asking.part(id, section::nose_cone)? {
        total += metres(asking, nose, nose_cone::length)?;
    }
    if let Some(body) = asking.part(id, section::tube)? {
        total += metres(asking, body, tube::length)?;
    } else if let Some(band) = asking.part(id, section::switch_band)? {
        total += metres(asking, band, switch_band::length)?;
    }
    if let Some(part) = asking.part(id, section::transition)? {
        total += metres(asking, part, transition::length)?;
    }
    if let Some(tail) = asking.part(id, section::boat_tail)? {
        total += metres(asking, tail, boat_tail::length)?;
    }
    Ok(total)
}

/// Where the section begins: after the outside lengths of those before it.
fn section_fore(asking: &EvalContext<'_>, id: EntityId) -> Outcome<f64> {
    let mut station = 0.0;
    for section in sections(asking)?.iter() {
        if *section == id {
            return Ok(station);
        }
        station += asking.ask_typed::<Length>(*section, &OUTSIDE_LENGTH)?.si();
    }
    Err(asking.refuse("the section is not one of the rocket's"))
}

fn span_of(fore: f64, length: f64) -> Extent {
    Extent { fore, aft: fore + length }
}

/// The fore and aft end of a part.
pub(super) fn extent(asking: &EvalContext<'_>, id: EntityId) -> Outcome<Extent> {
    let model = asking.model();
    let Some(entity) = model.entity(id) else { return Err(asking.refuse("there is no such part")) };
    let (kind, parent) = (entity.kind, entity.parent);
    let holder = |kind| model.holder(id, kind).ok_or_else(|| asking.refuse("the part stands in no section"));
    if kind == &SECTION {
        return Ok(span_of(section_fore(asking, id)?, outside_length(asking, id)?));
    }
    if kind == &JOINT {
        return super::joints::overlap(asking, id);
    }
    if kind == &SHEAR_PINS || kind == &FASTENING {
        let key = if kind == &SHEAR_PINS { shear_pins::at } else { fastening::at };
        let joint = parent.ok_or_else(|| asking.refuse("the pins stand in no joint"))?;
        let socket = super::joints::meeting(asking, joint)?.socket;
        return place(asking, id, key, 0.0, extent(asking, socket)?);
    }
    if kind == &HOLES {
        return extent(asking, parent.ok_or_else(|| asking.refuse("the holes come with nothing"))?);
    }
    let section =
        if kind == &SWITCH_ACCESS { super::holes::access_section(asking, id)? } else { holder(&SECTION)? };
    let body = |part: Option<&str>| base(asking, section, part);
    let placed = |key: Key, own: f64| {
        let of = position(asking, id, key)?.of;
        place(asking, id, key, own, body(of.as_deref())?)
    };
    if kind == &NOSE_CONE {
        Ok(span_of(section_fore(asking, section)?, metres(asking, id, nose_cone::length)?))
    } else if kind == &TUBE {
        match model.holder(id, &MOTOR_MOUNT) {
            Some(mount) => extent(asking, mount),
            None => Ok(span_of(after_nose(asking, section)?, metres(asking, id, tube::length)?)),
        }
    } else if kind == &SWITCH_BAND {
        Ok(span_of(after_nose(asking, section)?, metres(asking, id, switch_band::length)?))
    } else if kind == &COUPLER {
        coupler_extent(asking, section, id)
    } else if kind == &TRANSITION {
        Ok(span_of(after_body(asking, section)?, metres(asking, id, transition::length)?))
    } else if kind == &BOAT_TAIL {
        let mut fore = after_body(asking, section)?;
        if let Some(part) = asking.part(section, section::transition)? {
            fore += metres(asking, part, transition::length)?;
        }
        Ok(span_of(fore, metres(asking, id, boat_tail::length)?))
    } else if kind == &SHOULDER {
        shoulder_extent(asking, id, parent)
    } else if kind == &LID {
        lid_extent(asking, section, id)
    } else if kind == &MOTOR_MOUNT {
        let aft = placed(motor_mount::aft_end, 0.0)?.aft;
        let Some(tube) = asking.part(id, motor_mount::tube)? else {
            // The body tube is the motor tube: it begins where the body does.
            return Ok(Extent { fore: extent(asking, super::bonds::mount_tube(asking, id)?)?.fore, aft });
        };
        let own = metres(asking, tube, tube::length)?;
        Ok(Extent { fore: aft - own, aft })
    } else if kind == &FIN_SLOTS {
        let aft = placed(fin_slots::aft_end, 0.0)?.aft;
        Ok(Extent { fore: aft - metres(asking, id, fin_slots::length)?, aft })
    } else if kind == &FINS {
        let aft = placed(fins::aft_end, 0.0)?.aft;
        Ok(Extent { fore: aft - metres(asking, id, fins::root_chord)?, aft })
    } else if kind == &BULKHEAD {
        let own = metres(asking, id, bulkhead::thickness)?;
        placed(bulkhead::at, own)
    } else if kind == &RING {
        let own = metres(asking, id, ring::thickness)?;
        placed(ring::at, own)
    } else if kind == &PROTUBERANCE {
        let own = metres(asking, id, protuberance::length)?;
        placed(protuberance::at, own)
    } else if kind == &VENT {
        placed(vent::at, 0.0)
    } else if kind == &SWITCH_ACCESS {
        placed(switch_access::at, 0.0)
    } else if kind == &RAIL_BUTTON {
        placed(rail_button::at, 0.0)
    } else {
        Err(asking.refuse("the part has no place along the rocket"))
    }
}

fn after_nose(asking: &EvalContext<'_>, section: EntityId) -> Outcome<f64> {
    let fore = section_fore(asking, section)?;
    match asking.part(section, section::nose_cone)? {
        Some(nose) => Ok(fore + metres(asking, nose, nose_cone::length)?),
        None => Ok(fore),
    }
}

fn after_body(asking: &EvalContext<'_>, section: EntityId) -> Outcome<f64> {
    let fore = after_nose(asking, section)?;
    if let Some(body) = asking.part(section, section::tube)? {
        Ok(fore + metres(asking, body, tube::length)?)
    } else if let Some(band) = asking.part(section, section::switch_band)? {
        Ok(fore + metres(asking, band, switch_band::length)?)
    } else {
        Ok(fore)
    }
}

fn coupler_extent(asking: &EvalContext<'_>, section: EntityId, id: EntityId) -> Outcome<Extent> {
    let own = metres(asking, id, coupler::length)?;
    if let Some(body) = asking.part(section, section::tube)? {
        let body = extent(asking, body)?;
        let end = asking.get(id, coupler::end)?;
        let out = metres(asking, id, coupler::stands_out)?;
        return Ok(if end == Value::Word("fore") {
            span_of(body.fore - out, own)
        } else {
            Extent { fore: body.aft + out - own, aft: body.aft + out }
        });
    }
    let Some(band) = asking.part(section, section::switch_band)? else {
        return Ok(span_of(after_nose(asking, section)? - own / 2.0, own));
    };
    let width = metres(asking, band, switch_band::length)?;
    let band_fore = after_nose(asking, section)?;
    if asking.model().has(band, switch_band::at.slot) == Ok(true) {
        // The band's place on the coupler, with the coupler taken to begin at zero.
        let on = place(asking, band, switch_band::at, width, span_of(0.0, own))?;
        return Ok(span_of(band_fore - on.fore, own));
    }
    Ok(span_of(band_fore - (own - width) / 2.0, own))
}

fn shoulder_extent(asking: &EvalContext<'_>, id: EntityId, parent: Option<EntityId>) -> Outcome<Extent> {
    let own = metres(asking, id, shoulder::length)?;
    let parent = parent.ok_or_else(|| asking.refuse("the shoulder stands on nothing"))?;
    let on = extent(asking, parent)?;
    let model = asking.model();
    let fore = model.entity(id).is_some_and(|e| &*e.name == "fore_shoulder");
    Ok(if fore { span_of(on.fore - own, own) } else { span_of(on.aft, own) })
}

fn lid_extent(asking: &EvalContext<'_>, section: EntityId, id: EntityId) -> Outcome<Extent> {
    let coupler = asking.part(section, section::coupler)?;
    let coupler = coupler.ok_or_else(|| asking.refuse("a lid closes a coupler, and the section has none"))?;
    let (coupler, own) = (extent(asking, coupler)?, metres(asking, id, lid::thickness)?);
    let recess = match asking.model().has(id, lid::recess.slot) {
        Ok(true) => metres(asking, id, lid::recess)?,
        _ => 0.0,
    };
    let name = asking.model().entity(id).map(|e| e.name.to_string()).unwrap_or_default();
    match name.as_str() {
        "fore" => Ok(span_of(coupler.fore + recess - own, own)),
        "aft" => Ok(span_of(coupler.aft - recess, own)),
        _ => Err(asking.refuse("a lid is named `fore` or `aft`")),
    }
}

fn position(asking: &EvalContext<'_>, id: EntityId, key: Key) -> Outcome<Position> {
    match asking.get(id, key)? {
        Value::Position(position) => Ok(position),
        _ => Err(asking.refuse("this is no place on a part")),
    }
}

/// A part of length `own` placed on a base: its near face is where the tape says.
fn place(asking: &EvalContext<'_>, id: EntityId, key: Key, own: f64, base: Extent) -> Outcome<Extent> {
    let position = position(asking, id, key)?;
    let distance = position.distance.si;
    asking.see(position.distance);
    Ok(match position.edge {
        Edge::Fore => span_of(base.fore + distance, own),
        Edge::Aft => Extent { fore: base.aft - distance - own, aft: base.aft - distance },
    })
}

/// The part of a section that a tape is laid along: the named one, or the main body.
fn base(asking: &EvalContext<'_>, section: EntityId, part: Option<&str>) -> Outcome<Extent> {
    const PARTS: &[(&str, Key)] = &[
        ("tube", section::tube),
        ("coupler", section::coupler),
        ("switch_band", section::switch_band),
        ("nose_cone", section::nose_cone),
        ("transition", section::transition),
        ("boat_tail", section::boat_tail),
    ];
    match part {
        None => {
            for key in [section::tube, section::coupler, section::nose_cone, section::transition] {
                if let Some(body) = asking.part(section, key)? {
                    return extent(asking, body);
                }
            }
            Err(asking.refuse("the section has neither tube, coupler nor nose cone"))
        }
        Some("shoulder") => {
            let nose = asking.part(section, section::nose_cone)?;
            let nose = nose.ok_or_else(|| asking.refuse("`of shoulder`: the section has no nose cone"))?;
            let shoulder = asking.part(nose, nose_cone::shoulder)?;
            extent(asking, shoulder.ok_or_else(|| asking.refuse("the nose cone has no shoulder"))?)
        }
        Some("motor_tube") => {
            let mount = asking.part(section, section::motor_mount)?;
            extent(
                asking,
                mount.ok_or_else(|| asking.refuse("`of motor_tube`: the section has no motor mount"))?,
            )
        }
        Some(name) => {
            let Some((_, key)) = PARTS.iter().find(|(n, _)| *n == name) else {
                let known: Vec<&str> =
                    PARTS.iter().map(|(n, _)| *n).chain(["shoulder", "motor_tube"]).collect();
                let near = crate::vocabulary::suggest(name, known.iter().copied());
                let help = near.map_or_else(
                    || format!("it is one of {}", known.join(", ")),
                    |n| format!("did you mean `{n}`?"),
                );
                return Err(asking.refuse(format!("`of {name}` names no part of a section; {help}")));
            };
            let found = asking.part(section, *key)?;
            let found = found.ok_or_else(|| asking.refuse(format!("`of {name}`: the section has none")))?;
            extent(asking, found)
        }
    }
}

/// True for kinds that have a fore and an aft station.
#[must_use]
pub(super) fn has_stations(kind: &'static Kind) -> bool {
    COMPUTED.iter().any(|c| c.kind == kind && c.name == "fore_station")
}
