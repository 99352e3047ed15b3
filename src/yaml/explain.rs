//! The YAML parser's errors in words a builder understands.

use granit_parser::{ErrorKind, ScanError};

use super::node::DEEPEST;
use super::{Problem, Span};

/// The bracket that one closes.
const fn opened_by(close: char) -> Option<char> {
    match close {
        '}' => Some('{'),
        ']' => Some('['),
        _ => None,
    }
}

/// The parser's error in words a builder understands.
pub(super) fn explain(text: &str, error: &ScanError) -> Problem {
    let at = error.marker().byte_offset().unwrap_or(text.len()).min(text.len());
    let next = text.get(at..).and_then(|t| t.chars().next()).map_or(0, char::len_utf8);
    let mut here = Span::new(at, at + next);
    let info = error.info().to_string();
    if info.contains("unclosed quote") {
        return unclosed(here);
    }
    if info.contains("trailing content after") {
        return match quote_closed_before(text, at) {
            Some((open, close)) if text.get(open..close).is_some_and(|t| t.contains('\n')) => {
                unclosed(Span::new(open, open + 1))
            }
            _ => Problem::at(here, "more stands here after the closing quote").help(
                "quote the whole value, or none of it; an inch sign inside double quotes is written `\\\"`",
            ),
        };
    }
    if let Some((i, c)) = control_character(text, at) {
        return Problem::at(
            Span::new(i, i + c.len_utf8()),
            format!("a control character (U+{:04X}) stands in the text", u32::from(c)),
        )
        .help("remove it: it does not show, and YAML takes none");
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
    if let Some(hard) = hard_blank(text, line_start + line.len()) {
        return Problem::at(hard, "a no-break space indents this line")
            .help("indent with the space of the keyboard: it looks the same, and YAML takes no other");
    }
    let before = text.get(line_start..at).unwrap_or("").trim_end();
    if let Some(open) = before.chars().next_back().and_then(opened_by)
        && matches!(error.kind(), ErrorKind::ExpectedBlockMappingKey | ErrorKind::InvalidIndentation)
    {
        return Problem::at(here, "more stands here after the closing bracket")
            .help(format!("a text that begins with `{open}` stands in double quotes, all of it"));
    }
    let (message, help) = match error.kind() {
        ErrorKind::TabNotAllowed | ErrorKind::TabInBlockIndentation => {
            ("a tab stands where only spaces may", "indent with spaces: YAML takes no tabs")
        }
        ErrorKind::UnknownAnchor => {
            let name = text.get(at..).unwrap_or("");
            let ends = |c: char| c.is_whitespace() || matches!(c, ',' | '[' | ']' | '{' | '}');
            here = Span::new(at, at + name.find(ends).unwrap_or(name.len()));
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
        let deep = info.contains("nesting") || info.contains("depth") || info.contains("recursion");
        if deep {
            return Problem::at(here, format!("the file is nested deeper than {DEEPEST} levels"));
        }
        if line.matches(": ").count() > 1 && info.contains("mapping values") {
            return Problem::at(here, "a second `: ` stands in one line")
                .help("put the value in quotes, or on a line of its own");
        }
        let friendly = [
            (
                "mapping values",
                "this line is indented as if it went on with the value above",
                "start it in the column of its neighbours; a key whose value is a map has nothing after its colon",
            ),
            (
                "block sequence entries",
                "a list cannot start on the line of its key",
                "put each `- item` on a line of its own, or write `[item, item]`",
            ),
            (
                "expected '-'",
                "this line stands in the column of a list, and is no item of it",
                "start it with `- `, or in the column of the list's key",
            ),
            (
                "illegal placement of ':'",
                "a colon cannot stand here in a list in brackets",
                "is the `[` before it closed with a `]`?",
            ),
            ("may not precede", "the space after this colon is missing", "write `key: value`"),
            ("unclosed bracket '['", "a `[` is never closed", "add the `]`"),
            ("unclosed bracket '{'", "a `{` is never closed", "add the `}`"),
            (
                "block scalar",
                "nothing but a comment may follow this sign on its line",
                "start the text on the next line, indented further than the key",
            ),
            (
                "escape",
                "a backslash in these double quotes starts no known escape",
                "write the backslash twice, or use single quotes",
            ),
            (
                "anchor or alias",
                "a name is missing after the `&` or `*`",
                "put the value in quotes if the sign is meant",
            ),
            ("directive", "a line that starts with `%` is no part of a design", "remove it"),
        ];
        if let Some((_, message, help)) = friendly.iter().find(|(words, ..)| info.contains(words)) {
            return Problem::at(here, *message).help(*help);
        }
        if matches!(text.get(here.range()), Some("," | "]" | "}")) {
            return Problem::at(here, "this character cannot start a value")
                .help("put the value in quotes if it is meant");
        }
        return Problem::at(here, format!("this is not YAML: {info}"));
    }
    Problem::at(here, message).help(help)
}

fn unclosed(quote: Span) -> Problem {
    Problem::at(quote, "this quote is never closed, or closed too late")
        .help("close it on the same line; an inch sign at the end of a measure needs no quotes: `4 in`")
}

/// The quotes of the quoted scalar that closes right before `at`.
fn quote_closed_before(text: &str, at: usize) -> Option<(usize, usize)> {
    let close = text.get(..at)?.trim_end().len().checked_sub(1)?;
    let mut signs = text.get(..=close)?.char_indices().peekable();
    // A quote opens a scalar only where a value or a key may start.
    let (mut may_open, mut blank, mut last) = (true, true, '\n');
    while let Some((i, c)) = signs.next() {
        match c {
            '#' if blank => while signs.next_if(|(_, c)| *c != '\n').is_some() {},
            '"' | '\'' if may_open => loop {
                let (j, inner) = signs.next()?;
                if inner == '\\' && c == '"' {
                    signs.next()?;
                } else if inner == c && (c == '"' || signs.next_if(|(_, next)| *next == c).is_none()) {
                    if j == close {
                        return Some((i, j));
                    }
                    break;
                }
            },
            _ => {}
        }
        blank = c.is_whitespace();
        may_open = match c {
            '\n' | '[' | '{' | ',' => true,
            ' ' | '\t' => may_open || matches!(last, ':' | '-' | '?'),
            _ => false,
        };
        last = c;
    }
    None
}

/// The last blank before a byte that indents a line and is not of the keyboard, as word processors and web pages write it.
fn hard_blank(text: &str, end: usize) -> Option<Span> {
    let mut from = 0;
    let mut found = None;
    for line in text.get(..end)?.split_inclusive('\n') {
        let indent = line.len() - line.trim_start().len();
        let blank = line.get(..indent)?.char_indices().find(|(_, c)| !c.is_ascii_whitespace());
        found = blank.map(|(at, c)| Span::new(from + at, from + at + c.len_utf8())).or(found);
        from += line.len();
    }
    found
}

/// The control character that ends the value which starts at `at`, or stands there.
fn control_character(text: &str, at: usize) -> Option<(usize, char)> {
    let line = text.get(at..)?.lines().next()?;
    let hidden = |c: char| c.is_control() && !matches!(c, '\t' | '\r' | '\u{85}');
    line.char_indices().find(|(_, c)| hidden(*c)).map(|(i, c)| (at + i, c))
}
