//! How much of what rules may decide their trials have seen: each condition is to come out true once, and false once.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::active::Rule;
use super::library::Library;
use super::place::PackPosition;
use super::remedy::Change;
use super::run::{TrialResult, run_with};
use crate::language::Checked;
use crate::yaml::{Source, Span};

/// A condition that no trial has seen come out both ways.
#[derive(Clone, Debug)]
pub struct Lacking {
    /// The rule, the derived quantity or the function it stands in.
    pub owner: String,
    /// The condition as written.
    pub condition: String,
    /// Whether it has come out true.
    pub was_true: bool,
    /// Whether it has come out false.
    pub was_false: bool,
    /// The file it stands in.
    pub source: Arc<Source>,
    /// Its bytes there.
    pub place: Span,
}

/// What trials have seen of the conditions of rules and of the derived quantities that these use.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
    /// Outcomes there are: two of each condition.
    pub outcomes: usize,
    /// Those that came out in some trial.
    pub seen: usize,
    /// The conditions that lack one, in the order of the packs.
    pub lacking: Vec<Lacking>,
}

impl Coverage {
    /// The part of the outcomes that was seen, in percent; all of them where there are none.
    #[must_use]
    pub fn percent(&self) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "there are some thousands of conditions")]
        if self.outcomes == 0 { 100.0 } else { 100.0 * self.seen as f64 / self.outcomes as f64 }
    }

    /// Counts the conditions of an expression that begins at some byte of a text of a pack.
    fn count(
        &mut self,
        (owner, source): (&str, &Arc<Source>),
        (expression, from): (&Checked, usize),
        written: &PackPosition,
        seen: &BTreeSet<(usize, bool)>,
    ) {
        for condition in expression.conditions() {
            let came_out = |truth| seen.contains(&(condition.key(), truth));
            let (was_true, was_false) = (came_out(true), came_out(false));
            self.outcomes += 2;
            self.seen += usize::from(was_true) + usize::from(was_false);
            if was_true && was_false {
                continue;
            }
            let range = condition.range.start + from..condition.range.end + from;
            let place = written.span(&range);
            let text = written.text(&range).unwrap_or_else(|| source.slice(place));
            let words: Vec<&str> = text.split_whitespace().collect();
            self.lacking.push(Lacking {
                owner: owner.to_owned(),
                condition: words.join(" "),
                was_true,
                was_false,
                source: Arc::clone(source),
                place,
            });
        }
    }
}

/// Runs the trials of the rules that a filter lets through, and returns what their conditions came to.
///
/// The conditions are those of `when` and `require`, of a finding's values, of what a remedy sets, and of the functions and
/// derived quantities in the same files. Whether a condition came out is asked of a design as drawn, not of the corners of its
/// tolerances.
#[must_use]
pub fn coverage(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> (Vec<TrialResult>, Coverage) {
    let mut seen = BTreeSet::new();
    let mut results = Vec::new();
    for (result, saw) in run_with(library, filter, true) {
        seen.extend(saw.into_inner());
        results.push(result);
    }
    let mut coverage = Coverage::default();
    let rules: Vec<&Rule> = library.rules.iter().filter(|r| filter(r)).collect();
    for derived in &library.derived {
        if rules.iter().any(|r| r.source.name() == derived.source.name()) {
            let owner = (derived.name.as_str(), &derived.source);
            coverage.count(owner, (derived.checked(), 0), &derived.written, &seen);
        }
    }
    for pack in &library.packs {
        if rules.iter().any(|r| r.source.name() == pack.source.name()) {
            for one in &pack.functions {
                let owner = (one.function.name.as_str(), &pack.source);
                coverage.count(owner, (one.function.body(), 0), &one.written, &seen);
            }
        }
    }
    for rule in rules {
        let owner = (rule.name.as_str(), &rule.source);
        if let Some(when) = &rule.when {
            coverage.count(owner, (when, 0), &rule.places.when, &seen);
        }
        coverage.count(owner, (&rule.require, 0), &rule.places.require, &seen);
        for (at, value) in rule.finding().expressions() {
            coverage.count(owner, (value, at), &rule.places.finding, &seen);
        }
        let set = rule.remedy().and_then(|r| r.set.as_ref());
        if let Some((_, Change::To(value) | Change::By(value))) = set {
            coverage.count(owner, (value, 0), &rule.places.change, &seen);
        }
    }
    (results, coverage)
}
