//! The tree of a text, and edits of it.

use holdpoint::yaml::{
    Edit, NodeId, NodeKind, Source, Tree, apply, insert_item, insert_key, remove_entry, replace_scalar,
    replace_value, scalar_text,
};

use super::choices::Choices;
use super::corpus::{DESIGNS, PACKS, TABLES, mutated, soup};
use super::driver::fuzz;
use super::plain_tree::{Seen, seen};

/// So many values a tree may have that is compared as a whole: aliases of aliases stand for more than any memory holds.
const MOST: usize = 5000;

/// How many values a tree stands for, as far as it is asked.
fn size(tree: &Tree, id: NodeId, left: &mut usize) {
    if *left == 0 {
        return;
    }
    *left -= 1;
    for item in tree.items(id) {
        size(tree, *item, left);
    }
    for entry in tree.entries(id) {
        size(tree, entry.value, left);
    }
}

fn nodes(tree: &Tree, id: NodeId, found: &mut Vec<NodeId>) {
    found.push(id);
    if matches!(tree.node(id).kind, NodeKind::Alias(_)) {
        return;
    }
    for item in tree.items(id) {
        nodes(tree, *item, found);
    }
    for entry in tree.entries(id) {
        if entry.origin == holdpoint::yaml::Origin::Own {
            nodes(tree, entry.value, found);
        }
    }
}

fn text_of(choices: &mut Choices<'_>) -> String {
    match choices.below(6) {
        0 => soup(choices),
        1 => String::from_utf8_lossy(choices.rest()).into_owned(),
        2 => mutated(&PACKS, choices),
        3 => mutated(&TABLES, choices),
        _ => mutated(&DESIGNS, choices),
    }
}

/// The tree of a text, whose places lie in the text; none where it is refused with a place.
fn tree_of(text: &str) -> Option<(Source, Tree)> {
    let source = Source::from_bytes("t.yaml", text.as_bytes().to_vec()).ok()?;
    let parsed = Tree::parse(&source);
    for problem in &parsed.problems {
        if let Some(span) = problem.span {
            assert!(text.get(span.range()).is_some(), "{text:?}: {problem:?}");
        }
        assert!(!problem.message.is_empty(), "{text:?}");
    }
    let Some(tree) = parsed.tree else {
        assert!(!parsed.problems.is_empty(), "{text:?} is refused without a word");
        return None;
    };
    let mut all = Vec::new();
    nodes(&tree, tree.root(), &mut all);
    for id in all {
        assert!(text.get(tree.span(id).range()).is_some(), "{text:?}: {:?}", tree.node(id));
        if tree.scalar(id).is_some() && !tree.is_null(id) {
            let _ = source.position(tree.span(id).start);
        }
    }
    parsed.problems.is_empty().then_some((source, tree))
}

#[test]
fn any_text_is_a_tree_with_places_or_refused_with_one() {
    fuzz("trees", 4, 120, |choices| {
        tree_of(&text_of(choices));
    });
}

/// What an edit is to do, by its number.
fn edit_of(what: usize, source: &Source, tree: &Tree, id: NodeId, key: &str) -> Option<Edit> {
    match what {
        0 => replace_scalar(source, tree, id, "new: é", false),
        1 => replace_value(source, tree, id, "[1]", false),
        2 => insert_key(source, tree, id, "a new key", "1", false),
        3 => insert_item(source, tree, id, "{k: 1}", false),
        _ => remove_entry(source, tree, id, key, false),
    }
    .ok()
}

/// What the node is to be after the edit; none where the edit cannot be.
fn meant(what: usize, now: Seen, key: &str) -> Option<Seen> {
    match (what, now) {
        (0, _) => Some(Seen::Text("new: é".to_owned())),
        (1, _) => Some(Seen::List(vec![Seen::Text("1".to_owned())])),
        (2, Seen::Map(mut entries)) => {
            entries.push(("a new key".to_owned(), Seen::Text("1".to_owned())));
            Some(Seen::Map(entries))
        }
        (2, Seen::Null) => Some(Seen::Map(vec![("a new key".to_owned(), Seen::Text("1".to_owned()))])),
        (3, Seen::List(mut items)) => {
            items.push(Seen::Map(vec![("k".to_owned(), Seen::Text("1".to_owned()))]));
            Some(Seen::List(items))
        }
        (3, Seen::Null) => {
            Some(Seen::List(vec![Seen::Map(vec![("k".to_owned(), Seen::Text("1".to_owned()))])]))
        }
        (4, Seen::Map(mut entries)) => {
            let at = entries.iter().position(|(name, _)| name == key)?;
            entries.remove(at);
            Some(Seen::Map(entries))
        }
        _ => None,
    }
}

/// The tree with one node made what it is meant to be, by its number among the nodes.
fn with_node(tree: &Tree, id: NodeId, target: NodeId, becomes: &Seen) -> Seen {
    if id == target {
        return becomes.clone();
    }
    if let NodeKind::Alias(_) = tree.node(id).kind {
        return seen(tree, id);
    }
    match &tree.node(id).kind {
        NodeKind::List { items, .. } => {
            Seen::List(items.iter().map(|item| with_node(tree, *item, target, becomes)).collect())
        }
        NodeKind::Map { entries, .. } => Seen::Map(
            entries
                .iter()
                .map(|entry| {
                    let key = tree.scalar(entry.key).map(|key| key.value.to_string()).unwrap_or_default();
                    (key, with_node(tree, entry.value, target, becomes))
                })
                .collect(),
        ),
        _ => seen(tree, id),
    }
}

/// The order of keys that a merge brings is not what an edit promises.
fn sorted(seen: Seen) -> Seen {
    match seen {
        Seen::Map(entries) => {
            let mut entries: Vec<_> = entries.into_iter().map(|(key, value)| (key, sorted(value))).collect();
            entries.sort_by(|a, b| a.0.cmp(&b.0));
            Seen::Map(entries)
        }
        Seen::List(items) => Seen::List(items.into_iter().map(sorted).collect()),
        other => other,
    }
}

#[test]
fn an_edit_changes_the_node_it_means_and_no_byte_elsewhere() {
    fuzz("edits", 4, 120, |choices| {
        let text = text_of(choices);
        let Some((source, tree)) = tree_of(&text) else { return };
        let mut left = MOST;
        size(&tree, tree.root(), &mut left);
        if left == 0 {
            return;
        }
        let mut all = Vec::new();
        nodes(&tree, tree.root(), &mut all);
        let id = *choices.member(&all);
        let what = choices.below(5);
        let entries = tree.entries(id);
        let key = match entries.len() {
            0 => String::new(),
            n => tree.scalar(entries[choices.below(n)].key).map(|k| k.value.to_string()).unwrap_or_default(),
        };
        let Some(edit) = edit_of(what, &source, &tree, id, &key) else { return };
        let range = edit.span.range();
        let by = edit.text.clone();
        let out = apply(&text, &[edit]).unwrap_or_else(|e| panic!("{text:?}: {e}"));
        assert_eq!(out, [&text[..range.start], &by, &text[range.end..]].concat());
        let Some(becomes) = meant(what, seen(&tree, id), &key) else {
            panic!("{text:?}: the edit {what} of {:?} is none, and gives {out:?}", tree.node(id));
        };
        let want = with_node(&tree, tree.root(), id, &becomes);
        let after = Source::new("t.yaml", out.as_str());
        let parsed = Tree::parse(&after);
        assert!(
            parsed.problems.is_empty(),
            "{text:?}\nedit {what} at {range:?} gives {out:?}: {:?}",
            parsed.problems
        );
        let tree = parsed.tree.unwrap();
        assert_eq!(
            sorted(seen(&tree, tree.root())),
            sorted(want),
            "{text:?}\nedit {what} at {range:?} gives {out:?}"
        );
    });
}

#[test]
fn a_written_scalar_reads_back_wherever_it_stands() {
    fuzz("scalars", 10, 30, |choices| {
        let text = if choices.once_in(3) {
            String::from_utf8_lossy(choices.rest()).into_owned()
        } else {
            soup(choices)
        };
        let written = scalar_text(&text);
        for around in [
            format!("k: {written} # c\n"),
            format!("k: [{{a: {written}, b: 1}}]\n"),
            format!("- {written}\n"),
        ] {
            let source = Source::new("t.yaml", around.as_str());
            let parsed = Tree::parse(&source);
            assert!(parsed.problems.is_empty(), "{text:?} is written as {around:?}: {:?}", parsed.problems);
            let tree = parsed.tree.unwrap();
            let mut all = Vec::new();
            nodes(&tree, tree.root(), &mut all);
            let there = |id: &NodeId| {
                tree.scalar(*id).is_some_and(|scalar| scalar.value == text) && !tree.is_null(*id)
            };
            assert!(all.iter().any(there), "{text:?} is written as {around:?}");
        }
    });
}
