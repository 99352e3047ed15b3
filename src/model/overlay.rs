//! A design with some fields changed, evaluated beside the design as it is written.

use std::rc::Rc;

use super::footprint::Footprint;
use super::memo::Memo;
use super::unit_systems::{majority, unit_systems, unit_systems_of};
use super::{Base, Change, Environment, Model, Overlay, SharedArtifacts};
use crate::design::Design;
use crate::engineering::ascent::Accuracy;
use crate::vocabulary::{Entity, EntityId, EntityType, Slot, Store};

impl<'d> Model<'d> {
    /// The same design, its flights flown only to see how their figures change; whatever rests on no flight is shared.
    #[must_use]
    pub fn for_slopes(&'d self) -> Self {
        let numbering = Rc::clone(&self.memo.numbering);
        let touched = self.flight_footprint();
        let overlay = Overlay {
            base: Base::Live(self),
            changes: self.overlay.changes.clone(),
            touched,
            accuracy: Accuracy::Slopes,
            shared: None,
        };
        Self::made(self.design, self.environment, Memo::for_some(numbering), overlay)
    }

    /// What a field is changed to, where it is.
    pub(super) fn change(&self, id: EntityId, slot: u16) -> Option<&Change> {
        let changes = &self.overlay.changes;
        let found = changes.binary_search_by_key(&(id, slot), |change| (change.entity, change.slot));
        found.ok().and_then(|at| changes.get(at))
    }

    /// To what accuracy its flights are flown.
    pub(super) fn accuracy(&self) -> Accuracy {
        self.overlay.accuracy
    }

    /// The same design with some fields changed. Whatever does not rest on them is shared with this model.
    #[must_use]
    pub fn with_changes(&'d self, changes: Vec<Change>) -> Self {
        let numbering = Rc::clone(&self.memo.numbering);
        let mut touched = Footprint::default();
        for change in &changes {
            numbering.mark(&mut touched, change.entity, change.slot);
        }
        // What is worked out is printed in the units that the design mostly uses.
        let unit_systems = changes.iter().fold(self.unit_systems, |counts, change| {
            let before = self.state(change.entity, change.slot).map_or((0, 0), unit_systems_of);
            let after = unit_systems_of(&change.state);
            (counts.0 + after.0 - before.0, counts.1 + after.1 - before.1)
        });
        let system = majority(unit_systems).unwrap_or_default();
        if system != self.system {
            touched = Footprint::ALL;
        }
        // Changes of a model that has some itself come on top of those.
        let mut all = changes;
        for earlier in &self.overlay.changes {
            if !all.iter().any(|c| c.entity == earlier.entity && c.slot == earlier.slot) {
                all.push(earlier.clone());
            }
        }
        // In order, so that each is found quickly: a sample of a spread changes dozens of fields.
        all.sort_by_key(|change| (change.entity, change.slot));
        let overlay = Overlay {
            base: Base::Live(self),
            changes: all,
            touched,
            accuracy: self.overlay.accuracy,
            shared: None,
        };
        Self {
            unit_systems,
            system,
            ..Self::made(self.design, self.environment, Memo::for_some(numbering), overlay)
        }
    }

    /// The same, sharing artifacts with the other variants of this model that are given the same place for them.
    #[must_use]
    pub fn variant(&'d self, changes: Vec<Change>, shared: &Rc<SharedArtifacts>) -> Self {
        let mut variant = self.with_changes(changes);
        // What is worked out may hang on the unit system too.
        if variant.system == self.system {
            variant.overlay.shared = Some(Rc::clone(shared));
        }
        variant
    }

    /// A design read anew, evaluated with what is left of an earlier reading of it. The design's entities must have been
    /// aligned with those of the earlier one.
    #[must_use]
    pub fn resumed(
        design: &'d Design,
        environment: Environment<'d>,
        earlier: &'d Design,
        memo: &'d Memo,
    ) -> Self {
        let numbering =
            Rc::new(memo.numbering.extended(&design.store, |of| environment.catalogue.computed(of).len()));
        let mut model = Self::made(
            design,
            environment,
            Memo::for_all(Rc::clone(&numbering)),
            Overlay {
                base: Base::Kept(memo),
                changes: Vec::new(),
                touched: Footprint::default(),
                accuracy: Accuracy::Figures,
                shared: None,
            },
        );
        model.overlay.touched = if model.system == majority(unit_systems(earlier)).unwrap_or_default() {
            difference(&earlier.store, &design.store, |footprint, id, slot| {
                numbering.mark(footprint, id, slot)
            })
        } else {
            Footprint::ALL
        };
        model
    }

    /// What has been worked out, for a later reading of the design.
    #[must_use]
    pub fn into_memo(self) -> Memo {
        self.memo
    }

    /// The fields that may stand otherwise than in the model that this one shares values with.
    #[must_use]
    pub fn touched(&self) -> &Footprint {
        &self.overlay.touched
    }
}

/// What stands otherwise in one of two aligned stores than in the other.
fn difference(old: &Store, new: &Store, mark: impl Fn(&mut Footprint, EntityId, u16)) -> Footprint {
    let mut touched = Footprint::default();
    let mark_all = |touched: &mut Footprint, id: EntityId, entity: &Entity| {
        touched.add_type(entity.entity_type);
        for slot in (0..).take(entity.entity_type.fields.len()) {
            mark(touched, id, slot);
        }
    };
    for (id, entity) in new.all() {
        let Some(before) = old.get(id) else {
            mark_all(&mut touched, id, entity);
            continue;
        };
        for slot in (0..).take(entity.entity_type.fields.len()) {
            if !same(before.slot(slot), entity.slot(slot)) {
                mark(&mut touched, id, slot);
            }
        }
    }
    for (id, entity) in old.all().filter(|(id, _)| new.get(*id).is_none()) {
        mark_all(&mut touched, id, entity);
    }
    // The order of the entities of a type decides between equals.
    let order = |store: &Store, entity_type: &'static EntityType| -> Vec<EntityId> {
        store.of_type(entity_type).collect()
    };
    let mut types: Vec<&'static EntityType> = Vec::new();
    for (_, entity) in new.all() {
        if !types.contains(&entity.entity_type) {
            types.push(entity.entity_type);
        }
    }
    for entity_type in types {
        if order(old, entity_type) != order(new, entity_type) {
            touched.add_type(entity_type);
        }
    }
    touched
}

/// Whether two readings of a field come to the same for whoever evaluates it.
fn same(a: &Slot, b: &Slot) -> bool {
    a.state == b.state && a.tolerance == b.tolerance && a.measured == b.measured
}
