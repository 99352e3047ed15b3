//! The YAML parser's events become nodes. This file and `explain` are the only ones that know the parser.

use std::borrow::Cow;

use granit_parser::{Event, Parser, StructureStyle, options};

use super::node::{DEEPEST, Entry, Node, NodeId, NodeKind, Origin, Scalar, ScalarStyle};
use super::{Problem, Span};

/// A node takes about a hundred bytes; this keeps a hostile file to a few tens of megabytes.
const MOST_NODES: usize = 200_000;
/// So many bytes of a design make a node.
const BYTES_A_NODE: usize = 12;

enum Open {
    Map { id: NodeId, entries: Vec<Entry>, key: Option<NodeId>, flow: bool },
    List { id: NodeId, items: Vec<NodeId>, flow: bool },
}

struct Builder<'t> {
    text: &'t str,
    nodes: Vec<Node>,
    open: Vec<Open>,
    anchors: Vec<Option<NodeId>>,
    root: Option<NodeId>,
    problems: Vec<Problem>,
}

/// The nodes of a text, its root, and what is wrong that the tree can bear.
pub(super) fn nodes(text: &str) -> Result<(Vec<Node>, NodeId, Vec<Problem>), Problem> {
    let options =
        options! { emit_comments: false, flow_nesting_limit: DEEPEST, block_nesting_limit: DEEPEST };
    // Keys and values of usual lengths: a guess that spares the list from growing.
    let nodes = Vec::with_capacity((text.len() / BYTES_A_NODE).min(MOST_NODES));
    let (open, anchors, problems) = (Vec::new(), Vec::new(), Vec::new());
    let mut builder = Builder { text, nodes, open, anchors, root: None, problems };
    let mut documents = 0;
    for next in Parser::new_from_str_with_options(text, options) {
        let (event, span) = next.map_err(|error| super::explain::explain(text, &error))?;
        let span = span.byte_range().map(|r| Span::new(r.start, r.end)).unwrap_or_default();
        if let Event::DocumentStart(..) = event {
            documents += 1;
            if documents > 1 {
                return Err(Problem::at(span, "a second document starts here")
                    .help("a file describes one thing: remove the `---`, or split the file"));
            }
        }
        builder.event(event, span)?;
        if builder.nodes.len() > MOST_NODES {
            return Err(Problem::at(span, "the file has too many values to be a design"));
        }
    }
    let root = match builder.root {
        Some(root) => root,
        None => {
            let start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
            builder.push(Span::new(start, start), NodeKind::Scalar(empty()), 0)
        }
    };
    Ok((builder.nodes, root, builder.problems))
}

fn empty() -> Scalar {
    Scalar { value: Cow::Borrowed(""), style: ScalarStyle::Plain }
}

impl Builder<'_> {
    fn event(&mut self, event: Event<'_>, span: Span) -> Result<(), Problem> {
        match event {
            Event::Scalar(value, style, anchor, tag) => {
                let style = match style {
                    granit_parser::ScalarStyle::Plain => ScalarStyle::Plain,
                    granit_parser::ScalarStyle::SingleQuoted => ScalarStyle::Single,
                    granit_parser::ScalarStyle::DoubleQuoted => ScalarStyle::Double,
                    granit_parser::ScalarStyle::Literal => ScalarStyle::Literal,
                    granit_parser::ScalarStyle::Folded => ScalarStyle::Folded,
                };
                let span = self.scalar_span(span, style);
                self.untagged(tag.is_some(), span);
                // The parser says `~` for a value that is not written at all.
                let unwritten = style == ScalarStyle::Plain && span.is_empty();
                let value = if unwritten { Cow::Borrowed("") } else { Cow::Owned(value.into_owned()) };
                let scalar = Scalar { value, style };
                if matches!(style, ScalarStyle::Single | ScalarStyle::Double) {
                    self.indented(span)?;
                }
                let id = self.push(span, NodeKind::Scalar(scalar), anchor);
                self.place(id)
            }
            Event::Alias(anchor) => {
                let target = self.anchors.get(anchor).copied().flatten();
                let open = target.is_some_and(|t| self.open.iter().any(|o| o.id() == t));
                let Some(target) = target.filter(|_| !open) else {
                    return Err(Problem::at(
                        span,
                        "this alias stands for a part that holds the alias itself",
                    ));
                };
                let id = self.push(span, NodeKind::Alias(target), 0);
                self.place(id)
            }
            Event::MappingStart(style, anchor, tag) => {
                self.untagged(tag.is_some(), span);
                let flow = style == StructureStyle::Flow;
                let id = self.push(span, NodeKind::Map { entries: Vec::new(), flow }, anchor);
                self.open.push(Open::Map { id, entries: Vec::new(), key: None, flow });
                Ok(())
            }
            Event::SequenceStart(style, anchor, tag) => {
                self.untagged(tag.is_some(), span);
                let flow = style == StructureStyle::Flow;
                // The parser starts a list that stands in the column of its key only after the first dash.
                let of_key = !flow && matches!(self.open.last(), Some(Open::Map { key: Some(_), .. }));
                let dash =
                    of_key.then(|| first_outside_comments(self.text, self.before_next(), '-')).flatten();
                let span = dash.map_or(span, |dash| Span::new(dash, span.end as usize));
                let id = self.push(span, NodeKind::List { items: Vec::new(), flow }, anchor);
                self.open.push(Open::List { id, items: Vec::new(), flow });
                Ok(())
            }
            Event::MappingEnd | Event::SequenceEnd => self.close(span),
            _ => Ok(()),
        }
    }

    /// Tells of a tag before a node: nothing reads it, and its author may believe that it does something.
    fn untagged(&mut self, is_tagged: bool, node: Span) {
        if !is_tagged {
            return;
        }
        let from = self.before_next();
        let (mut comment, mut blank, mut at) = (false, true, node.start as usize);
        // Where nothing stands behind the tag, the node is taken to stand before it.
        let line =
            self.text.get(at..).and_then(|rest| rest.find('\n')).map_or(self.text.len(), |end| at + end);
        for (place, c) in self.text.get(from..line).unwrap_or("").char_indices() {
            comment = (comment && c != '\n') || (blank && c == '#');
            if c == '!' && blank && !comment {
                at = from + place;
                break;
            }
            blank = c.is_whitespace() || matches!(c, ':' | '-' | '[' | '{' | ',');
        }
        let rest = self.text.get(at..).unwrap_or("");
        let length =
            rest.find(|c: char| c.is_whitespace() || matches!(c, ',' | '}' | ']')).unwrap_or(rest.len());
        let tag = rest.get(..length).unwrap_or("");
        let help = if tag.starts_with("!!") {
            "leave it out: what a value is follows from its key"
        } else {
            "leave it out; a text that begins with `!` stands in quotes, and `not` turns a condition round"
        };
        let problem = Problem::at(Span::new(at, at + length), format!("the tag `{tag}` means nothing here"));
        self.problems.push(problem.help(help));
    }

    fn push(&mut self, span: Span, kind: NodeKind, anchor: usize) -> NodeId {
        let id = NodeId(u32::try_from(self.nodes.len()).unwrap_or(u32::MAX));
        self.nodes.push(Node { span, kind, anchored: anchor > 0 });
        if anchor > 0 {
            if self.anchors.len() <= anchor {
                self.anchors.resize(anchor + 1, None);
            }
            if let Some(slot) = self.anchors.get_mut(anchor) {
                *slot = Some(id);
            }
        }
        id
    }

    /// Puts a finished node into the map or list that is open.
    fn place(&mut self, id: NodeId) -> Result<(), Problem> {
        match self.open.last_mut() {
            None => self.root = Some(id),
            Some(Open::List { items, .. }) => items.push(id),
            Some(Open::Map { entries, key, .. }) => match key.take() {
                Some(key) => entries.push(Entry { key, value: id, origin: Origin::Own }),
                None => {
                    let node = self.nodes.get(id.0 as usize);
                    if !matches!(node.map(|n| &n.kind), Some(NodeKind::Scalar(_))) {
                        let span = node.map_or(Span::default(), |n| n.span);
                        return Err(Problem::at(
                            span,
                            "a key is a plain word here, not a list, a map or an alias",
                        ));
                    }
                    *key = Some(id);
                }
            },
        }
        Ok(())
    }

    fn close(&mut self, end: Span) -> Result<(), Problem> {
        let Some(open) = self.open.pop() else { return Ok(()) };
        let id = open.id();
        let (last, flow, kind) = match open {
            Open::Map { entries, flow, .. } => {
                (entries.last().map(|e| e.value), flow, NodeKind::Map { entries, flow })
            }
            Open::List { items, flow, .. } => (items.last().copied(), flow, NodeKind::List { items, flow }),
        };
        // The parser ends a block where the next entity starts; ours ends with its last value.
        let last = last.and_then(|l| self.nodes.get(l.0 as usize)).map(|n| n.span.end);
        if let Some(node) = self.nodes.get_mut(id.0 as usize) {
            node.span.end = if flow { end.end } else { last.unwrap_or(end.end).max(node.span.start) };
            node.kind = kind;
        }
        if flow && let Some(node) = self.nodes.get(id.0 as usize) {
            self.indented(node.span)?;
        }
        self.place(id)
    }

    /// Refuses a value in quotes or brackets of which a further line stands no deeper than the block that holds it: the parser takes
    /// it, and others do not. A line that closes brackets may stand below their key, as people write it.
    fn indented(&self, value: Span) -> Result<(), Problem> {
        let block = match self.open.last() {
            Some(Open::Map { id, flow: false, .. } | Open::List { id, flow: false, .. }) => *id,
            // What stands in brackets is looked at when the outermost of them close.
            _ => return Ok(()),
        };
        let start = self.nodes.get(block.0 as usize).map_or(0, |node| node.span.start as usize);
        let indent = self.indent_at(start);
        let Some(lines) = self.text.get(value.range()) else { return Ok(()) };
        let mut at = value.start as usize;
        for line in lines.split_inclusive('\n') {
            let spaces = line.len() - line.trim_start_matches(' ').len();
            let blank = line.len() - line.trim_start().len();
            let is_shallow = match line.trim_start().chars().next() {
                None | Some('#' | ']' | '}') => false,
                Some(_) => at > value.start as usize && spaces <= indent,
            };
            if is_shallow {
                let place = Span::new(at + blank, at + line.trim_end().len());
                let message =
                    "this line belongs to the value above, and stands no deeper than the key of that value";
                return Err(Problem::at(place, message).help("indent it further, with spaces"));
            }
            at += line.len();
        }
        Ok(())
    }

    /// The column of the block that starts at a place: dashes of lists that hold it stand before it on its line, and so may an
    /// anchor of its first key.
    fn indent_at(&self, start: usize) -> usize {
        let line = self.text.get(..start).and_then(|text| text.rfind('\n')).map_or(0, |end| end + 1);
        let before = self.text.get(line..start).unwrap_or("").trim_start_matches('\u{feff}');
        before.len() - before.trim_start_matches([' ', '-', '?']).len()
    }

    /// Where the part of the text before the node that comes next ends.
    fn before_next(&self) -> usize {
        let span = |id: NodeId| self.nodes.get(id.0 as usize).map_or(Span::default(), |n| n.span);
        let at = match self.open.last() {
            None => 0,
            Some(Open::Map { key: Some(key), .. }) => span(*key).end,
            Some(Open::Map { id, entries, .. }) => {
                entries.last().map_or(span(*id).start, |e| span(e.value).end)
            }
            Some(Open::List { id, items, .. }) => items.last().map_or(span(*id).start, |i| span(*i).end),
        };
        at as usize
    }

    /// Block scalars from their `|` or `>` to the end of their text; nothing where nothing is written.
    fn scalar_span(&self, span: Span, style: ScalarStyle) -> Span {
        let from = self.before_next();
        match style {
            ScalarStyle::Literal | ScalarStyle::Folded => {
                let sign = if style == ScalarStyle::Literal { '|' } else { '>' };
                let start = first_outside_comments(self.text, from, sign).unwrap_or(span.start as usize);
                let inside = self.text.get(start..span.end as usize).unwrap_or("");
                Span::new(start, start + inside.trim_end_matches([' ', '\t', '\r', '\n']).len())
            }
            ScalarStyle::Plain if span.is_empty() => {
                // The parser sees nothing before the colon of an empty value, and after the comment of an empty item.
                let line =
                    self.text.get(..span.start as usize).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
                let written = self.text.get(line..span.start as usize).unwrap_or("");
                let at = match self.open.last() {
                    Some(Open::Map { key: Some(_), .. }) => match next_sign(self.text, from) {
                        Some((colon, ':')) => (colon + 1).max(span.start as usize),
                        _ => span.start as usize,
                    },
                    Some(Open::List { flow: false, .. }) => {
                        match first_outside_comments(self.text, from, '-') {
                            Some(dash) if written.contains(" #") || dash < line => dash + 1,
                            _ => span.start as usize,
                        }
                    }
                    _ => span.start as usize,
                };
                Span::new(at, at)
            }
            _ => span,
        }
    }
}

/// The first character at or after `from` that is neither blank nor in a comment.
fn next_sign(text: &str, from: usize) -> Option<(usize, char)> {
    let (mut comment, mut blank) = (false, false);
    for (at, c) in text.get(from..)?.char_indices() {
        comment = (comment && c != '\n') || (blank && c == '#');
        blank = c.is_whitespace();
        if !comment && !blank {
            return Some((from + at, c));
        }
    }
    None
}

/// The first place of a sign at or after `from` that is neither in a comment nor in an anchor's or tag's name.
fn first_outside_comments(text: &str, from: usize, sign: char) -> Option<usize> {
    let mut skipped: Option<fn(char) -> bool> = None;
    let mut blank = true;
    for (at, c) in text.get(from..)?.char_indices() {
        if skipped.is_some_and(|ends| !ends(c)) {
            continue;
        }
        skipped = match c {
            '#' if blank => Some(|c| c == '\n'),
            '&' | '!' if blank => Some(char::is_whitespace),
            _ if c == sign => return Some(from + at),
            _ => None,
        };
        blank = c.is_whitespace();
    }
    None
}

impl Open {
    fn id(&self) -> NodeId {
        match self {
            Self::Map { id, .. } | Self::List { id, .. } => *id,
        }
    }
}
