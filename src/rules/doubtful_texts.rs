//! Texts of a pack that YAML reads otherwise than their author meant, though nothing in them is wrong.

use crate::yaml::{NodeId, Problem, ScalarStyle, Source, Span, Tree};

/// The quotes of a word processor, which mean nothing to YAML.
const CURLY: [char; 6] = ['“', '”', '„', '‟', '«', '»'];

/// The texts of a pack that are cut by a comment, or that stand in quotes which are part of them.
pub(super) fn doubtful_texts(source: &Source) -> Vec<Problem> {
    let mut found = Vec::new();
    if let Some(tree) = Tree::parse(source).tree {
        collect(&tree, tree.root(), source, &mut found);
    }
    found
}

fn collect(tree: &Tree, node: NodeId, source: &Source, found: &mut Vec<Problem>) {
    for entry in tree.entries(node) {
        collect(tree, entry.value, source, found);
    }
    for item in tree.items(node) {
        collect(tree, *item, source, found);
    }
    let is_plain = tree.scalar(node).is_some_and(|scalar| scalar.style == ScalarStyle::Plain);
    if !is_plain || tree.is_null(node) {
        return;
    }
    let span = tree.span(node);
    let behind = source.text().get(span.range().end..).unwrap_or("").lines().next().unwrap_or("");
    let comment = behind.trim_start_matches(' ');
    // A comment has a space behind its sign; what has none is often meant as a number.
    if behind.starts_with(' ') && comment.starts_with('#') && !comment.starts_with("# ") && comment.len() > 1
    {
        let start = span.range().end + behind.len() - comment.len();
        let problem = Problem::at(
            Span::new(start, start + comment.len()),
            "this is a comment, and no part of the text",
        )
        .help("put the whole text in double quotes; a comment has a space behind its `#`");
        found.push(problem);
    }
    let written = source.slice(span);
    if written.starts_with(CURLY) && written.ends_with(CURLY) {
        let problem = Problem::at(span, "these quotes are part of the text")
            .help("write the quotes of the keyboard, `\"`, on both sides, or none");
        found.push(problem);
    }
}
