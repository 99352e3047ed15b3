//! What was measured of a part beside what is stated of it.

use super::joints::computed;
use super::{Access, EvalContext, Computed, Outcome, Read, Type};
use crate::design::IN_HAND;
use crate::quantity::{Dimension as D, Quantity};
use crate::vocabulary::{EntityId, Shape, Value};

computed! {
    /// Whether a size of the part was measured.
    SIZED: "sized" of IN_HAND gives Type::Truth, "as written", "", |asking, id| any(asking, id, D::LENGTH);
    /// Whether the part was weighed.
    WEIGHED: "weighed" of IN_HAND gives Type::Truth, "as written", "", |asking, id| any(asking, id, D::MASS);
    /// The size that lies farthest, as a share of what is stated, from what is stated.
    FARTHEST: "farthest_size" of IN_HAND gives Type::Text, "the key with the greatest |measured / stated − 1|", "", |asking, id| {
        Ok(Value::Text(farthest(asking, id, D::LENGTH)?.name.replace('_', " ").into()))
    };
    /// That size as measured.
    MEASURED_SIZE: "measured_size" of IN_HAND gives Type::Quantity(D::LENGTH), "as measured", "", |asking, id| {
        Ok(Value::Quantity(farthest(asking, id, D::LENGTH)?.measured))
    };
    /// That size as stated.
    STATED_SIZE: "stated_size" of IN_HAND gives Type::Quantity(D::LENGTH), "as stated", "", |asking, id| {
        Ok(Value::Quantity(farthest(asking, id, D::LENGTH)?.stated))
    };
    /// How far that size lies from what is stated, as a share of it.
    SIZE_OFF: "size_off" of IN_HAND gives Type::Quantity(D::NUMBER), "|measured / stated − 1|", "", |asking, id| {
        Ok(Value::Quantity(Quantity::number(farthest(asking, id, D::LENGTH)?.off())))
    };
    /// Its mass as measured.
    MEASURED_MASS: "measured_mass" of IN_HAND gives Type::Quantity(D::MASS), "as measured", "", |asking, id| {
        Ok(Value::Quantity(farthest(asking, id, D::MASS)?.measured))
    };
    /// Its mass as stated.
    STATED_MASS: "stated_mass" of IN_HAND gives Type::Quantity(D::MASS), "as stated", "", |asking, id| {
        Ok(Value::Quantity(farthest(asking, id, D::MASS)?.stated))
    };
    /// How far its mass lies from what is stated, as a share of it.
    MASS_OFF: "mass_off" of IN_HAND gives Type::Quantity(D::NUMBER), "|measured / stated − 1|", "", |asking, id| {
        Ok(Value::Quantity(Quantity::number(farthest(asking, id, D::MASS)?.off())))
    };
}

pub(super) const COMPUTED: &[&Computed] = &[
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

/// A value by a catalogue or a drawing, and by calliper or scales.
struct Pair {
    name: &'static str,
    slot: u16,
    stated: Quantity,
    measured: Quantity,
}

impl Pair {
    fn off(&self) -> f64 {
        (self.measured.si / self.stated.si - 1.0).abs()
    }
}

fn any(asking: &EvalContext<'_>, id: EntityId, dimension: D) -> Outcome<Value> {
    let part = part(asking, id)?;
    let entity = asking.model().entity(part);
    let measured = entity.is_some_and(|entity| {
        (0..).zip(entity.kind.fields).any(|(slot, field)| {
            asking.model().measured(part, slot).is_some()
                && matches!(field.shape, Shape::Measure(found, _) if found == dimension)
        })
    });
    Ok(Value::Truth(measured))
}

fn part(asking: &EvalContext<'_>, id: EntityId) -> Outcome<EntityId> {
    let parent = asking.model().entity(id).and_then(|e| e.parent);
    parent.ok_or_else(|| asking.refuse("nothing is measured here"))
}

/// The values of one dimension that are both stated and measured. None is read but the one that is asked for in the end:
/// the others decide nothing.
fn pairs(asking: &EvalContext<'_>, id: EntityId, dimension: D) -> Outcome<Vec<Pair>> {
    let part = part(asking, id)?;
    let Some(entity) = asking.model().entity(part) else { return Ok(Vec::new()) };
    let mut found = Vec::new();
    for (slot, field) in (0..).zip(entity.kind.fields) {
        let stated = asking.model().measured(part, slot).and_then(|stated| stated.value);
        let Some(stated) = stated.filter(|q| q.dimension == dimension && q.si != 0.0) else { continue };
        if let Value::Quantity(measured) = asking.model().field(part, slot)? {
            found.push(Pair { name: field.name, slot, stated, measured });
        }
    }
    Ok(found)
}

fn farthest(asking: &EvalContext<'_>, id: EntityId, dimension: D) -> Outcome<Pair> {
    let all = pairs(asking, id, dimension)?;
    let found = all.into_iter().reduce(|a, b| if b.off() > a.off() { b } else { a });
    let found = found.ok_or_else(|| asking.refuse("nothing is stated beside what was measured"))?;
    let read = Read { entity: part(asking, id)?, access: Access::Field(found.slot) };
    asking.note(read, &Ok(Value::Quantity(found.measured)));
    asking.step(format!("stated {}", found.name.replace('_', " ")), "by catalogue or drawing", found.stated);
    Ok(found)
}
