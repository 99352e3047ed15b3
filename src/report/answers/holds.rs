//! What holds a design, in short.

use std::fmt::Write as _;

use crate::report::waiting::{conflict_line, part_line};
use crate::review::{DesignReview, Finding, conflicts, is_in_conflict, is_waiting, waiting};
use crate::yaml::clean_line;

/// What holds, in build order: one line each, and one line a part of what is not written down.
#[must_use]
pub fn holds_text(reviewed: &DesignReview) -> String {
    let mut words = String::new();
    for state in reviewed.hold_points.iter().filter(|h| !h.clear) {
        let mine: Vec<&Finding> =
            reviewed.findings.iter().filter(|f| f.before == state.point && f.holds()).collect();
        let _ = writeln!(words, "  before {}:", state.point);
        for finding in mine.iter().filter(|f| !is_waiting(f) && !is_in_conflict(f)) {
            let on = if finding.subject.is_empty() {
                String::new()
            } else {
                format!(" on {}", clean_line(&finding.subject))
            };
            let _ =
                writeln!(words, "    {}{on}: {}", clean_line(&finding.rule), clean_line(&finding.message));
        }
        for one in conflicts(mine.iter().copied()) {
            let _ = writeln!(words, "    {}", conflict_line(&one));
        }
        for part in waiting(mine.iter().copied()) {
            let _ = writeln!(words, "    {}", part_line(&part));
        }
    }
    words
}
