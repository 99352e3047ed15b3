//! What a builder is told on the way through the steps: a few findings at a time, and what is known so far.

use std::fmt::Write as _;

use super::Style;
use super::summary::summary_text;
use super::text::draw;
use crate::model::Model;
use crate::review::{DesignReview, Finding};
use crate::rules::Library;
use crate::text::no_commands;

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
