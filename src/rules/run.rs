//! Trials run.

use std::cell::RefCell;
use std::collections::BTreeSet;

use rayon::prelude::*;

use super::active::Rule;
use super::changed_specimen::{TrialFault, listed};
use super::judge::judge;
use super::library::Library;
use super::nominal::Judgement;
use super::remedy::Change;
use super::trial::Trial;
use super::trial_words::decided;
use super::variants::Variants;
use super::verdict::Verdict;
use crate::design::{Design, ROCKET};
use crate::language::evaluate;
use crate::model::{CoverageRecorder, Model, Unknown};
use crate::vocabulary::{EntityId, suggest};
use crate::yaml::Span;

/// What came of a trial.
#[derive(Clone, Debug)]
pub struct TrialResult {
    /// The rule's number in the library.
    pub rule: usize,
    /// The trial's number in the rule.
    pub trial: usize,
    /// The outcome, or why the trial could not be run.
    pub outcome: Result<Verdict, TrialFault>,
    /// Of one that came out unproven, what is not known.
    pub unknown: Option<String>,
    /// Of one that came out otherwise than expected, the part that decided it and what the rule says of that part.
    pub decided: Option<String>,
    /// Whether it is the one expected.
    pub as_expected: bool,
}

/// What conditions came to, by their keys.
#[derive(Debug, Default)]
pub(super) struct Seen(RefCell<BTreeSet<(usize, bool)>>);

impl Seen {
    pub(super) fn into_inner(self) -> BTreeSet<(usize, bool)> {
        self.0.into_inner()
    }
}

impl CoverageRecorder for Seen {
    fn record(&self, condition: usize, truth: bool) {
        self.0.borrow_mut().insert((condition, truth));
    }
}

/// The outcome of a rule on a whole design, or on the entity that a trial names: the gravest of those it gives.
fn outcome_on(
    rule: &Rule,
    library: &Library,
    design: &Design,
    trial: &Trial,
    coverage: Option<&dyn CoverageRecorder>,
) -> Result<(Verdict, Option<String>), TrialFault> {
    let model = Model::new(design, library.environment(trial.today)).with_coverage(coverage);
    let variants = Variants::of(&model).by(library);
    let mut worst: Option<(Verdict, Option<String>)> = None;
    let mut asked = false;
    for subject in trial.subjects(rule, design) {
        asked = true;
        let Judgement { verdict, gap, .. } = judge(rule, &variants, subject);
        if verdict == Verdict::Broken && coverage.is_some() {
            // What is said and offered of a broken rule has conditions of its own.
            let _ = rule.finding().fill(&model, subject, &[]);
            if let Some((_, Change::To(value) | Change::By(value))) =
                rule.remedy().and_then(|r| r.set.as_ref())
            {
                let _ = evaluate(value, &model, None, subject);
            }
        }
        if worst.as_ref().is_none_or(|(known, _)| verdict < *known) {
            worst = Some((
                verdict,
                gap.filter(|_| verdict == Verdict::Unproven).map(|gap| in_words(design, &gap)),
            ));
        }
    }
    match (worst, &trial.subject) {
        (None, Some((name, at))) if !asked => Err(no_subject(rule, design, name, *at)),
        (worst, _) => Ok(worst.unwrap_or((Verdict::NotApplicable, None))),
    }
}

/// That a specimen has no such subject, with those that it has.
fn no_subject(rule: &Rule, design: &Design, name: &str, at: Span) -> TrialFault {
    let paths: Vec<String> = design
        .store
        .of_type(rule.entity_type)
        .map(|id| design.store.path(id))
        .filter(|p| !p.is_empty())
        .collect();
    let names: Vec<&str> = paths.iter().map(|path| path.rsplit('.').next().unwrap_or(path)).collect();
    let near = suggest(name, names.iter().copied());
    let help = match near {
        Some(near) => Some(format!("did you mean `{near}`?")),
        None if rule.entity_type == &ROCKET => Some("there is one rocket: leave `subject` out".to_owned()),
        None => listed(name, &paths.iter().map(String::as_str).collect::<Vec<_>>()),
    };
    TrialFault {
        help,
        ..TrialFault::new(format!("the specimen has no {} `{name}`", rule.entity_type.name), Some(at))
    }
}

/// What is not known, in words.
fn in_words(design: &Design, gap: &Unknown) -> String {
    let missing: Vec<String> =
        gap.keys().iter().map(|key| format!("`{}`", design.store.field_path(key.entity, key.slot))).collect();
    let mut reasons: Vec<String> = gap.refusals().iter().map(|refusal| refusal.reason.to_string()).collect();
    if !missing.is_empty() {
        reasons.insert(0, format!("not written down: {}", missing.join(", ")));
    }
    reasons.join("; ")
}

impl Trial {
    /// The subjects of a rule that it asks about.
    pub fn subjects<'t>(&'t self, rule: &Rule, design: &'t Design) -> impl Iterator<Item = EntityId> + 't {
        design.store.of_type(rule.entity_type).filter(|subject| {
            let path = design.store.path(*subject);
            self.subject.as_ref().is_none_or(|(name, _)| path == *name || path.ends_with(&format!(".{name}")))
        })
    }
}

/// Runs one trial of a rule, and records with a coverage what the conditions of its expressions came to.
fn run_one(
    rule: &Rule,
    trial: &Trial,
    library: &Library,
    coverage: Option<&dyn CoverageRecorder>,
) -> Result<(Verdict, Option<String>), TrialFault> {
    let design = trial.design(library)?;
    outcome_on(rule, library, &design, trial, coverage)
}

/// The trials of the rules that a filter lets through: the numbers of the rule and of the trial.
fn chosen(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> Vec<(usize, usize)> {
    let rules = library.rules.iter().enumerate().filter(|(_, r)| filter(r));
    rules.flat_map(|(number, rule)| (0..rule.trials().len()).map(move |at| (number, at))).collect()
}

/// Runs the trials of the rules that a filter lets through, on all cores and in order.
#[must_use]
pub fn run_trials(library: &Library, filter: &dyn Fn(&Rule) -> bool) -> Vec<TrialResult> {
    run_with(library, filter, false).into_iter().map(|(result, _)| result).collect()
}

/// The same, and what each condition came to.
pub(super) fn run_with(
    library: &Library,
    filter: &dyn Fn(&Rule) -> bool,
    watched: bool,
) -> Vec<(TrialResult, Seen)> {
    let run = |&(number, at): &(usize, usize)| {
        let rule = library.rules.get(number)?;
        let trial = rule.trials().get(at)?;
        let seen = Seen::default();
        let outcome = run_one(rule, trial, library, watched.then_some(&seen as &dyn CoverageRecorder));
        let (outcome, unknown) = match outcome {
            Ok((verdict, unknown)) => (Ok(verdict), unknown),
            Err(why) => (Err(why), None),
        };
        let as_expected = outcome.as_ref() == Ok(&trial.expect);
        let decided = if as_expected || outcome.is_err() { None } else { decided(rule, trial, library) };
        Some((TrialResult { rule: number, trial: at, outcome, unknown, decided, as_expected }, seen))
    };
    chosen(library, filter).par_iter().filter_map(run).collect()
}
