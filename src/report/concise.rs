//! One line a finding, for editors and grep.

use std::fmt::Write as _;

use super::Review;
use crate::review::Standing;
use crate::text::{Problem, Source, Span, clean_line};

/// `path:line:column: level[rule] message`, one line each.
#[must_use]
pub fn concise(review: &Review) -> String {
    let mut out = String::new();
    for (source, problem) in &review.problems {
        let place = place(source, problem.span);
        let _ = writeln!(out, "{place}: error[unreadable] {}", one_line(&problem.message));
    }
    for design in &review.designs {
        let source = &design.design.source;
        for finding in &design.findings {
            let waived = match &finding.standing {
                Standing::Shown => String::new(),
                Standing::Waived(waiver) => format!(" (waived until {})", waiver.until),
                Standing::Baselined | Standing::Below => continue,
            };
            let place = place(source, finding.places.first().map(|p| p.span));
            let _ = writeln!(
                out,
                "{place}: {}[{}] {}{waived}",
                finding.level,
                one_line(&finding.rule),
                one_line(&finding.message)
            );
        }
        let verdict = if design.is_clear() { "clear" } else { "hold" };
        let _ = writeln!(out, "{}: {verdict}, {}", one_line(source.name()), design.accounts().in_words());
    }
    out
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

fn one_line(text: &str) -> String {
    clean_line(text).into_owned()
}
