//! Drawing a message under the lines it is about. The only file that knows the drawing library.
//!
//! The library escapes nothing: everything that comes from a file is made harmless before it goes in.

use std::fmt;

use miette::{
    GraphicalReportHandler, GraphicalTheme, LabeledSpan, Severity, SourceCode, SourceSpan, ThemeCharacters,
    ThemeStyles,
};

use crate::text::{Problem, Source, Span, clean, clean_same_length};

/// How text is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// With colours.
    pub colour: bool,
    /// How many columns wide.
    pub width: usize,
}

impl Default for Style {
    fn default() -> Self {
        Self { colour: false, width: 100 }
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
    source: Option<miette::NamedSource<String>>,
}

impl Diagram {
    /// A message of a level (`error`, `warning`, `note`) with places; spans outside the source are left out.
    #[must_use]
    pub fn new(
        message: &str,
        level: &str,
        source: &Source,
        places: &[(Span, String)],
        help: Option<&str>,
    ) -> Self {
        let severity = match level {
            "warning" => Severity::Warning,
            "note" => Severity::Advice,
            _ => Severity::Error,
        };
        let length = source.text().len();
        let labels: Vec<LabeledSpan> = places
            .iter()
            .filter(|(span, _)| span.end as usize <= length && span.start <= span.end)
            .map(|(span, label)| {
                // An empty place at the very end has nothing to underline; the character before it has.
                let start = if span.is_empty() && span.start as usize == length {
                    length.saturating_sub(1)
                } else {
                    span.start as usize
                };
                // A block of lines is underlined on its first line only.
                let text = source.slice(*span);
                let first = text.lines().next().map_or(0, str::len);
                LabeledSpan::new(
                    Some(clean(label).into_owned()),
                    start,
                    if text.contains('\n') { first } else { span.len() },
                )
            })
            .collect();
        let drawn = (!labels.is_empty()).then(|| {
            miette::NamedSource::new(clean(source.name()), clean_same_length(source.text()).into_owned())
        });
        Self {
            message: clean(message).into_owned(),
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
        self.name = Some(clean(name).into_owned());
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
    let mut places: Vec<(Span, String)> = problem.span.iter().map(|s| (*s, "here".to_owned())).collect();
    places.extend(problem.related.iter().cloned());
    let message = if problem.span.is_some() {
        problem.message.clone()
    } else {
        format!("{}: {}", source.name(), problem.message)
    };
    Diagram::new(&message, "error", source, &places, problem.help.as_deref()).draw(style)
}

/// A byte span as the library wants it.
impl From<Span> for SourceSpan {
    fn from(span: Span) -> Self {
        (span.start as usize, span.len()).into()
    }
}
