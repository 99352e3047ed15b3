//! Every rule in force on every subject: judged from scratch, after some fields changed, or after the file was read anew.

use std::rc::Rc;

use super::Options;
use super::packs::{PackApplicability, applicable_packs};
use crate::model::{Footprint, Read};
use crate::rules::{Judgement, Library, Rule, Variants, judge};
use crate::vocabulary::EntityId;

/// One rule on one subject.
#[derive(Clone, Debug)]
pub(super) struct Judged<'l> {
    /// The rule's number in the library.
    pub(super) number: usize,
    pub(super) rule: &'l Rule,
    pub(super) subject: EntityId,
    pub(super) judgement: Rc<Judgement>,
}

/// A design judged by the rules in force.
#[derive(Debug)]
pub(super) struct Judgements<'l> {
    /// The packs that are not about every rocket.
    pub(super) packs: Vec<PackApplicability>,
    /// The fields that it rests on which packs apply.
    pub(super) packs_footprint: Footprint,
    /// What the judgements rest on that were not taken over.
    pub(super) anew: Footprint,
    /// In the order of the rules, and of the file.
    pub(super) all: Vec<Judged<'l>>,
}

/// Judges a design by every rule of the packs that apply to it. What an earlier judgement says may be taken over.
pub(super) fn judge_all<'l>(
    variants: &Variants<'_>,
    library: &'l Library,
    options: &Options,
    earlier: &dyn Fn(usize, EntityId) -> Option<Rc<Judgement>>,
) -> Judgements<'l> {
    let model = variants.base();
    let (packs, packs_footprint) = model.track_reads(|| applicable_packs(model, library, &options.codes));
    let silent: Vec<&str> = packs.iter().filter(|p| !p.judged).map(|p| p.name.as_str()).collect();
    let mut anew = Footprint::default();
    // Most rules are about several parts.
    let mut all = Vec::with_capacity(2 * library.rules.len());
    for (number, rule) in library.rules.iter().enumerate() {
        let later = options.before.is_some_and(|before| rule.before > before);
        if later || silent.contains(&rule.pack.as_str()) || rule.is_off(options.today) {
            continue;
        }
        for subject in model.subjects(rule.entity_type).iter().copied() {
            let judgement = earlier(number, subject).unwrap_or_else(|| {
                let made = judge(rule, variants, subject);
                anew.join(&made.footprint);
                Rc::new(made)
            });
            all.push(Judged { number, rule, subject, judgement });
        }
    }
    Judgements { packs, packs_footprint, anew, all }
}

impl<'l> Judgements<'l> {
    /// What an overlay of the model makes of the judgements that rest on what it changes: each as it was, and as it is then;
    /// nothing where other packs would apply, so that all has to be judged anew.
    pub(super) fn after(
        &self,
        variants: &Variants<'_>,
        library: &'l Library,
        options: &Options,
    ) -> Option<Vec<(&Judged<'l>, Judged<'l>)>> {
        let model = variants.base();
        let touched = model.touched();
        if self.packs_footprint.meets(touched) {
            let judged = |packs: &[PackApplicability]| packs.iter().map(|p| p.judged).collect::<Vec<_>>();
            if judged(&self.packs) != judged(&applicable_packs(model, library, &options.codes)) {
                return None;
            }
        }
        let affected = self.all.iter().filter(|one| one.judgement.footprint.meets(touched));
        let again = affected.map(|one| {
            let judgement = Rc::new(judge(one.rule, variants, one.subject));
            (one, Judged { judgement, ..*one })
        });
        Some(again.collect())
    }
}

/// The fields that decided a judgement, and those that this rests on.
#[derive(Clone, Debug)]
pub(super) struct Deciding {
    pub(super) reads: Vec<Read>,
    pub(super) footprint: Footprint,
}
