//! Edits by byte range: everything else in the file stays as it is, comments included.

use std::fmt;

use super::tree::{NodeKind, ScalarStyle};
use super::{NodeId, Source, Span, Tree};

/// A replacement of some bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes that go.
    pub span: Span,
    /// What comes in their place.
    pub text: String,
}

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
    let plain = written == text && !text.contains(['{', '}', '[', ']', ',', '#']);
    if plain {
        return written;
    }
    if text.chars().any(|c| c.is_control() || matches!(c, '\u{85}' | '\u{2028}' | '\u{2029}' | '\u{feff}')) {
        // JSON strings are YAML double-quoted scalars.
        return serde_json::to_string(text).unwrap_or_default();
    }
    format!("'{}'", text.replace('\'', "''"))
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
    let (id, aliased) = tree.resolve(node);
    if shared || aliased {
        return Err(EditError::Shared);
    }
    let NodeKind::Scalar(scalar) = &tree.node(id).kind else {
        return Err(EditError::NotHere("there is a map or a list here, not one value"));
    };
    let text = match scalar.style {
        ScalarStyle::Plain => scalar_text(text),
        ScalarStyle::Single => format!("'{}'", text.replace('\'', "''")),
        ScalarStyle::Double => serde_json::to_string(text).unwrap_or_default(),
        ScalarStyle::Literal | ScalarStyle::Folded => {
            return Err(EditError::NotHere("the value is a block of text"));
        }
    };
    let span = tree.span(id);
    let before = source.text().as_bytes().get((span.start as usize).wrapping_sub(1)).copied();
    let space = if span.is_empty() && before.is_some_and(|b| !b.is_ascii_whitespace()) { " " } else { "" };
    Ok(Edit { span, text: format!("{space}{text}") })
}

/// Replaces any value by YAML text on one line.
///
/// # Errors
/// When the value is shared.
pub fn replace_value(
    source: &Source,
    tree: &Tree,
    node: NodeId,
    yaml: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let (id, aliased) = tree.resolve(node);
    if shared || aliased {
        return Err(EditError::Shared);
    }
    let span = tree.span(id);
    let block =
        matches!(tree.node(id).kind, NodeKind::Map { flow: false, .. } | NodeKind::List { flow: false, .. });
    if !block {
        let before = source.text().as_bytes().get((span.start as usize).wrapping_sub(1)).copied();
        let space =
            if span.is_empty() && before.is_some_and(|b| !b.is_ascii_whitespace()) { " " } else { "" };
        return Ok(Edit { span, text: format!("{space}{yaml}") });
    }
    // A block starts on a line of its own: take the line break before it too.
    let before = source.text().get(..span.start as usize).unwrap_or("");
    let kept = before.trim_end().len();
    if before.get(kept..).is_some_and(|gap| gap.contains('\n')) && before.trim_end().ends_with(':') {
        return Ok(Edit { span: Span::new(kept, span.end as usize), text: format!(" {yaml}") });
    }
    Err(EditError::NotHere("a comment stands between the key and its map"))
}

/// Adds an entry at the end of a map; `yaml` is its value as YAML on one line.
///
/// # Errors
/// When the map is shared, or holds nothing to align with.
pub fn insert_key(
    source: &Source,
    tree: &Tree,
    map: NodeId,
    key: &str,
    yaml: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let (id, aliased) = tree.resolve(map);
    if shared || aliased {
        return Err(EditError::Shared);
    }
    let span = tree.span(id);
    let key = scalar_text(key);
    match &tree.node(id).kind {
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
            let own = entries.iter().find(|e| e.origin == super::Origin::Own);
            let first = own.ok_or(EditError::NotHere("the map has no entry of its own"))?;
            let start = tree.span(first.key).start as usize;
            let line = source.text().get(..start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
            let lead = source.text().get(line..start).unwrap_or("").trim_start_matches('\u{feff}');
            // In `- key: value` the dash is part of the lead: the next key stands below the first.
            let indent: String = lead.chars().map(|_| ' ').collect();
            let end = span.end as usize;
            let rest = source.text().get(end..).unwrap_or("");
            let to_break = rest.find('\n');
            let crlf = source.text().contains("\r\n");
            let newline = if crlf { "\r\n" } else { "\n" };
            let at = to_break.map_or(source.text().len(), |i| {
                end + i - usize::from(rest.get(..i).is_some_and(|r| r.ends_with('\r')))
            });
            Ok(Edit { span: Span::new(at, at), text: format!("{newline}{indent}{key}: {yaml}") })
        }
        NodeKind::Scalar(_) if tree.is_null(id) => {
            let mut edit = replace_value(source, tree, id, &format!("{{{key}: {yaml}}}"), shared)?;
            edit.span = span;
            Ok(edit)
        }
        _ => Err(EditError::NotHere("there is no map here")),
    }
}

/// Removes an entry of a map.
///
/// # Errors
/// When the entry is not written in this map, or the map is shared.
pub fn remove_entry(
    source: &Source,
    tree: &Tree,
    map: NodeId,
    key: &str,
    shared: bool,
) -> Result<Edit, EditError> {
    let (id, aliased) = tree.resolve(map);
    if shared || aliased {
        return Err(EditError::Shared);
    }
    let NodeKind::Map { entries, flow } = &tree.node(id).kind else {
        return Err(EditError::NotHere("there is no map here"));
    };
    let is_it = |e: &&super::Entry| tree.scalar(e.key).is_some_and(|s| s.value == key);
    let entry = entries.iter().find(is_it).ok_or(EditError::NotHere("the key is not there"))?;
    if entry.origin != super::Origin::Own {
        return Err(EditError::Shared);
    }
    let own: Vec<&super::Entry> = entries.iter().filter(|e| e.origin == super::Origin::Own).collect();
    let text = source.text();
    let map_span = tree.span(id);
    if own.len() == 1 {
        return if *flow {
            Ok(Edit { span: map_span, text: "{}".to_owned() })
        } else {
            replace_value(source, tree, id, "{}", shared)
        };
    }
    let (key_span, value) = (tree.span(entry.key), tree.span(entry.value));
    let end = value.end.max(key_span.end) as usize;
    if *flow {
        let after = text.get(end..map_span.end as usize).unwrap_or("");
        let comma = after.find(',').filter(|i| after.get(..*i).is_some_and(|gap| gap.trim().is_empty()));
        if let Some(comma) = comma {
            let rest = after.get(comma + 1..).unwrap_or("");
            let gap = rest.len() - rest.trim_start_matches(' ').len();
            return Ok(Edit {
                span: Span::new(key_span.start as usize, end + comma + 1 + gap),
                text: String::new(),
            });
        }
        let before = text.get(..key_span.start as usize).unwrap_or("").trim_end();
        let from = before.strip_suffix(',').unwrap_or(before).len();
        return Ok(Edit { span: Span::new(from, end), text: String::new() });
    }
    let line = text.get(..key_span.start as usize).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let stop = text.get(end..).and_then(|t| t.find('\n')).map_or(text.len(), |i| end + i + 1);
    let lead = text.get(line..key_span.start as usize).unwrap_or("");
    if lead.trim().is_empty() {
        return Ok(Edit { span: Span::new(line, stop), text: String::new() });
    }
    // `- key: value` with more keys below: keep the dash, take the lead of the next key away.
    let next = text.get(stop..).map_or(0, |t| t.len() - t.trim_start_matches(' ').len());
    Ok(Edit { span: Span::new(key_span.start as usize, stop + next), text: String::new() })
}
