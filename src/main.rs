//! The command line: parses and dispatches.
fn main() {}
