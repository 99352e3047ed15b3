//! Parts renamed, wherever they are named.

use holdpoint::design::Design;
use holdpoint::language_server::rename;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{Entity, Shape};
use holdpoint::yaml::apply;

use crate::designs::examples;
use crate::{example, read};

fn renamed(design: &Design, offset: usize, name: &str) -> Result<String, String> {
    let edits = rename(design, Tables::built_in(), offset, name)?;
    Ok(apply(design.source.text(), &edits).unwrap())
}

fn has_own_name(design: &Design, entity: &Entity) -> bool {
    let parent = entity.parent.and_then(|parent| design.store.get(parent));
    let field = parent.and_then(|parent| parent.entity_type.field(entity.parent_slot));
    field.is_some_and(|field| matches!(field.shape, Shape::Many(_))) && !entity.shared
}

/// There and back is where it was, and on the way the file reads as well as before.
#[test]
fn every_part_of_every_example_takes_another_name() {
    for name in examples() {
        let text = example(&name);
        let design = read(&text);
        let mut renames = 0;
        for (_, entity) in design.store.all().filter(|(_, entity)| has_own_name(&design, entity)) {
            let start = entity.key.start as usize;
            let there = renamed(&design, start, "quite_another").unwrap();
            assert_ne!(there, text);
            let after = read(&there);
            assert_eq!(after.problems, design.problems, "{name}: {}", entity.name);
            // References before it may have moved it.
            let mut all = after.store.all();
            let (_, moved) = all.find(|(_, moved)| &*moved.name == "quite_another").unwrap();
            let back = renamed(&after, moved.key.start as usize, &entity.name).unwrap();
            assert_eq!(back, text, "{name}: {}", entity.name);
            renames += 1;
        }
        assert!(renames > 5, "{name}: {renames}");
    }
}

const TWO: &str = "holdpoint: 1\nsections:\n  bay: {lids: {fore: {}, aft: {}}}\n  upper: {lids: {fore: {}}}\n\
    recovery: {charges: {one: {}, two: {backs_up: one}}}\nwiring:\n  circuits:\n    a: {lid: bay.fore, fires: one}\n    b: {lid: upper.fore, fires: two}\n\
    waivers:\n  - {rule: x, subject: sections.bay.lids.fore, reason: r, by: b, until: 2026-01-01}\n  - {rule: x, subject: bay, reason: r, by: b, until: 2026-01-01}\n";

#[test]
fn paths_and_waivers_that_name_a_part_follow_it() {
    let design = read(TWO);
    assert!(design.problems.is_empty(), "{:?}", design.problems);
    let at = TWO.find("bay:").unwrap();
    let text = renamed(&design, at, "avionics").unwrap();
    assert!(text.contains("lid: avionics.fore") && text.contains("lid: upper.fore"), "{text}");
    assert!(
        text.contains("subject: sections.avionics.lids.fore") && text.contains("subject: avionics,"),
        "{text}"
    );
    // From a reference to it, too.
    let at = TWO.find("backs_up: one").unwrap() + "backs_up: o".len();
    let text = renamed(&design, at, "first").unwrap();
    assert_eq!(text.matches("first").count(), 3, "{text}");
}

#[test]
fn what_cannot_be_renamed_says_why() {
    let design = read(TWO);
    let at = |words: &str, past: usize| TWO.find(words).unwrap() + past;
    for (offset, name, expected) in [
        (at("recovery:", 2), "x", "key of the format"),
        (at("bay:", 1), "upper", "another one beside it"),
        (at("bay:", 1), "a.b", "without dots"),
        (at("bay:", 1), "", "without dots"),
        (at("holdpoint:", 11), "x", "no part is named here"),
    ] {
        let why = renamed(&design, offset, name).unwrap_err();
        assert!(why.contains(expected), "{why}");
    }
}
