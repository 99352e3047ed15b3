//! One rule on each of its subjects in a design, held or not: what was compared, and by which written values.

use super::finding;
use super::places::{self, FindingPlace};
use crate::model::Model;
use crate::rules::{Library, Margin, Rule, Variants, Verdict, judge};

/// What a rule says of one subject.
#[derive(Clone, Debug, PartialEq)]
pub struct OnSubject {
    /// Its path; empty for the rocket as a whole.
    pub subject: String,
    /// The outcome.
    pub outcome: Verdict,
    /// What is said of it where it is not held; else nothing.
    pub message: Option<String>,
    /// How much there is to spare.
    pub margin: Option<Margin>,
    /// The written values that decide it.
    pub places: Vec<FindingPlace>,
}

/// A rule on each of its subjects, in the order of the file.
#[must_use]
pub fn on_design(model: &Model<'_>, library: &Library, rule: &Rule) -> Vec<OnSubject> {
    let variants = Variants::of(model).by(library);
    let coarse = model.for_slopes();
    let slopes = Variants::of(&coarse);
    let of_subject = |subject| {
        let judgement = judge(rule, &variants, subject);
        let outcome = judgement.verdict;
        let deciding = match outcome {
            Verdict::NotApplicable => Vec::new(),
            _ => places::deciding(&slopes, rule, subject, &judgement),
        };
        let is_open = matches!(outcome, Verdict::Broken | Verdict::Tight | Verdict::Unproven);
        let message =
            is_open.then(|| finding::make(model, rule, subject, &judgement, &deciding, false).message);
        let places = match outcome {
            Verdict::NotApplicable => Vec::new(),
            _ => places::places(model, subject, &judgement, &deciding),
        };
        OnSubject {
            subject: model.design().store.path(subject),
            outcome,
            message,
            margin: judgement.margin.map(|margin| margin.shown(model)),
            places,
        }
    };
    model.subjects(rule.entity_type).iter().copied().map(of_subject).collect()
}
