//! The text room from outside: exact places, friendly problems, edits that touch nothing else.
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
mod problems;
#[path = "../helpers/skips.rs"]
mod skips;
mod spans;
mod suite;

use holdpoint::text::{NodeId, NodeKind, Problem, Source, Tree};

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

/// A tree without places: what a reader sees.
#[derive(Clone, Debug, PartialEq)]
enum Seen {
    Null,
    Text(String),
    List(Vec<Seen>),
    Map(Vec<(String, Seen)>),
}

fn seen(tree: &Tree, id: NodeId) -> Seen {
    match &tree.node(tree.resolve(id).0).kind {
        NodeKind::Scalar(_) if tree.is_null(id) => Seen::Null,
        NodeKind::Scalar(s) => Seen::Text(s.value.to_string()),
        NodeKind::List { items, .. } => Seen::List(items.iter().map(|i| seen(tree, *i)).collect()),
        NodeKind::Map { entries, .. } => Seen::Map(
            entries
                .iter()
                .map(|e| (tree.scalar(e.key).unwrap().value.to_string(), seen(tree, e.value)))
                .collect(),
        ),
        NodeKind::Alias(_) => unreachable!("an alias resolves to its target"),
    }
}
