//! GitHub's workflow commands: one line a finding, which a workflow run shows beside the line of the file.
//!
//! The form and its escapes are those of GitHub's documentation, "Workflow commands for GitHub Actions". Lines and
//! columns count from 1, columns in Unicode characters, and `endColumn` is one past the last character. A place of
//! several lines has no columns: GitHub takes them for one line only.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use super::caution::caution;
use super::concise::UNPROVEN;
use super::conditions::{DEPARTS, ON_WORD};
use super::contract::Clearance;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::location::from_base;
use super::note::Note;
use super::total::Total;
use super::waiting::{conflict_line, part_line};
use crate::review::{
    DesignReview, Disposition, Finding, Tried, conflicts, is_in_conflict, is_waiting, waiting,
};
use crate::rules::{Departure, DepartureKind, Level, Library};
use crate::yaml::{Problem, Source, Span, clean, clean_line, shorten};

/// A title is cut to this many characters, and a message to the second number: an annotation is read at a glance.
const LONGEST: (usize, usize) = (120, 2_000);

/// Workflow commands, with one plain line a design at the end.
#[derive(Clone, Debug, Default)]
pub struct Workflow {
    base: PathBuf,
    lines: String,
    /// What is not as the packs have it, once however many designs it holds for.
    notices: Vec<String>,
    total: Total,
}

impl Workflow {
    /// A report of a run in a folder.
    #[must_use]
    pub fn new(base: &Path) -> Self {
        Self { base: base.to_path_buf(), ..Self::default() }
    }
}

impl ReportForm for Workflow {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        let mut out = String::new();
        let mut message = clean_line(&problem.message).into_owned();
        if let Some(help) = &problem.help {
            message = format!("{message}\n{}", clean_line(help));
        }
        command(&mut out, Level::Error, source, problem.span, &self.base, "could not be reviewed", &message);
        Part::of(out)
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let source = &review.design.source;
        let mut out = String::new();
        let shown = || review.findings.iter().filter(|f| f.disposition == Disposition::Shown);
        // One annotation a part says what is not written down.
        for finding in shown().filter(|f| !is_waiting(f) && !is_in_conflict(f)) {
            let place = finding.places.first().map(|p| p.span);
            let title = format!("{} (before {})", finding.rule, finding.before);
            command(&mut out, finding.level, source, place, &self.base, &title, &words(finding));
        }
        for one in conflicts(shown()) {
            let Some(first) = one.findings.first() else { continue };
            let place = first.places.first().map(|p| p.span);
            let title = format!("{UNPROVEN} (before {})", first.before);
            command(&mut out, first.level, source, place, &self.base, &title, &conflict_line(&one));
        }
        for part in waiting(shown()) {
            let title = format!("{UNPROVEN} (before {})", part.before);
            command(&mut out, part.level, source, part.place, &self.base, &title, &part_line(&part));
        }
        // What lets a step be taken is shown at its line too.
        for finding in &review.findings {
            if let Disposition::Waived(waiver) = &finding.disposition {
                let place = finding.places.first().map(|p| p.span);
                let title = format!("{} (waived)", finding.rule);
                let words = format!(
                    "{}\nwaived by {} until {}: {}",
                    clean_line(&finding.message),
                    clean_line(&waiver.by),
                    waiver.until,
                    clean_line(&waiver.reason)
                );
                command(&mut out, Level::Note, source, place, &self.base, &title, &words);
            }
        }
        for one in &review.on_word {
            let words = one.to_string();
            command(&mut out, Level::Note, source, Some(one.place.span), &self.base, ON_WORD, &words);
        }
        let verdict = Clearance::when(review.is_clear());
        let name = plain(&from_base(source.name(), &self.base));
        let line = format!("holdpoint: {name}: {verdict}, {}\n", review.totals().in_words());
        let notice = |one: &Departure| {
            let mut out = String::new();
            let span = (one.kind != DepartureKind::Ignored).then_some(one.at.span);
            let words = one.to_string();
            command(&mut out, Level::Note, &one.at.source, span, &self.base, DEPARTS, &words);
            out
        };
        let notices = review.departures.iter().map(notice).collect();
        Part { text: out, note: Note::LineWith(line, Total::of(review), notices) }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::LineWith(line, total, notices) = part.note {
            self.lines.push_str(&line);
            self.total.add(total);
            for notice in notices {
                if !self.notices.contains(&notice) {
                    self.notices.push(notice);
                }
            }
        }
        part.text
    }

    fn frame(&mut self, _: Totals) -> String {
        let caution = caution().trim().replace('\n', " ");
        let total = match self.total.line() {
            line if line.is_empty() => line,
            line => format!("holdpoint: {line}"),
        };
        let notices = self.notices.concat();
        format!("{PROBLEMS}{DESIGNS}{notices}{}{total}holdpoint: {caution}\n", self.lines)
    }
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
    level: Level,
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
    // A note is called a notice here.
    let command = match level {
        Level::Note => "notice",
        level => level.name(),
    };
    let _ = write!(out, "::{command} file={file},line={},endLine={}", start.line, end.line);
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
