//! What is found to be due at a place, against what the reader has read there.

use holdpoint::design::{Design, ROCKET};
use holdpoint::language_server::{Encoding, Expected, Lines, completion_context_at};
use holdpoint::vocabulary::Shape;

use crate::designs::examples;
use crate::{example, read};

/// Every key of a design that is written out in it: the type it belongs to, and its bytes.
fn keys(design: &Design) -> Vec<(&'static str, std::ops::Range<usize>)> {
    let mut all = Vec::new();
    for (_, entity) in design.store.all() {
        for slot in 0..u16::try_from(entity.entity_type.fields.len()).unwrap() {
            let written = entity.slot(slot);
            if let Some(key) = written.key.filter(|_| !written.shared) {
                all.push((entity.entity_type.name, key.range()));
            }
        }
    }
    assert!(all.len() > 100, "{}", all.len());
    all
}

fn key_at(text: &str, offset: usize) -> Option<(&'static str, String)> {
    let place = completion_context_at(&ROCKET, text, offset)?;
    let Expected::Key { entity_type, .. } = place.what else { return None };
    Some((entity_type.name, text[place.word].to_owned()))
}

#[test]
fn every_key_of_every_example_is_found_in_its_entity() {
    for name in examples() {
        let text = example(&name);
        for (of, key) in keys(&read(&text)) {
            let word = text[key.clone()].to_owned();
            assert_eq!(key_at(&text, key.start + 1), Some((of, word.clone())), "{name}: {key:?}");
        }
    }
}

/// As it is typed: nothing stands behind the cursor yet, braces are open, and what comes later is not there.
#[test]
fn every_key_is_found_while_it_is_being_typed() {
    for name in examples() {
        let text = example(&name);
        for (of, key) in keys(&read(&text)) {
            let typed = &text[..key.start + 1];
            let begun = text[key.start..=key.start].to_owned();
            assert_eq!(key_at(typed, typed.len()), Some((of, begun)), "{name}: {key:?}");
        }
    }
}

#[test]
fn every_value_is_found_in_its_field() {
    for name in examples() {
        let text = example(&name);
        let design = read(&text);
        let mut found = 0;
        for (_, entity) in design.store.all() {
            for (slot, field) in (0..).zip(entity.entity_type.fields) {
                let written = entity.slot(slot);
                let scalar = matches!(
                    field.shape,
                    Shape::Measure(..) | Shape::Word(_) | Shape::Row(_) | Shape::Refers(_) | Shape::Position
                );
                let Some(value) = written.place.filter(|_| scalar && !written.shared) else { continue };
                let place = completion_context_at(&ROCKET, &text, value.range().start + 1);
                let what = place.as_ref().map(|place| &place.what);
                let Some(Expected::Value(of, at)) = what else { panic!("{name}: {value:?} gives {place:?}") };
                assert_eq!((of.name, at.name), (entity.entity_type.name, field.name), "{name}: {value:?}");
                found += 1;
            }
        }
        assert!(found > 50, "{name}: {found}");
    }
}

#[test]
fn places_of_every_example_come_back_in_both_encodings() {
    for name in examples() {
        let text = example(&name);
        let lines = Lines::of(&text);
        for encoding in [Encoding::Utf16, Encoding::Utf8] {
            for (offset, _) in text.char_indices() {
                let there = lines.position(&text, offset, encoding);
                assert_eq!(lines.offset(&text, there, encoding), offset, "{name}");
            }
        }
    }
}
