//! One line a finding, for editors and grep.

use std::fmt::Write as _;

use super::conditions::conditions;
use super::contract::Clearance;
use super::form::{DESIGNS, List, PROBLEMS, Part, ReportForm, Totals};
use super::note::Note;
use super::total::Total;
use super::waiting::{conflict_line, part_line};
use crate::review::{DesignReview, Disposition, Finding, conflicts, is_in_conflict, is_waiting, waiting};
use crate::rules::{Library, OwnRule};
use crate::yaml::{Problem, Source, Span, clean_line, no_commands};

/// What stands for the name of a rule in a line about what is not written down: several rules wait for it.
pub(super) const UNPROVEN: &str = OwnRule::NotWrittenDown.name();

/// `path:line:column: level[rule] message`, one line each; what is not written down, one line a part.
#[derive(Clone, Copy, Debug, Default)]
pub struct Concise {
    total: Total,
}

impl ReportForm for Concise {
    fn problem(&self, source: &Source, problem: &Problem) -> Part {
        let place = place(source, problem.span);
        let line = format!(
            "{place}: {}[{}] {}\n",
            OwnRule::Unreadable.about().level,
            OwnRule::Unreadable,
            one_line(&problem.message)
        );
        Part::of(no_commands(line))
    }

    fn design(&self, review: &DesignReview, _: &Library, _: usize) -> Part {
        let mut out = String::new();
        let source = &review.design.source;
        for one in conditions(review) {
            let _ = writeln!(out, "{}: {}", one_line(source.name()), one_line(&one));
        }
        let shown = || review.findings.iter().filter(|finding| finding.is_shown());
        for finding in &review.findings {
            // One line a part says what is not written down.
            if finding.is_shown() && (is_waiting(finding) || is_in_conflict(finding)) {
                continue;
            }
            if matches!(finding.disposition, Disposition::Shown | Disposition::Waived(_)) {
                let _ = writeln!(out, "{}", finding_line(source, finding, ""));
            }
        }
        for one in conflicts(shown()) {
            let Some(first) = one.findings.first() else { continue };
            let place = place(source, first.places.first().map(|p| p.span));
            let _ = writeln!(out, "{place}: {}[{UNPROVEN}] {}", first.level, one_line(&conflict_line(&one)));
        }
        for part in waiting(shown()) {
            let place = place(source, part.place);
            let _ = writeln!(out, "{place}: {}[{UNPROVEN}] {}", part.level, one_line(&part_line(&part)));
        }
        let verdict = Clearance::when(review.is_clear());
        let _ = writeln!(out, "{}: {verdict}, {}", one_line(source.name()), review.totals().in_words());
        Part { text: no_commands(out), note: Note::Total(Total::of(review)) }
    }

    fn take(&mut self, _: List, part: Part) -> String {
        if let Note::Total(total) = part.note {
            self.total.add(total);
        }
        part.text
    }

    fn frame(&mut self, _: Totals) -> String {
        format!("{PROBLEMS}{DESIGNS}{}", self.total.line())
    }
}

/// A finding on one line, without its end: its place, a word on it, its level and rule, and what is found. That it is waived
/// stands before its level, so that nobody takes it for one that holds.
pub(super) fn finding_line(source: &Source, finding: &Finding, first: &str) -> String {
    let (waived, until) = match finding.waiver() {
        Some(waiver) => ("waived ", format!(" (by {} until {})", one_line(&waiver.by), waiver.until)),
        None => ("", String::new()),
    };
    format!(
        "{}: {first}{waived}{}[{}] {}{until}",
        place(source, finding.places.first().map(|p| p.span)),
        finding.level,
        one_line(&finding.rule),
        one_line(&finding.message)
    )
}

/// A problem on one line: its place, what is wrong, and what helps.
pub(super) fn problem_line(source: &Source, problem: &Problem) -> String {
    let help = problem.help.as_deref().map(|h| format!("; {}", one_line(h))).unwrap_or_default();
    format!("{}: {}{help}", place(source, problem.span), one_line(&problem.message))
}

fn place(source: &Source, span: Option<Span>) -> String {
    let position = source.position(span.map_or(0, |s| s.start));
    format!("{}:{}:{}", one_line(source.name()), position.line, position.column)
}

pub(super) fn one_line(text: &str) -> String {
    clean_line(text).into_owned()
}
