//! A source text and its lines.

use std::borrow::Cow;
use std::fmt;
use std::sync::OnceLock;

use super::Span;

/// A larger design or rule file than this is a mistake, and is refused before it is parsed.
pub(crate) const LARGEST_FILE: usize = 4 << 20;

/// A replacement of some bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// The bytes that go.
    pub span: Span,
    /// What comes in their place.
    pub text: String,
}

/// Something wrong with a text, and where.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// What is wrong, in one sentence.
    pub message: String,
    /// Where; `None` when it is about the file as a whole.
    pub span: Option<Span>,
    /// What to do.
    pub help: Option<String>,
    /// Other places that matter, each with a label.
    pub related: Vec<(Span, String)>,
    /// The change that mends it, where one surely does.
    pub edit: Option<Box<Edit>>,
}

impl Problem {
    /// A problem at a place.
    #[must_use]
    pub fn at(span: Span, message: impl Into<String>) -> Self {
        Self { message: message.into(), span: Some(span), ..Self::default() }
    }

    /// A problem of the file as a whole.
    #[must_use]
    pub fn of_file(message: impl Into<String>) -> Self {
        Self { message: message.into(), ..Self::default() }
    }

    /// With words on what to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With more words on what to do.
    #[must_use]
    pub fn help_too(mut self, more: &str) -> Self {
        self.help = Some(self.help.map_or_else(|| more.to_owned(), |help| format!("{help}; {more}")));
        self
    }

    /// With words on what to do, where there are any.
    #[must_use]
    pub fn maybe_help(mut self, help: Option<String>) -> Self {
        self.help = help.or(self.help);
        self
    }

    /// With another place that matters.
    #[must_use]
    pub fn related(mut self, span: Span, label: impl Into<String>) -> Self {
        self.related.push((span, label.into()));
        self
    }
}

/// So many problems of one file are shown; whoever has more mends these first, and a report of a hostile file stays short.
const MOST_PROBLEMS: usize = 100;
/// A message longer than this, in characters, is cut in its middle: a name in it may be a megabyte long.
const LONGEST_MESSAGE: usize = 600;

/// The problems of one file in the order of their places, at most a hundred of them, with messages of a length to read.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by_key(|p| p.span);
    let all = problems.len();
    if all > MOST_PROBLEMS {
        problems.truncate(MOST_PROBLEMS);
        problems.push(Problem::of_file(format!("and {} more mistakes in this file", all - MOST_PROBLEMS)));
    }
    for problem in &mut problems {
        let length = problem.message.chars().count();
        if length > LONGEST_MESSAGE {
            let mut message: String = problem.message.chars().take(LONGEST_MESSAGE / 2).collect();
            message.push('…');
            message.extend(problem.message.chars().skip(length - LONGEST_MESSAGE / 4));
            problem.message = message;
        }
    }
    problems
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

/// A line and a column, both counted from 1; columns in Unicode characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct TextPosition {
    /// The line.
    pub line: u32,
    /// The character in the line.
    pub column: u32,
}

/// The problem of a file of too many bytes.
pub(crate) fn too_large(bytes: u64) -> Problem {
    Problem::of_file(format!("the file has {bytes} bytes; one above {} MiB is not read", LARGEST_FILE >> 20))
        .help("a design takes a few hundred lines: is this the right file?")
}

/// A text with the name it is shown under.
#[derive(Clone, Debug)]
pub struct Source {
    name: Cow<'static, str>,
    text: Cow<'static, str>,
    /// Where each line begins, counted when a place is first asked for.
    starts: OnceLock<Vec<u32>>,
}

impl Source {
    /// A text under a name.
    #[must_use]
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        Self { name: Cow::Owned(name.into()), text: Cow::Owned(text.into()), starts: OnceLock::new() }
    }

    /// A text that is built into the program.
    #[must_use]
    pub(crate) fn built_in(name: &'static str, text: &'static str) -> Self {
        Self { name: Cow::Borrowed(name), text: Cow::Borrowed(text), starts: OnceLock::new() }
    }

    fn starts(&self) -> &[u32] {
        self.starts.get_or_init(|| {
            let breaks = self.text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
            std::iter::once(0).chain(breaks.map(|(i, _)| Span::new(i + 1, 0).start)).collect()
        })
    }

    /// A file's bytes under a name.
    ///
    /// # Errors
    /// When the bytes are too many, or are not UTF-8; the problem then names the byte.
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Self, Problem> {
        if bytes.len() > LARGEST_FILE {
            return Err(too_large(bytes.len() as u64));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, text)),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let line = error.as_bytes().iter().take(at).filter(|b| **b == b'\n').count() + 1;
                Err(Problem::of_file(format!(
                    "the file is not UTF-8 text: byte {at}, in line {line}, is no character"
                ))
                .help("save it as UTF-8 in your editor"))
            }
        }
    }

    /// The name it is shown under.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The text of a span; empty when the span is not one of this source.
    #[must_use]
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// The line and column of a byte offset, clamped to the text.
    #[must_use]
    pub fn position(&self, offset: u32) -> TextPosition {
        let line = self.starts().partition_point(|start| *start <= offset).max(1);
        let start = self.starts().get(line - 1).copied().unwrap_or(0) as usize;
        let mut end = (offset as usize).min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let before = self.text.get(start..end).unwrap_or("");
        // A byte order mark is no character of the first line.
        let mark = usize::from(line == 1 && before.starts_with('\u{feff}'));
        TextPosition {
            line: u32::try_from(line).unwrap_or(u32::MAX),
            column: u32::try_from(before.chars().count() - mark + 1).unwrap_or(u32::MAX),
        }
    }

    /// The offset where a line (counted from 1) begins.
    #[must_use]
    pub fn line_start(&self, line: u32) -> Option<u32> {
        self.starts().get((line as usize).checked_sub(1)?).copied()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;

    #[test]
    fn columns_count_characters() {
        let source = Source::new("x", "\u{feff}a: µ°\r\nb: 日本 x\n");
        let at = |text: &str| source.position(u32::try_from(source.text().find(text).unwrap()).unwrap());
        assert_eq!(at("a:"), TextPosition { line: 1, column: 1 });
        assert_eq!(at("°"), TextPosition { line: 1, column: 5 });
        assert_eq!(at("x\n"), TextPosition { line: 2, column: 7 });
        assert_eq!(source.position(9999).line, 3);
    }

    #[test]
    fn bytes_that_are_no_text_are_refused_with_their_place() {
        let problem = Source::from_bytes("x", b"name: a\nb: \xff\n".to_vec()).unwrap_err();
        assert!(problem.message.contains("byte 11") && problem.message.contains("line 2"), "{problem}");
        let problem = Source::from_bytes("x", vec![b'a'; LARGEST_FILE + 1]).unwrap_err();
        assert!(problem.message.contains("4 MiB"), "{problem}");
    }
}
