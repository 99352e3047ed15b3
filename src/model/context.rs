//! The context in which a computed quantity asks for what it needs.

use std::borrow::Cow;
use std::rc::Rc;
use std::sync::Arc;

use super::artifact::Artifact;
use super::memo::CachedArtifact;
use super::unit_systems::{counted, majority};
use super::{
    Access, Computable, ComputationStep, Computed, EvalContext, Formula, Model, Named, Outcome, Read, Unknown,
};
use crate::design::Rocket;
use crate::engineering::Unworkable;
use crate::quantity::{Dimensional, Quantity, Style, Styled, System};
use crate::vocabulary::{Decode, EntityId, Id, Ids, Key, Typed, Value};

impl<'m> EvalContext<'m> {
    /// The model.
    #[must_use]
    pub fn model(&self) -> &'m Model<'m> {
        self.model
    }

    /// The rocket.
    #[must_use]
    pub fn rocket(&self) -> Id<Rocket> {
        self.model.rocket()
    }

    /// Every entity of a type, in the order of the file.
    #[must_use]
    pub fn every<E: Typed>(&self) -> Vec<Id<E>> {
        self.model.every()
    }

    /// An entity as one of a type that the compiler knows; `None` where it is of another.
    #[must_use]
    pub fn as_a<E: Typed>(&self, id: impl Into<EntityId>) -> Option<Id<E>> {
        self.model.as_a(id.into())
    }

    /// The nearest entity of a type that holds this one.
    #[must_use]
    pub fn holder<E: Typed>(&self, id: impl Into<EntityId>) -> Option<Id<E>> {
        self.model.holder(id.into(), E::TYPE).map(Id::trusted)
    }

    /// The entity that this one is written in.
    #[must_use]
    pub fn parent(&self, id: impl Into<EntityId>) -> Option<EntityId> {
        self.model.entity(id.into())?.parent
    }

    /// The entity that this one is written in, where it is of a type.
    #[must_use]
    pub fn parent_as<E: Typed>(&self, id: impl Into<EntityId>) -> Option<Id<E>> {
        self.as_a(self.parent(id)?)
    }

    /// The name of an entity in the file.
    #[must_use]
    pub fn name(&self, id: impl Into<EntityId>) -> String {
        self.model.entity(id.into()).map(|e| e.name.to_string()).unwrap_or_default()
    }

    /// Records that a quantity was asked for.
    pub fn note(&self, read: Read, value: &Outcome<Value>) {
        if self.is_quiet() {
            return;
        }
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

    fn field<E, T, U: Decode>(&self, id: Id<E>, key: Key<E, T>) -> Outcome<U> {
        let read = Read { entity: id.any(), access: Access::Field(key.slot) };
        let value = self.model.read(read);
        self.note(read, &value);
        self.decoded(&value?)
    }

    /// The one place where a value becomes what the compiler takes it for.
    fn decoded<T: Decode>(&self, value: &Value) -> Outcome<T> {
        T::decode(value).ok_or_else(|| self.refuse("the value is of another type"))
    }

    /// A field.
    ///
    /// ```
    /// use holdpoint::{design::{Tube, tube}, model::{EvalContext, Outcome}, quantity::Length, vocabulary::Id};
    /// fn of_a_tube(ctx: &EvalContext<'_>, id: Id<Tube>) -> Outcome<Length> {
    ///     ctx.get(id, tube::inner_diameter)
    /// }
    /// ```
    ///
    /// The fins have no inner diameter:
    ///
    /// ```compile_fail,E0308
    /// use holdpoint::{design::{Fins, tube}, model::{EvalContext, Outcome}, quantity::Length, vocabulary::Id};
    /// fn of_fins(ctx: &EvalContext<'_>, id: Id<Fins>) -> Outcome<Length> {
    ///     ctx.get(id, tube::inner_diameter)
    /// }
    /// ```
    ///
    /// And a length is no mass:
    ///
    /// ```compile_fail,E0308
    /// use holdpoint::{design::{Tube, tube}, model::{EvalContext, Outcome}, quantity::Mass, vocabulary::Id};
    /// fn of_a_tube(ctx: &EvalContext<'_>, id: Id<Tube>) -> Outcome<Mass> {
    ///     ctx.get(id, tube::inner_diameter)
    /// }
    /// ```
    ///
    /// # Errors
    /// When it is missing.
    pub fn get<E, T: Decode>(&self, id: Id<E>, key: Key<E, T>) -> Outcome<T> {
        self.field(id, key)
    }

    /// A field that is a quantity, with the author's unit: for a value that is passed on as it is written.
    ///
    /// # Errors
    /// When it is missing.
    pub fn quantity<E, T: Dimensional>(&self, id: Id<E>, key: Key<E, T>) -> Outcome<Styled<T>> {
        self.field(id, key)
    }

    /// A field that is looked at on the way and is no part of the working.
    ///
    /// # Errors
    /// When it is missing.
    pub fn peek<E, T: Decode>(&self, id: Id<E>, key: Key<E, T>) -> Outcome<T> {
        self.decoded(&self.model.field(id.any(), key.slot)?)
    }

    /// Whether an entity has a part or a value: false where none is written and none means none.
    ///
    /// # Errors
    /// When it must have one that is not written down.
    pub fn has<E, T>(&self, id: Id<E>, key: Key<E, T>) -> Outcome<bool> {
        self.model.has(id.any(), key.slot)
    }

    /// A part of an entity, or `None` where none means none.
    ///
    /// # Errors
    /// When it must have one that is not written down.
    pub fn part<E, K>(&self, id: Id<E>, key: Key<E, Id<K>>) -> Outcome<Option<Id<K>>> {
        self.model.part(id.any(), key.slot)?.map(|value| self.decoded(&value)).transpose()
    }

    /// Entities named by a field.
    ///
    /// # Errors
    /// When it is missing.
    pub fn entities<E, K>(&self, id: Id<E>, key: Key<E, Ids<K>>) -> Outcome<Ids<K>> {
        self.peek(id, key)
    }

    fn computed<E: Typed, A: Computable, U: Decode>(
        &self,
        id: Id<E>,
        computed: &'static Computed<E, A>,
    ) -> Outcome<U> {
        let Some(number) = self.model.catalogue().number(computed) else {
            return Err(self.refuse("no such quantity"));
        };
        let read = Read { entity: id.any(), access: Access::Computed(number) };
        let value = self.model.read(read);
        self.note(read, &value);
        self.decoded(&value?)
    }

    /// Another computed quantity.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn query<E: Typed, A: Computable>(
        &self,
        id: Id<E>,
        computed: &'static Computed<E, A>,
    ) -> Outcome<A::Plain> {
        self.computed(id, computed)
    }

    /// Another computed quantity with its unit: for a value that is passed on as it is.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub fn query_quantity<E: Typed, A: Computable<Plain: Dimensional>>(
        &self,
        id: Id<E>,
        computed: &'static Computed<E, A>,
    ) -> Outcome<Styled<A::Plain>> {
        self.computed(id, computed)
    }

    /// An artifact; its working becomes part of this one's.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub(super) fn working_of<E: 'static, T: 'static>(
        &self,
        entity: Id<E>,
        artifact: &'static Artifact<E, T>,
    ) -> Outcome<Rc<T>> {
        let kept = self.model.artifact(entity, artifact);
        let mut reads = self.reads.borrow_mut();
        for read in &kept.reads {
            if !reads.contains(read) {
                reads.push(*read);
            }
        }
        let (customary, metric) = self.seen.get();
        self.seen.set((customary + kept.seen.0, metric + kept.seen.1));
        drop(reads);
        self.held(&kept)
    }

    /// An artifact whose working stands elsewhere.
    ///
    /// # Errors
    /// When it is missing or refused.
    pub(super) fn artifact<E: 'static, T: 'static>(
        &self,
        entity: Id<E>,
        artifact: &'static Artifact<E, T>,
    ) -> Outcome<Rc<T>> {
        self.held(&self.model.artifact(entity, artifact))
    }

    fn held<T: 'static>(&self, kept: &CachedArtifact) -> Outcome<Rc<T>> {
        let value = kept.value.clone()?;
        value.downcast().map_err(|_| self.refuse("it is of another sort"))
    }

    /// The system of units of most values asked for so far; where they are even, of the whole design.
    #[must_use]
    pub fn system(&self) -> System {
        majority(self.seen.get()).unwrap_or(self.model.system)
    }

    /// Takes note of the units of a value that is part of another, as the distance of a place.
    pub fn see(&self, quantity: Quantity) {
        self.seen.set(counted(self.seen.get(), quantity.style.system));
    }

    /// Whether a working is asked for, so that texts are worth building.
    #[must_use]
    pub fn is_recording(&self) -> bool {
        self.recording.as_ref().is_some_and(|recording| recording.borrow().quiet == 0)
    }

    fn is_quiet(&self) -> bool {
        self.recording.as_ref().is_some_and(|recording| recording.borrow().quiet > 0)
    }

    /// Does something that is recorded elsewhere: what it asks for and its steps are no part of this working.
    pub fn unrecorded<T>(&self, work: impl FnOnce() -> T) -> T {
        let Some(recording) = &self.recording else { return work() };
        recording.borrow_mut().quiet += 1;
        let done = work();
        recording.borrow_mut().quiet -= 1;
        done
    }

    /// Tells how the quantity came about this time, where that is not always the same.
    pub fn formula(&self, formula: impl FnOnce() -> Formula) {
        if let Some(recording) = self.recording.as_ref().filter(|_| self.is_recording()) {
            let formula = formula();
            recording.borrow_mut().formula = Some(formula);
        }
    }

    /// How the quantity came about, as recorded so far.
    pub(super) fn recorded_formula(&self) -> Formula {
        let formula = self.recording.as_ref().and_then(|recording| recording.borrow().formula.clone());
        formula.unwrap_or(Formula::expression(""))
    }

    /// Tells how the two ends of a part came about.
    pub(super) fn record_ends(&self, ends: impl FnOnce() -> [Formula; 2]) {
        if let Some(recording) = self.recording.as_ref().filter(|_| self.is_recording()) {
            let ends = ends();
            recording.borrow_mut().ends = Some(ends);
        }
    }

    /// How one end of a part came about, as recorded before.
    pub(super) fn recorded_end(&self, aft: bool) -> Formula {
        let ends = self.recording.as_ref().and_then(|recording| recording.borrow().ends.clone());
        ends.map_or(Formula::expression(""), |[fore, after]| if aft { after } else { fore })
    }

    /// How one end of a part came about, as just recorded.
    pub(super) fn record_end(&self, aft: bool) {
        let ends = self.recording.as_ref().and_then(|recording| recording.borrow().ends.clone());
        if let Some([fore, after]) = ends {
            self.formula(|| if aft { after } else { fore });
        }
    }

    /// Lets formulas of this working name another computed quantity.
    pub fn offer(&self, entity: impl Into<EntityId>, name: &str) {
        let Some(recording) = self.recording.as_ref().filter(|_| self.is_recording()) else { return };
        let id = entity.into();
        let entity_type = self.model.entity(id).map(|entity| entity.entity_type);
        if let Some(Named::Computed(number, _)) =
            entity_type.and_then(|k| self.model.catalogue().named(k, name))
        {
            recording.borrow_mut().offered.push(Read { entity: id, access: Access::Computed(number) });
        }
    }

    /// Lets formulas of this working name another computed quantity, and gives its name in braces; nothing where no working is
    /// asked for.
    pub(super) fn offered(&self, entity: impl Into<EntityId>, name: &str) -> String {
        if !self.is_recording() {
            return String::new();
        }
        let id = entity.into();
        self.offer(id, name);
        self.line(id, name)
    }

    /// The name, in braces, under which a field or a quantity of an entity is printed.
    #[must_use]
    pub fn line(&self, entity: impl Into<EntityId>, name: &str) -> String {
        format!("{{{}}}", self.model.line_name(entity.into(), name))
    }

    /// The name, in braces, under which a field is printed.
    #[must_use]
    pub fn field_line<E: Typed, T>(&self, entity: Id<E>, key: Key<E, T>) -> String {
        self.line(entity, E::TYPE.field(key.slot).map_or("", |field| field.name))
    }

    /// Records a step on the way, where a working is asked for.
    pub fn step(
        &self,
        name: impl Into<Cow<'static, str>>,
        formula: impl FnOnce() -> Formula,
        value: impl Into<Quantity>,
    ) {
        let Some(recording) = self.recording.as_ref().filter(|_| self.is_recording()) else { return };
        let name = name.into();
        if recording.borrow().steps.iter().any(|step| step.name == name) {
            return;
        }
        let mut value: Quantity = value.into();
        if value.style == Style::default() {
            value.style.system = self.system();
        }
        let formula = formula();
        recording.borrow_mut().steps.push(ComputationStep { name, formula, value });
    }

    /// Whether a step of a name was recorded.
    pub(super) fn has_step(&self, name: &str) -> bool {
        self.recording
            .as_ref()
            .is_some_and(|recording| recording.borrow().steps.iter().any(|step| step.name == name))
    }

    /// Records a number that is fixed beforehand.
    pub fn fixed(&self, name: &str, what: &'static str, value: Quantity) {
        if self.is_recording() {
            self.step(name.to_owned(), || Formula::fixed(what), value);
        }
    }

    /// A gap that says why the values asked for so far make no sense together.
    #[must_use]
    pub fn refuse(&self, reason: impl Into<Arc<str>>) -> Unknown {
        Unknown::refused(reason, self.reads.borrow().clone())
    }

    /// A gap for want of a field.
    #[must_use]
    pub fn missing<E, T>(&self, id: Id<E>, key: Key<E, T>) -> Unknown {
        Unknown::missing(id.any(), key.slot)
    }

    /// The result of an engineering function, its error turned into a refusal.
    ///
    /// # Errors
    /// When the function could not be worked.
    pub fn or_refuse<T>(&self, result: Result<T, Unworkable>) -> Outcome<T> {
        result.map_err(|error| self.refuse(error.reason))
    }
}
