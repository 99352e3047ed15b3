//! The fields that refer to other entities, and the collections that they make when read the other way round.

use crate::vocabulary::{EntityType, PART, Shape};

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

/// The entities that refer to one, as a collection of that one.
pub(super) struct Inverse {
    /// The type that is referred to.
    pub(super) target: &'static EntityType,
    /// The name of the collection there.
    pub(super) name: String,
    /// The fields that lead there.
    pub(super) references: Vec<Reference>,
}

impl Inverse {
    /// What the members of the collection are.
    pub(super) fn member(&self) -> &'static EntityType {
        match self.references.as_slice() {
            [one] => one.from,
            _ => &PART,
        }
    }

    /// Which entities belong to it, in words.
    pub(super) fn condition(&self) -> String {
        let mut keys: Vec<&str> = self.references.iter().map(|r| r.key()).collect();
        keys.dedup();
        let keys = keys.iter().map(|key| format!("`{key}`")).collect::<Vec<_>>().join(" or ");
        let types: Vec<String> = self.references.iter().map(|r| r.from.name.replace('_', " ")).collect();
        match self.references.as_slice() {
            [_] => format!("every {} whose {keys} this is", types.concat()),
            _ => format!("every part whose {keys} this is ({})", types.join(", ")),
        }
    }
}

/// The collections of some types, of whatever each is referred to by; references under one name are one collection.
pub(super) fn inverses(all: &[&'static EntityType]) -> Vec<Inverse> {
    let mut found: Vec<Inverse> = Vec::new();
    for from in all {
        for (slot, field) in (0..).zip(from.fields) {
            let (Shape::Refers(target) | Shape::RefersAll(target)) = field.shape else { continue };
            let name = field.inverse.map_or_else(|| from.plural(), str::to_owned);
            let reference = Reference { from, slot };
            match found.iter_mut().find(|other| other.target == target && other.name == name) {
                Some(known) => known.references.push(reference),
                None => found.push(Inverse { target, name, references: vec![reference] }),
            }
        }
    }
    found
}
