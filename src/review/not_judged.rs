//! How far a review reaches: what is written that no rule in force spoke about.

use std::collections::BTreeMap;

use super::judged::Judgements;
use crate::design::{WAIVER, rocket};
use crate::model::Model;
use crate::rules::{HoldPoint, Library, Verdict};
use crate::vocabulary::{EntityId, EntityType};

/// What no rule in force spoke about, of the parts that a step is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotJudged {
    /// The first step whose rules are about such parts.
    pub before: HoldPoint,
    /// Paths, in the order of the file: of a part where nothing of it was read, else of the value.
    pub keys: Vec<String>,
    /// The first of each sort of these, and how many more of its sort there are: the same value of parts of one type.
    pub sorts: Vec<(String, usize)>,
}

impl NotJudged {
    /// In words, each sort once.
    #[must_use]
    pub fn in_words(&self) -> String {
        let sort = |(key, more): &(String, usize)| match more {
            0 => key.clone(),
            more => format!("{key} (and {more} alike)"),
        };
        self.sorts.iter().map(sort).collect::<Vec<_>>().join(", ")
    }
}

/// What is listed of one step, with what each key is of.
#[derive(Default)]
struct StepCoverage {
    keys: Vec<String>,
    sorts: Vec<Sort>,
}

/// The same value of parts of one type, or such parts as a whole.
struct Sort {
    entity_type: &'static str,
    slot: Option<u16>,
    first: String,
    more: usize,
}

impl StepCoverage {
    fn add(&mut self, entity_type: &'static str, slot: Option<u16>, key: String) {
        match self.sorts.iter_mut().find(|sort| sort.entity_type == entity_type && sort.slot == slot) {
            Some(sort) => sort.more += 1,
            None => self.sorts.push(Sort { entity_type, slot, first: key.clone(), more: 0 }),
        }
        self.keys.push(key);
    }
}

/// Everything that is written and that no rule in force, and nothing that such a rule rests on, has read; by steps in build order.
pub(super) fn not_judged(
    model: &Model<'_>,
    library: &Library,
    judgements: &Judgements<'_>,
) -> Vec<NotJudged> {
    let reads = judgements.all.iter().flat_map(|one| one.judgement.trace.reads.iter().copied());
    let left = model.untouched_by(reads);
    let mut by_entity: Vec<(EntityId, Vec<u16>)> = Vec::new();
    for (id, slot) in left {
        match by_entity.last_mut() {
            Some((last, slots)) if *last == id => slots.push(slot),
            _ => by_entity.push((id, vec![slot])),
        }
    }
    let store = &model.design().store;
    // The version of the format says nothing of the rocket, and waivers are not for rules.
    by_entity.retain(|(id, _)| model.entity(*id).is_some_and(|e| e.entity_type != &WAIVER));
    if let Some((_, slots)) = by_entity.iter_mut().find(|(id, _)| *id == store.root()) {
        slots.retain(|slot| *slot != rocket::holdpoint.slot);
    }
    by_entity.retain(|(_, slots)| !slots.is_empty());
    let subject = |id: EntityId| {
        judgements.all.iter().any(|one| one.subject == id && one.judgement.verdict != Verdict::NotApplicable)
    };
    let mut steps: BTreeMap<HoldPoint, StepCoverage> = BTreeMap::new();
    for (id, slots) in by_entity {
        let whole = !subject(id) && model.values_written(id) == slots.len();
        let listed = steps.entry(step(model, library, id)).or_default();
        let entity_type = model.entity(id).map_or("", |entity| entity.entity_type.name);
        if whole && !store.path(id).is_empty() {
            listed.add(entity_type, None, store.path(id));
        } else {
            for slot in slots {
                listed.add(entity_type, Some(slot), store.field_path(id, slot));
            }
        }
    }
    let not_judged = |(before, StepCoverage { keys, sorts }): (HoldPoint, StepCoverage)| NotJudged {
        before,
        keys,
        sorts: sorts.into_iter().map(|sort| (sort.first, sort.more)).collect(),
    };
    steps.into_iter().map(not_judged).collect()
}

/// The first step with a rule about such parts, or about what holds them.
fn step(model: &Model<'_>, library: &Library, id: EntityId) -> HoldPoint {
    let first = |of: &'static EntityType| {
        library.rules.iter().filter(|rule| rule.entity_type == of).map(|rule| rule.before).min()
    };
    let mut at = Some(id);
    while let Some(entity) = at.and_then(|id| model.entity(id)) {
        if let Some(point) = first(entity.entity_type) {
            return point;
        }
        at = entity.parent;
    }
    HoldPoint::Parts
}
