//! Trees written down as bytes for [`super::prebuilt`]: compiled into the build script, and into the tests.

use super::Span;
use super::node::{Entry, Node, NodeId, NodeKind, Origin};
use super::prebuilt::{ALIAS, ANCHORED, FLOW, FULL, LIST, MAP, SCALAR, STYLE_SHIFT, STYLES, inner};
use super::tree::Tree;

fn number(out: &mut Vec<u8>, mut number: u32) {
    while number >= 0x80 {
        out.push((number & 0x7f) as u8 | 0x80);
        number >>= 7;
    }
    out.push(number as u8);
}

fn difference(out: &mut Vec<u8>, from: u32, to: u32) {
    let by = to.wrapping_sub(from) as i32;
    number(out, ((by << 1) ^ (by >> 31)) as u32);
}

fn length(out: &mut Vec<u8>, length: usize) {
    number(out, u32::try_from(length).unwrap_or(u32::MAX));
}

fn node(out: &mut Vec<u8>, text: &str, id: u32, node: &Node, start_before: u32) {
    let anchored = if node.anchored { ANCHORED } else { 0 };
    let merged = |entries: &[Entry]| entries.iter().any(|e| e.origin != Origin::Own);
    let tag = match &node.kind {
        NodeKind::Scalar(scalar) => {
            let style = STYLES.iter().position(|s| *s == scalar.style).unwrap_or(0) as u8;
            let spelled = inner(text, node.span, scalar.style) == Some(scalar.value.as_ref());
            SCALAR | style << STYLE_SHIFT | if spelled { 0 } else { FULL }
        }
        NodeKind::Map { entries, flow } => {
            MAP | if *flow { FLOW } else { 0 } | if merged(entries) { FULL } else { 0 }
        }
        NodeKind::List { flow, .. } => LIST | if *flow { FLOW } else { 0 },
        NodeKind::Alias(_) => ALIAS,
    };
    out.push(tag | anchored);
    difference(out, start_before, node.span.start);
    length(out, node.span.len());
    match &node.kind {
        NodeKind::Scalar(scalar) => {
            if tag & FULL != 0 {
                length(out, scalar.value.len());
                out.extend(scalar.value.as_bytes());
            }
        }
        NodeKind::Map { entries, .. } => {
            length(out, entries.len());
            let mut before = id;
            for entry in entries {
                difference(out, before, entry.key.0);
                difference(out, entry.key.0, entry.value.0);
                before = entry.key.0;
                match entry.origin {
                    Origin::Own if tag & FULL == 0 => {}
                    Origin::Own => out.push(0),
                    Origin::Merged(Span { start, end }) => {
                        out.push(1);
                        number(out, start);
                        number(out, end - start);
                    }
                }
            }
        }
        NodeKind::List { items, .. } => {
            length(out, items.len());
            let mut before = id;
            for item in items {
                difference(out, before, item.0);
                before = item.0;
            }
        }
        NodeKind::Alias(target) => number(out, target.0),
    }
}

/// The bytes of a text's tree.
pub(crate) fn bytes(text: &str, tree: &Tree) -> Vec<u8> {
    let mut out = Vec::new();
    length(&mut out, tree.nodes.len());
    number(&mut out, tree.root.0);
    let mut start = 0;
    for (id, one) in (0_u32..).zip(&tree.nodes) {
        node(&mut out, text, id, one, start);
        start = one.span.start;
    }
    out
}

/// The tree without the trials of its rules: a review reads none, and they are most of a pack.
///
/// # Errors
/// When an alias outside the trials stands for a part of them.
pub(crate) fn without_trials(mut tree: Tree) -> Result<Tree, &'static str> {
    let rules: Vec<NodeId> = match tree.get(tree.root(), "rules") {
        Some(rules) => tree.entries(rules.value).iter().map(|e| tree.resolve(e.value).0).collect(),
        None => Vec::new(),
    };
    let mut kept = vec![true; tree.nodes.len()];
    for rule in rules {
        let trials = tree.get(rule, "trials").filter(|e| e.origin == Origin::Own).copied();
        if let Some(Node { kind: NodeKind::Map { entries, .. }, .. }) = tree.nodes.get_mut(rule.0 as usize) {
            entries.retain(|e| Some(e.key) != trials.map(|t| t.key));
        }
        let mut open: Vec<NodeId> = trials.iter().flat_map(|t| [t.key, t.value]).collect();
        while let Some(id) = open.pop() {
            if let Some(kept) = kept.get_mut(id.0 as usize) {
                *kept = false;
            }
            match &tree.node(id).kind {
                NodeKind::Map { entries, .. } => {
                    let own = entries.iter().filter(|e| e.origin == Origin::Own);
                    open.extend(own.flat_map(|e| [e.key, e.value]));
                }
                NodeKind::List { items, .. } => open.extend(items),
                NodeKind::Scalar(_) | NodeKind::Alias(_) => {}
            }
        }
    }
    // The nodes that are left move up; what refers to one that is gone cannot be kept.
    let mut next = 0;
    let numbers: Vec<Option<NodeId>> = kept
        .iter()
        .map(|kept| {
            kept.then(|| {
                next += 1;
                NodeId(next - 1)
            })
        })
        .collect();
    let mut gone = false;
    let mut moved = |id: &mut NodeId| match numbers.get(id.0 as usize).copied().flatten() {
        Some(number) => *id = number,
        None => gone = true,
    };
    let mut nodes = Vec::new();
    for (mut node, kept) in tree.nodes.into_iter().zip(&kept) {
        if !kept {
            continue;
        }
        match &mut node.kind {
            NodeKind::Map { entries, .. } => entries.iter_mut().for_each(|e| {
                moved(&mut e.key);
                moved(&mut e.value);
            }),
            NodeKind::List { items, .. } => items.iter_mut().for_each(&mut moved),
            NodeKind::Alias(target) => moved(target),
            NodeKind::Scalar(_) => {}
        }
        nodes.push(node);
    }
    let mut root = tree.root;
    moved(&mut root);
    if gone { Err("an alias stands for a part of a rule's trials") } else { Ok(Tree { nodes, root }) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::super::Source;
    use super::*;

    #[test]
    fn a_prepared_tree_is_the_tree_of_its_text() {
        for text in [
            "",
            "\u{feff}a: 1\n",
            "a: &x {b: 'it''s', c: \"q\\n\", d: ~}\ne: *x\nf:\n  <<: *x\n  d: 4\ng: [1, µ, [ ]]\n",
            "a: >\n  two\n  lines\nb: |\n  one\n\nc:\n  - x: 1\n    y:\n  - plain\n    and more # said\n",
        ] {
            let tree = Tree::parse(&Source::new("x", text)).tree.unwrap();
            let bytes = Vec::leak(bytes(text, &tree));
            assert_eq!(Tree::prepared(text, bytes).unwrap(), tree, "{text:?}");
            // Bytes that were cut off are distinguished from others.
            for end in 0..bytes.len() {
                assert!(Tree::prepared(text, bytes.get(..end).unwrap()).is_none(), "{text:?}");
            }
        }
    }

    #[test]
    fn what_stands_outside_the_trials_stays_where_it_was() {
        let text = "pack: p\nrules:\n  a:\n    title: t\n    trials:\n      - expect: held\n        with: {x: [1, 2]}\n    why: w\n  b: {trials: [{expect: broken}], why: v}\nlast: {x: 1}\n";
        let tree = without_trials(Tree::parse(&Source::new("x", text)).tree.unwrap()).unwrap();
        let mut written = Vec::new();
        for node in &tree.nodes {
            if let NodeKind::Scalar(scalar) = &node.kind {
                assert_eq!(text.get(node.span.range()), Some(scalar.value.as_ref()));
                written.push(scalar.value.to_string());
            }
        }
        let expected =
            ["pack", "p", "rules", "a", "title", "t", "why", "w", "b", "why", "v", "last", "x", "1"];
        assert_eq!(written, expected);
        let shared = "rules:\n  a:\n    trials: &t [{expect: held}]\n    why: *t\n";
        assert!(without_trials(Tree::parse(&Source::new("x", shared)).tree.unwrap()).is_err());
    }
}
