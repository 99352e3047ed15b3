//! What the developers' document says is absent is absent.

use std::path::{Path, PathBuf};

use crate::{between, file};

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// Every file of the library with its path from the root and its text, its own tests left out.
pub(crate) fn library() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    sources(&root.join("src"))
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let text = text.split("#[cfg(test)]").next().unwrap().to_owned();
            (path.strip_prefix(root).unwrap().to_string_lossy().into_owned(), text)
        })
        .collect()
}

/// The layers in the order of the code map, the lowest first.
pub(crate) fn layers() -> Vec<String> {
    let document = file("DEVELOPERS.md");
    between(&document, "code map")
        .lines()
        .filter_map(|l| l.strip_prefix("- `src/")?.split_once("/`"))
        .map(|(layer, _)| layer.to_owned())
        .collect()
}

/// Words that may stand only in some files, and why.
const ONLY: &[(&str, &[&str], &str)] = &[
    ("miette::", &["src/report/diagram.rs"], "drawing stays in one file"),
    ("granit_parser", &["src/yaml/parser.rs", "src/yaml/explain.rs"], "the parser stays in one layer"),
    ("serde_yaml", &["src/yaml/edit.rs"], "YAML is parsed once; this crate only writes scalars"),
    (
        "std::process",
        &["src/commands/git.rs", "src/main.rs"],
        "git shows a revision, and nothing else is run",
    ),
    ("std::fs", &["src/commands/"], "only commands touch files"),
    (
        "std::net",
        &["src/commands/page_server.rs"],
        "only the page of `watch` is served, and nothing is fetched",
    ),
    ("SystemTime", &[], "the day is an input"),
    ("Timestamp::now", &["src/main.rs"], "the day is an input"),
];

#[test]
fn what_is_absent_is_absent() {
    for (path, text) in library() {
        for (word, places, why) in ONLY {
            let allowed = places.iter().any(|place| path.starts_with(place));
            assert!(allowed || !text.contains(word), "{path} has `{word}`: {why}");
        }
    }
}
