//! A model beside itself: the same design with some values at another size.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::active::Rule;
use super::library::Library;
use super::nominal::{Judgement, Size, judge_nominal};
use crate::model::{Change, Model, SharedArtifacts};
use crate::quantity::Quantity;
use crate::vocabulary::{EntityId, Position, State, Value};

/// The variants of a model that were asked for so far: rules that read the same values share what is worked out of them.
#[derive(Debug)]
pub struct Variants<'m> {
    base: &'m Model<'m>,
    library: Option<&'m Library>,
    made: RefCell<BTreeMap<Sizes, Rc<Model<'m>>>>,
    artifacts: Rc<SharedArtifacts>,
}

/// Sizes as a key: of each the entity, the field and the bits of the value.
type Sizes = Vec<(EntityId, u16, u64)>;

impl<'m> Variants<'m> {
    /// Those of a model.
    #[must_use]
    pub fn of(base: &'m Model<'m>) -> Self {
        Self { base, library: None, made: RefCell::default(), artifacts: Rc::default() }
    }

    /// The same by the packs in force, which say how far values may be off: rules that ask for a share of flights are then asked in these.
    #[must_use]
    pub fn by(self, library: &'m Library) -> Self {
        Self { library: Some(library), ..self }
    }

    /// The packs in force, where they were given.
    pub(super) fn library(&self) -> Option<&'m Library> {
        self.library
    }

    /// The model as it is.
    #[must_use]
    pub fn base(&self) -> &'m Model<'m> {
        self.base
    }

    /// What a rule says of a subject as drawn, with some values at another size. What is read for it counts as read by the model.
    #[must_use]
    pub fn judged(&self, rule: &Rule, sizes: &[Size], subject: EntityId) -> Judgement {
        if sizes.is_empty() {
            return judge_nominal(rule, self.base, subject);
        }
        let variant = self.variant(sizes);
        let (judgement, read) = variant.track_reads(|| judge_nominal(rule, &variant, subject));
        self.base.record_reads(&read);
        judgement
    }

    /// The model with some values at another size.
    #[must_use]
    pub fn variant(&self, sizes: &[Size]) -> Rc<Model<'m>> {
        let key: Sizes = sizes.iter().map(|size| (size.entity, size.slot, size.si.to_bits())).collect();
        let mut made = self.made.borrow_mut();
        let changed = || {
            let changes = sizes.iter().filter_map(|size| self.change(*size)).collect();
            self.base.variant(changes, &self.artifacts)
        };
        Rc::clone(made.entry(key).or_insert_with(|| Rc::new(changed())))
    }

    fn change(&self, Size { entity, slot, si }: Size) -> Option<Change> {
        let value = match self.base.field(entity, slot).ok()? {
            Value::Quantity(quantity) => Value::Quantity(Quantity { si, ..quantity }),
            Value::Position(position) => {
                let mut position = Position::clone(&position);
                position.distance.si = si;
                Value::Position(Arc::new(position))
            }
            Value::Curve(points) => {
                let scaled = points.iter().map(|(x, y)| (*x, Quantity { si: si * y.si, ..*y }));
                Value::Curve(scaled.collect())
            }
            _ => return None,
        };
        let tolerance = self.base.tolerance(entity, slot);
        Some(Change { entity, slot, state: State::Known(value), tolerance })
    }
}
