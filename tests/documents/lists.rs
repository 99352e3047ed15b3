//! Lists in the documents are those the program would give.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::Path;

use holdpoint::language::functions;
use holdpoint::rules::{
    ASK, DERIVED, FUNCTION, HoldPoint, LIMIT, PACK, REMEDY, RULE, STEP, TABLE, TRIAL, UNCERTAINTY,
};
use holdpoint::tables::SOURCE;
use holdpoint::vocabulary::{EntityType, Need, Shape};

use crate::{between, file};

fn keys(entity_type: &EntityType) -> String {
    let mut text = String::new();
    for field in entity_type.fields {
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
    for entity_type in [
        &PACK,
        &LIMIT,
        &TABLE,
        &FUNCTION,
        &DERIVED,
        &RULE,
        &ASK,
        &STEP,
        &UNCERTAINTY,
        &REMEDY,
        &TRIAL,
        &SOURCE,
    ] {
        let reported = between(&document, &format!("keys of {}", entity_type.name));
        assert_eq!(reported, keys(entity_type), "put this between the marks:\n{}", keys(entity_type));
    }
}

#[test]
fn every_function_is_listed() {
    let mut list = String::new();
    for function in functions() {
        let (call, meaning) = function.doc.split_once(": ").unwrap();
        assert!(call.starts_with(&format!("{}(", function.name)), "{call}");
        let _ = writeln!(list, "- `{call}`: {meaning}");
    }
    let document = file("rules/README.md");
    assert_eq!(between(&document, "functions"), list, "put this between the marks:\n{list}");
}

/// Each function is called in an expression that a test runs, and so is each word that folds a collection.
#[test]
fn every_function_has_an_example_that_is_run() {
    let document = file("rules/README.md");
    let run: String = crate::blocks(&document)
        .into_iter()
        .filter(|b| b.info == "yaml" || b.info == "expr" || b.info.starts_with("expr "))
        .map(|block| block.text)
        .collect();
    let lacking: Vec<&str> =
        functions().map(|f| f.name).filter(|name| !run.contains(&format!("{name}("))).collect();
    assert!(lacking.is_empty(), "no example of {lacking:?}");
}

#[test]
fn hold_points_are_told_in_build_order() {
    let names: Vec<String> = HoldPoint::ALL.iter().map(|p| format!("`{p}`")).collect();
    assert!(file("rules/README.md").contains(&names.join(", ")));
}

/// The files and folders below a folder, by their paths from the root.
fn below(folder: &Path, files: &mut BTreeSet<String>, folders: &mut BTreeSet<String>) {
    let from_root =
        |path: &Path| path.strip_prefix(env!("CARGO_MANIFEST_DIR")).unwrap().to_string_lossy().into_owned();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            folders.insert(from_root(&path));
            below(&path, files, folders);
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.insert(from_root(&path));
        }
    }
}

#[test]
fn the_code_map_has_every_layer_once_and_every_file_says_what_it_is_for() {
    let (mut files, mut folders) = (BTreeSet::new(), BTreeSet::new());
    below(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files, &mut folders);
    let document = file("DEVELOPERS.md");
    let mapped: Vec<&str> = between(&document, "code map")
        .lines()
        .map(|l| {
            let line = l.strip_prefix("- `").and_then(|l| l.split_once("/`: "));
            line.unwrap_or_else(|| panic!("a line of the code map is a folder and what it is: {l}")).0
        })
        .collect();
    let once: BTreeSet<&str> = mapped.iter().copied().collect();
    assert_eq!(once.len(), mapped.len(), "a folder is mapped twice");
    let layers: BTreeSet<&str> =
        folders.iter().map(String::as_str).filter(|f| f.matches('/').count() == 1).collect();
    let lacking: Vec<&&str> = layers.symmetric_difference(&once).collect();
    assert!(lacking.is_empty(), "the code map of DEVELOPERS.md and src/ differ in {lacking:?}");
    for path in files {
        let text = file(&path);
        let first = text.lines().next().unwrap_or("");
        assert!(first.starts_with("//! ") && first.len() > 12, "{path} does not begin with what it is for");
    }
}

#[test]
fn every_dependency_has_its_reason() {
    let manifest = file("Cargo.toml");
    let document = file("DEVELOPERS.md");
    let reported = between(&document, "dependencies");
    let mut section = "";
    // One that the program and its build script share is told once.
    let mut seen = BTreeSet::new();
    for line in manifest.lines() {
        if line.starts_with('[') {
            section = line;
        } else if let (true, Some((name, _))) = (section.ends_with("dependencies]"), line.split_once(" = ")) {
            assert!(reported.contains(&format!("- `{name}`")), "no reason is given for {name}");
            seen.insert(name.to_owned());
        }
    }
    assert_eq!(
        reported.lines().filter(|l| l.starts_with("- `")).count(),
        seen.len(),
        "a dependency is told and not used"
    );
}
