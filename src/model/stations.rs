//! Every part's place on one axis: stations run aft from the nose tip.
//!
//! Sections follow each other by their outside lengths. A part inside one is placed by its tape measure.

use super::extents::{extent, extent_of};
use super::{AnyComputed, Computed, EvalContext, Formula, Outcome};
use crate::design::{
    Addition, BoatTail, Bulkhead, Coupler, Fastening, FinSlots, Fins, Holes, Joint, Lid, MotorMount,
    NoseCone, Protuberance, RailButton, Ring, Rocket, Section, ShearPins, Shoulder, SwitchAccess, SwitchBand,
    Transition, Tube, Vent, boat_tail, coupler, nose_cone, rocket, section, switch_band, transition, tube,
};
use crate::quantity::{Length, Styled};
use crate::vocabulary::{EntityId, EntityType, Id, Ids, Key, Typed};

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
    ADDITION_FORE ADDITION_AFT Addition
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
pub(super) fn sum_of(ctx: &EvalContext<'_>, sections: &[Id<Section>]) -> Formula {
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
    let ends = if ctx.is_recording() { extent_of(ctx, id)? } else { extent(ctx, id)? };
    ctx.record_end(aft);
    Ok(length(ctx, if aft { ends.aft } else { ends.fore }))
}

/// Tells the ends of a part that is placed by its fore end.
pub(super) fn record_from_fore(ctx: &EvalContext<'_>, id: EntityId, fore: &str, own: &str) {
    ctx.record_ends(|| {
        let from = ctx.offered(id, "fore_station");
        let aft = if own.is_empty() { from } else { format!("{from} + {own}") };
        [Formula::Expression(fore.to_owned().into()), Formula::Expression(aft.into())]
    });
}

/// Tells the ends of a part that is placed by its aft end.
pub(super) fn record_from_aft(ctx: &EvalContext<'_>, id: EntityId, aft: &str, own: &str) {
    ctx.record_ends(|| {
        let from = ctx.offered(id, "aft_station");
        let fore = if own.is_empty() { from } else { format!("{from} − {own}") };
        [Formula::Expression(fore.into()), Formula::Expression(aft.to_owned().into())]
    });
}

pub(super) fn length(ctx: &EvalContext<'_>, metres: f64) -> Styled<Length> {
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

pub(super) fn metres<E>(ctx: &EvalContext<'_>, entity: Id<E>, key: Key<E, Length>) -> Outcome<f64> {
    ctx.get(entity, key).map(Length::si)
}

pub(super) fn outside_length(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
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
pub(super) fn section_fore(ctx: &EvalContext<'_>, id: Id<Section>) -> Outcome<f64> {
    let mut station = 0.0;
    for section in sections(ctx)?.iter() {
        if section == id {
            return Ok(station);
        }
        station += ctx.query(section, &OUTSIDE_LENGTH)?.si();
    }
    Err(ctx.refuse("the section is not one of the rocket's"))
}

/// True for kinds that have a fore and an aft station.
#[must_use]
pub(super) fn has_stations(entity_type: &'static EntityType) -> bool {
    COMPUTED.iter().any(|c| c.entity_type() == entity_type && c.name() == "fore_station")
}
