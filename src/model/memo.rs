//! Values that were worked out, kept with the fields that they rest on.

use std::any::Any;
use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;

use super::footprint::{Footprint, Numbering};
use super::{Computation, Outcome, Read};
use crate::vocabulary::EntityId;

/// An artifact worked out, with what whatever rests on it has read by it.
pub(super) struct CachedArtifact {
    pub(super) value: Outcome<Rc<dyn Any>>,
    pub(super) reads: Vec<Read>,
    pub(super) seen: (u32, u32),
    pub(super) footprint: Footprint,
}

impl std::fmt::Debug for CachedArtifact {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("CachedArtifact").field("reads", &self.reads).finish_non_exhaustive()
    }
}

/// Computed quantities by their numbers.
#[derive(Debug)]
enum Computed {
    /// One cell for each: a design by itself.
    All(Vec<OnceCell<Rc<Computation>>>),
    /// Only those that an overlay changes.
    Some(RefCell<BTreeMap<u32, Rc<Computation>>>),
}

/// What has been worked out of a design.
#[derive(Debug)]
pub struct Memo {
    pub(super) numbering: Rc<Numbering>,
    computed: Computed,
    artifacts: RefCell<BTreeMap<(EntityId, usize), Rc<CachedArtifact>>>,
}

impl Memo {
    pub(super) fn for_all(numbering: Rc<Numbering>) -> Self {
        let cells = (0..numbering.computed).map(|_| OnceCell::new()).collect();
        Self { numbering, computed: Computed::All(cells), artifacts: RefCell::default() }
    }

    pub(super) fn for_some(numbering: Rc<Numbering>) -> Self {
        Self { numbering, computed: Computed::Some(RefCell::default()), artifacts: RefCell::default() }
    }

    pub(super) fn computation(&self, at: u32) -> Option<Rc<Computation>> {
        match &self.computed {
            Computed::All(cells) => cells.get(at as usize)?.get().map(Rc::clone),
            Computed::Some(some) => some.borrow().get(&at).map(Rc::clone),
        }
    }

    pub(super) fn keep(&self, at: u32, computation: Computation) -> Rc<Computation> {
        self.keep_shared(at, Rc::new(computation))
    }

    pub(super) fn keep_shared(&self, at: u32, computation: Rc<Computation>) -> Rc<Computation> {
        match &self.computed {
            // Whatever was kept first is the same.
            Computed::All(cells) => {
                let kept = cells.get(at as usize).map(|cell| cell.get_or_init(|| Rc::clone(&computation)));
                kept.map_or(computation, Rc::clone)
            }
            Computed::Some(some) => {
                some.borrow_mut().insert(at, Rc::clone(&computation));
                computation
            }
        }
    }

    /// An artifact of an entity, by what distinguishes it from the others.
    pub(super) fn artifact(&self, id: EntityId, key: usize) -> Option<Rc<CachedArtifact>> {
        self.artifacts.borrow().get(&(id, key)).map(Rc::clone)
    }

    pub(super) fn keep_artifact(
        &self,
        id: EntityId,
        key: usize,
        kept: Rc<CachedArtifact>,
    ) -> Rc<CachedArtifact> {
        self.artifacts.borrow_mut().insert((id, key), Rc::clone(&kept));
        kept
    }
}
