//! Over generated documents: an edit changes the node it means, and every comment outlives it.
use holdpoint::yaml::{
    NodeId, NodeKind, Source, Tree, apply, insert_key, remove_entry, replace_scalar, replace_value,
    scalar_text,
};
use proptest::prelude::*;

use crate::{Seen, parsed, seen};

/// Writes a document by a list of choices.
struct Writer<'c> {
    choices: &'c [u8],
    out: String,
    comments: usize,
    keys: usize,
}

impl Writer<'_> {
    fn pick(&mut self, of: u8) -> u8 {
        let Some((first, rest)) = self.choices.split_first() else { return 0 };
        self.choices = rest;
        first % of
    }

    fn key(&mut self) -> String {
        self.keys += 1;
        match self.pick(5) {
            0 => format!("'é {}'", self.keys),
            1 => format!("µ{}", self.keys),
            _ => format!("k{}", self.keys),
        }
    }

    fn scalar(&mut self) -> &'static str {
        ["1 in", "~", "'it''s # x'", "\"a\\n: °\"", "日本", "plain, text", "x"][self.pick(7) as usize]
    }

    fn end_line(&mut self, indent: usize) {
        if self.pick(3) == 0 {
            self.comments += 1;
            self.out.push_str(&format!(" # c{}.", self.comments));
        }
        self.out.push('\n');
        match self.pick(6) {
            0 => self.out.push('\n'),
            1 => {
                self.comments += 1;
                let by = indent + self.pick(3) as usize;
                self.out.push_str(&format!("{}# c{}.\n", " ".repeat(by), self.comments));
            }
            _ => {}
        }
    }

    fn flow(&mut self, depth: u8) {
        let many = self.pick(4);
        match if depth == 0 { 2 } else { self.pick(3) } {
            0 => {
                self.out.push('{');
                for i in 0..many {
                    let key = self.key();
                    self.out.push_str(&format!("{}{key}:", if i > 0 { ", " } else { "" }));
                    if self.pick(4) > 0 {
                        self.out.push(' ');
                        self.flow(depth - 1);
                    }
                }
                let end = ["}", " }", "\n        }"][self.pick(3) as usize];
                self.out.push_str(end);
            }
            1 => {
                self.out.push('[');
                for i in 0..many {
                    self.out.push_str(if i > 0 { ", " } else { "" });
                    self.flow(depth - 1);
                }
                self.out.push(']');
            }
            _ => {
                let text = self.scalar();
                self.out.push_str(if text.contains(", ") { "y" } else { text });
            }
        }
    }

    /// What follows a colon or a dash; `gap` is what stands before a value on the same line.
    fn value(&mut self, indent: usize, depth: u8, dash: bool) {
        match self.pick(if depth == 0 { 5 } else { 9 }) {
            0 => self.end_line(indent),
            1 => {
                let sign = ["|", ">-", "|+"][self.pick(3) as usize];
                let pad = " ".repeat(indent + 2);
                self.out.push_str(&format!(" {sign}\n{pad}one: # no\n{pad}two\n"));
                if self.pick(2) == 0 {
                    self.out.push('\n');
                }
            }
            2 => {
                self.out.push(' ');
                self.flow(2);
                self.end_line(indent);
            }
            3 | 4 => {
                let text = self.scalar();
                self.out.push_str(&format!(" {text}"));
                self.end_line(indent);
            }
            5 | 6 if dash => {
                self.out.push(' ');
                self.map(indent + 2, depth - 1, true);
            }
            5 | 6 => {
                self.end_line(indent + 2);
                self.map(indent + 2, depth - 1, false);
            }
            _ => {
                self.end_line(indent);
                let by = indent + if dash { 2 } else { 2 * self.pick(2) as usize };
                for _ in 0..=self.pick(3) {
                    self.out.push_str(&format!("{}-", " ".repeat(by)));
                    self.value(by, depth - 1, true);
                }
            }
        }
    }

    fn map(&mut self, indent: usize, depth: u8, dash: bool) {
        for i in 0..=self.pick(3) {
            let key = self.key();
            let pad = if dash && i == 0 { String::new() } else { " ".repeat(indent) };
            self.out.push_str(&format!("{pad}{key}:"));
            self.value(indent, depth, false);
        }
    }
}

fn document(choices: &[u8]) -> (String, usize) {
    let mut writer = Writer { choices, out: String::new(), comments: 0, keys: 0 };
    let style = writer.pick(8);
    writer.map(0, 3, false);
    let mut text = writer.out;
    if style & 1 > 0 {
        text = text.trim_end().to_owned();
    }
    if style & 2 > 0 {
        text = text.replace('\n', "\r\n");
    }
    if style & 4 > 0 {
        text.insert(0, '\u{feff}');
    }
    (text, writer.comments)
}

/// The path to every node: the index of the entry or item at each step.
fn paths(tree: &Tree, node: NodeId, path: &[usize], out: &mut Vec<(Vec<usize>, NodeId)>) {
    out.push((path.to_vec(), node));
    let children: Vec<NodeId> = match &tree.node(node).kind {
        NodeKind::Map { entries, .. } => entries.iter().map(|e| e.value).collect(),
        NodeKind::List { items, .. } => items.clone(),
        _ => Vec::new(),
    };
    for (i, child) in children.into_iter().enumerate() {
        paths(tree, child, &[path, &[i]].concat(), out);
    }
}

fn place<'s>(whole: &'s mut Seen, path: &[usize]) -> &'s mut Seen {
    path.iter().fold(whole, |node, i| match node {
        Seen::Map(entries) => &mut entries[*i].1,
        Seen::List(items) => &mut items[*i],
        other => panic!("no way down in {other:?}"),
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 3000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn an_edit_changes_what_it_means(
        choices in prop::collection::vec(any::<u8>(), 0..120),
        node in any::<prop::sample::Index>(),
        entry in any::<prop::sample::Index>(),
        what in 0_u8..4,
    ) {
        let (text, comments) = document(&choices);
        let (source, tree) = parsed(&text);
        let mut nodes = Vec::new();
        paths(&tree, tree.root(), &[], &mut nodes);
        let (path, id) = &nodes[node.index(nodes.len())];
        let mut want = seen(&tree, tree.root());
        let target = place(&mut want, path);
        // Comments inside what is taken out go with it.
        let mut gone = tree.span(*id);
        let edit = match what {
            0 => {
                *target = Seen::Text("new: é".to_owned());
                replace_scalar(&source, &tree, *id, "new: é", false)
            }
            1 => {
                *target = Seen::List(vec![Seen::Text("1".to_owned())]);
                replace_value(&source, &tree, *id, "[1]", false)
            }
            2 => {
                match target {
                    Seen::Map(entries) => entries.push(("new".to_owned(), Seen::Text("1".to_owned()))),
                    other => *other = Seen::Map(vec![("new".to_owned(), Seen::Text("1".to_owned()))]),
                }
                gone.end = gone.start;
                insert_key(&source, &tree, *id, "new", "1", false)
            }
            _ => {
                let Seen::Map(entries) = target else { return Ok(()) };
                if entries.is_empty() { return Ok(()) }
                let (key, _) = entries.remove(entry.index(entries.len()));
                let entry = tree.get(*id, &key).unwrap();
                gone.start = tree.span(entry.key).start;
                gone.end = tree.span(entry.value).end;
                remove_entry(&source, &tree, *id, &key, false)
            }
        };
        let Ok(edit) = edit else { return Ok(()) };
        let out = apply(&text, &[edit]).unwrap();
        let after = Source::new("t", out.as_str());
        let parsed = Tree::parse(&after);
        prop_assert_eq!(&parsed.problems, &[], "{:?}\n{:?}", text, out);
        let tree = parsed.tree.unwrap();
        prop_assert_eq!(seen(&tree, tree.root()), want, "{:?}\n{:?}", text, out);
        for comment in (1..=comments).map(|i| format!("# c{i}.")) {
            let inside = text.find(&comment).is_none_or(|at| gone.range().contains(&at));
            prop_assert!(inside || out.contains(&comment), "{} of {:?}\n{:?}", comment, text, out);
        }
    }

    #[test]
    fn a_scalar_comes_back_as_it_was(
        text in prop_oneof![
            any::<String>(),
            "[-?:,\\[\\]{}#&*!|>'\"%@` a1~\\.\n\t\u{85}\u{2028}\u{feff}\u{7f}é]{0,8}",
            "(null|true|yes|~|0x1f|1e3|\\.nan|---|\\.\\.\\.|<<|2026-01-01|1:30|=|on)[ #:]?",
        ],
    ) {
        let written = scalar_text(&text);
        prop_assert!(!written.contains('\n'));
        let value: serde_yaml::Value = serde_yaml::from_str(&written).unwrap();
        prop_assert_eq!(value.as_str(), Some(text.as_str()), "{}", written);
        for around in [format!("k: {written} # c"), format!("{{k: {written}, b: [{written}]}}"), format!("k:\n  {written}\n")] {
            let (_, tree) = parsed(&around);
            let got = tree.scalar(crate::at(&tree, "k")).unwrap();
            prop_assert_eq!(&got.value, &text, "{}", around);
            prop_assert!(!tree.is_null(crate::at(&tree, "k")));
        }
        let (_, tree) = parsed(&format!("{written}: 1"));
        let reference: serde_yaml::Value = serde_yaml::from_str(&format!("{written}: 1")).unwrap();
        prop_assert!(tree.get(tree.root(), &text).is_some());
        prop_assert!(text == "<<" || reference.get(text.as_str()).is_some());
    }
}
