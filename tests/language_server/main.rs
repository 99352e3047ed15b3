//! The language server by itself: what may be written where, names changed, and the protocol's beginnings and ends.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

#[path = "../helpers/designs.rs"]
mod designs;
mod places;
mod protocol;
mod renames;

use holdpoint::design::Design;
use holdpoint::tables::Tables;
use holdpoint::yaml::Source;

fn example(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    std::fs::read_to_string(path).unwrap()
}

fn read(text: &str) -> Design {
    Design::read(Source::new("design", text), Tables::built_in())
}
