//! Two reviews compared, one line a change, for editors and grep.

use std::fmt::Write as _;

use super::comparison::counted;
use super::concise::{finding_line, one_line};
use super::contract::Clearance;
use crate::review::{DesignComparison, ValueAt};
use crate::yaml::shorten;

/// A value longer than this is cut.
const LONGEST_VALUE: usize = 60;

/// A comparison, one line each: `path:line: value KEY: OLD -> NEW`; then each finding as a review prints it, with `new`,
/// `still` or `gone` before its level; then what became of hold points, where anything did; then a line of counts.
#[must_use]
pub fn comparison_concise(comparison: &DesignComparison<'_>) -> String {
    let mut out = String::new();
    let (old, new) = (&comparison.old.design.source, &comparison.new.design.source);
    let (old_name, new_name) = (one_line(old.name()), one_line(new.name()));
    let value = |at: &ValueAt| shorten(&one_line(&at.text), LONGEST_VALUE).into_owned();
    for change in &comparison.values {
        let key = one_line(&change.key);
        let _ = match (&change.old, &change.new) {
            (Some(old), Some(new)) => {
                writeln!(out, "{new_name}:{}: value {key}: {} -> {}", new.line, value(old), value(new))
            }
            (None, Some(new)) => writeln!(out, "{new_name}:{}: value {key}: now {}", new.line, value(new)),
            (Some(old), None) => writeln!(out, "{old_name}:{}: value {key}: was {}", old.line, value(old)),
            (None, None) => Ok(()),
        };
    }
    for finding in &comparison.appeared {
        let _ = writeln!(out, "{}", finding_line(new, finding, "new "));
    }
    for still in &comparison.still {
        let _ = writeln!(out, "{}", finding_line(new, still.new, "still "));
    }
    for finding in &comparison.gone {
        let _ = writeln!(out, "{}", finding_line(old, finding, "gone "));
    }
    for change in comparison.hold_points.iter().filter(|change| change.was_clear != change.is_clear) {
        let (was, is) = (Clearance::when(change.was_clear), Clearance::when(change.is_clear));
        let _ = writeln!(out, "{new_name}: {}: {was} -> {is}", change.point);
    }
    let verdict = Clearance::when(comparison.new.is_clear());
    let _ = writeln!(
        out,
        "{new_name}: {verdict}, {} changed; findings: {} new, {} gone, {} still there; {} moved",
        counted(comparison.values.len(), "value"),
        comparison.appeared.len(),
        comparison.gone.len(),
        comparison.still.len(),
        counted(comparison.margins.len(), "margin"),
    );
    out
}
