//! What the nodes of the spanned YAML tree are.

use std::borrow::Cow;

use super::Span;

/// Deeper than any rocket, shallow enough for every stack.
pub(super) const DEEPEST: usize = 64;

/// A node of a tree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NodeId(pub(super) u32);

/// A node: what it is and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node {
    /// Its bytes: with the quotes of a quoted scalar, from the first key to the end of the last value of a block map.
    pub span: Span,
    /// What it is.
    pub kind: NodeKind,
    /// Where its content stands when it has an anchor before it: the anchor's own bytes are not part of the span.
    pub anchored: bool,
}

/// What a node is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NodeKind {
    /// A scalar.
    Scalar(Scalar),
    /// A map with its entries in the order of the file.
    Map {
        /// Its entries; those of merge keys stand at the end.
        entries: Vec<Entry>,
        /// Written in braces.
        flow: bool,
    },
    /// A list.
    List {
        /// Its items.
        items: Vec<NodeId>,
        /// Written in brackets.
        flow: bool,
    },
    /// Another name for an earlier node.
    Alias(NodeId),
}

/// A scalar's decoded text and how it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scalar {
    /// The text, escapes resolved; of a text that is built in, a part of it.
    pub value: Cow<'static, str>,
    /// How it was written.
    pub style: ScalarStyle,
}

/// How a scalar was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScalarStyle {
    /// Without quotes.
    Plain,
    /// In single quotes.
    Single,
    /// In double quotes.
    Double,
    /// After `|`.
    Literal,
    /// After `>`.
    Folded,
}

/// One entry of a map.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The key's node.
    pub key: NodeId,
    /// The value's node.
    pub value: NodeId,
    /// Whether it is written here or comes through a merge key.
    pub origin: Origin,
}

/// Where an entry of a map is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// In this map.
    Own,
    /// In another map, merged in by `<<`; the span is that of the merge's value.
    Merged(Span),
}
