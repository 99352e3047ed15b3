//! Edits by byte range: everything else in the file stays as it is, comments included.

use std::fmt;

use super::node::{NodeKind, ScalarStyle};
use super::{Edit, NodeId, Source, Span, Tree};

/// Why an edit cannot be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EditError {
    /// Two edits touch the same bytes.
    Overlap,
    /// A span is not one of the text.
    OutOfRange,
    /// The value is shared through an alias or a merge key: an edit would change every user of it.
    Shared,
    /// The place is not one that can be edited without rewriting more of the file.
    NotHere(&'static str),
}

impl fmt::Display for EditError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Overlap => "two edits touch the same bytes",
            Self::OutOfRange => "the edit lies outside the text",
            Self::Shared => {
                "the value is shared through an alias or a merge key; an edit would change every user of it"
            }
            Self::NotHere(why) => why,
        })
    }
}

impl std::error::Error for EditError {}

/// The text with the edits made.
///
/// # Errors
/// When two edits overlap, or one lies outside the text or inside a character.
pub fn apply(text: &str, edits: &[Edit]) -> Result<String, EditError> {
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    sorted.sort_by_key(|e| e.span);
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for edit in sorted {
        let range = edit.span.range();
        if range.start < at {
            return Err(EditError::Overlap);
        }
        if range.end < range.start || text.get(range.clone()).is_none() {
            return Err(EditError::OutOfRange);
        }
        out.push_str(text.get(at..range.start).ok_or(EditError::OutOfRange)?);
        out.push_str(&edit.text);
        at = range.end;
    }
    out.push_str(text.get(at..).ok_or(EditError::OutOfRange)?);
    Ok(out)
}

/// A text as a YAML scalar, quoted where it has to be.
#[must_use]
pub fn scalar_text(text: &str) -> String {
    let written = serde_yaml::to_string(text).map(|t| t.trim_end().to_owned()).unwrap_or_default();
    let plain = written == text
        && text != "<<"
        && !text.chars().any(is_hidden)
        && !text.contains(['{', '}', '[', ']', ',', '#']);
    if plain {
        return written;
    }
    if text.chars().any(is_hidden) {
        return double_quoted(text);
    }
    format!("'{}'", text.replace('\'', "''"))
}

/// In double quotes; JSON leaves some characters as they are that YAML takes for line breaks or refuses.
fn double_quoted(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    for c in serde_json::to_string(text).unwrap_or_default().chars() {
        if is_hidden(c) {
            out.push_str(&format!("\\u{:04x}", u32::from(c)));
        } else {
            out.push(c);
        }
    }
    out
}

/// True for a character that only an escape carries through every reader.
fn is_hidden(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
}

/// The node to edit, unless something else uses it too.
pub(super) fn unshared(tree: &Tree, node: NodeId, shared: bool) -> Result<NodeId, EditError> {
    let (id, aliased) = tree.resolve(node);
    if shared || aliased || tree.is_target(id) { Err(EditError::Shared) } else { Ok(id) }
}

/// The text to put in a scalar's place: where nothing is written, with the spaces it needs.
pub(super) fn filled(source: &Source, tree: &Tree, span: Span, yaml: &str) -> Result<String, EditError> {
    if !span.is_empty() {
        return Ok(yaml.to_owned());
    }
    if tree.ends_at(span.start) {
        return Err(EditError::NotHere("the key has no colon"));
    }
    let before = source.text().get(..span.start as usize).unwrap_or("");
    if starts_a_line(before) {
        let after = source.text().get(span.start as usize..).unwrap_or("");
        // Before a document such a mark means nothing; behind what is filled in, it would stand in the document.
        if after.contains('\u{feff}') {
            return Err(EditError::NotHere("a byte-order mark stands behind the place"));
        }
        return Ok(format!("{yaml}{}", if after.is_empty() { "" } else { newline(source) }));
    }
    let space = if before.ends_with([' ', '\t']) { "" } else { " " };
    Ok(format!("{space}{yaml}"))
}

pub(super) fn starts_a_line(before: &str) -> bool {
    before.is_empty() || before.ends_with(['\n', '\u{feff}'])
}

pub(super) fn newline(source: &Source) -> &'static str {
    if source.text().contains("\r\n") { "\r\n" } else { "\n" }
}

/// The number of bytes of the lines at the start of a text that hold nothing.
pub(super) fn blank_lines(text: &str) -> usize {
    text.split_inclusive('\n').take_while(|l| l.trim().is_empty() && l.ends_with('\n')).map(str::len).sum()
}

/// Replaces a scalar by another, keeping quotes where there were some.
///
/// # Errors
/// When the value is shared, or is a block scalar.
pub fn replace_scalar(
    source: &Source,
    tree: &Tree,
    node: NodeId,
    text: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, node, shared)?;
    let NodeKind::Scalar(scalar) = &tree.node(id).kind else {
        return Err(EditError::NotHere("there is a map or a list here, not one value"));
    };
    let text = match scalar.style {
        ScalarStyle::Plain => scalar_text(text),
        ScalarStyle::Single if !text.chars().any(is_hidden) => format!("'{}'", text.replace('\'', "''")),
        ScalarStyle::Single | ScalarStyle::Double => double_quoted(text),
        ScalarStyle::Literal | ScalarStyle::Folded => {
            return Err(EditError::NotHere("the value is a block of text"));
        }
    };
    let span = tree.span(id);
    Ok(Edit { span, text: filled(source, tree, span, &text)? })
}

/// Replaces any value by YAML text on one line. Comments inside a block go with it.
///
/// # Errors
/// When the value is shared, or a comment or an anchor stands between a key and its block.
pub fn replace_value(
    source: &Source,
    tree: &Tree,
    node: NodeId,
    yaml: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, node, shared)?;
    let span = tree.span(id);
    let block =
        matches!(tree.node(id).kind, NodeKind::Map { flow: false, .. } | NodeKind::List { flow: false, .. });
    if !block {
        return Ok(Edit { span, text: filled(source, tree, span, yaml)? });
    }
    let before = source.text().get(..span.start as usize).unwrap_or("");
    let line = before.rsplit('\n').next().unwrap_or("").trim_start_matches('\u{feff}');
    let item = line.trim_end().ends_with('-') && line.trim().chars().all(|c| matches!(c, '-' | ' '));
    if id == tree.root() || item {
        return Ok(Edit { span, text: yaml.to_owned() });
    }
    // The block of a key starts on a line of its own: take the line break before it too.
    let kept = before.trim_end();
    let key_line = kept.rsplit('\n').next().unwrap_or("");
    if before.get(kept.len()..).is_some_and(|gap| gap.contains('\n'))
        && kept.ends_with(':')
        && !key_line.contains(" #")
        && !key_line.trim_start().starts_with('#')
    {
        return Ok(Edit { span: Span::new(kept.len(), span.end as usize), text: format!(" {yaml}") });
    }
    Err(EditError::NotHere("a comment or an anchor stands between the key and its block"))
}

/// Adds an item at the end of a list; `yaml` is the item on one line.
///
/// # Errors
/// When the list is shared, or holds nothing to align with.
pub fn insert_item(
    source: &Source,
    tree: &Tree,
    list: NodeId,
    yaml: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, list, shared)?;
    let span = tree.span(id);
    let NodeKind::List { items, flow } = &tree.node(id).kind else {
        return Err(EditError::NotHere("there is no list here"));
    };
    if *flow {
        let inside = source.text().get(span.start as usize + 1..span.end as usize - 1).unwrap_or("");
        let kept = inside.trim_end();
        if kept.lines().last().is_some_and(|line| line.contains(" #")) {
            return Err(EditError::NotHere("a comment stands at the end of the brackets"));
        }
        let at = span.start as usize + 1 + kept.len();
        let between = match kept {
            "" => "",
            kept if kept.ends_with(',') => " ",
            _ => ", ",
        };
        return Ok(Edit { span: Span::new(at, at), text: format!("{between}{yaml}") });
    }
    let end = items.last().map_or(span.end, |item| tree.span(*item).end) as usize;
    let start = span.start as usize;
    let line = source.text().get(..start).and_then(|text| text.rfind('\n')).map_or(0, |at| at + 1);
    let lead = source.text().get(line..start).unwrap_or("");
    if !lead.chars().all(|c| c == ' ') || tree.block_text_ends_at(end) {
        return Err(EditError::NotHere("the list does not begin on a line of its own"));
    }
    let rest = source.text().get(end..).unwrap_or("");
    let at = end + rest.find(['\r', '\n']).unwrap_or(rest.len());
    Ok(Edit { span: Span::new(at, at), text: format!("{}{lead}- {yaml}", newline(source)) })
}

/// Removes an entry of a map. A comment behind its value stays; comments inside the value go with it.
///
/// # Errors
/// When the entry is not written in this map, the map is shared, or a comment would have to go or change its place.
pub fn remove_entry(
    source: &Source,
    tree: &Tree,
    map: NodeId,
    key: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let id = unshared(tree, map, shared)?;
    let NodeKind::Map { entries, flow } = &tree.node(id).kind else {
        return Err(EditError::NotHere("there is no map here"));
    };
    let is_it = |e: &&super::Entry| tree.scalar(e.key).is_some_and(|s| s.value == key);
    let entry = entries.iter().find(is_it).ok_or(EditError::NotHere("the key is not there"))?;
    if entry.origin != super::Origin::Own {
        return Err(EditError::Shared);
    }
    let text = source.text();
    let map_span = tree.span(id);
    let (key_span, value) = (tree.span(entry.key), tree.span(entry.value));
    let end = value.end.max(key_span.end) as usize;
    if *flow {
        return remove_from_braces(source, map_span, key_span.start as usize, end);
    }
    if map_span == Span::new(key_span.start as usize, end) {
        return replace_value(source, tree, id, "{}", shared);
    }
    let mut line = text.get(..key_span.start as usize).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    if text.get(line..).is_some_and(|t| t.starts_with('\u{feff}')) {
        line += '\u{feff}'.len_utf8();
    }
    let stop = text.get(end..).and_then(|t| t.find('\n')).map_or(text.len(), |i| end + i + 1);
    let lead = text.get(line..key_span.start as usize).unwrap_or("");
    if !lead.chars().all(|c| matches!(c, ' ' | '-')) {
        return Err(EditError::NotHere("an anchor or a `?` stands before the key"));
    }
    // A comment behind the value stays, where the key was.
    let rest = text.get(end..stop).unwrap_or("");
    if let Some(comment) = rest.find('#') {
        return Ok(Edit { span: Span::new(key_span.start as usize, end + comment), text: String::new() });
    }
    if lead.trim().is_empty() {
        let above = text.get(..line).unwrap_or("").trim_end().len();
        let below = text.get(stop..).unwrap_or("");
        let blank = blank_lines(below);
        let mut stop = stop;
        // Empty lines or a comment below would become part of a block of text above.
        if tree.block_text_ends_at(end) || tree.block_text_ends_at(above) {
            stop += blank;
        }
        let next = below.get(blank..).and_then(|t| t.lines().next()).unwrap_or("");
        let deep = next.len() - next.trim_start().len() > lead.len();
        if tree.block_text_ends_at(above) && deep {
            return Err(EditError::NotHere("a comment below would become part of the text above"));
        }
        return Ok(Edit { span: Span::new(line, stop), text: String::new() });
    }
    // `- key: value` with more keys below: keep the dash, take the lead of the next key away.
    let next = text.get(stop..).map_or(0, |t| t.len() - t.trim_start_matches(' ').len());
    Ok(Edit { span: Span::new(key_span.start as usize, stop + next), text: String::new() })
}

fn remove_from_braces(source: &Source, map: Span, start: usize, end: usize) -> Result<Edit, EditError> {
    let text = source.text();
    if !source.slice(map).starts_with('{') {
        return Err(EditError::NotHere("the map has no braces of its own"));
    }
    let after = text.get(end..map.end as usize).unwrap_or("");
    if let Some(rest) = after.trim_start().strip_prefix(',') {
        let gap = rest.len() - rest.trim_start_matches(' ').len();
        let stop = map.end as usize - rest.len() + gap;
        return Ok(Edit { span: Span::new(start, stop), text: String::new() });
    }
    if after.lines().any(|l| l.trim_start().starts_with(',')) {
        return Err(EditError::NotHere("a comment stands between the value and its comma"));
    }
    let before = text.get(map.start as usize + 1..start).unwrap_or("");
    let kept = before.trim_end();
    if kept.rsplit('\n').next().is_some_and(|l| l.contains('#')) {
        // A comma after the last entry does no harm, and the line break ends the comment.
        return Ok(Edit { span: Span::new(start, end), text: String::new() });
    }
    let from = start - before.len() + kept.strip_suffix(',').unwrap_or(kept).len();
    Ok(Edit { span: Span::new(from, end), text: String::new() })
}
