//! What holds a design, in short.

use std::fmt::Write as _;

use crate::review::DesignReview;
use crate::text::clean_line;

/// What holds, one line each, in build order.
#[must_use]
pub fn holds_text(reviewed: &DesignReview) -> String {
    let mut words = String::new();
    for state in reviewed.hold_points.iter().filter(|h| !h.clear) {
        let mine: Vec<_> =
            reviewed.findings.iter().filter(|f| f.before == state.point && f.holds()).collect();
        let _ = writeln!(words, "  before {}:", state.point);
        for finding in mine {
            let on = if finding.subject.is_empty() {
                String::new()
            } else {
                format!(" on {}", clean_line(&finding.subject))
            };
            let _ =
                writeln!(words, "    {}{on}: {}", clean_line(&finding.rule), clean_line(&finding.message));
        }
    }
    words
}
