//! Artifacts of variants of one model, shared by the variants that agree in every field that the artifact rests on.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::change::Change;
use super::footprint::Numbering;
use super::memo::CachedArtifact;
use crate::vocabulary::EntityId;

/// What distinguishes an artifact of an entity from every other.
type Key = (EntityId, usize);

/// An artifact, and the changes of the variant it was worked out in that it rests on.
type Kept = (Vec<Change>, Rc<CachedArtifact>);

/// The artifacts that were worked out for variants of one model: two variants often differ only in what a flight does not read.
#[derive(Debug, Default)]
pub struct SharedArtifacts {
    kept: RefCell<BTreeMap<Key, Vec<Kept>>>,
}

impl SharedArtifacts {
    /// The artifact of a variant that agrees with these changes in all that it rests on.
    pub(super) fn find(
        &self,
        numbering: &Numbering,
        key: Key,
        changes: &[Change],
    ) -> Option<Rc<CachedArtifact>> {
        let kept = self.kept.borrow();
        let agrees = |(theirs, artifact): &&Kept| {
            theirs.iter().eq(changes.iter().filter(|change| rests_on(numbering, artifact, change)))
        };
        kept.get(&key)?.iter().find(agrees).map(|(_, artifact)| Rc::clone(artifact))
    }

    /// Keeps the artifact of a variant for the others.
    pub(super) fn keep(
        &self,
        numbering: &Numbering,
        key: Key,
        changes: &[Change],
        artifact: &Rc<CachedArtifact>,
    ) {
        let matter = changes.iter().filter(|change| rests_on(numbering, artifact, change)).cloned();
        self.kept.borrow_mut().entry(key).or_default().push((matter.collect(), Rc::clone(artifact)));
    }
}

fn rests_on(numbering: &Numbering, artifact: &CachedArtifact, change: &Change) -> bool {
    numbering.is_marked(&artifact.footprint, change.entity, change.slot)
}
