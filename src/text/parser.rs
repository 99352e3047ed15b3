//! The only file that knows the YAML parser: its events become nodes, its errors our words.

use granit_parser::{ErrorKind, Event, Parser, ScanError, StructureStyle, options};

use super::tree::{Entry, Node, NodeId, NodeKind, Origin, Scalar, ScalarStyle};
use super::{Problem, Span};

/// Deeper than any rocket, shallow enough for every stack.
const DEEPEST: usize = 64;
/// A node takes about a hundred bytes; this keeps a hostile file to a few tens of megabytes.
const MOST_NODES: usize = 200_000;

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
}

/// The nodes of a text and its root.
pub(super) fn nodes(text: &str) -> Result<(Vec<Node>, NodeId), Problem> {
    let options =
        options! { emit_comments: false, flow_nesting_limit: DEEPEST, block_nesting_limit: DEEPEST };
    let mut builder = Builder { text, nodes: Vec::new(), open: Vec::new(), anchors: Vec::new(), root: None };
    let mut documents = 0;
    for next in Parser::new_from_str_with_options(text, options) {
        let (event, span) = next.map_err(|error| explain(text, &error))?;
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
        None => builder.push(Span::default(), NodeKind::Scalar(empty()), 0),
    };
    Ok((builder.nodes, root))
}

fn empty() -> Scalar {
    Scalar { value: String::new(), style: ScalarStyle::Plain }
}

impl Builder<'_> {
    fn event(&mut self, event: Event<'_>, span: Span) -> Result<(), Problem> {
        match event {
            Event::Scalar(value, style, anchor, _) => {
                let style = match style {
                    granit_parser::ScalarStyle::Plain => ScalarStyle::Plain,
                    granit_parser::ScalarStyle::SingleQuoted => ScalarStyle::Single,
                    granit_parser::ScalarStyle::DoubleQuoted => ScalarStyle::Double,
                    granit_parser::ScalarStyle::Literal => ScalarStyle::Literal,
                    granit_parser::ScalarStyle::Folded => ScalarStyle::Folded,
                };
                let span = self.scalar_span(span, style, value.is_empty());
                let scalar = Scalar { value: value.into_owned(), style };
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
            Event::MappingStart(style, anchor, _) => {
                let flow = style == StructureStyle::Flow;
                let id = self.push(span, NodeKind::Map { entries: Vec::new(), flow }, anchor);
                self.open.push(Open::Map { id, entries: Vec::new(), key: None, flow });
                Ok(())
            }
            Event::SequenceStart(style, anchor, _) => {
                let flow = style == StructureStyle::Flow;
                let id = self.push(span, NodeKind::List { items: Vec::new(), flow }, anchor);
                self.open.push(Open::List { id, items: Vec::new(), flow });
                Ok(())
            }
            Event::MappingEnd | Event::SequenceEnd => self.close(span),
            _ => Ok(()),
        }
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
        // The parser ends a block where the next thing starts; ours ends with its last value.
        let last = last.and_then(|l| self.nodes.get(l.0 as usize)).map(|n| n.span.end);
        if let Some(node) = self.nodes.get_mut(id.0 as usize) {
            node.span.end = if flow { end.end } else { last.unwrap_or(end.end).max(node.span.start) };
            node.kind = kind;
        }
        self.place(id)
    }

    /// Block scalars from their `|` or `>` to the end of their text; nothing where nothing is written.
    fn scalar_span(&self, span: Span, style: ScalarStyle, nothing: bool) -> Span {
        match style {
            ScalarStyle::Literal | ScalarStyle::Folded => {
                let before = self.text.get(..span.start as usize).unwrap_or("");
                let start = before.rfind(['|', '>']).unwrap_or(span.start as usize);
                let inside = self.text.get(start..span.end as usize).unwrap_or("");
                Span::new(start, start + inside.trim_end().len())
            }
            ScalarStyle::Plain if nothing => {
                // `key:` with nothing: the place right after the colon, wherever the parser saw the end.
                let before = self.text.get(..span.start as usize).unwrap_or("");
                let at = before.trim_end().len();
                let last = before.trim_end().chars().next_back();
                let at =
                    if matches!(last, Some(':' | '-' | ',' | '[' | '{')) { at } else { span.start as usize };
                Span::new(at, at)
            }
            _ => span,
        }
    }
}

impl Open {
    fn id(&self) -> NodeId {
        match self {
            Self::Map { id, .. } | Self::List { id, .. } => *id,
        }
    }
}

/// The parser's error in words a builder understands.
fn explain(text: &str, error: &ScanError) -> Problem {
    let at = error.marker().byte_offset().unwrap_or(text.len()).min(text.len());
    let next = text.get(at..).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
    let here = Span::new(at, at + next);
    if let Some(open) = open_quote(text, at)
        && !matches!(error.kind(), ErrorKind::TabInBlockIndentation | ErrorKind::UnknownAnchor)
    {
        return Problem::at(open, "this quote is never closed, or closed too late")
            .help("close it on the same line; an inch sign at the end of a measure needs no quotes: `4 in`");
    }
    let line_start = text.get(..at).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let line = text.get(line_start..).and_then(|t| t.lines().next()).unwrap_or("");
    let tab = text.get(line_start..).unwrap_or("").lines().take(2).enumerate().find_map(|(i, l)| {
        let indent = l.len() - l.trim_start().len();
        let place = l.get(..indent)?.find('\t')?;
        let start = if i == 0 { line_start } else { line_start + line.len() + 1 };
        Some(Span::new(start + place, start + place + 1))
    });
    if let Some(tab) = tab {
        return Problem::at(tab, "a tab indents this line").help("indent with spaces: YAML takes no tabs");
    }
    let (message, help) = match error.kind() {
        ErrorKind::TabNotAllowed | ErrorKind::TabInBlockIndentation => {
            ("a tab stands where only spaces may", "indent with spaces: YAML takes no tabs")
        }
        ErrorKind::UnknownAnchor => {
            ("this alias has no anchor before it", "write the value out, or define `&name` above")
        }
        ErrorKind::UnexpectedEofFlowSequence => ("a `[` is never closed", "add the `]`"),
        ErrorKind::UnexpectedEofFlowMapping | ErrorKind::UnexpectedEofImplicitFlowMapping => {
            ("a `{` is never closed", "add the `}`")
        }
        ErrorKind::ExpectedFlowMappingSeparator => {
            ("a comma or a `}` is missing here", "entries in braces are parted by commas")
        }
        ErrorKind::ExpectedFlowSequenceSeparator => {
            ("a comma or a `]` is missing here", "entries in brackets are parted by commas")
        }
        ErrorKind::ExpectedBlockMappingKey | ErrorKind::InvalidIndentation => (
            "this line is not indented like its neighbours",
            "entries of one map start in the same column; what belongs to an entry is indented further",
        ),
        ErrorKind::SimpleKeyExpected | ErrorKind::InvalidSimpleKey => (
            "this line is neither `key: value` nor part of the value above",
            "put a colon and a space after the key",
        ),
        ErrorKind::MisplacedFlowCollectionEnd => {
            ("this bracket closes nothing", "remove it, or open it before")
        }
        ErrorKind::MismatchedFlowCollectionEnd { .. } => {
            ("this bracket closes one of the other kind", "`{` closes with `}`, `[` with `]`")
        }
        ErrorKind::UnexpectedCharacter { .. } => {
            ("this character cannot start a value", "put the value in quotes if it is meant")
        }
        _ => ("", ""),
    };
    if message.is_empty() {
        let info = error.info().to_string();
        let deep = info.contains("nesting") || info.contains("depth") || info.contains("recursion");
        if deep {
            return Problem::at(here, format!("the file is nested deeper than {DEEPEST} levels"));
        }
        if line.matches(": ").count() > 1 && info.contains("mapping values") {
            return Problem::at(here, "a second `: ` stands in one line")
                .help("put the value in quotes, or on a line of its own");
        }
        return Problem::at(here, format!("this is not YAML: {info}"));
    }
    Problem::at(here, message).help(help)
}

/// The nearest earlier line whose quotes do not pair, when the error lies after an unclosed one.
fn open_quote(text: &str, at: usize) -> Option<Span> {
    let mut start = 0;
    let mut found = None;
    for line in text.get(..at)?.split_inclusive('\n') {
        let code = line.split(" #").next().unwrap_or(line);
        for quote in ['"', '\''] {
            let opens = code.match_indices(quote).filter(|(i, _)| {
                code.get(..*i).is_some_and(|b| b.trim_end().ends_with([':', '-', '[', ',', '{']))
            });
            let count = code.matches(quote).count();
            if count % 2 == 1
                && let Some((i, _)) = opens.last()
            {
                found = Some(Span::new(start + i, start + i + 1));
            }
        }
        start += line.len();
    }
    found
}
