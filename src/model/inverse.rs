//! References the other way round: of each entity, the entities that refer to it.

use super::catalogue::{Body, Entry};
use super::{Access, EvalContext, Formula, Model, Outcome, Read, Type, both};
use crate::vocabulary::{EntityId, EntityType, PART, Shape, Value};

/// A field that refers to other entities.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference {
    /// The type that has the field.
    pub from: &'static EntityType,
    /// Its slot.
    pub slot: u16,
}

impl Reference {
    fn key(self) -> &'static str {
        self.from.field(self.slot).map_or("", |field| field.name)
    }
}

/// For each type that something refers to, the collections of what does; references under one name are one collection.
pub(super) fn inverses(all: &[&'static EntityType]) -> Vec<(&'static EntityType, Entry)> {
    let mut found: Vec<(&'static EntityType, String, Vec<Reference>)> = Vec::new();
    for from in all {
        for (slot, field) in (0..).zip(from.fields) {
            let (Shape::Refers(target) | Shape::RefersAll(target)) = field.shape else { continue };
            let name = field.inverse.map_or_else(|| from.plural(), str::to_owned);
            let reference = Reference { from, slot };
            match found.iter_mut().find(|(of, other, _)| *of == target && *other == name) {
                Some((_, _, references)) => references.push(reference),
                None => found.push((target, name, vec![reference])),
            }
        }
    }
    found.into_iter().map(|(target, name, references)| (target, entry(name, references))).collect()
}

fn entry(name: String, references: Vec<Reference>) -> Entry {
    let mut keys: Vec<&str> = references.iter().map(|r| r.key()).collect();
    keys.dedup();
    let keys = keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(" or ");
    let types: Vec<String> = references.iter().map(|r| r.from.name.replace('_', " ")).collect();
    let (member, formula) = match references.as_slice() {
        [one] => (one.from, format!("every {} whose {keys} this is", types.concat())),
        _ => (&PART, format!("every part whose {keys} this is ({})", types.join(", "))),
    };
    Entry {
        name,
        doc: formula.replacen("every", "Every", 1) + ".",
        gives: Type::Entities(member),
        formula: Formula::Condition(formula.replace('`', "").into()),
        far: false,
        source: String::new(),
        body: Body::Inverse(references),
    }
}

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
