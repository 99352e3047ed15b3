//! The sections one behind the other: how long and how wide they are, and where each begins.

use super::computed::computed;
use super::{Computed, EvalContext, Formula, Outcome, both};
use crate::design::{
    Rocket, Section, boat_tail, coupler, nose_cone, rocket, section, switch_band, transition, tube,
};
use crate::quantity::{Length, Styled};
use crate::vocabulary::{EntityId, Id, Ids, Key, Typed};

pub(super) fn sections(ctx: &EvalContext<'_>) -> Outcome<Ids<Section>> {
    ctx.entities(ctx.rocket(), rocket::sections)
}

/// The sections, for a working.
pub(super) fn sections_or_none(ctx: &EvalContext<'_>) -> Vec<Id<Section>> {
    sections(ctx).map(|all| all.iter().collect()).unwrap_or_default()
}

pub(super) static OUTSIDE_LENGTH: Computed<Section, Styled<Length>> = Computed {
    name: "outside_length",
    doc: "The length of the section that shows when the rocket is joined.",
    words: &[],
    formula: Formula::expression("lengths of what shows of it, added up"),
    source: "",
    compute: |ctx, id| outside_length(ctx, id).map(|l| length(ctx, l)),
};

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
            total = both(total, one).map(|(t, l)| t + l.si());
        }
        ctx.formula(|| sum_of(ctx, &sections_or_none(ctx)));
        total.map(|metres| length(ctx, metres))
    },
};

/// The outside lengths of sections, added up.
pub(super) fn sum_of(ctx: &EvalContext<'_>, sections: &[Id<Section>]) -> Formula {
    let terms: Vec<String> = sections.iter().map(|one| ctx.line(*one, OUTSIDE_LENGTH.name)).collect();
    if terms.is_empty() {
        return Formula::fixed("the nose tip, from which stations are measured");
    }
    Formula::Expression(terms.join(" + ").into())
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

pub(super) fn metres<E>(ctx: &EvalContext<'_>, entity: Id<E>, key: Key<E, Length>) -> Outcome<f64> {
    ctx.get(entity, key).map(Length::si)
}

pub(super) fn length(ctx: &EvalContext<'_>, metres: f64) -> Styled<Length> {
    Styled::in_system(Length::from_si(metres), ctx.system())
}

computed! {
    /// The largest outside diameter of the body: one calibre.
    CALIBRE: "calibre" of Rocket gives Length,
        Formula::expression("greatest of the outside diameters of the sections"), "", calibre;
}

fn calibre(ctx: &EvalContext<'_>, _: Id<Rocket>) -> Outcome<Length> {
    let mut largest: Outcome<f64> = Ok(0.0);
    for section in sections(ctx)?.iter() {
        let one = ctx.query(section, &BODY_DIAMETER);
        largest = both(largest, one).map(|(so_far, d)| so_far.max(d.si()));
    }
    ctx.formula(|| {
        let all = sections_or_none(ctx);
        let lines: Vec<String> = all.iter().map(|one| ctx.line(*one, BODY_DIAMETER.name)).collect();
        Formula::Expression(format!("greatest of ({})", lines.join(", ")).into())
    });
    Ok(Length::from_si(largest?))
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
