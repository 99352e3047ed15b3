//! A computed quantity asking for what it needs.

use std::borrow::Cow;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use std::sync::Arc;

use super::memo::{Artifact, Kept};
use super::{Access, Computed, Gap, Model, Outcome, Read, Step};
use crate::engineering::Unworkable;
use crate::quantity::{ArithmeticError, Quantity, Style, System};
use crate::vocabulary::{EntityId, Key, Value};

/// A computed quantity asking for what it needs; what it asks for becomes its working.
#[derive(Debug)]
pub struct Asking<'m> {
    pub(super) model: &'m Model<'m>,
    pub(super) reads: RefCell<Vec<Read>>,
    pub(super) steps: RefCell<Vec<Step>>,
    /// How many values in customary units and how many in metric ones were asked for.
    pub(super) seen: Cell<(u32, u32)>,
}

impl<'m> Asking<'m> {
    /// The model.
    #[must_use]
    pub fn model(&self) -> &'m Model<'m> {
        self.model
    }

    /// Records that a quantity was asked for.
    pub fn note(&self, read: Read, value: &Outcome<Value>) {
        let mut reads = self.reads.borrow_mut();
        if !reads.contains(&read) {
            reads.push(read);
        }
        // The units of a table's row are its maker's and not the author's.
        if let Ok(Value::Quantity(quantity)) = value
            && !read.entity.is_row()
        {
            self.see(*quantity);
        }
    }

    /// A field.
    ///
    /// # Errors
    /// When it is missing.
    pub fn get(&self, entity: EntityId, key: Key) -> Outcome<Value> {
        let read = Read { entity, access: Access::Field(key.slot) };
        let value = self.model.read(read);
        self.note(read, &value);
        value
    }

    /// A field that is a quantity.
    ///
    /// # Errors
    /// When it is missing.
    pub fn quantity(&self, entity: EntityId, key: Key) -> Outcome<Quantity> {
        match self.get(entity, key)? {
            Value::Quantity(quantity) => Ok(quantity),
            _ => Err(self.refuse("the value is no quantity")),
        }
    }

    /// A field that is a quantity of a dimension known to the compiler.
    ///
    /// # Errors
    /// When it is missing.
    pub fn typed<T: TryFrom<Quantity, Error = ArithmeticError>>(
        &self,
        entity: EntityId,
        key: Key,
    ) -> Outcome<T> {
        self.quantity(entity, key).and_then(|q| T::try_from(q).map_err(|e| self.refuse(e.to_string())))
    }

    /// A field that is a whole number.
    ///
    /// # Errors
    /// When it is missing.
    pub fn count(&self, entity: EntityId, key: Key) -> Outcome<u32> {
        let count = self.quantity(entity, key)?.si;
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "read as a whole number below a million"
        )]
        Ok(count.round() as u32)
    }

    /// A part of a thing, or `None` where none means none.
    ///
    /// # Errors
    /// When it must have one that is not written down.
    pub fn part(&self, entity: EntityId, key: Key) -> Outcome<Option<EntityId>> {
        if !self.model.has(entity, key.slot)? {
            return Ok(None);
        }
        match self.model.field(entity, key.slot)? {
            Value::Entity(id) => Ok(Some(id)),
            _ => Ok(None),
        }
    }

    /// Things named by a field.
    ///
    /// # Errors
    /// When it is missing.
    pub fn things(&self, entity: EntityId, key: Key) -> Outcome<Arc<[EntityId]>> {
        match self.model.field(entity, key.slot)? {
            Value::Entities(all) => Ok(all),
            Value::Entity(one) => Ok(Arc::from([one])),
            _ => Ok(Arc::from([])),
        }
    }

    /// Another computed quantity.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn ask(&self, entity: EntityId, computed: &'static Computed) -> Outcome<Value> {
        let Some(number) = self.model.catalogue().number(computed) else {
            return Err(self.refuse("no such quantity"));
        };
        let read = Read { entity, access: Access::Computed(number) };
        let value = self.model.read(read);
        self.note(read, &value);
        value
    }

    /// Another computed quantity of a dimension known to the compiler.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn ask_typed<T: TryFrom<Quantity, Error = ArithmeticError>>(
        &self,
        entity: EntityId,
        computed: &'static Computed,
    ) -> Outcome<T> {
        match self.ask(entity, computed)? {
            Value::Quantity(quantity) => T::try_from(quantity).map_err(|e| self.refuse(e.to_string())),
            _ => Err(self.refuse("the value is no quantity")),
        }
    }

    /// An artifact; its working becomes part of this one's.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub(super) fn working_of<T: 'static>(
        &self,
        entity: EntityId,
        artifact: &'static Artifact<T>,
    ) -> Outcome<Rc<T>> {
        let kept = self.model.artifact(entity, artifact);
        let mut reads = self.reads.borrow_mut();
        for read in &kept.reads {
            if !reads.contains(read) {
                reads.push(*read);
            }
        }
        self.steps.borrow_mut().extend(kept.steps.iter().cloned());
        let (customary, metric) = self.seen.get();
        self.seen.set((customary + kept.seen.0, metric + kept.seen.1));
        drop(reads);
        self.held(&kept)
    }

    /// An artifact whose working stands elsewhere.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub(super) fn artifact<T: 'static>(
        &self,
        entity: EntityId,
        artifact: &'static Artifact<T>,
    ) -> Outcome<Rc<T>> {
        self.held(&self.model.artifact(entity, artifact))
    }

    fn held<T: 'static>(&self, kept: &Kept) -> Outcome<Rc<T>> {
        let value = kept.value.clone()?;
        value.downcast().map_err(|_| self.refuse("it is of another sort"))
    }

    /// The system of units of most values asked for so far; where they are even, of the whole design.
    #[must_use]
    pub fn system(&self) -> System {
        more_often(self.seen.get()).unwrap_or(self.model.system)
    }

    /// Takes note of the units of a value that is part of another, as the distance of a place.
    pub fn see(&self, quantity: Quantity) {
        self.seen.set(counted(self.seen.get(), quantity.style.system));
    }

    /// Records a step on the way.
    pub fn step(
        &self,
        name: impl Into<Cow<'static, str>>,
        formula: impl Into<Cow<'static, str>>,
        value: impl Into<Quantity>,
    ) {
        let mut value: Quantity = value.into();
        if value.style == Style::default() {
            value.style.system = self.system();
        }
        self.steps.borrow_mut().push(Step { name: name.into(), formula: formula.into(), value });
    }

    /// Records a number that is fixed beforehand, once.
    pub fn fixed(&self, name: &str, what: &'static str, value: Quantity) {
        if !self.steps.borrow().iter().any(|s| s.name == name) {
            self.step(name.to_owned(), what, value);
        }
    }

    /// A gap that says why the values asked for so far make no sense together.
    #[must_use]
    pub fn refuse(&self, reason: impl Into<Arc<str>>) -> Gap {
        Gap::refused(reason, self.reads.borrow().clone())
    }

    /// The result of an engineering function, its error turned into a refusal.
    ///
    /// # Errors
    /// When the function could not be worked.
    pub fn worked<T>(&self, result: Result<T, Unworkable>) -> Outcome<T> {
        result.map_err(|error| self.refuse(error.reason))
    }
}

/// Customary and metric values counted, one more seen.
pub(super) fn counted(seen: (u32, u32), system: System) -> (u32, u32) {
    match system {
        System::Imperial => (seen.0 + 1, seen.1),
        System::Metric => (seen.0, seen.1 + 1),
        System::Unknown => seen,
    }
}

/// The system that was seen more often; none where they are even.
pub(super) fn more_often(seen: (u32, u32)) -> Option<System> {
    match seen.0.cmp(&seen.1) {
        std::cmp::Ordering::Greater => Some(System::Imperial),
        std::cmp::Ordering::Less => Some(System::Metric),
        std::cmp::Ordering::Equal => None,
    }
}
