//! The tree reads what an independent reader reads (the one behind `serde_yaml`, a port of libyaml).
use holdpoint::yaml::{NodeId, NodeKind, ScalarStyle, Tree};
use serde_yaml::Value;

use crate::parsed;

/// Compares a node with what the reference read; a plain scalar is typed as the reference types its text.
fn same(tree: &Tree, id: NodeId, want: &Value, text: &str) {
    match (&tree.node(tree.resolve(id).0).kind, want) {
        (NodeKind::Map { entries, .. }, Value::Mapping(map)) => {
            assert_eq!(entries.len(), map.len(), "{text:?}");
            for (entry, (key, value)) in entries.iter().zip(map) {
                same(tree, entry.key, key, text);
                same(tree, entry.value, value, text);
            }
        }
        (NodeKind::List { items, .. }, Value::Sequence(list)) => {
            assert_eq!(items.len(), list.len(), "{text:?}");
            items.iter().zip(list).for_each(|(i, v)| same(tree, *i, v, text));
        }
        (NodeKind::Scalar(s), Value::String(want)) => assert_eq!(&s.value, want, "{text:?}"),
        (NodeKind::Scalar(s), Value::Null) => assert!(tree.is_null(id), "{text:?}: {s:?}"),
        (NodeKind::Scalar(s), want) => {
            assert_eq!(s.style, ScalarStyle::Plain, "{text:?}");
            let typed: Value = serde_yaml::from_str(&s.value).unwrap();
            assert_eq!(&typed, want, "{text:?}");
        }
        (kind, want) => panic!("{text:?}: {kind:?} is not {want:?}"),
    }
}

#[test]
fn odd_documents_read_alike() {
    for text in [
        "a: 1\nb: two\nc: 3.5\n",
        "a: one\n  two\n\n  three\nb: x\n",
        "a: >\n  folded\n  text\n\n  more\n   indented\n  back\n",
        "a: >-\n  f\n\n\n  g\nb: 1\n",
        "a: |\n  l1\n   l2\n\n  l3\nb: |-\n  x\nc: |+\n  y\n\nd: 1\n",
        "a: |2\n   x\n  y\n",
        "a: \"\\t\\u00b5\\x41 \\\"q\\\" \\\\ \\\n  joined\"\n",
        "a: \"one\n  two\n\n  three\"\n",
        "a: 'it''s\n  folded'\n",
        "a: ~\nb:\nc: null\nd: ''\ne: \"~\"\n",
        "a: {b: [1, {c: d, e: [f]}], g: {}}\nh: []\n",
        "[a, [b, c], {d: e}, 'f, g']\n",
        "- a\n- - b\n  - c\n- d: 1\n  e: 2\n-\n- f\n",
        "a:\n- 1\n- 2\nb:\n  - 3\n",
        "a: &x [1, 2]\nb: *x\n",
        "\u{feff}a: 1\n",
        "a: 1\r\nb:\r\n  - c\r\n  - d e\r\n    f\r\n",
        "--- \na: 1\n...\n",
        "# c\n\na: 1 # d\n# e\n",
        "a: x#y\nb: 'x' #y\nc: http://h/p\nd: 1:30\n",
        "a: -1\nb: +2\nc: .5\nd: 1e3\ne: 0x1F\nf: 0o17\n",
        "a: true\nb: False\nc: yes\nd: 2026-01-02\n",
        "? a\n: b\n? c\n: - d\n",
        "'a b': 1\n\"c\\nd\": 2\ne f: 3\n",
        "{a: 1,\n b: 2, # c\n c: [x,\n  y],}\n",
        "a: {b: , c: }\nd: {e: }\n",
        "日本: µ °C\né: [ü, 'ö']\n",
        "a: - b\n".trim_start_matches("a: "),
        "a: 6\" tube\nb: 4' - 2\nc: a 'b' c\n",
        "a: b - c\nd: e? f!\ng: h & i * j\n",
        "plain\n",
        "\"quoted\"\n",
        "a:\n    b:\n        c: 1\n    d: 2\n",
        "a: |\nb: >\n",
        "[a: b, c]\n",
    ] {
        let (_, tree) = parsed(text);
        let want: Value = serde_yaml::from_str(text).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        same(&tree, tree.root(), &want, text);
    }
}

/// A tag is told of, and what it stands before is read as if it were not there.
#[test]
fn a_tag_is_told_at_its_place_and_read_past() {
    let source = holdpoint::yaml::Source::new("t.yaml", "a: !!str 1\n");
    let parsed = holdpoint::yaml::Tree::parse(&source);
    let problems: Vec<&str> = parsed.problems.iter().map(|p| p.message.as_str()).collect();
    assert_eq!(problems, ["the tag `!!str` means nothing here"]);
    let tree = parsed.tree.unwrap();
    assert_eq!(&*tree.scalar(crate::at(&tree, "a")).unwrap().value, "1");
}
