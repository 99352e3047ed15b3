//! What a working prints can be worked out anew from what it prints.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod calculator;
#[path = "../helpers/designs.rs"]
mod designs;
mod explained;
mod recomputed;
mod units;

use std::path::{Path, PathBuf};

use holdpoint::design::Design;
use holdpoint::rules::Library;
use holdpoint::yaml::Source;

/// Every design that is worked out anew: examples, specimens and ordinary rockets.
pub fn files() -> Vec<PathBuf> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<PathBuf> =
        designs::examples().into_iter().map(|name| root.join("examples").join(name)).collect();
    for folder in ["rules/specimens", "tests/ordinary", "examples/configurations"] {
        let all = std::fs::read_dir(root.join(folder)).unwrap().map(|entry| entry.unwrap().path());
        files.extend(all.filter(|path| path.to_string_lossy().ends_with(".rocket.yaml")));
    }
    files.sort();
    files
}

pub fn design(file: &Path, library: &Library) -> Design {
    let source =
        Source::new(file.file_name().unwrap().to_str().unwrap(), std::fs::read_to_string(file).unwrap());
    Design::read(source, &library.tables)
}
