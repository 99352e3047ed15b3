//! How far a review reaches: what is written that no rule in force spoke about.

use std::collections::BTreeMap;

use super::judged::Judgements;
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
    let subject = |id: EntityId| {
        judgements.all.iter().any(|one| one.subject == id && one.judgement.verdict != Verdict::NotApplicable)
    };
    let mut steps: BTreeMap<HoldPoint, Vec<String>> = BTreeMap::new();
    for (id, slots) in by_entity {
        let whole = !subject(id) && model.values_written(id) == slots.len();
        let keys = steps.entry(step(model, library, id)).or_default();
        if whole && !store.path(id).is_empty() {
            keys.push(store.path(id));
        } else {
            keys.extend(slots.into_iter().map(|slot| store.field_path(id, slot)));
        }
    }
    steps.into_iter().map(|(before, keys)| NotJudged { before, keys }).collect()
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
