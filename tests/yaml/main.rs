//! The text layer from outside: exact places, friendly problems, edits that touch nothing else.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod differential;
mod edits;
mod generated;
#[path = "../helpers/plain_tree.rs"]
mod plain_tree;
mod problems;
#[path = "../helpers/skips.rs"]
mod skips;
mod spans;
mod suite;

use holdpoint::yaml::{NodeId, Problem, Source, Tree};
use plain_tree::{Seen, seen};

/// A tree that must parse without a problem.
fn parsed(text: &str) -> (Source, Tree) {
    let source = Source::new("t.yaml", text);
    let parsed = Tree::parse(&source);
    assert_eq!(parsed.problems, [], "{text:?}");
    (source, parsed.tree.unwrap_or_else(|| panic!("no tree of {text:?}")))
}

/// The node under a path of keys and indices, parted by dots.
fn at(tree: &Tree, path: &str) -> NodeId {
    path.split('.').filter(|s| !s.is_empty()).fold(tree.root(), |node, step| match step.parse::<usize>() {
        Ok(i) if tree.is_list(node) => tree.items(node)[i],
        _ => tree.get(node, step).unwrap_or_else(|| panic!("no {step} of {path}")).value,
    })
}

/// The bytes of a node as text.
fn slice<'s>(source: &'s Source, tree: &Tree, path: &str) -> &'s str {
    source.slice(tree.span(at(tree, path)))
}

/// The one problem of a text.
fn problem(text: &str) -> Problem {
    let mut problems = Tree::parse(&Source::new("t.yaml", text)).problems;
    assert_eq!(problems.len(), 1, "{text:?}: {problems:?}");
    problems.remove(0)
}
