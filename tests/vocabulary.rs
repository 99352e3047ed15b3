//! The vocabulary as a whole: former names of keys, and words that other readers of YAML take for something else.

#![allow(clippy::indexing_slicing, reason = "a test may panic")]

use holdpoint::design::ROCKET;
use holdpoint::model::Body;
use holdpoint::review::PASSES;
use holdpoint::rules::{PACK, SETTINGS};
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{EntityType, Rows as _, Shape};

/// Every entity type that a file may hold, tables included.
fn all() -> Vec<&'static EntityType> {
    let mut found: Vec<&'static EntityType> = vec![&ROCKET, &PACK, &SETTINGS, &PASSES];
    let mut at = 0;
    while let Some(entity_type) = found.get(at) {
        at += 1;
        for field in entity_type.fields {
            match field.shape {
                Shape::One(t)
                | Shape::Measured(t)
                | Shape::Many(t)
                | Shape::List(t)
                | Shape::Listed(t)
                | Shape::Refers(t)
                | Shape::RefersAll(t)
                | Shape::Row(t)
                    if !found.contains(&t) =>
                {
                    found.push(t);
                }
                _ => {}
            }
        }
    }
    found
}

#[test]
fn a_former_name_is_no_name_of_today() {
    let mut former = 0;
    for entity_type in all() {
        let olds = entity_type.fields.iter().filter_map(|f| f.formerly.map(|old| (old, f.name)));
        for (old, new) in olds {
            former += 1;
            assert!(entity_type.slot(old).is_none(), "{}.{old} is a key of today", entity_type.name);
            let found = entity_type.renamed(old).map(|(_, field)| field.name);
            assert_eq!(found, Some(new), "{}.{old} is the former name of two keys", entity_type.name);
        }
    }
    assert!(former > 0, "no field has a former name");
}

/// What a field, a worked-out quantity and a reference the other way round are called is said once for each type.
#[test]
fn every_name_of_a_type_is_one() {
    let catalogue = holdpoint::model::catalogue();
    let mut inverses = 0;
    for entity_type in catalogue.entity_types() {
        let mut names = catalogue.names(entity_type);
        names.sort();
        for pair in names.windows(2) {
            assert_ne!(pair[0], pair[1], "{} has two of this name", entity_type.name);
        }
        let entries = catalogue.computed(entity_type).iter();
        inverses += entries.filter(|entry| matches!(entry.body, Body::Inverse(_))).count();
    }
    assert!(inverses > 10, "{inverses}");
}

/// A program that reads YAML 1.1 and writes what it read must leave every key and word as it is.
#[test]
fn no_key_or_word_means_something_else_in_yaml_1_1() {
    // The words of the scalar types of YAML 1.1 (https://yaml.org/type/); numbers and dates begin with a digit, a sign or a dot.
    let others = ["y", "yes", "on", "n", "no", "off", "true", "false", "null", "~", "=", "<<"];
    let tables = Tables::built_in();
    for entity_type in all() {
        for field in entity_type.fields {
            let mut words = vec![field.name.to_owned()];
            match field.shape {
                Shape::Word(some) => words.extend(some.iter().map(|&w| w.to_owned())),
                Shape::Row(table) => words.extend(tables.names(table)),
                _ => {}
            }
            for word in words {
                let is_other = others.contains(&word.to_lowercase().as_str());
                assert!(!is_other, "{}.{}: `{word}`", entity_type.name, field.name);
                // A thread is `1/4-20`: no number and no date, but for a reader of YAML 1.1 `1:30` is one and so is `010`.
                let is_number = word.chars().all(|c| c.is_ascii_digit() || "+-_.:eExXoO".contains(c))
                    && !word.contains('-');
                assert!(!is_number, "{}.{}: `{word}`", entity_type.name, field.name);
            }
        }
    }
}

/// A table pasted as text, its columns parted in the ways that tables come in.
#[test]
fn a_curve_is_read_from_a_table_however_its_columns_are_parted() {
    let points = |table: &str| {
        let text = format!("holdpoint: 1\nmotor:\n  thrust_curve: |\n{table}");
        let design =
            holdpoint::design::Design::read(holdpoint::yaml::Source::new("t", &text), Tables::built_in());
        let problems: Vec<String> = design.problems.iter().map(|p| p.message.clone()).collect();
        let root = design.store.root();
        let motor = design.store.all().find(|(id, _)| *id != root).map(|(_, motor)| motor);
        let curve = motor.and_then(|motor| {
            let slot = motor.entity_type.slot("thrust_curve")?;
            match &motor.slot(slot).state {
                holdpoint::vocabulary::State::Known(value) => Some(format!("{value:?}")),
                _ => None,
            }
        });
        (curve, problems)
    };
    let by_commas = points("    time (s), thrust (N)\n    0, 0\n    0.1, 120\n    1.5, 0\n");
    assert!(by_commas.0.is_some(), "{by_commas:?}");
    for table in [
        "    s N\n    0 0\n    0.1 120\n    1.5 0\n",
        "    s      N\n    0      0\n    0.1    120\n    1.5    0\n",
        "    time (s)  thrust (N)\n    0.0  0\n    0.1  120\n    1.5  0\n",
        "    time (s) thrust (N)\n    0 0\n    0.1 120\n    1.5 0\n",
    ] {
        assert_eq!(points(table), by_commas, "{table}");
    }
    for table in ["    s N\n    0 0 0\n", "    s\n    0 0\n", "    s N\n    0\n"] {
        let (curve, problems) = points(table);
        assert!(curve.is_none() && problems.len() == 1, "{table}: {problems:?}");
    }
}
