//! Missing data is unproven, never passed: each value that a clean example must have is taken out in turn.

use holdpoint::design::{Design, IN_HAND};
use holdpoint::rules::{Library, Verdict};
use holdpoint::vocabulary::{Need, State};
use holdpoint::yaml::{Source, apply, remove_entry};

use rayon::prelude::*;

use super::{clean, reviewed, text_of};

fn removals(name: &str) {
    let library = Library::built_in();
    let text = text_of(name);
    let design = Design::read(Source::new(name, &*text), &library.tables);
    let tree = design.tree.as_ref().unwrap();
    let mut silent = Vec::new();
    let mut tried = 0;
    for (id, entity) in design.store.all() {
        for (slot, field) in entity.entity_type.fields.iter().enumerate() {
            let slot = u16::try_from(slot).unwrap();
            if field.need != Need::Expected || !matches!(entity.slot(slot).state, State::Known(_)) {
                continue;
            }
            let out_of = |node| remove_entry(&design.source, tree, node, field.name, entity.shared);
            let mut edits = vec![out_of(entity.node).unwrap()];
            // A measured value stands for the stated one: the value is gone when both are.
            if entity.slot(slot).measured.is_some() {
                let beside = design.store.of_type(&IN_HAND).map(|id| design.store.get(id).unwrap());
                let measured = beside.filter(|e| e.parent == Some(id)).map(|e| out_of(e.node).unwrap());
                edits.extend(measured);
            }
            let without = apply(&text, &edits).unwrap();
            let review = reviewed(&library, &without);
            tried += 1;
            let unproven = review.findings.iter().any(|f| f.outcome == Verdict::Unproven);
            // A name that another part refers to is missed by the reader itself.
            if !unproven && review.problems().is_empty() {
                silent.push(design.store.field_path(id, slot));
            }
        }
    }
    assert!(tried > 50, "{tried}");
    assert!(silent.is_empty(), "taken out of {name} without a word: {silent:#?}");
}

#[test]
fn no_value_of_a_clean_example_vanishes_in_silence() {
    clean().par_iter().for_each(|name| removals(name));
}
