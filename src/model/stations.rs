//! Every part's place on one axis: stations run aft from the nose tip.
//!
//! Sections follow each other by their outside lengths. A part inside one is placed by its tape measure.

use super::extents::{extent, extent_of};
use super::sections::{BODY_DIAMETER, LENGTH, OUTSIDE_LENGTH, length, sections};
use super::{AnyComputed, Computed, EvalContext, Formula, Outcome};
use crate::design::{
    Addition, BoatTail, Bulkhead, Coupler, Fastening, FinSlots, Fins, Holes, Joint, Lid, MotorMount,
    NoseCone, Protuberance, RailButton, Ring, Section, ShearPins, Shoulder, SwitchAccess, SwitchBand,
    Transition, Tube, Vent, nose_cone, section,
};
use crate::quantity::{Length, Styled};
use crate::vocabulary::{EntityId, EntityType, Id};

macro_rules! stations {
    ($( [$fore_doc:literal, $aft_doc:literal] $( $fore:ident $aft:ident $entity_type:ident )* )*) => {
        $($(
            static $fore: Computed<$entity_type, Styled<Length>> = Computed {
                name: "fore_station",
                doc: $fore_doc,
                words: &[],
                formula: Formula::expression("outside lengths of the sections before, and its place in its own"),
                source: "",
                compute: |ctx, id| station(ctx, id.any(), false),
            };
            static $aft: Computed<$entity_type, Styled<Length>> = Computed {
                name: "aft_station",
                doc: $aft_doc,
                words: &[],
                formula: Formula::expression("its fore end and its length"),
                source: "",
                compute: |ctx, id| station(ctx, id.any(), true),
            };
        )*)*

        pub(super) const COMPUTED: &[&dyn AnyComputed] = &[ $($( &$fore, &$aft, )*)* &OUTSIDE_LENGTH, &BODY_DIAMETER, &DISTURBANCE, &LENGTH ];
    };
}

stations! {
    ["Its fore end, measured aft from the nose tip.", "Its aft end, measured aft from the nose tip."]
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
    JOINT_FORE JOINT_AFT Joint
    OUT_FORE OUT_AFT Protuberance
    ["The middle of its hole or holes, measured aft from the nose tip; how wide a hole is does not count.", "The middle of its hole or holes, measured aft from the nose tip: the same as `fore_station`."]
    VENT_FORE VENT_AFT Vent
    PINS_FORE PINS_AFT ShearPins
    FASTENING_FORE FASTENING_AFT Fastening
    BUTTON_FORE BUTTON_AFT RailButton
    HOLES_FORE HOLES_AFT Holes
    ACCESS_FORE ACCESS_AFT SwitchAccess
    ["Where it is, measured aft from the nose tip: what is added is taken as all at one place.", "Where it is, measured aft from the nose tip: the same as `fore_station`."]
    ADDITION_FORE ADDITION_AFT Addition
}

static DISTURBANCE: Computed<Vent, Styled<Length>> = Computed {
    name: "distance_from_disturbance",
    doc: "How far the holes are along the body from what disturbs the air there: the tip of the nose cone (of a cone or an \
          unknown shape its base, where the skin has a corner), the ends of a transition or boat-tail.",
    words: &[],
    formula: Formula::expression("least distance from the holes to a disturbance"),
    source: "",
    compute: disturbance,
};

/// One end of a part.
fn station(ctx: &EvalContext<'_>, id: EntityId, aft: bool) -> Outcome<Styled<Length>> {
    let ends = if ctx.is_recording() { extent_of(ctx, id)? } else { extent(ctx, id)? };
    ctx.record_end(aft);
    Ok(length(ctx, if aft { ends.aft } else { ends.fore }))
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

/// True for types that have a fore and an aft station.
#[must_use]
pub fn has_stations(entity_type: &'static EntityType) -> bool {
    COMPUTED.iter().any(|c| c.entity_type() == entity_type && c.name() == "fore_station")
}
