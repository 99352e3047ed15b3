//! The examples behave as the README says, and no value of a clean one can vanish in silence.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod corners;
#[path = "../helpers/designs.rs"]
mod designs;
mod drill_sheet;
mod extremes;
mod failures;
mod joint_pull;
mod landing;
mod mutation;
mod removal;
mod verdicts;

use std::path::{Path, PathBuf};

use holdpoint::design::Design;
use holdpoint::review::{DesignReview, Options, review};
use holdpoint::rules::Library;
use holdpoint::tables::Tables;
use holdpoint::yaml::Source;

/// The one example with mistakes.
pub const DRAFT: &str = "first-draft.rocket.yaml";

/// The examples in good order: every other one.
pub fn clean() -> Vec<String> {
    designs::examples().into_iter().filter(|name| name != DRAFT).collect()
}

pub fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)
}

pub fn text_of(name: &str) -> String {
    std::fs::read_to_string(example(name)).unwrap()
}

pub fn reviewed(library: &Library, text: &str) -> DesignReview {
    let mut options = Options::on(jiff::civil::date(2026, 6, 1));
    options.try_remedies = false;
    review(Design::read(Source::new("example.rocket.yaml", text), Tables::built_in()), library, &options)
}
