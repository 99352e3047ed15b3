//! Entries and lines added to a map.

use super::edit::{blank_lines, filled, newline, scalar_text, starts_a_line, unshared};
use super::{Edit, EditError, Entry, NodeId, NodeKind, Origin, Source, Span, Tree};

/// Blanks by which a block stands behind its key.
const STEP: usize = 2;

/// Adds lines at the end of a map that is written as a block, or as the first lines of one whose key (`key`, its bytes) stands
/// without a value. The lines are indented as the map is.
///
/// # Errors
/// When the map is shared, is written in braces with something inside, or has nothing to align with.
pub fn insert_lines(
    source: &Source,
    tree: &Tree,
    map: NodeId,
    key: Option<Span>,
    lines: &[String],
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, map, shared)?;
    match &tree.node(id).kind {
        NodeKind::Map { flow: false, entries } => append(source, tree, id, entries, lines),
        NodeKind::Map { flow: true, entries } if !entries.is_empty() => {
            Err(EditError::NotHere("the map is written in braces"))
        }
        NodeKind::Map { .. } | NodeKind::Scalar(_) => first_lines(source, tree.span(id), key, lines),
        _ => Err(EditError::NotHere("there is no map here")),
    }
}

/// Adds an entry at the end of a map; `yaml` is its value as YAML on one line.
///
/// # Errors
/// When the map is shared, holds the key already, or holds nothing to align with.
pub fn insert_key(
    source: &Source,
    tree: &Tree,
    map: NodeId,
    key: &str,
    yaml: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, map, shared)?;
    let span = tree.span(id);
    if tree.get(id, key).is_some_and(|e| e.origin == Origin::Own) {
        return Err(EditError::NotHere("the key is there already"));
    }
    let key = scalar_text(key);
    match &tree.node(id).kind {
        NodeKind::Map { flow: true, .. } if !source.slice(span).starts_with('{') => {
            Err(EditError::NotHere("the map has no braces of its own"))
        }
        NodeKind::Map { flow: true, .. } => {
            let inside = source.text().get(span.start as usize + 1..span.end as usize - 1).unwrap_or("");
            let kept = inside.trim_end();
            let at = span.start as usize + 1 + kept.len();
            let text = if kept.trim().is_empty() {
                format!("{key}: {yaml}")
            } else if kept.ends_with(',') {
                format!(" {key}: {yaml}")
            } else {
                format!(", {key}: {yaml}")
            };
            if kept.lines().last().is_some_and(|l| l.contains(" #")) {
                return Err(EditError::NotHere("a comment stands at the end of the braces"));
            }
            Ok(Edit { span: Span::new(at, at), text })
        }
        NodeKind::Map { flow: false, entries } => {
            append(source, tree, id, entries, &[format!("{key}: {yaml}")])
        }
        NodeKind::Scalar(_) if tree.is_null(id) => {
            // A block would have to be indented like the builder's other blocks; braces need no such guess.
            let before = source.text().get(..span.start as usize).unwrap_or("");
            let top = id == tree.root() && span.is_empty() && starts_a_line(before);
            let entry = if top { format!("{key}: {yaml}") } else { format!("{{{key}: {yaml}}}") };
            Ok(Edit { span, text: filled(source, tree, span, &entry)? })
        }
        _ => Err(EditError::NotHere("there is no map here")),
    }
}

/// The lines with their indent, each but the last with its line break.
fn indented(lines: &[String], indent: &str, newline: &str) -> String {
    let line = |line: &String| if line.is_empty() { String::new() } else { format!("{indent}{line}") };
    lines.iter().map(line).collect::<Vec<_>>().join(newline)
}

/// Lines behind the last entry of a block map.
fn append(
    source: &Source,
    tree: &Tree,
    id: NodeId,
    entries: &[Entry],
    lines: &[String],
) -> Result<Edit, EditError> {
    let own = entries.iter().find(|e| e.origin == Origin::Own);
    let first = own.ok_or(EditError::NotHere("the map has no entry of its own"))?;
    let start = tree.span(first.key).start as usize;
    let line = source.text().get(..start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let lead = source.text().get(line..start).unwrap_or("").trim_start_matches('\u{feff}');
    // In `- key: value` the dash is part of the lead, an anchor is not: the next key stands below the first.
    let dashes = lead.len() - lead.trim_start_matches([' ', '-']).len();
    if lead.contains('?') {
        return Err(EditError::NotHere("the map is written with `?` before its keys"));
    }
    let newline = newline(source);
    let text = indented(lines, &" ".repeat(dashes), newline);
    let end = tree.span(id).end as usize;
    let rest = source.text().get(end..).unwrap_or("");
    let Some(to_break) = rest.find('\n') else {
        let at = source.text().len();
        return Ok(Edit { span: Span::new(at, at), text: format!("{newline}{text}") });
    };
    let next = end + to_break + 1;
    // The empty lines after a block of text may be part of it.
    if tree.block_text_ends_at(end) {
        let at = next + blank_lines(source.text().get(next..).unwrap_or(""));
        return Ok(Edit { span: Span::new(at, at), text: format!("{text}{newline}") });
    }
    let at = next - if rest.get(..to_break).is_some_and(|r| r.ends_with('\r')) { 2 } else { 1 };
    Ok(Edit { span: Span::new(at, at), text: format!("{newline}{text}") })
}

/// The first lines of a block, below its key; a comment behind the key stays there.
fn first_lines(source: &Source, value: Span, key: Option<Span>, lines: &[String]) -> Result<Edit, EditError> {
    let text = source.text();
    let key = key.ok_or(EditError::NotHere("there is no key to write below"))?;
    let line = text.get(..key.start as usize).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let lead = text.get(line..key.start as usize).unwrap_or("");
    if !lead.chars().all(|c| c == ' ') {
        return Err(EditError::NotHere("the key does not stand at the beginning of its line"));
    }
    let (from, to) = if value.is_empty() {
        let colon = text.get(key.end as usize..).and_then(|rest| rest.find(':'));
        let end = key.end as usize + colon.ok_or(EditError::NotHere("the key has no colon"))? + 1;
        (end, end)
    } else {
        (value.start as usize, value.end as usize)
    };
    let rest = text.get(to..).unwrap_or("");
    let stop = to + rest.find(['\n', '\r']).unwrap_or(rest.len());
    let kept = text.get(to..stop).unwrap_or("").trim_end();
    let newline = newline(source);
    let block = indented(lines, &" ".repeat(lead.len() + STEP), newline);
    let last = if stop == text.len() { newline } else { "" };
    // What stood between the colon and the value goes with it.
    let before = text.get(..from).unwrap_or("").trim_end_matches(' ').len();
    Ok(Edit { span: Span::new(before, stop), text: format!("{kept}{newline}{block}{last}") })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;
    use crate::yaml::apply;

    fn put(text: &str, path: &[&str], lines: &[&str]) -> Result<String, EditError> {
        let source = Source::new("test", text);
        let tree = Tree::parse(&source).tree.unwrap();
        let (mut at, mut key) = (tree.root(), None);
        for step in path {
            let entry = tree.get(at, step).unwrap();
            (at, key) = (entry.value, Some(tree.span(entry.key)));
        }
        let lines: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
        let edit = insert_lines(&source, &tree, at, key, &lines, false)?;
        Ok(apply(text, &[edit]).unwrap())
    }

    #[test]
    fn lines_stand_where_the_map_ends() {
        for (before, path, after) in [
            ("a:\n  b: 1 # one\nc: 2\n", &["a"][..], "a:\n  b: 1 # one\n  x: ?  # why\n  y:\nc: 2\n"),
            ("a:\n  b: 1", &["a"], "a:\n  b: 1\n  x: ?  # why\n  y:"),
            ("a:\nc: 2\n", &["a"], "a:\n  x: ?  # why\n  y:\nc: 2\n"),
            ("a:   # all of it\nc: 2\n", &["a"], "a:   # all of it\n  x: ?  # why\n  y:\nc: 2\n"),
            ("a: unknown  # later\nc: 2\n", &["a"], "a:  # later\n  x: ?  # why\n  y:\nc: 2\n"),
            ("a: {}\nc: 2\n", &["a"], "a:\n  x: ?  # why\n  y:\nc: 2\n"),
            ("a:\n  b:\n", &["a", "b"], "a:\n  b:\n    x: ?  # why\n    y:\n"),
            ("a: 1\r\n", &[], "a: 1\r\nx: ?  # why\r\ny:\r\n"),
        ] {
            assert_eq!(put(before, path, &["x: ?  # why", "y:"]).unwrap(), after, "{before:?}");
        }
        assert!(put("a: {b: 1}\n", &["a"], &["x: 1"]).is_err());
        assert!(put("a: {b: {c: }}\n", &["a", "b", "c"], &["x: 1"]).is_err());
    }
}
