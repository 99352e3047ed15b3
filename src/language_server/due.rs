//! By which step of the build a key is due: the first hold point whose rules read it.

use std::collections::BTreeMap;

use crate::design::Design;
use crate::model::{Access, Model};
use crate::rules::{HoldPoint, Library, judge_nominal, specimens};
use crate::vocabulary::{Date, EntityType};
use crate::yaml::Source;

/// For each type and field the first step whose rules read it.
#[derive(Debug, Default)]
pub struct Due {
    by_field: BTreeMap<(&'static str, u16), HoldPoint>,
}

impl Due {
    /// The steps by the rules of a library: what the rules name, and what they rest on in the specimens, which are in good order.
    #[must_use]
    pub fn of(library: &Library, today: Date) -> Self {
        let mut due = Self::default();
        for rule in &library.rules {
            for checked in rule.when.iter().chain([&rule.require]) {
                for (entity_type, slot) in checked.fields() {
                    due.note(entity_type, slot, rule.before);
                }
            }
        }
        for (name, text) in specimens() {
            let design = Design::read(Source::new(*name, *text), &library.tables);
            due.note_all(&Model::new(&design, library.environment(today)), library);
        }
        due
    }

    fn note_all(&mut self, model: &Model<'_>, library: &Library) {
        for rule in &library.rules {
            for subject in model.subjects(rule.entity_type) {
                let judgement = judge_nominal(rule, model, *subject);
                for read in &judgement.trace.reads {
                    for leaf in model.leaves(*read).iter() {
                        let (Access::Field(slot), Some(entity)) = (leaf.access, model.entity(leaf.entity))
                        else {
                            continue;
                        };
                        self.note(entity.entity_type, slot, rule.before);
                    }
                }
            }
        }
    }

    fn note(&mut self, entity_type: &'static EntityType, slot: u16, before: HoldPoint) {
        let first = self.by_field.entry((entity_type.name, slot)).or_insert(before);
        *first = before.min(*first);
    }

    /// The first step whose rules read a field; none where no rule does.
    #[must_use]
    pub fn step(&self, entity_type: &'static EntityType, slot: u16) -> Option<HoldPoint> {
        self.by_field.get(&(entity_type.name, slot)).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{NOSE_CONE, VENT};
    use crate::rules::TRIAL_DAY;

    #[test]
    fn the_diameter_of_vents_is_asked_before_drilling_and_a_remark_never() {
        let due = Due::of(&Library::built_in(), TRIAL_DAY);
        let step = |entity_type: &'static EntityType, key: &str| {
            entity_type.slot(key).and_then(|slot| due.step(entity_type, slot))
        };
        assert_eq!(step(&VENT, "diameter"), Some(HoldPoint::Drilling));
        // Worked out in Rust: no rule names the shape, and the flight rests on it.
        assert!(step(&NOSE_CONE, "shape").is_some());
        assert_eq!(step(&crate::design::ROCKET, "notes"), None);
    }
}
