//! What the remedies of rules do for the broken trials of the same rules.

use rayon::prelude::*;

use super::remedy_trial::{as_read, work_out};
use crate::design::is_for_a_person;
use crate::model::Model;
use crate::rules::{Library, Margin, RemedyEffect, Rule, Trial, Variants, Verdict, judge};
use crate::yaml::Problem;

/// What a remedy did for a broken trial of its rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrialRemedy {
    /// The rule's number in the library.
    pub rule: usize,
    /// The trial's number in the rule.
    pub trial: usize,
    /// What it did.
    pub effect: RemedyEffect,
}

/// Tries the remedies of the rules that a filter lets through on the broken trials of those rules. Rules whose remedy is words only
/// are left out.
#[must_use]
pub fn trial_remedies(library: &Library, wanted: &(dyn Fn(&Rule) -> bool + Sync)) -> Vec<TrialRemedy> {
    let rules: Vec<(usize, &Rule)> =
        library.rules.iter().enumerate().filter(|(_, rule)| wanted(rule)).collect();
    let of_rule = |(number, rule): &(usize, &Rule)| {
        let changes = rule.remedy().is_some_and(|remedy| remedy.set.is_some());
        let broken =
            rule.trials().iter().enumerate().filter(|(_, trial)| changes && trial.expect == Verdict::Broken);
        let tried = broken.filter_map(|(at, trial)| {
            Some(TrialRemedy { rule: *number, trial: at, effect: effect(rule, trial, library)? })
        });
        tried.collect::<Vec<_>>()
    };
    rules.par_iter().flat_map_iter(of_rule).collect()
}

/// What remedies do otherwise than the trials of their rules say, each at its place in the file of its rule. A remedy of which no trial
/// says anything must help with one of them at least.
#[must_use]
pub fn remedy_problems<'l>(library: &'l Library, tried: &[TrialRemedy]) -> Vec<(&'l Rule, Problem)> {
    let mut found = Vec::new();
    for (number, rule) in library.rules.iter().enumerate() {
        let of_rule: Vec<&TrialRemedy> = tried.iter().filter(|one| one.rule == number).collect();
        let mut expected = false;
        for one in &of_rule {
            let Some(trial) = rule.trials().get(one.trial) else { continue };
            let Some(effect) = trial.remedy else { continue };
            expected = true;
            if effect != one.effect {
                let (name, does, due) = (&rule.name, one.effect.name(), effect.name());
                let message =
                    format!("the remedy of `{name}` does this here: {does}, and the trial says {due}");
                let problem = Problem::at(trial.place, message);
                let is_words = one.effect == RemedyEffect::Nothing && sets_what_a_person_does(rule);
                found.push((rule, if is_words { problem.help(ONLY_WORDS) } else { problem }));
            }
        }
        let idle = !of_rule.is_empty() && of_rule.iter().all(|one| one.effect == RemedyEffect::Nothing);
        if idle && !expected {
            let message = format!("the remedy of `{}` does nothing for any trial that breaks it", rule.name);
            let help = if sets_what_a_person_does(rule) {
                ONLY_WORDS
            } else {
                "mend the value that it sets; where it is right, write `remedy: none` into a trial"
            };
            found.push((rule, Problem::at(rule.place, message).help(help)));
        }
    }
    found
}

/// Why a remedy that sets what a person does comes to nothing.
const ONLY_WORDS: &str = "what was done or seen, and a charge, is never written by the program, so that this remedy is words: write `remedy: none` into a trial";

/// Whether the remedy of a rule sets a value that only a person may write.
fn sets_what_a_person_does(rule: &Rule) -> bool {
    let set = rule.remedy().and_then(|remedy| remedy.set.as_ref());
    set.is_some_and(|(target, _)| is_for_a_person(target.entity_type, target.slot))
}

/// The least that the remedy does for the subjects that break the rule; none where the trial breaks nothing.
fn effect(rule: &Rule, trial: &Trial, library: &Library) -> Option<RemedyEffect> {
    let design = trial.design(library).ok()?;
    let model = Model::new(&design, library.environment(trial.today));
    let variants = Variants::of(&model).by(library);
    let mut least = None;
    for subject in trial.subjects(rule, &design) {
        let before = judge(rule, &variants, subject);
        if before.verdict != Verdict::Broken {
            continue;
        }
        let writes = work_out(rule, &model, subject).map(|proposal| proposal.writes).unwrap_or_default();
        let changes: Option<Vec<_>> = writes.iter().map(|write| as_read(&model, write)).collect();
        let effect = match changes.filter(|changes| !changes.is_empty()) {
            None => RemedyEffect::Nothing,
            Some(changes) => {
                let tried = model.with_changes(changes);
                let after = judge(rule, &Variants::of(&tried).by(library), subject);
                let nearer = || {
                    let sizes = before.margin.map(Margin::size).zip(after.margin.map(Margin::size));
                    sizes.is_some_and(|(before, after)| after > before)
                };
                match after.verdict {
                    Verdict::Held | Verdict::NotApplicable => RemedyEffect::Settles,
                    Verdict::Broken if !nearer() => RemedyEffect::Nothing,
                    _ => RemedyEffect::Helps,
                }
            }
        };
        least = Some(least.map_or(effect, |known: RemedyEffect| known.max(effect)));
    }
    least
}
