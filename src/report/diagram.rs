//! Drawing a message under the lines it is about. The only file that knows the drawing library.
//!
//! The library escapes nothing: everything that comes from a file is made harmless before it goes in.

use std::fmt;

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, Severity, SourceCode, SourceSpan, ThemeCharacters,
    ThemeStyles,
};

use crate::rules::Level;
use crate::yaml::{Problem, Source, Span, clean, clean_line, clean_same_length};

/// How text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// With colours.
    pub colour: bool,
    /// How many columns wide.
    pub width: usize,
    /// Whether every margin of what is held is listed, and not only the narrowest ones in the summary.
    pub margins: bool,
}

impl Default for Style {
    fn default() -> Self {
        Self { colour: false, width: 100, margins: false }
    }
}

/// A source of which whole lines are shown, and no line that no label is on.
///
/// The library's own reader shows only the labelled bytes when it is asked for no lines around them.
#[derive(Debug)]
struct WholeLines {
    name: String,
    text: String,
}

impl SourceCode for WholeLines {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        _: usize,
        _: usize,
    ) -> Result<Box<dyn miette::SpanContents<'a> + 'a>, miette::MietteError> {
        let (from, to) = (span.offset(), span.offset() + span.len());
        let before = self.text.get(..from).ok_or(miette::MietteError::OutOfBounds)?;
        let start = before.rfind('\n').map_or(0, |i| i + 1);
        let last = to.max(from + 1).min(self.text.len());
        let rest = self.text.get(to..).ok_or(miette::MietteError::OutOfBounds)?;
        let ends_line = self.text.get(from..to).is_some_and(|t| t.ends_with('\n'));
        let end = if ends_line { last } else { to + rest.find('\n').unwrap_or(rest.len()) };
        let shown = self.text.get(start..end).ok_or(miette::MietteError::OutOfBounds)?;
        let line = self.text.get(..start).map_or(0, |t| t.matches('\n').count());
        Ok(Box::new(miette::MietteSpanContents::new_named(
            self.name.clone(),
            shown.as_bytes(),
            (start, end - start).into(),
            line,
            before.get(start..).map_or(0, |t| t.chars().count()),
            shown.lines().count(),
        )))
    }
}

/// A message with labelled places in one source.
#[derive(Debug)]
pub struct Diagram {
    message: String,
    name: Option<String>,
    severity: Severity,
    labels: Vec<LabeledSpan>,
    help: Option<String>,
    source: Option<WholeLines>,
}

impl Diagram {
    /// A message of a level with places; spans outside the source are left out.
    #[must_use]
    pub fn new(
        message: &str,
        level: Level,
        source: &Source,
        places: &[(Span, String)],
        help: Option<&str>,
    ) -> Self {
        let severity = match level {
            Level::Error => Severity::Error,
            Level::Warning => Severity::Warning,
            Level::Note => Severity::Advice,
        };
        let length = source.text().len();
        let labels: Vec<LabeledSpan> = places
            .iter()
            .filter(|(span, _)| span.end as usize <= length && span.start <= span.end)
            .enumerate()
            .map(|(at, (span, label))| {
                // An empty place at the very end has nothing to underline; the character before it has.
                let start = if span.is_empty() && span.start as usize == length {
                    source.text().char_indices().next_back().map_or(0, |(at, _)| at)
                } else {
                    span.start as usize
                };
                // A block of lines is underlined on its first line only.
                let text = source.slice(*span);
                let first = text.lines().next().map_or(0, str::len);
                let bytes = SourceSpan::from((start, if text.contains('\n') { first } else { span.len() }));
                let label = Some(clean_line(label).into_owned());
                // The first place is the one the heading names.
                if at == 0 {
                    LabeledSpan::new_primary_with_span(label, bytes)
                } else {
                    LabeledSpan::new_with_span(label, bytes)
                }
            })
            .collect();
        let drawn = (!labels.is_empty()).then(|| WholeLines {
            name: clean_line(source.name()).into_owned(),
            text: clean_same_length(source.text()).into_owned(),
        });
        Self {
            message: clean_line(message.trim()).into_owned(),
            name: None,
            severity,
            labels,
            help: help.map(|h| clean(h).into_owned()),
            source: drawn,
        }
    }

    /// With the name of the rule above the message.
    #[must_use]
    pub fn named(mut self, name: &str) -> Self {
        self.name = Some(clean_line(name).into_owned());
        self
    }

    /// The drawing as text.
    #[must_use]
    pub fn draw(&self, style: Style) -> String {
        let theme = GraphicalTheme {
            characters: ThemeCharacters::unicode(),
            styles: if style.colour { ThemeStyles::ansi() } else { ThemeStyles::none() },
        };
        let handler = GraphicalReportHandler::new_themed(theme)
            .with_links(false)
            .with_width(style.width)
            .with_context_lines(0);
        let mut text = String::new();
        match handler.render_report(&mut text, self) {
            Ok(()) => text,
            // Writing to a string cannot fail; if it ever does, the message itself must not be lost.
            Err(_) => format!("{}\n", self.message),
        }
    }
}

impl fmt::Display for Diagram {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Diagram {}

impl miette::Diagnostic for Diagram {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.name.as_ref().map(|n| Box::new(n) as Box<dyn fmt::Display>)
    }

    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help.as_ref().map(|h| Box::new(h) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.source.as_ref().map(|s| s as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}

/// A problem of a file, drawn.
#[must_use]
pub fn problem_text(source: &Source, problem: &Problem, style: Style) -> String {
    remark_text(source, problem, Level::Error, style)
}

/// A problem of a file at a level of its own, drawn.
#[must_use]
pub fn remark_text(source: &Source, problem: &Problem, level: Level, style: Style) -> String {
    let mut places: Vec<(Span, String)> = problem.span.iter().map(|s| (*s, "here".to_owned())).collect();
    places.extend(problem.related.iter().cloned());
    let message = if problem.span.is_some() {
        problem.message.clone()
    } else {
        format!("{}: {}", source.name(), problem.message)
    };
    Diagram::new(&message, level, source, &places, problem.help.as_deref()).draw(style)
}

/// A byte span as the library wants it.
impl From<Span> for SourceSpan {
    fn from(span: Span) -> Self {
        (span.start as usize, span.len()).into()
    }
}
