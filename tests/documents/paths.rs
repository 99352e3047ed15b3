//! Every path that a document names exists.

use std::path::Path;

use crate::{documents, file};

/// A code span or link that names a file or a folder of the project.
fn is_path(text: &str) -> bool {
    let plain = |c: char| c.is_ascii_alphanumeric() || "_./-".contains(c);
    let last = text.rsplit('/').next().unwrap_or("");
    let extension =
        last.rsplit_once('.').is_some_and(|(_, e)| e.starts_with(|c: char| c.is_ascii_alphabetic()));
    text.contains('/') && text.chars().all(plain) && (text.ends_with('/') || extension)
}

/// The text outside fenced blocks.
fn prose(document: &str) -> String {
    document.split("```").step_by(2).collect()
}

fn named(document: &str) -> Vec<String> {
    let prose = prose(document);
    let spans = prose.split('`').skip(1).step_by(2).map(str::to_owned);
    let links = prose.split("](").skip(1).filter_map(|t| t.split(')').next()).map(str::to_owned);
    let links = links.filter(|l| !l.contains("://")).map(|l| l.split('#').next().unwrap().to_owned());
    spans.filter(|s| is_path(s)).chain(links.filter(|l| !l.is_empty())).collect()
}

#[test]
fn every_path_that_is_named_exists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for document in documents() {
        let folder = Path::new(&document).parent().unwrap();
        let paths = named(&file(&document));
        assert!(!paths.is_empty(), "{document} names no path");
        for path in paths {
            // What a build makes is not there before it.
            if path.starts_with("target/") {
                continue;
            }
            let exists = root.join(&path).exists() || root.join(folder).join(&path).exists();
            assert!(exists, "{document} names `{path}`, and there is no such file");
        }
    }
}

#[test]
fn every_document_can_be_reached_from_the_readme() {
    let readme = file("README.md");
    for document in documents() {
        assert!(
            document == "README.md" || readme.contains(&format!("]({document})")),
            "README.md has no link to {document}"
        );
    }
}
