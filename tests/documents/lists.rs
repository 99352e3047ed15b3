//! Lists in the documents are those the program would give.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use holdpoint::language::FUNCTIONS;
use holdpoint::rules::{ASK, DERIVED, HoldPoint, LIMIT, PACK, REMEDY, RULE, TRIAL};
use holdpoint::tables::SOURCE;
use holdpoint::vocabulary::{Kind, Need, Shape};

use crate::{between, file};

fn keys(kind: &Kind) -> String {
    let mut text = String::new();
    for field in kind.fields {
        let need = if field.need == Need::Required { "" } else { ", optional" };
        let words = match field.shape {
            Shape::Word(words) => format!(" One of `{}`.", words.join("`, `")),
            _ => String::new(),
        };
        let _ = writeln!(text, "- `{}`{need}: {}{words}", field.name, field.about());
    }
    text
}

#[test]
fn every_key_of_a_pack_is_explained() {
    let document = file("rules/README.md");
    for kind in [&PACK, &LIMIT, &DERIVED, &RULE, &ASK, &REMEDY, &TRIAL, &SOURCE] {
        let told = between(&document, &format!("keys of {}", kind.name));
        assert_eq!(told, keys(kind), "put this between the marks:\n{}", keys(kind));
    }
}

#[test]
fn every_function_is_listed() {
    let mut list = String::new();
    for function in FUNCTIONS {
        let (call, meaning) = function.doc.split_once(": ").unwrap();
        assert!(call.starts_with(&format!("{}(", function.name)), "{call}");
        let _ = writeln!(list, "- `{call}`: {meaning}");
    }
    let document = file("rules/README.md");
    assert_eq!(between(&document, "functions"), list, "put this between the marks:\n{list}");
}

#[test]
fn hold_points_are_told_in_build_order() {
    let names: Vec<String> = HoldPoint::ALL.iter().map(|p| format!("`{p}`")).collect();
    assert!(file("rules/README.md").contains(&names.join(", ")));
}

fn sources(folder: &Path, found: &mut BTreeSet<String>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            let path = path.strip_prefix(env!("CARGO_MANIFEST_DIR")).unwrap();
            found.insert(path.to_string_lossy().into_owned());
        }
    }
}

#[test]
fn the_code_map_has_every_file_once() {
    let mut files = BTreeSet::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let document = file("DEVELOPERS.md");
    let map = between(&document, "code map");
    let mapped: Vec<&str> = map
        .lines()
        .filter_map(|l| l.trim_start().strip_prefix("- `src/"))
        .filter_map(|l| l.split('`').next())
        .filter(|p| p.ends_with(".rs"))
        .collect();
    let once: BTreeSet<String> = mapped.iter().map(|p| format!("src/{p}")).collect();
    assert_eq!(once.len(), mapped.len(), "a file is mapped twice");
    let lacking: Vec<&String> = files.symmetric_difference(&once).collect();
    assert!(lacking.is_empty(), "the code map of DEVELOPERS.md and src/ differ in {lacking:?}");
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = file("Cargo.toml");
    let document = file("DEVELOPERS.md");
    let told = between(&document, "dependencies");
    let mut section = "";
    // One that the program and its build script share is told once.
    let mut seen = BTreeSet::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            section = line;
        } else if let (true, Some((name, _))) = (section.ends_with("dependencies]"), line.split_once(" = ")) {
            assert!(told.contains(&format!("- `{name}`")), "no reason is given for {name}");
            seen.insert(name.to_owned());
        }
    }
    assert_eq!(
        told.lines().filter(|l| l.starts_with("- `")).count(),
        seen.len(),
        "a dependency is told and not used"
    );
}
