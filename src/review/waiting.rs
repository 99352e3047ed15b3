//! What is not written down yet, part by part, with how many rules wait for it; and how far each hold point is.

use std::collections::{BTreeMap, BTreeSet};

use super::places::leaves;
use super::{DesignReview, Finding};
use crate::model::{Access, Model};
use crate::rules::{HoldPoint, Level, Library, Verdict, judge_nominal};
use crate::vocabulary::{EntityId, Field, Shape, State};
use crate::yaml::Span;

/// A value that rules wait for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitedFor {
    /// Its key in its part.
    pub name: String,
    /// Its path in the design.
    pub key: String,
    /// The part.
    pub entity: EntityId,
    /// Its slot there.
    pub slot: u16,
    /// Something is written there that could not be read.
    pub unreadable: bool,
    /// Where it is not said, something else counts.
    pub has_default: bool,
    /// The rules that wait for it, in the order of the findings.
    pub rules: Vec<String>,
    /// The first hold point that a rule which waits for it holds; of rules that hold nothing, the first that one of them is about.
    pub before: HoldPoint,
    /// Whether some rule that waits for it holds a step.
    pub holds: bool,
}

impl WaitedFor {
    /// Whether a hold point waits for it, and none before.
    #[must_use]
    pub fn holds_before(&self, point: HoldPoint) -> bool {
        self.holds && self.before == point && !self.has_default
    }
}

/// The values of one part that rules wait for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitingPart {
    /// The path of the part; empty for the rocket as a whole.
    pub part: String,
    /// What is waited for, that of the first hold point first.
    pub values: Vec<WaitedFor>,
    /// The rules that wait for any of them.
    pub rules: Vec<String>,
    /// The gravest level of those rules.
    pub level: Level,
    /// The first hold point of the values.
    pub before: HoldPoint,
    /// Where one of the values is to be written.
    pub place: Option<Span>,
}

/// What is written and makes no sense together, with what waits for it to be settled.
#[derive(Clone, Debug)]
pub struct Conflict<'r> {
    /// What is wrong.
    pub reason: String,
    /// The findings that wait for it.
    pub findings: Vec<&'r Finding>,
}

/// How far a hold point is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StepProgress {
    /// The hold point.
    pub point: HoldPoint,
    /// The values that its rules wait for and that no hold point before it asks for.
    pub missing: usize,
    /// Findings that hold it and that no missing value explains.
    pub to_settle: usize,
}

/// True of a finding that is unproven for want of values alone.
#[must_use]
pub fn is_waiting(finding: &Finding) -> bool {
    finding.outcome == Verdict::Unproven && !finding.missing.is_empty()
}

/// True of a finding that is unproven since values that are written make no sense together.
#[must_use]
pub fn is_in_conflict(finding: &Finding) -> bool {
    finding.outcome == Verdict::Unproven && finding.missing.is_empty() && !finding.refused.is_empty()
}

/// The values that findings wait for, part by part: the part with what the first hold point asks for first, then that for which
/// the most rules wait.
pub fn waiting<'r>(findings: impl IntoIterator<Item = &'r Finding>) -> Vec<WaitingPart> {
    let mut parts: Vec<WaitingPart> = Vec::new();
    let mut places: BTreeMap<EntityId, usize> = BTreeMap::new();
    for finding in findings.into_iter().filter(|f| is_waiting(f)) {
        let holds = finding.level == Level::Error;
        for value in &finding.missing {
            let at = *places.entry(value.entity).or_insert_with(|| {
                parts.push(WaitingPart {
                    part: part_of(&value.key).to_owned(),
                    values: Vec::new(),
                    rules: Vec::new(),
                    level: finding.level,
                    before: finding.before,
                    place: None,
                });
                parts.len() - 1
            });
            let Some(part) = parts.get_mut(at) else { continue };
            part.level = part.level.min(finding.level);
            let here = finding.places.iter().find(|place| place.key == value.key);
            part.place = part.place.or(here.map(|place| place.span));
            add(&mut part.rules, &finding.rule);
            match part.values.iter_mut().find(|known| known.slot == value.slot) {
                Some(known) => {
                    let first = (!holds, finding.before) < (!known.holds, known.before);
                    if first {
                        (known.holds, known.before) = (holds, finding.before);
                    }
                    known.unreadable |= value.unreadable;
                    add(&mut known.rules, &finding.rule);
                }
                None => part.values.push(WaitedFor {
                    name: value.key.rsplit('.').next().unwrap_or_default().to_owned(),
                    key: value.key.clone(),
                    entity: value.entity,
                    slot: value.slot,
                    unreadable: value.unreadable,
                    has_default: value.has_default,
                    rules: vec![finding.rule.clone()],
                    before: finding.before,
                    holds,
                }),
            }
        }
    }
    for part in &mut parts {
        part.values.sort_by_key(|value| (!value.holds, value.before, value.slot));
        let first = part.values.first();
        part.before = first.map_or(part.before, |value| value.before);
    }
    parts.sort_by(|a, b| {
        let holds = |part: &WaitingPart| part.values.first().is_some_and(|value| value.holds);
        (!holds(a), a.before, b.rules.len(), &a.part).cmp(&(!holds(b), b.before, a.rules.len(), &b.part))
    });
    parts
}

fn add(rules: &mut Vec<String>, rule: &str) {
    if !rules.iter().any(|known| known == rule) {
        rules.push(rule.to_owned());
    }
}

/// The path of the part that a key stands in.
fn part_of(key: &str) -> &str {
    let part = key.rsplit_once('.').map_or("", |(part, _)| part);
    part.strip_suffix(".measured").unwrap_or(part)
}

/// What makes no sense together, each once, with the findings that wait for it.
pub fn conflicts<'r>(findings: impl IntoIterator<Item = &'r Finding>) -> Vec<Conflict<'r>> {
    let mut all: Vec<Conflict<'r>> = Vec::new();
    for finding in findings.into_iter().filter(|f| is_in_conflict(f)) {
        let reason = finding.refused.join("; ");
        match all.iter_mut().find(|one| one.reason == reason) {
            Some(one) => one.findings.push(finding),
            None => all.push(Conflict { reason, findings: vec![finding] }),
        }
    }
    all
}

/// How far each hold point of a review is that waits for these values.
#[must_use]
pub fn progress(review: &DesignReview, waiting: &[WaitingPart]) -> Vec<StepProgress> {
    let of_point = |point: HoldPoint| {
        let values = waiting.iter().flat_map(|part| &part.values);
        let holding = review.findings.iter().filter(|f| f.before == point && f.holds());
        StepProgress {
            point,
            missing: values.filter(|value| value.holds_before(point)).count(),
            to_settle: holding.filter(|finding| !is_waiting(finding)).count(),
        }
    };
    review.hold_points.iter().map(|state| of_point(state.point)).collect()
}

/// How many values that are written the rules of each hold point rest on, each value counted where it is first asked for. The
/// rules are judged once more for it: a report that shows no progress has no use for it.
#[must_use]
pub fn written(model: &Model<'_>, library: &Library, review: &DesignReview) -> BTreeMap<HoldPoint, usize> {
    let judged = |pack: &str| review.packs.iter().all(|p| p.judged || p.name != pack);
    let mut seen: BTreeSet<(EntityId, u16)> = BTreeSet::new();
    let mut counts = BTreeMap::new();
    for state in &review.hold_points {
        let mut count = 0;
        for rule in library.rules.iter().filter(|r| r.before == state.point && r.level == Level::Error) {
            if !judged(&rule.pack) {
                continue;
            }
            for subject in model.subjects(rule.entity_type) {
                for read in leaves(model, &judge_nominal(rule, model, *subject)) {
                    let Access::Field(slot) = read.access else { continue };
                    let is_new = seen.insert((read.entity, slot));
                    let known = |entity: &&crate::vocabulary::Entity| {
                        matches!(entity.slot(slot).state, State::Known(_) | State::None)
                            && entity.entity_type.field(slot).is_some_and(is_value)
                    };
                    count += usize::from(is_new && model.entity(read.entity).as_ref().is_some_and(known));
                }
            }
        }
        counts.insert(state.point, count);
    }
    counts
}

/// Whether what is written in a field is a value, and no part with fields of its own.
fn is_value(field: &Field) -> bool {
    !matches!(field.shape, Shape::One(_) | Shape::Many(_) | Shape::List(_) | Shape::Measured(_) | Shape::Raw)
}
