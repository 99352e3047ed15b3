//! GitHub's workflow commands: one line a finding, which a workflow run shows beside the line of the file.
//!
//! The form and its escapes are those of GitHub's documentation, "Workflow commands for GitHub Actions". Lines and
//! columns count from 1, columns in Unicode characters, and `endColumn` is one past the last character. A place of
//! several lines has no columns: GitHub takes them for one line only.

use std::fmt::Write as _;
use std::path::Path;

use super::location::from_base;
use super::{Review, caution};
use crate::review::{Finding, Standing, Tried};
use crate::text::{Source, Span, clean, clean_line, shorten};

/// A title is cut to this many characters, and a message to the second number: an annotation is read at a glance.
const LONGEST: (usize, usize) = (120, 2_000);

/// The review as workflow commands, with one plain line a design at the end.
#[must_use]
pub fn workflow(review: &Review, base: &Path) -> String {
    let mut out = String::new();
    for (source, problem) in &review.problems {
        let mut message = clean_line(&problem.message).into_owned();
        if let Some(help) = &problem.help {
            message = format!("{message}\n{}", clean_line(help));
        }
        command(&mut out, "error", source, problem.span, base, "could not be reviewed", &message);
    }
    for design in &review.designs {
        for finding in design.findings.iter().filter(|f| f.standing == Standing::Shown) {
            let level = match finding.level.name() {
                "note" => "notice",
                level => level,
            };
            let place = finding.places.first().map(|p| p.span);
            let title = format!("{} (before {})", finding.rule, finding.before);
            command(&mut out, level, &design.design.source, place, base, &title, &words(finding));
        }
    }
    for design in &review.designs {
        let verdict = if design.is_clear() { "clear" } else { "hold" };
        let name = plain(&from_base(design.design.source.name(), base));
        let _ = writeln!(out, "holdpoint: {name}: {verdict}, {}", design.accounts().in_words());
    }
    let _ = writeln!(out, "holdpoint: {}", caution().trim().replace('\n', " "));
    out
}

fn words(finding: &Finding) -> String {
    let mut text = clean_line(&finding.message).into_owned();
    for remedy in &finding.remedies {
        let tried = if remedy.tried == Some(Tried::Clears) { " (tried on a copy: clears this)" } else { "" };
        let _ = write!(text, "\nchange: {}{tried}", clean_line(&remedy.say));
    }
    let _ = write!(text, "\nwhy: {}\nsource: {}", clean_line(&finding.why), clean_line(&finding.source));
    text
}

/// What is printed outside a command must not read as one: the runner also takes commands of an older form anywhere in
/// a line.
fn plain(text: &str) -> String {
    shorten(&clean_line(text), LONGEST.0).replace("##[", "## [")
}

fn command(
    out: &mut String,
    level: &str,
    source: &Source,
    span: Option<Span>,
    base: &Path,
    title: &str,
    message: &str,
) {
    let (start, end) = span.map_or_else(
        || (source.position(0), source.position(0)),
        |s| (source.position(s.start), source.position(s.end)),
    );
    let file = property(&clean_line(&from_base(source.name(), base)));
    let _ = write!(out, "::{level} file={file},line={},endLine={}", start.line, end.line);
    if start.line == end.line && span.is_some() {
        let _ = write!(out, ",col={},endColumn={}", start.column, end.column);
    }
    let title = property(&shorten(&clean_line(title), LONGEST.0));
    let _ = writeln!(out, ",title={title}::{}", data(&shorten(&clean(message), LONGEST.1)));
}

/// The message of a command.
fn data(text: &str) -> String {
    text.replace('%', "%25").replace('\r', "%0D").replace('\n', "%0A").replace("##[", "## [")
}

/// A property of a command.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}
