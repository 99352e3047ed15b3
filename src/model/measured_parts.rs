//! What was measured of a part beside what is stated of it.

use std::sync::Arc;

use super::computed::computed;
use super::{Access, AnyComputed, EvalContext, Formula, Outcome, Read};
use crate::design::InHand;
use crate::quantity::{Dimension, Dimensional, Length, Mass, Styled};
use crate::vocabulary::{Decode, EntityId, Id, Shape, Value};

computed! {
    /// Whether a size of the part was measured.
    SIZED: "sized" of InHand gives bool, Formula::condition("as written"), "", |ctx, id| any(ctx, id, Dimension::LENGTH);
    /// Whether the part was weighed.
    WEIGHED: "weighed" of InHand gives bool, Formula::condition("as written"), "", |ctx, id| any(ctx, id, Dimension::MASS);
    /// The name of the size that lies farthest from what is stated, as a share of it.
    FARTHEST: "farthest_size" of InHand gives Arc<str>, Formula::condition("the key with the greatest |measured / stated − 1|"), "", |ctx, id| {
        Ok(farthest::<Length>(ctx, id)?.name.replace('_', " ").into())
    };
    /// That size as measured.
    MEASURED_SIZE: "measured_size" of InHand gives Styled<Length>, Formula::choice("{measured}, the size that lies farthest from what is stated"), "", |ctx, id| {
        Ok(farthest::<Length>(ctx, id)?.measured)
    };
    /// That size as stated.
    STATED_SIZE: "stated_size" of InHand gives Styled<Length>, Formula::choice("{stated}, beside what was measured"), "", |ctx, id| {
        Ok(farthest::<Length>(ctx, id)?.stated)
    };
    /// How far that size lies from what is stated, as a share of it.
    SIZE_OFF: "size_off" of InHand gives f64, Formula::expression("|{measured} / {stated} − 1|"), "", |ctx, id| {
        Ok(farthest::<Length>(ctx, id)?.off())
    };
    /// Its mass as measured.
    MEASURED_MASS: "measured_mass" of InHand gives Styled<Mass>, Formula::choice("{measured}, the mass that lies farthest from what is stated"), "", |ctx, id| {
        Ok(farthest::<Mass>(ctx, id)?.measured)
    };
    /// Its mass as stated.
    STATED_MASS: "stated_mass" of InHand gives Styled<Mass>, Formula::choice("{stated}, beside what was measured"), "", |ctx, id| {
        Ok(farthest::<Mass>(ctx, id)?.stated)
    };
    /// How far its mass lies from what is stated, as a share of it.
    MASS_OFF: "mass_off" of InHand gives f64, Formula::expression("|{measured} / {stated} − 1|"), "", |ctx, id| {
        Ok(farthest::<Mass>(ctx, id)?.off())
    };
}

pub(super) const COMPUTED: &[&dyn AnyComputed] = &[
    &SIZED,
    &WEIGHED,
    &FARTHEST,
    &MEASURED_SIZE,
    &STATED_SIZE,
    &SIZE_OFF,
    &MEASURED_MASS,
    &STATED_MASS,
    &MASS_OFF,
];

/// What a calliper in a workshop and a rounded number make by themselves, in metres.
const READING: f64 = 1e-4;

/// A value by a catalogue or a drawing, and by calliper or scales.
struct Pair<T> {
    name: &'static str,
    slot: u16,
    stated: Styled<T>,
    measured: Styled<T>,
}

impl<T: Dimensional> Pair<T> {
    fn off(&self) -> f64 {
        (self.measured.value().si() / self.stated.value().si() - 1.0).abs()
    }

    /// The same for telling which pair lies farthest: what a calliper and a rounded number make by themselves hides no other.
    fn off_beyond_reading(&self) -> f64 {
        let apart = (self.measured.value().si() - self.stated.value().si()).abs();
        if T::DIMENSION == Dimension::LENGTH && apart <= READING { 0.0 } else { self.off() }
    }
}

fn any(ctx: &EvalContext<'_>, id: Id<InHand>, dimension: Dimension) -> Outcome<bool> {
    let part = part(ctx, id)?;
    let entity = ctx.model().entity(part);
    Ok(entity.is_some_and(|entity| {
        (0..).zip(entity.entity_type.fields).any(|(slot, field)| {
            ctx.model().measured(part, slot).is_some()
                && matches!(field.shape, Shape::Measure(found, _) if found == dimension)
        })
    }))
}

fn part(ctx: &EvalContext<'_>, id: Id<InHand>) -> Outcome<EntityId> {
    ctx.parent(id).ok_or_else(|| ctx.refuse("nothing is measured here"))
}

/// The values of one dimension that are both stated and measured. None is read but the one that is asked for in the end:
/// the others decide nothing.
fn pairs<T: Dimensional>(ctx: &EvalContext<'_>, id: Id<InHand>) -> Outcome<Vec<Pair<T>>> {
    let part = part(ctx, id)?;
    let Some(entity) = ctx.model().entity(part) else { return Ok(Vec::new()) };
    let mut found = Vec::new();
    for (slot, field) in (0..).zip(entity.entity_type.fields) {
        let stated = ctx.model().measured(part, slot).and_then(|stated| Styled::of(stated.value?));
        let Some(stated) = stated.filter(|stated: &Styled<T>| stated.value().si() != 0.0) else { continue };
        if let Some(measured) = Styled::decode(&ctx.model().field(part, slot)?) {
            found.push(Pair { name: field.name, slot, stated, measured });
        }
    }
    Ok(found)
}

fn farthest<T: Dimensional>(ctx: &EvalContext<'_>, id: Id<InHand>) -> Outcome<Pair<T>> {
    let all = pairs(ctx, id)?;
    let found =
        all.into_iter().reduce(|a, b| if b.off_beyond_reading() > a.off_beyond_reading() { b } else { a });
    let found = found.ok_or_else(|| ctx.refuse("nothing is both stated and measured"))?;
    let read = Read { entity: part(ctx, id)?, access: Access::Field(found.slot) };
    ctx.note(read, &Ok(Value::Quantity(found.measured.quantity())));
    if ctx.is_recording() {
        let measured = ctx.line(read.entity, found.name);
        ctx.step(
            "measured",
            || Formula::Choice(format!("{measured}, by calliper or scales").into()),
            found.measured,
        );
        ctx.step("stated", || Formula::fixed("by catalogue or drawing"), found.stated);
    }
    Ok(found)
}
