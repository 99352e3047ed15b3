//! A tree of YAML without its places, to compare what two readers see.

use holdpoint::yaml::{NodeId, NodeKind, Tree};

/// A tree without places: what a reader sees.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Seen {
    Null,
    Text(String),
    List(Vec<Seen>),
    Map(Vec<(String, Seen)>),
}

pub(crate) fn seen(tree: &Tree, id: NodeId) -> Seen {
    match &tree.node(tree.resolve(id).0).kind {
        NodeKind::Scalar(_) if tree.is_null(id) => Seen::Null,
        NodeKind::Scalar(s) => Seen::Text(s.value.to_string()),
        NodeKind::List { items, .. } => Seen::List(items.iter().map(|i| seen(tree, *i)).collect()),
        NodeKind::Map { entries, .. } => Seen::Map(
            entries
                .iter()
                .map(|e| {
                    // A key that is no text equals none that a test expects.
                    let key = tree
                        .scalar(e.key)
                        .map_or_else(|| "<no text>".to_owned(), |key| key.value.to_string());
                    (key, seen(tree, e.value))
                })
                .collect(),
        ),
        NodeKind::Alias(_) => unreachable!("an alias resolves to its target"),
    }
}
