//! What decided a trial that came out otherwise than expected: the part, and what the rule says of it with its values.

use super::active::Rule;
use super::judge::judge;
use super::library::Library;
use super::trial::Trial;
use super::variants::Variants;
use super::verdict::Verdict;
use crate::model::Model;

/// The part on which a trial's outcome was decided, and the finding of the rule with the values of that part, whether or not the rule
/// is broken there. `None` where the trial cannot be run.
pub(super) fn decided(rule: &Rule, trial: &Trial, library: &Library) -> Option<String> {
    let design = trial.design(library).ok()?;
    let model = Model::new(&design, library.environment(trial.today));
    let variants = Variants::of(&model);
    let judged: Vec<_> =
        trial.subjects(rule, &design).map(|subject| (subject, judge(rule, &variants, subject))).collect();
    let Some((subject, judgement)) = judged.iter().min_by_key(|(_, judgement)| judgement.verdict) else {
        return Some(format!("the specimen has no {}", rule.entity_type.name));
    };
    let path = match design.store.path(*subject) {
        path if path.is_empty() => "the rocket".to_owned(),
        path => format!("`{path}`"),
    };
    let alike = judged.iter().filter(|(_, other)| other.verdict == judgement.verdict).count();
    let of = match alike {
        1 => format!("on {path}"),
        _ => format!("on {path}, one of {alike} parts with this outcome"),
    };
    let says = rule.finding().fill(&model, *subject, &judgement.trace.members);
    if judgement.verdict == Verdict::NotApplicable {
        return Some(format!("{of}: `when` is false; with its values the finding would read: {says}"));
    }
    Some(match judgement.verdict {
        Verdict::Broken | Verdict::Tight => format!("{of}: {says}"),
        _ => format!("{of}; with its values the finding would read: {says}"),
    })
}
