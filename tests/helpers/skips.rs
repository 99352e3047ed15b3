//! Tests of what other programs make of ours, where such a program is not installed.

use std::io::Write as _;

/// Says past the test runner's capture that something is not here, so that a part of a test is left out. Where `CI` is set nothing is
/// left out: there a test that asks nothing would be a tick that nobody made.
///
/// # Panics
///
/// Where the environment variable `CI` is set and not `false`.
#[track_caller]
pub(crate) fn skipped(what: &str) {
    let ci = std::env::var("CI").is_ok_and(|value| !value.is_empty() && value != "false");
    assert!(!ci, "{what}, and CI is set: there every test is due");
    let _ = writeln!(std::io::stderr(), "SKIPPED: {what}");
}
