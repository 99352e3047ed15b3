//! Pages and drawings: what stands on them, where their anchors lead, and what a browser makes of them.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod browser;
mod drawing;
mod hostile;
mod page;
mod papers;
mod print;
#[path = "../helpers/skips.rs"]
mod skips;
mod template_files;
mod templates;

use std::process::Command;

use scraper::{Html, Selector};

/// The examples, each with what a review of it exits with.
const EXAMPLES: &[(&str, i32)] = &[
    ("examples/marsh-harrier.rocket.yaml", 0),
    ("examples/sand-martin.rocket.yaml", 0),
    ("examples/first-draft.rocket.yaml", 1),
];

fn root(path: &str) -> String {
    format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))
}

fn file(path: &str) -> String {
    std::fs::read_to_string(root(path)).unwrap()
}

/// What the program prints, and what it exits with.
fn printed(arguments: &[&str]) -> (String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(!errors.contains("panicked"), "{errors}");
    (String::from_utf8(output.stdout).unwrap(), output.status.code().unwrap())
}

fn page_of(design: &str) -> String {
    printed(&["review", "--format", "html", design]).0
}

fn select(words: &str) -> Selector {
    Selector::parse(words).unwrap()
}

/// What must hold for each page and paper, whatever is on it.
#[track_caller]
fn sound(text: &str) -> Html {
    let page = Html::parse_document(text);
    // Attributes of SVG keep their case; nothing else is forgiven.
    assert!(page.errors.is_empty(), "{:?}", page.errors);
    let mut ids = std::collections::BTreeSet::new();
    for one in page.select(&select("[id]")) {
        assert!(
            ids.insert(one.value().id().unwrap().to_owned()),
            "two things are `{}`",
            one.value().id().unwrap()
        );
    }
    let mut links = 0;
    for one in page.select(&select("[href]")) {
        let target = one.value().attr("href").unwrap();
        let id = target.strip_prefix('#').unwrap_or_else(|| panic!("{target} leads away"));
        assert!(ids.contains(id), "nothing is `{id}`");
        links += 1;
    }
    assert!(links > 0 || page.select(&select("a")).next().is_none());
    for forbidden in
        ["script", "[src]", "[srcset]", "link", "iframe", "object", "embed", "form", "base", "[style]"]
    {
        assert!(page.select(&select(forbidden)).next().is_none(), "there is a {forbidden}");
    }
    for one in page.select(&select("*")) {
        assert!(one.value().attrs().all(|(name, _)| !name.starts_with("on")), "a handler");
    }
    for style in page.select(&select("style")) {
        let style = style.text().collect::<String>();
        assert!(!style.contains("@import") && !style.contains("url("), "a style that fetches");
    }
    page
}
