//! Two reviews compared, as text.

use std::fmt::Write as _;

use super::margin::margin_text;
use super::{Style, caution, problem_text};
use crate::review::{DesignComparison, DesignReview, Finding, MarginChange, ValueAt};
use crate::rules::{HoldPoint, Margin, Verdict};
use crate::yaml::{clean_line, shorten};

/// A value longer than this is cut in the text.
const LONGEST_VALUE: usize = 60;
/// So many margins are headline in the text on either side; the JSON has all.
const MOST_MARGINS: usize = 10;

/// A comparison as text.
#[must_use]
pub fn comparison_text(comparison: &DesignComparison<'_>, style: Style) -> String {
    let mut out = String::new();
    let name = |review: &DesignReview| clean_line(review.design.source.name()).into_owned();
    let _ = writeln!(out, "{} -> {}\n", name(comparison.old), name(comparison.new));
    values(&mut out, comparison, style);
    findings(&mut out, comparison, style);
    margins(&mut out, &comparison.margins);
    let _ = writeln!(out, "── hold points\n");
    for change in &comparison.hold_points {
        let word = |clear| if clear { "clear" } else { "HOLD" };
        let words = if change.was_clear == change.is_clear {
            format!("{}, as before", word(change.is_clear))
        } else {
            format!("{} -> {}", word(change.was_clear), word(change.is_clear))
        };
        let _ = writeln!(out, "  {:<9} {words}", change.point);
    }
    let _ = writeln!(
        out,
        "\n{} changed, {} new, {} gone, {} still there, {} moved\n",
        counted(comparison.values.len(), "value"),
        counted(comparison.appeared.len(), "finding"),
        comparison.gone.len(),
        comparison.still.len(),
        counted(seen(&comparison.margins).count(), "margin"),
    );
    out.push_str(caution());
    out
}

/// A design as a watch begins: what is open before each step.
#[must_use]
pub fn watch_text(review: &DesignReview, style: Style) -> String {
    let mut out = format!("watching {}\n\n", clean_line(review.design.source.name()));
    for problem in &review.design.problems {
        out.push_str(&problem_text(&review.design.source, problem, style));
    }
    steps(&mut out, review, None);
    out
}

/// What a save changed in a design that is watched.
#[must_use]
pub fn watched_text(comparison: &DesignComparison<'_>, style: Style) -> String {
    let mut out = String::new();
    for problem in &comparison.new.design.problems {
        out.push_str(&problem_text(&comparison.new.design.source, problem, style));
    }
    if comparison.values.is_empty() && comparison.appeared.is_empty() && comparison.gone.is_empty() {
        out.push_str("saved; nothing is written otherwise\n\n");
        return out;
    }
    values(&mut out, comparison, style);
    let known = |finding: &&&Finding| finding.outcome != Verdict::Unproven;
    for (title, list) in
        [("new findings", &comparison.appeared), ("findings that are gone", &comparison.gone)]
    {
        let unproven = list.iter().filter(|finding| finding.outcome == Verdict::Unproven).count();
        if !list.is_empty() {
            let _ = writeln!(out, "── {title}\n");
            for finding in list.iter().filter(known) {
                line(&mut out, "  ", &headline(finding), style);
            }
            if unproven > 0 {
                let _ = writeln!(out, "  {} for want of a value", counted(unproven, "rule"));
            }
            out.push('\n');
        }
    }
    margins(&mut out, &comparison.margins);
    steps(&mut out, comparison.new, Some(comparison.old));
    out
}

/// The steps, with what is open before each, and what was.
fn steps(out: &mut String, review: &DesignReview, before: Option<&DesignReview>) {
    let open = |review: &DesignReview, point: HoldPoint| {
        let of_point = review.findings.iter().filter(|finding| finding.before == point && finding.holds());
        let (unproven, settled): (Vec<&Finding>, Vec<&Finding>) =
            of_point.partition(|finding| finding.outcome == Verdict::Unproven);
        let mut keys: Vec<&str> = unproven
            .iter()
            .flat_map(|finding| &finding.missing)
            .map(|missing| missing.key.as_str())
            .collect();
        keys.sort_unstable();
        keys.dedup();
        (settled.len(), keys.len(), unproven.len())
    };
    for state in &review.hold_points {
        let (settle, write, unproven) = open(review, state.point);
        let words = match (settle, write, unproven) {
            (0, 0, 0) => "clear".to_owned(),
            (settle, 0, 0) => format!("HOLD   {settle} to settle"),
            (settle, write, unproven) => {
                format!(
                    "HOLD   {settle} to settle, {} to write down ({unproven} not proven)",
                    counted(write, "value")
                )
            }
        };
        let was =
            before.map(|before| open(before, state.point)).filter(|was| *was != (settle, write, unproven));
        let was = was.map(|(settle, write, _)| format!("; before: {settle} and {write}")).unwrap_or_default();
        let _ = writeln!(out, "  {:<9} {words}{was}", state.point);
    }
    out.push('\n');
}

pub(super) fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn values(out: &mut String, comparison: &DesignComparison<'_>, style: Style) {
    if comparison.values.is_empty() {
        let _ = writeln!(out, "Nothing is written otherwise in the design.\n");
        return;
    }
    let _ = writeln!(out, "── what was changed\n");
    for change in &comparison.values {
        let value = |at: &ValueAt| shorten(&clean_line(&at.text), LONGEST_VALUE).into_owned();
        let words = match (&change.old, &change.new) {
            (Some(old), Some(new)) => {
                let was = if old.line == new.line { String::new() } else { format!(", was {}", old.line) };
                format!("{} -> {} (line {}{was})", value(old), value(new), new.line)
            }
            (None, Some(new)) => format!("now {} (line {})", value(new), new.line),
            (Some(old), None) => format!("no more; it was {} (line {})", value(old), old.line),
            (None, None) => continue,
        };
        line(out, "  ", &format!("{}: {words}", change.key), style);
    }
    out.push('\n');
}

fn line(out: &mut String, indent: &str, words: &str, style: Style) {
    let deeper = format!("{indent}    ");
    let options = textwrap::Options::new(style.width).initial_indent(indent).subsequent_indent(&deeper);
    out.push_str(&textwrap::fill(&clean_line(words), options));
    out.push('\n');
}

fn headline(finding: &Finding) -> String {
    let waived = if finding.waiver().is_some() { ", waived" } else { "" };
    format!("{} {} (before {}{waived}): {}", finding.level, finding.rule, finding.before, finding.message)
}

fn findings(out: &mut String, comparison: &DesignComparison<'_>, style: Style) {
    for (title, list) in
        [("new findings", &comparison.appeared), ("findings that are gone", &comparison.gone)]
    {
        if !list.is_empty() {
            let _ = writeln!(out, "── {title}\n");
            for finding in list {
                line(out, "  ", &headline(finding), style);
            }
            out.push('\n');
        }
    }
    if comparison.still.is_empty() {
        return;
    }
    let _ = writeln!(out, "── findings that are still there\n");
    for still in &comparison.still {
        let mut words = headline(still.new);
        if still.old.outcome != still.new.outcome {
            let _ = write!(words, " (it was {})", still.old.outcome.name());
        }
        line(out, "  ", &words, style);
    }
    out.push('\n');
}

/// The margins that read otherwise than before: what reads the same did not change for a reader.
fn seen(margins: &[MarginChange]) -> impl Iterator<Item = &MarginChange> {
    margins.iter().filter(|m| exact(m.old) != exact(m.new))
}

fn margins(out: &mut String, margins: &[MarginChange]) {
    let shrank: Vec<&MarginChange> = seen(margins).filter(|m| m.growth() < 0.0).collect();
    let grew: Vec<&MarginChange> = seen(margins).filter(|m| m.growth() > 0.0).collect();
    for (title, list) in [("margins that shrank", shrank), ("margins that grew", grew)] {
        if list.is_empty() {
            continue;
        }
        let _ = writeln!(out, "── {title}, the narrowest first\n");
        for change in list.iter().take(MOST_MARGINS) {
            let subject = if change.subject.is_empty() { "the rocket" } else { &change.subject };
            let _ = writeln!(
                out,
                "  {} on {}: {} -> {}",
                clean_line(&change.rule),
                clean_line(subject),
                exact(change.old),
                exact(change.new)
            );
        }
        if list.len() > MOST_MARGINS {
            let _ = writeln!(out, "  and {} more (`--format json` has all)", list.len() - MOST_MARGINS);
        }
        out.push('\n');
    }
}

/// A margin as the review shows it, with one digit more where it is a ratio: small changes must show.
fn exact(margin: Margin) -> String {
    match margin {
        Margin::Ratio(ratio) => {
            let digits = if ratio.abs() < 1.0 { 1 } else { 0 };
            let side = if ratio < 0.0 { "short" } else { "to spare" };
            format!("{:.digits$} % {side}", ratio.abs() * 100.0)
        }
        Margin::Gap(_) => margin_text(margin),
    }
}
