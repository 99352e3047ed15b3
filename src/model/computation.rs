//! A computed quantity as it is kept, and its working as it is recorded.

use std::borrow::Cow;
use std::cell::OnceCell;
use std::rc::Rc;

use super::{Footprint, Formula, Outcome, Read, Unknown};
use crate::quantity::Quantity;
use crate::vocabulary::Value;

/// A step on the way to a computed quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct ComputationStep {
    /// What it is.
    pub name: Cow<'static, str>,
    /// How it was worked out.
    pub formula: Formula,
    /// What it came to.
    pub value: Quantity,
}

/// The working of a computed quantity: what is recorded of how it came about.
#[derive(Clone, Debug)]
pub struct Derivation {
    /// What it rests on, in the order it was asked for, and then what its formulas may name besides; each with the name under which
    /// it is printed.
    pub lines: Vec<(Read, String)>,
    /// How many of these it rests on: the others are printed only where a formula names them.
    pub asked: usize,
    /// Steps on the way.
    pub steps: Vec<ComputationStep>,
    /// How it came about.
    pub formula: Formula,
}

/// What is recorded of how a quantity comes about.
#[derive(Debug, Default)]
pub(super) struct Recording {
    pub(super) steps: Vec<ComputationStep>,
    pub(super) offered: Vec<Read>,
    pub(super) formula: Option<Formula>,
    /// The formulas of the fore and the aft end of a part.
    pub(super) ends: Option<[Formula; 2]>,
    /// More than zero while what is asked for is recorded elsewhere.
    pub(super) quiet: u32,
}

/// A computed quantity, and what it was worked out from.
#[derive(Clone, Debug)]
pub struct Computation {
    /// The fields that it rests on.
    pub footprint: Footprint,
    /// What it came to, or why it is not known.
    pub value: Outcome<Value>,
    /// The quantities it was worked out from, in the order they were asked for.
    pub reads: Vec<Read>,
    /// The fields as written at the bottom of what it reads, once they were asked for.
    pub(super) leaves: OnceCell<Rc<[Read]>>,
}

impl Computation {
    /// What comes to nothing but a reason why it is not known.
    pub(super) fn unknown(gap: Unknown) -> Self {
        let footprint = Footprint::default();
        Self { footprint, value: Err(gap), reads: Vec::new(), leaves: OnceCell::new() }
    }
}
