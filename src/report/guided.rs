//! What a builder is told on the way through the steps: a few findings at a time, and what is known so far.

use std::fmt::Write as _;

use super::Style;
use super::summary::summary_text;
use super::text::draw;
use crate::model::Model;
use crate::review::{DesignReview, Finding};
use crate::rules::{HoldPoint, Level, Library, Verdict};
use crate::yaml::{clean_line, no_commands};

/// So many remarks are told at a time.
const MOST_REMARKS: usize = 5;

/// Findings, each drawn under the values that decided it; those of one rule together.
#[must_use]
pub fn findings_text(review: &DesignReview, findings: &[&Finding], style: Style) -> String {
    let mut out = String::new();
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings {
        let same = |group: &&mut Vec<&Finding>| {
            group.first().is_some_and(|one| one.rule == finding.rule && one.outcome == finding.outcome)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    for group in groups {
        draw(&mut out, review, &group, style);
    }
    no_commands(out)
}

/// What the values that are written come to: how many checks are held, the figures that are known, and the least to spare.
#[must_use]
pub fn known_so_far(review: &DesignReview, library: &Library, style: Style) -> String {
    let model = Model::new(&review.design, library.environment(review.today));
    let mut out = String::new();
    let _ = writeln!(out, "  checks          {} passed with what is written so far", review.counts.held);
    out.push_str(summary_text(&model, review, style).trim_start_matches('\n'));
    no_commands(out)
}

/// What is to be read before a step is done, one line a remark; so many are told, and the others counted. Nothing where there is none.
#[must_use]
pub fn remarks_before(review: &DesignReview, step: HoldPoint, style: Style) -> String {
    let told: Vec<&Finding> = review
        .findings
        .iter()
        .filter(|one| one.before < step && one.is_shown() && one.level == Level::Warning)
        .filter(|one| one.outcome != Verdict::Unproven)
        .collect();
    let mut out = String::new();
    for finding in told.iter().take(MOST_REMARKS) {
        let line = format!("{}: {}", clean_line(&finding.rule), clean_line(&finding.message));
        let how = textwrap::Options::new(style.width)
            .initial_indent("  to read         ")
            .subsequent_indent("                  ");
        let _ = writeln!(out, "{}", textwrap::fill(&line, how));
    }
    if told.len() > MOST_REMARKS {
        let _ = writeln!(out, "                  and {} more", told.len() - MOST_REMARKS);
    }
    no_commands(out)
}
