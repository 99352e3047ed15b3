//! A run of trials: what came out otherwise, what a rule is not tried on, and what is odd about the packs themselves.

use super::active::Rule;
use super::coverage::{Coverage, coverage};
use super::inspect::{Remark, inspect};
use super::level::Level;
use super::library::Library;
use super::run::{TrialResult, run_trials};
use super::verdict::Verdict;
use crate::language::Checked;
use crate::yaml::{Problem, Source};

/// The outcomes that each rule is tried for: a design that breaks it, one that keeps it and one that lacks a value, where one can be
/// lacking.
const DUE: [Verdict; 3] = [Verdict::Broken, Verdict::Held, Verdict::Unproven];

/// A run of the trials of some packs.
#[derive(Debug)]
pub struct TrialRun<'l> {
    /// The packs.
    pub library: &'l Library,
    /// The rules whose trials were run.
    pub rules: Vec<&'l Rule>,
    /// What each trial came to.
    pub results: Vec<TrialResult>,
    /// What is odd about the packs.
    pub remarks: Vec<Remark>,
    /// The rules that are not tried for every outcome that is due, with those outcomes.
    pub untried: Vec<(&'l Rule, Vec<Verdict>)>,
    /// What the conditions of the rules came to, where that was asked for.
    pub coverage: Option<Coverage>,
}

impl<'l> TrialRun<'l> {
    /// Runs the trials of the packs in some files.
    #[must_use]
    pub fn of(library: &'l Library, wanted: &dyn Fn(&Source) -> bool, with_coverage: bool) -> Self {
        let of_wanted = |rule: &Rule| wanted(&rule.source);
        let (results, coverage) = if with_coverage {
            let (results, coverage) = coverage(library, &of_wanted);
            (results, Some(coverage))
        } else {
            (run_trials(library, &of_wanted), None)
        };
        let rules: Vec<&Rule> = library.rules.iter().filter(|rule| of_wanted(rule)).collect();
        let lacks = |rule: &Rule, outcome: Verdict| {
            let due = outcome != Verdict::Unproven
                || rule.when.iter().chain([&rule.require]).any(Checked::may_be_unknown);
            due && !rule.are_some_trials_unread() && !rule.trials().iter().any(|t| t.expect == outcome)
        };
        let untried = rules.iter().filter_map(|rule| {
            let lacking: Vec<Verdict> = DUE.into_iter().filter(|outcome| lacks(rule, *outcome)).collect();
            (!lacking.is_empty()).then_some((*rule, lacking))
        });
        let untried = untried.collect();
        Self { library, rules, results, remarks: inspect(library, wanted), untried, coverage }
    }

    /// What must be mended in the trials, each at its place in the file of its rule: those that came out otherwise than expected,
    /// and the rules that lack some.
    #[must_use]
    pub fn problems(&self) -> Vec<(&'l Rule, Problem)> {
        let mut found = Vec::new();
        for result in self.failed() {
            let Some(rule) = self.library.rules.get(result.rule) else { continue };
            let Some(trial) = rule.trials().get(result.trial) else { continue };
            let problem = match &result.outcome {
                Ok(verdict) => {
                    let unknown =
                        result.unknown.as_deref().map(|why| format!(" ({why})")).unwrap_or_default();
                    let (name, due) = (&rule.name, trial.expect);
                    let message =
                        format!("`{name}` came out {verdict}{unknown}, and the trial expects {due}");
                    Problem::at(trial.place, message).maybe_help(result.decided.clone())
                }
                Err(fault) => {
                    let message = format!("a trial of `{}` could not be run: {}", rule.name, fault.message);
                    Problem::at(fault.at.unwrap_or(trial.place), message).maybe_help(fault.help.clone())
                }
            };
            found.push((rule, problem));
        }
        for (rule, lacking) in &self.untried {
            let lacking: Vec<&str> = lacking.iter().copied().map(Verdict::name).collect();
            let message = format!("`{}` has no trial that comes out {}", rule.name, lacking.join(" or "));
            let help =
                "a rule is tried on a design that breaks it, one that keeps it and one that lacks a value";
            found.push((*rule, Problem::at(rule.place, message).help(help)));
        }
        found
    }

    /// The trials that came out otherwise than expected.
    pub fn failed(&self) -> impl Iterator<Item = &TrialResult> {
        self.results.iter().filter(|result| !result.as_expected)
    }

    /// How many remarks are errors.
    #[must_use]
    pub fn errors(&self) -> usize {
        self.remarks.iter().filter(|remark| remark.level == Level::Error).count()
    }

    /// True when something must be mended.
    #[must_use]
    pub fn fails(&self) -> bool {
        self.failed().next().is_some() || !self.untried.is_empty() || self.errors() > 0
    }
}
