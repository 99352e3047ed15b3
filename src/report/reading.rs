//! Reading a model for a report: values by key or by name, and in words where one is not known.

use std::fmt;

use crate::language::value_text;
use crate::model::{Access, Model, Named, Outcome, Read, Unknown};
use crate::quantity::{Dimensional, Length, Quantity};
use crate::vocabulary::{EntityId, Id, IdOf, Ids, Key, Typed, Value};
use crate::yaml::clean_line;

/// A model as reports read it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Reading<'m> {
    pub(super) model: &'m Model<'m>,
}

/// A value in words, or why there is none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Cell {
    /// The value.
    Known(String),
    /// There is none, and that is known.
    None,
    /// It is not written down, or cannot be worked out: why.
    NotKnown(String),
}

impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Known(text) => f.write_str(text),
            Self::None => f.write_str("–"),
            Self::NotKnown(_) => f.write_str("not known"),
        }
    }
}

impl<'m> Reading<'m> {
    pub(super) fn new(model: &'m Model<'m>) -> Self {
        Self { model }
    }

    pub(super) fn root(&self) -> EntityId {
        self.model.design().store.root()
    }

    /// A length in the unit that the author writes lengths of parts in.
    pub(super) fn length(&self, metres: f64) -> String {
        self.model.shown(Length::from_si(metres).into()).to_string()
    }

    /// The unit of the author's tape, and how many of it are in a metre.
    pub(super) fn tape(&self) -> (String, f64) {
        let (value, unit) = self.model.shown(Length::from_si(0.1).into()).value_and_unit();
        (unit, value / 0.1)
    }

    pub(super) fn quantity<E: Typed, T: Dimensional>(
        &self,
        id: impl IdOf<E>,
        key: Key<E, T>,
    ) -> Option<Quantity> {
        self.model.quantity(id, key)
    }

    /// A field in SI base units.
    pub(super) fn si<E: Typed, T: Dimensional>(&self, id: impl IdOf<E>, key: Key<E, T>) -> Option<f64> {
        self.quantity(id, key).map(|q| q.si)
    }

    /// How many there are of something.
    pub(super) fn count<E: Typed>(&self, id: impl IdOf<E>, key: Key<E, u32>) -> Option<f64> {
        self.model.get(id, key).map(f64::from)
    }

    /// A part, a reference or a row of a table.
    pub(super) fn part<E: Typed, K>(&self, id: impl IdOf<E>, key: Key<E, Id<K>>) -> Option<Id<K>> {
        self.model.get(id, key)
    }

    pub(super) fn entities<E: Typed, K>(&self, id: impl IdOf<E>, key: Key<E, Ids<K>>) -> Vec<EntityId> {
        self.model.get(id, key).map(|all| all.any().to_vec()).unwrap_or_default()
    }

    pub(super) fn word<E: Typed>(&self, id: impl IdOf<E>, key: Key<E, &'static str>) -> Option<&'static str> {
        self.model.get(id, key)
    }

    /// The entity's own name in the file.
    pub(super) fn name(&self, id: EntityId) -> String {
        self.model.entity(id).map(|e| clean_line(&e.name).into_owned()).unwrap_or_default()
    }

    pub(super) fn path(&self, id: EntityId) -> String {
        clean_line(&self.model.design().store.path(id)).into_owned()
    }

    /// The path without the words that every path of its sort begins with.
    pub(super) fn short_path(&self, id: EntityId) -> String {
        short(&self.path(id)).to_owned()
    }

    /// Reads a quantity by its name: as written, or worked out. `None` where the kind has none of that name.
    pub(super) fn by_name(&self, id: EntityId, name: &str) -> Option<Outcome<Value>> {
        let entity_type = self.model.entity(id)?.entity_type;
        let access = match self.model.catalogue().named(entity_type, name)? {
            Named::Field(slot, _) => Access::Field(slot),
            Named::Computed(number, _) => Access::Computed(number),
            Named::Holder(_) => return None,
        };
        Some(self.model.read(Read { entity: id, access }))
    }

    /// A quantity by its name in SI base units.
    pub(super) fn number(&self, id: EntityId, name: &str) -> Outcome<f64> {
        match self.by_name(id, name) {
            Some(Ok(Value::Quantity(quantity))) => Ok(quantity.si),
            Some(Err(gap)) => Err(gap),
            _ => Err(Unknown::refused(format!("`{name}` is no quantity"), [])),
        }
    }

    /// A quantity by its name, in words.
    pub(super) fn cell(&self, id: EntityId, name: &str) -> Cell {
        let optional = |slot| self.model.has(id, slot) == Ok(false);
        let entity_type = self.model.entity(id).map(|e| e.entity_type);
        if let Some(Named::Field(slot, _)) = entity_type.and_then(|k| self.model.catalogue().named(k, name))
            && optional(slot)
            && !matches!(self.model.field(id, slot), Ok(Value::Truth(_)))
        {
            return Cell::None;
        }
        match self.by_name(id, name) {
            Some(Ok(Value::Entity(one))) => Cell::Known(self.name(one)),
            Some(Ok(Value::Truth(truth))) => Cell::Known(if truth { "yes" } else { "no" }.to_owned()),
            Some(Ok(Value::Position(_))) => match self.written(id, name) {
                Some(text) => Cell::Known(text),
                None => Cell::NotKnown("it is not written down".to_owned()),
            },
            Some(Ok(Value::Entities(all))) => {
                Cell::Known(all.iter().map(|one| self.name(*one)).collect::<Vec<_>>().join(", "))
            }
            Some(Ok(value)) => Cell::Known(clean_line(&value_text(self.model, &value)).into_owned()),
            Some(Err(gap)) => Cell::NotKnown(self.why(&gap)),
            None => Cell::None,
        }
    }

    /// A field as it stands in the file.
    fn written(&self, id: EntityId, name: &str) -> Option<String> {
        let entity = self.model.entity(id)?;
        let place = entity.slot(entity.entity_type.slot(name)?).place?;
        Some(clean_line(self.model.design().source.slice(place)).into_owned())
    }

    /// Why a value is not known, in words.
    pub(super) fn why(&self, gap: &Unknown) -> String {
        let store = &self.model.design().store;
        let mut reasons: Vec<String> =
            gap.refusals().iter().map(|r| clean_line(&r.reason).into_owned()).collect();
        let keys: Vec<String> = gap
            .keys()
            .iter()
            .map(|k| format!("`{}`", clean_line(&store.field_path(k.entity, k.slot))))
            .collect();
        match keys.as_slice() {
            [] => {}
            [one] => reasons.push(format!("{one} is not written down")),
            several => {
                let first = several.get(..3).unwrap_or(several).join(", ");
                let more = if several.len() > 3 {
                    format!(" and {} more", several.len() - 3)
                } else {
                    String::new()
                };
                reasons.push(format!("{first}{more} are not written down"));
            }
        }
        reasons.join("; ")
    }
}

/// A path without the word that every path of its sort begins with.
pub(super) fn short(path: &str) -> &str {
    let groups = ["sections.", "joints.", "recovery.", "wiring."];
    groups.iter().find_map(|group| path.strip_prefix(group)).unwrap_or(path)
}
