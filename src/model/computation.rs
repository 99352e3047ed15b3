//! A computed quantity with its working, and the fields at the bottom of it.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::rc::Rc;

use super::{Access, Footprint, Model, Outcome, Read, Unknown};
use crate::quantity::Quantity;
use crate::vocabulary::Value;

/// A step on the way to a computed quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What it is.
    pub name: Cow<'static, str>,
    /// How it was worked out.
    pub formula: Cow<'static, str>,
    /// What it came to.
    pub value: Quantity,
}

/// A computed quantity with its working.
#[derive(Clone, Debug)]
pub struct Computation {
    /// The fields that it rests on.
    pub footprint: Footprint,
    /// What it came to, or why it is not known.
    pub value: Outcome<Value>,
    /// The quantities it was worked out from, in the order they were asked for.
    pub reads: Vec<Read>,
    /// Steps on the way.
    pub steps: Vec<Step>,
    /// The fields as written at the bottom of what it reads, once they were asked for.
    pub(super) leaves: OnceCell<Rc<[Read]>>,
}

impl Computation {
    /// What comes to nothing but a reason why it is not known.
    pub(super) fn unknown(gap: Unknown) -> Self {
        let footprint = Footprint::default();
        Self { footprint, value: Err(gap), reads: Vec::new(), steps: Vec::new(), leaves: OnceCell::new() }
    }
}

impl Model<'_> {
    /// The fields as written that a quantity rests on, in the order they were asked for.
    #[must_use]
    pub fn leaves(&self, read: Read) -> Rc<[Read]> {
        self.leaves_within(read, 0)
    }

    fn leaves_within(&self, read: Read, depth: u8) -> Rc<[Read]> {
        let Access::Computed(number) = read.access else { return Rc::new([read]) };
        // A quantity that rests on itself has no bottom.
        let found = if depth < 32 { self.computation(read.entity, number) } else { None };
        let Some(computation) = found else { return Rc::new([]) };
        if let Some(known) = computation.leaves.get() {
            return Rc::clone(known);
        }
        let mut seen = self.memo.numbering.field_set();
        let mut leaves: Vec<Read> = Vec::new();
        for inner in &computation.reads {
            for leaf in self.leaves_within(*inner, depth + 1).iter() {
                let Access::Field(slot) = leaf.access else { continue };
                let new = seen.insert(&self.memo.numbering, leaf.entity, slot);
                if new && (!leaf.entity.is_row() || !leaves.contains(leaf)) {
                    leaves.push(*leaf);
                }
            }
        }
        Rc::clone(computation.leaves.get_or_init(|| leaves.into()))
    }
}
