//! The spanned YAML tree: nodes in one list, each with its exact bytes.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use super::node::{Entry, Node, NodeId, NodeKind, Origin, Scalar, ScalarStyle};
use super::{Problem, Source, Span, parser};

/// What came of parsing a source.
#[derive(Clone, Debug, Default)]
pub struct Parsed {
    /// The tree; `None` when the text is not YAML.
    pub tree: Option<Tree>,
    /// What is wrong with the text.
    pub problems: Vec<Problem>,
}

/// A parsed source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tree {
    pub(super) nodes: Vec<Node>,
    pub(super) root: NodeId,
}

/// A document whose aliases stand for more nodes than this is refused.
const MOST_EXPANDED: u64 = 100_000;

/// A text in which `~`, nothing, stands for each `?` that is a whole value; none where there is no such value. YAML itself takes a
/// `?` for the beginning of a key. As many bytes stand there, so that every place stays what it is.
fn without_question_marks(text: &str) -> Option<String> {
    let bytes = text.as_bytes();
    let is_value = |at: usize| {
        let before = text.get(..at).unwrap_or("").trim_end_matches(' ');
        let follows = bytes.get(at + 1).is_none_or(|next| matches!(next, b'\n' | b'\r' | b' ' | b',' | b'}'));
        follows && before.len() < at && before.ends_with(':')
    };
    let places: Vec<usize> = text.match_indices('?').map(|(at, _)| at).filter(|at| is_value(*at)).collect();
    let mut out = text.to_owned();
    for at in &places {
        out.replace_range(*at..at + 1, "~");
    }
    (!places.is_empty()).then_some(out)
}

static NOTHING: Node = Node {
    span: Span { start: 0, end: 0 },
    kind: NodeKind::Scalar(Scalar { value: Cow::Borrowed(""), style: ScalarStyle::Plain }),
    anchored: false,
};

impl Tree {
    /// Parses a source.
    #[must_use]
    pub fn parse(source: &Source) -> Parsed {
        let parsed = parser::nodes(source.text()).or_else(|problem| {
            let text = without_question_marks(source.text()).ok_or_else(|| problem.clone())?;
            parser::nodes(&text).map_err(|_| problem)
        });
        let (mut nodes, root, mut problems) = match parsed {
            Ok(found) => found,
            Err(problem) => return Parsed { tree: None, problems: vec![problem] },
        };
        if let Err(problem) = expansion(&nodes, root) {
            return Parsed { tree: None, problems: vec![problem] };
        }
        duplicates(&mut nodes, source, &mut problems);
        if let Err(problem) = merge(&mut nodes) {
            problems.push(problem);
            return Parsed { tree: None, problems };
        }
        Parsed { tree: Some(Self { nodes, root }), problems }
    }

    /// The node of the whole document; an empty scalar for an empty file.
    #[must_use]
    pub fn root(&self) -> NodeId {
        self.root
    }

    /// A node, aliases not followed.
    #[must_use]
    pub fn node(&self, id: NodeId) -> &Node {
        self.nodes.get(id.0 as usize).unwrap_or(&NOTHING)
    }

    /// The node that `id` stands for, and whether an alias was followed.
    #[must_use]
    pub fn resolve(&self, id: NodeId) -> (NodeId, bool) {
        match self.node(id).kind {
            NodeKind::Alias(target) => (target, true),
            _ => (id, false),
        }
    }

    /// The bytes of a node: of an alias, those of the alias itself.
    #[must_use]
    pub fn span(&self, id: NodeId) -> Span {
        self.node(id).span
    }

    /// The scalar that a node is or stands for.
    #[must_use]
    pub fn scalar(&self, id: NodeId) -> Option<&Scalar> {
        match &self.node(self.resolve(id).0).kind {
            NodeKind::Scalar(scalar) => Some(scalar),
            _ => None,
        }
    }

    /// The entries of the map that a node is or stands for; none for anything else.
    #[must_use]
    pub fn entries(&self, id: NodeId) -> &[Entry] {
        match &self.node(self.resolve(id).0).kind {
            NodeKind::Map { entries, .. } => entries,
            _ => &[],
        }
    }

    /// The items of the list that a node is or stands for; none for anything else.
    #[must_use]
    pub fn items(&self, id: NodeId) -> &[NodeId] {
        match &self.node(self.resolve(id).0).kind {
            NodeKind::List { items, .. } => items,
            _ => &[],
        }
    }

    /// True when a node is or stands for a map.
    #[must_use]
    pub fn is_map(&self, id: NodeId) -> bool {
        matches!(self.node(self.resolve(id).0).kind, NodeKind::Map { .. })
    }

    /// True when a node is or stands for a list.
    #[must_use]
    pub fn is_list(&self, id: NodeId) -> bool {
        matches!(self.node(self.resolve(id).0).kind, NodeKind::List { .. })
    }

    /// True when a node is written in braces or brackets.
    #[must_use]
    pub fn is_flow(&self, id: NodeId) -> bool {
        matches!(self.node(id).kind, NodeKind::Map { flow: true, .. } | NodeKind::List { flow: true, .. })
    }

    /// True when nothing is written: `key:`, `key: ~`, `key: null`.
    #[must_use]
    pub fn is_null(&self, id: NodeId) -> bool {
        self.scalar(id).is_some_and(|s| {
            s.style == ScalarStyle::Plain && matches!(s.value.as_ref(), "" | "~" | "null" | "Null" | "NULL")
        })
    }

    /// The entry of a map under a key.
    #[must_use]
    pub fn get(&self, map: NodeId, key: &str) -> Option<&Entry> {
        self.entries(map).iter().find(|e| self.scalar(e.key).is_some_and(|s| s.value == key))
    }

    /// The byte where a scalar's text stands letter by letter in the source; `None` where it is escaped or folded.
    #[must_use]
    pub fn content_start(&self, source: &Source, id: NodeId) -> Option<u32> {
        let id = self.resolve(id).0;
        let scalar = self.scalar(id)?;
        let span = self.span(id);
        let quote = match scalar.style {
            ScalarStyle::Plain => 0,
            ScalarStyle::Single | ScalarStyle::Double => 1,
            ScalarStyle::Literal | ScalarStyle::Folded => return None,
        };
        let inner = Span { start: span.start + quote, end: span.end.saturating_sub(quote) };
        (source.slice(inner) == scalar.value).then_some(inner.start)
    }

    /// Where the pieces of a scalar's value stand in the source, line by line: pairs of an offset in the value and one
    /// in the source. None where the value is not the source's own letters, as after an escape.
    #[must_use]
    pub fn content_lines(&self, source: &Source, id: NodeId) -> Option<Vec<(u32, u32)>> {
        if let Some(start) = self.content_start(source, id) {
            return Some(vec![(0, start)]);
        }
        let id = self.resolve(id).0;
        let scalar = self.scalar(id)?;
        let span = self.span(id);
        let written = source.slice(span);
        let mut at = match scalar.style {
            ScalarStyle::Plain => 0,
            ScalarStyle::Single | ScalarStyle::Double => 1,
            // The first line of a block says how it is folded.
            ScalarStyle::Literal | ScalarStyle::Folded => written.find('\n')?,
        };
        let mut lines = Vec::new();
        let mut broken = true;
        for (offset, c) in scalar.value.char_indices() {
            let here = written.get(at..)?;
            if c.is_whitespace() && here.trim_start_matches(' ').starts_with(['\n', '\r']) {
                // A fold: the end of a line stands for the one blank.
                let rest = here.trim_start();
                at += here.len() - rest.len();
                broken = true;
                continue;
            }
            if broken {
                let rest = here.trim_start();
                at += here.len() - rest.len();
                lines.push((u32::try_from(offset).ok()?, u32::try_from(span.start as usize + at).ok()?));
                broken = false;
            }
            if !written.get(at..)?.starts_with(c) {
                // What a block ends with is no part of an expression.
                if scalar.value.get(offset..).is_some_and(|rest| rest.trim().is_empty()) {
                    break;
                }
                return None;
            }
            at += c.len_utf8();
        }
        Some(lines)
    }
}

/// What the edits ask of a tree beside what everyone may.
impl Tree {
    /// True when an alias stands for the node or for a map or list around it.
    pub(super) fn is_target(&self, id: NodeId) -> bool {
        let span = self.span(id);
        self.nodes.iter().any(|n| match n.kind {
            NodeKind::Alias(to) => {
                let target = self.span(to);
                target.start <= span.start && span.end <= target.end
            }
            _ => false,
        })
    }

    /// True when a node that is written ends at this byte.
    pub(super) fn ends_at(&self, at: u32) -> bool {
        self.nodes
            .iter()
            .any(|n| n.span.end == at && !n.span.is_empty() && matches!(n.kind, NodeKind::Scalar(_)))
    }

    /// True when a block of text ends at this byte.
    pub(super) fn block_text_ends_at(&self, at: usize) -> bool {
        let block = |s: &Scalar| matches!(s.style, ScalarStyle::Literal | ScalarStyle::Folded);
        self.nodes
            .iter()
            .any(|n| n.span.end as usize == at && matches!(&n.kind, NodeKind::Scalar(s) if block(s)))
    }
}

/// Refuses a document whose aliases stand for more than it could be meant to hold.
fn expansion(nodes: &[Node], root: NodeId) -> Result<(), Problem> {
    // Children always have higher numbers than their parents, and an alias's target a lower one, so sizes are
    // summed from the end; an alias's size is looked up in a second pass, in the order of the file.
    let mut sizes: Vec<u64> = vec![1; nodes.len()];
    let mut total = 0_u64;
    // Nodes are numbered when they start, so a target is complete only after its last child: walk with a stack.
    let mut stack = vec![(root, false)];
    while let Some((id, done)) = stack.pop() {
        let Some(node) = nodes.get(id.0 as usize) else { continue };
        let children: Vec<NodeId> = match &node.kind {
            NodeKind::Map { entries, .. } => entries.iter().flat_map(|e| [e.key, e.value]).collect(),
            NodeKind::List { items, .. } => items.clone(),
            NodeKind::Scalar(_) => Vec::new(),
            NodeKind::Alias(target) => {
                let size = sizes.get(target.0 as usize).copied().unwrap_or(1);
                if let Some(mine) = sizes.get_mut(id.0 as usize) {
                    *mine = size;
                }
                total = total.saturating_add(size);
                if total > MOST_EXPANDED {
                    return Err(Problem::at(node.span, "the aliases of this file stand for too much").help(
                        "write the parts out, or share fewer of them: an alias of an alias of an alias grows fast",
                    ));
                }
                continue;
            }
        };
        if done {
            let sum: u64 =
                children.iter().filter_map(|c| sizes.get(c.0 as usize)).fold(1, |a, b| a.saturating_add(*b));
            if let Some(mine) = sizes.get_mut(id.0 as usize) {
                *mine = sum;
            }
        } else {
            stack.push((id, true));
            stack.extend(children.into_iter().rev().map(|c| (c, false)));
        }
    }
    Ok(())
}

/// True for the key that merges another map in; in quotes it is a key like any other.
fn is_merge_key(nodes: &[Node], id: NodeId) -> bool {
    matches!(nodes.get(id.0 as usize).map(|n| &n.kind),
        Some(NodeKind::Scalar(s)) if s.style == ScalarStyle::Plain && s.value == "<<")
}

/// Reports keys written twice in one map, and keeps the first of each.
fn duplicates(nodes: &mut [Node], source: &Source, problems: &mut Vec<Problem>) {
    for index in 0..nodes.len() {
        let Some(NodeKind::Map { entries, .. }) = nodes.get(index).map(|n| &n.kind) else { continue };
        let name = |id: NodeId| match nodes.get(id.0 as usize).map(|n| &n.kind) {
            Some(NodeKind::Scalar(s)) => Some(s.value.as_ref()),
            _ => None,
        };
        let mut seen: HashMap<&str, NodeId> = HashMap::new();
        let mut twice = Vec::new();
        for (at, entry) in entries.iter().enumerate() {
            let Some(key) = name(entry.key) else { continue };
            if is_merge_key(nodes, entry.key) {
                continue;
            }
            let first = *seen.entry(key).or_insert(entry.key);
            if first != entry.key {
                twice.push(at);
                let span = |id: NodeId| nodes.get(id.0 as usize).map_or(Span::default(), |n| n.span);
                let first = span(first);
                problems.push(
                    Problem::at(span(entry.key), format!("`{key}` is written twice in one map"))
                        .help("keep one of the two; the first is used here")
                        .related(first, format!("first written here, as `{}`", source.slice(first))),
                );
            }
        }
        if !twice.is_empty()
            && let Some(Node { kind: NodeKind::Map { entries, .. }, .. }) = nodes.get_mut(index)
        {
            let mut at = 0;
            entries.retain(|_| {
                at += 1;
                twice.binary_search(&(at - 1)).is_err()
            });
        }
    }
}

/// Brings the entries of merge keys into their maps; a map's own keys win.
fn merge(nodes: &mut [Node]) -> Result<(), Problem> {
    let mut total = 0_u64;
    // Targets stand before their aliases in the file, so going forward every target is already merged.
    for index in 0..nodes.len() {
        let key_text = |id: NodeId| match nodes.get(id.0 as usize).map(|n| &n.kind) {
            Some(NodeKind::Scalar(s)) => Some(s.value.as_ref()),
            _ => None,
        };
        let Some(NodeKind::Map { entries, .. }) = nodes.get(index).map(|n| &n.kind) else { continue };
        if !entries.iter().any(|e| is_merge_key(nodes, e.key)) {
            continue;
        }
        let node = |id: NodeId| nodes.get(id.0 as usize).unwrap_or(&NOTHING);
        let target = |id: NodeId| match node(id).kind {
            NodeKind::Alias(to) => to,
            _ => id,
        };
        let (merges, mut result): (Vec<Entry>, Vec<Entry>) =
            entries.iter().copied().partition(|e| is_merge_key(nodes, e.key));
        let mut have: HashSet<String> =
            result.iter().filter_map(|e| key_text(e.key)).map(str::to_owned).collect();
        for entry in merges {
            let from: Vec<NodeId> = match &node(target(entry.value)).kind {
                NodeKind::List { items, .. } => items.clone(),
                _ => vec![entry.value],
            };
            for one in from {
                let NodeKind::Map { entries, .. } = &node(target(one)).kind else {
                    return Err(Problem::at(node(one).span, "`<<` merges maps, and this is none"));
                };
                for merged in entries {
                    let Some(key) = key_text(merged.key) else { continue };
                    if have.insert(key.to_owned()) {
                        result.push(Entry { origin: Origin::Merged(node(one).span), ..*merged });
                        total += 1;
                    }
                }
            }
            if total > MOST_EXPANDED {
                return Err(Problem::at(
                    node(entry.value).span,
                    "the merge keys of this file stand for too much",
                ));
            }
        }
        if let Some(Node { kind: NodeKind::Map { entries, .. }, .. }) = nodes.get_mut(index) {
            *entries = result;
        }
    }
    Ok(())
}
