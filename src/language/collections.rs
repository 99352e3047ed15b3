//! Questions asked of collections: which members they have, and what these come to.

use super::check::{Bound, Checked, TypedNode};
use super::evaluate::{Evaluator, unworkable};
use super::trace::{Mark, Member};
use super::tree::{Fold, Quantifier};
use crate::model::{Access, Outcome, Read, Reference, Unknown, both};
use crate::quantity::Quantity;
use crate::vocabulary::{EntityId, Value};

impl Evaluator<'_> {
    pub(super) fn bind(&mut self, variable: u8, member: EntityId) {
        if let Some(place) = self.variables.get_mut(usize::from(variable)) {
            *place = member;
        }
    }

    /// A collection is a place of its own: the key it stands under.
    pub(super) fn note_collection(&mut self, bound: &Bound) {
        if let TypedNode::Read { of, access, contained: true } = &bound.over.node
            && let Ok(entity) = self.entity(of)
        {
            self.note(Read { entity, access: *access });
        }
    }

    /// What may be members of a collection, each with the reference that must lead to an entity for it to be one.
    fn candidates(&mut self, over: &Checked) -> Outcome<Vec<(EntityId, Option<u16>)>> {
        if let TypedNode::Inverse(_, references) = &over.node {
            let of_type = |r: &Reference| {
                let slot = Some(r.slot);
                self.model.all_of(r.from).iter().map(move |id| (*id, slot))
            };
            return Ok(references.iter().flat_map(of_type).collect());
        }
        match self.value(over)? {
            Value::Entities(all) => Ok(all.iter().map(|id| (*id, None)).collect()),
            _ => Err(Unknown::refused("there is no such collection", [])),
        }
    }

    /// Whether a reference of a member leads to the entity whose collection it is.
    fn refers(&mut self, member: EntityId, slot: u16, target: &Checked) -> Outcome<bool> {
        if self.model.has(member, slot) == Ok(false) {
            return Ok(false);
        }
        self.note(Read { entity: member, access: Access::Field(slot) });
        let target = self.entity(target);
        self.model.refers(member, slot, target)
    }

    /// Whether a candidate is a member of a collection, and one that counts.
    fn counts(
        &mut self,
        over: &Checked,
        filter: Option<&Checked>,
        (member, slot): (EntityId, Option<u16>),
    ) -> Outcome<bool> {
        let mark = self.trace.mark();
        let is_member = match (&over.node, slot) {
            (TypedNode::Inverse(of, _), Some(slot)) => self.refers(member, slot, of),
            _ => Ok(true),
        };
        let counts = match (is_member, filter) {
            (Ok(true), Some(filter)) => self.truth(filter),
            (Err(gap), Some(filter)) => match self.truth(filter) {
                Ok(true) => Err(gap),
                Ok(false) => Ok(false),
                Err(more) => Err(gap.and(more)),
            },
            (is_member, _) => is_member,
        };
        if counts == Ok(false) {
            let end = self.trace.mark();
            self.trace.drop_between(mark, end);
        }
        counts
    }

    pub(super) fn members(
        &mut self,
        over: &Checked,
        filter: Option<&Checked>,
        variable: u8,
    ) -> Outcome<Vec<EntityId>> {
        let mut kept = Vec::new();
        let mut gap: Option<Unknown> = None;
        for candidate in self.candidates(over)? {
            self.bind(variable, candidate.0);
            match self.counts(over, filter, candidate) {
                Ok(true) => kept.push(candidate.0),
                Ok(false) => {}
                Err(more) => gap = Some(gap.map_or(more.clone(), |g| g.and(more))),
            }
        }
        gap.map_or(Ok(kept), Err)
    }

    /// The members of a collection that are known to be some; those that may be are left out.
    pub(super) fn known_members(&mut self, over: &Checked) -> Vec<EntityId> {
        let candidates = self.candidates(over).unwrap_or_default();
        let known = |candidate: &(EntityId, Option<u16>)| self.counts(over, None, *candidate) == Ok(true);
        candidates.into_iter().filter(known).map(|(member, _)| member).collect()
    }

    pub(super) fn is_referred_to(&mut self, target: &Checked, references: &[Reference]) -> Outcome<Value> {
        let start = self.trace.mark();
        let mut gap: Option<Unknown> = None;
        for reference in references {
            for member in self.model.all_of(reference.from).iter().copied() {
                let mark = self.trace.mark();
                match self.refers(member, reference.slot, target) {
                    Ok(true) => {
                        self.trace.drop_between(start, mark);
                        self.trace.members.push(Member { variable: 0, entity: member });
                        return Ok(Value::Truth(true));
                    }
                    Ok(false) => {}
                    Err(more) => gap = Some(gap.map_or(more.clone(), |g| g.and(more))),
                }
            }
        }
        gap.map_or(Ok(Value::Truth(false)), Err)
    }

    pub(super) fn quantified(
        &mut self,
        quantifier: Quantifier,
        bound: &Bound,
        body: &Checked,
    ) -> Outcome<Value> {
        let denies = quantifier == Quantifier::No;
        self.denied ^= denies;
        let truth = self.asked_of_members(quantifier, bound, body);
        self.denied ^= denies;
        truth
    }

    fn asked_of_members(&mut self, quantifier: Quantifier, bound: &Bound, body: &Checked) -> Outcome<Value> {
        let start = self.trace.mark();
        // `every` is decided by one that fails, `some` and `no` by one that has the property.
        let decisive = quantifier != Quantifier::Every;
        let mut gap: Option<Unknown> = None;
        for candidate in self.candidates(&bound.over)? {
            let member = candidate.0;
            self.bind(bound.variable, member);
            let mark = self.trace.mark();
            let counts = self.counts(&bound.over, bound.filter.as_deref(), candidate);
            let membership = matches!(bound.over.node, TypedNode::Inverse(..)) && bound.filter.is_none();
            let after = self.trace.mark();
            let found = match counts {
                Ok(false) => continue,
                Ok(true) => self.truth(body),
                // Whether it counts is not known: it decides nothing unless it has not the deciding property.
                Err(gap) => {
                    self.bind(bound.variable, member);
                    match self.truth(body) {
                        Ok(truth) if truth != decisive => Ok(truth),
                        Ok(_) => Err(gap),
                        Err(more) => Err(gap.and(more)),
                    }
                }
            };
            // Which members count is no part of what is asked, but of a member that `some` or `no` finds both are.
            if quantifier == Quantifier::Every || found != Ok(decisive) {
                self.trace.drop_comparisons(mark, after);
            }
            match found {
                Ok(truth) if truth == decisive => {
                    self.trace.drop_between(start, mark);
                    self.trace.members.push(Member { variable: bound.variable, entity: member });
                    return Ok(Value::Truth(quantifier == Quantifier::Some));
                }
                // It is a member, and its property is what decided: not that it is one.
                Ok(_) if membership => {
                    self.trace.drop_between(mark, Mark { comparisons: mark.comparisons, ..after })
                }
                Ok(_) => {}
                Err(more) => gap = Some(gap.map_or(more.clone(), |g| g.and(more))),
            }
        }
        self.note_collection(bound);
        gap.map_or(Ok(Value::Truth(quantifier != Quantifier::Some)), Err)
    }

    /// The mean of the members, or the one in the middle: all of them decide it.
    fn middle(&mut self, fold: Fold, value: &Checked, bound: &Bound) -> Outcome<Value> {
        let members = self.members(&bound.over, bound.filter.as_deref(), bound.variable)?;
        let mut all: Outcome<Vec<Quantity>> = Ok(Vec::with_capacity(members.len()));
        for member in members {
            self.bind(bound.variable, member);
            all = both(all, self.quantity(value)).map(|(mut all, one)| {
                all.push(one);
                all
            });
        }
        let mut all = all?;
        let Some(first) = all.first().copied() else {
            self.note_collection(bound);
            let reads = self.trace.reads.clone();
            return Err(Unknown::refused(
                format!("the collection is empty, so it has no {}", fold.word()),
                reads,
            ));
        };
        if fold == Fold::Middle {
            all.sort_by(|a, b| a.si.total_cmp(&b.si));
            let (before, taken) = ((all.len() - 1) / 2, 2 - all.len() % 2);
            all = all.into_iter().skip(before).take(taken).collect();
        }
        #[allow(clippy::cast_precision_loss, reason = "a file has at most 200,000 values")]
        let count = all.len() as f64;
        let si = all.iter().map(|one| one.si).sum::<f64>() / count;
        Ok(Value::Quantity(Quantity { si, ..first }))
    }

    pub(super) fn fold(&mut self, fold: Fold, value: &Checked, bound: &Bound) -> Outcome<Value> {
        if let Fold::Mean | Fold::Middle = fold {
            return self.middle(fold, value, bound);
        }
        let members = self.members(&bound.over, bound.filter.as_deref(), bound.variable)?;
        let mut total: Outcome<Option<Quantity>> = Ok(None);
        let mut kept: Option<(Mark, Mark)> = None;
        for member in members {
            self.bind(bound.variable, member);
            let mark = self.trace.mark();
            let next = self.quantity(value);
            let end = self.trace.mark();
            let (so_far, next) = match (total, next) {
                (Ok(so_far), Ok(next)) => (so_far, next),
                (Err(a), Err(b)) => {
                    total = Err(a.and(b));
                    continue;
                }
                (Err(gap), Ok(_)) | (Ok(_), Err(gap)) => {
                    total = Err(gap);
                    continue;
                }
            };
            let replaces = match (so_far, fold) {
                (None, _) => true,
                (Some(a), Fold::Least) => next.si < a.si,
                (Some(a), Fold::Greatest) => next.si > a.si,
                (Some(_), _) => false,
            };
            total = match (so_far, fold) {
                (None, _) => Ok(Some(next)),
                (Some(a), Fold::Sum) => a.plus(next).map(Some).map_err(|e| unworkable(&e)),
                (Some(a), _) => Ok(Some(if replaces { next } else { a })),
            };
            // Only the member that is least or greatest decides.
            if fold.is_of_one() {
                match (replaces, kept) {
                    (true, Some((from, to))) => {
                        self.trace.drop_between(from, to);
                        let now = self.trace.mark();
                        let start = Mark {
                            reads: now.reads + mark.reads - end.reads,
                            comparisons: now.comparisons + mark.comparisons - end.comparisons,
                            members: now.members + mark.members - end.members,
                        };
                        kept = Some((start, now));
                    }
                    (true, None) => kept = Some((mark, end)),
                    (false, _) => self.trace.drop_between(mark, end),
                }
            }
        }
        match total? {
            Some(quantity) => Ok(Value::Quantity(quantity)),
            None if fold == Fold::Sum => match value.gives {
                crate::model::Type::Quantity(dimension) => Ok(Value::Quantity(Quantity::new(0.0, dimension))),
                _ => Err(Unknown::refused("there is nothing to sum", [])),
            },
            None => {
                self.note_collection(bound);
                Err(Unknown::refused(
                    "the collection is empty, so it has no least or greatest",
                    self.trace.reads.clone(),
                ))
            }
        }
    }
}
