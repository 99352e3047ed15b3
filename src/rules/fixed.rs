//! Conditions of a rule, or of a step of the checklist, that always come out the same.

use super::active::Rule;
use super::place::PackPosition;
use super::remedy::Change;
use super::steps::CheckStep;
use crate::language::{Checked, Facts, Fixed, fixed_conditions};
use crate::yaml::Problem;

/// A condition that always comes out the same, as a problem of its file.
pub(super) fn constant_problem(fixed: &Fixed, place: &PackPosition) -> Problem {
    let message = if fixed.truth { "this always comes out true" } else { "this never comes out true" };
    let help = match (fixed.by_limit, fixed.here) {
        (true, _) => "the limit decides it as it is set; no design has a say",
        (false, true) => "what the rule asks before it decides it; no design has a say",
        (false, false) => "no design can make it come out otherwise",
    };
    Problem::at(place.span(&fixed.range), message).help(help)
}

/// The conditions of a rule that a limit by itself decides whatever a design says, each with whether it is one of `when`. One
/// that is decided by what stands before it is not among them: a stricter limit leaves a milder one nothing to decide.
pub(super) fn conditions_fixed(when: Option<&Checked>, require: &Checked) -> Vec<(Fixed, bool)> {
    let mut facts = Facts::default();
    let mut found = Vec::new();
    if let Some(when) = when {
        found.extend(fixed_conditions(when, &facts).into_iter().map(|fixed| (fixed, true)));
        facts.assume(when, true);
    }
    found.extend(fixed_conditions(require, &facts).into_iter().map(|fixed| (fixed, false)));
    found.retain(|(fixed, _)| fixed.by_limit && !fixed.here);
    found
}

impl Rule {
    /// Its expressions, each with its place and the byte of the text there at which it begins.
    pub(super) fn expressions(&self) -> Vec<(&Checked, &PackPosition, usize)> {
        let mut all = Vec::new();
        if let Some(when) = &self.when {
            all.push((when, &self.places.when, 0));
        }
        all.push((&self.require, &self.places.require, 0));
        all.extend(self.finding().expressions().map(|(at, value)| (value, &self.places.finding, at)));
        if let Some(remedy) = self.remedy() {
            if let Some((_, Change::To(value) | Change::By(value))) = &remedy.set {
                all.push((value, &self.places.change, 0));
            }
            let words = remedy.words.iter().flat_map(|w| w.expressions());
            all.extend(words.map(|(_, value)| (value, &self.places.change, 0)));
        }
        all
    }

    /// Its conditions that always come out the same, those after `when` where it holds.
    pub(super) fn fixed(&self) -> Vec<(Fixed, &PackPosition)> {
        let mut facts = Facts::default();
        let mut found = Vec::new();
        if let Some(when) = &self.when {
            found.extend(fixed_conditions(when, &facts).into_iter().map(|f| (f, &self.places.when)));
            facts.assume(when, true);
        }
        found.extend(fixed_conditions(&self.require, &facts).into_iter().map(|f| (f, &self.places.require)));
        // What is said is said of a tight rule too, so `require` may have come out either way.
        for (at, value) in self.finding().expressions() {
            let moved = |f: Fixed| Fixed { range: f.range.start + at..f.range.end + at, ..f };
            let fixed = fixed_conditions(value, &facts).into_iter();
            found.extend(fixed.map(|f| (moved(f), &self.places.finding)));
        }
        if let Some((_, Change::To(value) | Change::By(value))) = self.remedy().and_then(|r| r.set.as_ref()) {
            found.extend(fixed_conditions(value, &facts).into_iter().map(|f| (f, &self.places.change)));
        }
        found
    }
}

impl CheckStep {
    /// Its conditions that always come out the same, those after `when` where it holds.
    pub(super) fn fixed(&self) -> Vec<(Fixed, &PackPosition)> {
        let [when_at, _, do_at] = &self.places;
        let mut facts = Facts::default();
        let mut found = Vec::new();
        if let Some(when) = &self.when {
            found.extend(fixed_conditions(when, &facts).into_iter().map(|f| (f, when_at)));
            facts.assume(when, true);
        }
        for (at, value) in self.sentence.expressions() {
            let moved = |f: Fixed| Fixed { range: f.range.start + at..f.range.end + at, ..f };
            found.extend(fixed_conditions(value, &facts).into_iter().map(|f| (moved(f), do_at)));
        }
        found
    }
}
