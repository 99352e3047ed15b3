//! References the other way round: of each entity, the entities that refer to it.

use super::references::Reference;
use super::{Access, EvalContext, Model, Outcome, Read, both};
use crate::vocabulary::{EntityId, Value};

impl Model<'_> {
    /// Whether a reference of an entity leads to another one.
    ///
    /// # Errors
    /// When it must lead somewhere and nothing is written.
    pub fn refers(&self, id: EntityId, slot: u16, target: Outcome<EntityId>) -> Outcome<bool> {
        if self.has(id, slot) == Ok(false) {
            return Ok(false);
        }
        let (value, target) = both(self.field(id, slot), target)?;
        Ok(match value {
            Value::Entity(one) => one == target,
            Value::Entities(all) => all.contains(&target),
            _ => false,
        })
    }
}

/// The entities that refer to one.
pub(super) fn referring(ctx: &EvalContext<'_>, references: &[Reference], target: EntityId) -> Outcome<Value> {
    let mut found: Outcome<Vec<EntityId>> = Ok(Vec::new());
    for reference in references {
        for id in ctx.model.all_of(reference.from).iter().copied() {
            let read = Read { entity: id, access: Access::Field(reference.slot) };
            let refers = ctx.model.refers(id, reference.slot, Ok(target));
            if refers != Ok(false) {
                ctx.note(read, &ctx.model.read(read));
            }
            found = both(found, refers).map(|(mut found, refers)| {
                found.extend(refers.then_some(id));
                found
            });
        }
    }
    found.map(|found| Value::Entities(found.into()))
}
