//! Values and artifacts of a model: worked out when they are first asked for, shared with the base of an overlay, and kept.

use std::any::Any;
use std::cell::{Cell, OnceCell, RefCell};
use std::rc::Rc;

use super::artifact::Artifact;
use super::inverse::referring;
use super::memo::CachedArtifact;
use super::{Base, Body, Computation, EvalContext, Model, Unknown};
use crate::quantity::{System, moment_unit};
use crate::vocabulary::{EntityId, Id, Value};

impl Model<'_> {
    pub(super) fn context(&self) -> EvalContext<'_> {
        EvalContext {
            model: self,
            reads: RefCell::new(Vec::with_capacity(8)),
            recording: None,
            seen: Cell::default(),
        }
    }

    pub(super) fn recording_context(&self) -> EvalContext<'_> {
        EvalContext { recording: Some(RefCell::default()), ..self.context() }
    }

    /// A computed quantity with its working; worked out when it is first asked for.
    #[must_use]
    pub fn computation(&self, id: EntityId, number: u16) -> Option<Rc<Computation>> {
        let at = self.memo.numbering.computed_at(id, number)?;
        if let Some(found) = self.memo.computation(at).or_else(|| self.shared(id, number, at)) {
            self.record_reads(&found.footprint);
            return Some(found);
        }
        let entry = self.catalogue().computed(self.entity(id)?.entity_type).get(usize::from(number))?;
        if self.in_progress.borrow().contains(&at) {
            let gap = Unknown::refused(format!("`{}` hangs on itself", entry.name), []);
            return Some(Rc::new(Computation::unknown(gap)));
        }
        self.in_progress.borrow_mut().push(at);
        let ctx = self.context();
        let (mut value, footprint) = self.track_reads(|| match &entry.body {
            Body::Rust(computed) => computed.compute(&ctx, id),
            Body::Words(words) => words.work_out(&ctx, id),
            Body::Inverse(references) => referring(&ctx, references, id),
        });
        if value.as_ref().is_ok_and(|value| !value.is_finite()) {
            value = Err(ctx.refuse(format!("`{}` is beyond what can be computed", entry.name)));
        }
        if let Ok(Value::Quantity(quantity)) = &mut value {
            if quantity.style.system == System::Unknown && quantity.style.unit.is_none() {
                quantity.style.system = ctx.system();
            }
            quantity.style.far |= entry.far;
            if entry.is_moment() {
                quantity.style.unit = moment_unit(quantity.style.system);
            }
        }
        self.in_progress.borrow_mut().pop();
        let reads = ctx.reads.into_inner();
        Some(self.memo.keep(at, Computation { value, reads, footprint, leaves: OnceCell::new() }))
    }

    /// A computed quantity of the base, where the changes do not touch it.
    fn shared(&self, id: EntityId, number: u16, at: u32) -> Option<Rc<Computation>> {
        let untouched = |found: &Rc<Computation>| !found.footprint.meets(&self.overlay.touched);
        match &self.overlay.base {
            Base::None => None,
            Base::Live(base) => base.computation(id, number).filter(untouched),
            Base::Kept(memo) => {
                let found = memo.computation(at).filter(untouched)?;
                Some(self.memo.keep_shared(at, found))
            }
        }
    }

    /// An artifact, worked out when it is first asked for.
    pub(super) fn artifact<E: 'static, T: 'static>(
        &self,
        id: Id<E>,
        artifact: &'static Artifact<E, T>,
    ) -> Rc<CachedArtifact> {
        if let Some(found) =
            self.memo.artifact(id.any(), artifact.key()).or_else(|| self.shared_artifact(id, artifact))
        {
            self.record_reads(&found.footprint);
            return found;
        }
        let ctx = self.context();
        let (value, footprint) = self.track_reads(|| (artifact.compute)(&ctx, id));
        let kept = CachedArtifact {
            value: value.map(|value| Rc::new(value) as Rc<dyn Any>),
            reads: ctx.reads.into_inner(),
            seen: ctx.seen.get(),
            footprint,
        };
        let kept = self.memo.keep_artifact(id.any(), artifact.key(), Rc::new(kept));
        if let Some(shared) = &self.overlay.shared {
            shared.keep(&self.memo.numbering, (id.any(), artifact.key()), &self.overlay.changes, &kept);
        }
        kept
    }

    fn shared_artifact<E: 'static, T: 'static>(
        &self,
        id: Id<E>,
        artifact: &'static Artifact<E, T>,
    ) -> Option<Rc<CachedArtifact>> {
        let untouched = |found: &Rc<CachedArtifact>| !found.footprint.meets(&self.overlay.touched);
        match &self.overlay.base {
            Base::None => None,
            Base::Live(base) => Some(base.artifact(id, artifact)).filter(untouched).or_else(|| {
                let shared = self.overlay.shared.as_ref()?;
                let found =
                    shared.find(&self.memo.numbering, (id.any(), artifact.key()), &self.overlay.changes)?;
                Some(self.memo.keep_artifact(id.any(), artifact.key(), found))
            }),
            Base::Kept(memo) => {
                let found = memo.artifact(id.any(), artifact.key()).filter(untouched)?;
                Some(self.memo.keep_artifact(id.any(), artifact.key(), found))
            }
        }
    }
}
