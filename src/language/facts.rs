//! Conditions that come out the same for every design: told of a rule before any design does.

use std::ops::Range;

use super::check::{Bound, Checked, TypedNode};
use super::interval::Interval;
use super::tree::{Arithmetic, Fold, Order};
use crate::model::{Access, Type};
use crate::vocabulary::{Need, Shape, Sign, Value};

/// A condition whose outcome cannot vary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fixed {
    /// Its bytes in its expression.
    pub range: Range<usize>,
    /// How it always comes out.
    pub truth: bool,
    /// Whether what stands before it in the same rule decides it, and not it alone.
    pub here: bool,
    /// Whether a limit of the pack decides it, which may be set otherwise.
    pub by_limit: bool,
}

/// What is known of quantities, words and truths at some place of a rule, by their one spelling.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    quantities: Vec<(String, Interval)>,
    words: Vec<(String, Vec<&'static str>)>,
    truths: Vec<(String, bool)>,
}

fn words_in(values: &[Value]) -> Vec<&'static str> {
    values.iter().filter_map(|v| if let Value::Word(word) = v { Some(*word) } else { None }).collect()
}

impl Facts {
    pub(super) fn quantity(&self, checked: &Checked) -> Option<Interval> {
        if self.quantities.is_empty() {
            return None;
        }
        let key = checked.normalized();
        self.quantities.iter().find(|(k, _)| *k == key).map(|(_, known)| *known)
    }

    fn learn_quantity(&mut self, checked: &Checked, known: Interval) {
        if known == Interval::ALL || matches!(checked.node, TypedNode::Constant(_) | TypedNode::Limit(_)) {
            return;
        }
        let key = checked.normalized();
        match self.quantities.iter_mut().find(|(k, _)| *k == key) {
            Some((_, so_far)) => *so_far = so_far.and(known),
            None => self.quantities.push((key, known)),
        }
    }

    /// The words that something may be: those it can hold at all, less those ruled out.
    fn words_of(&self, checked: &Checked, known: &'static [&'static str]) -> Vec<&'static str> {
        let key = checked.normalized();
        self.words.iter().find(|(k, _)| *k == key).map_or_else(|| known.to_vec(), |(_, words)| words.clone())
    }

    /// Takes note that a condition is true, or false.
    pub fn assume(&mut self, checked: &Checked, truth: bool) {
        match &checked.node {
            TypedNode::Not(inner) => self.assume(inner, !truth),
            TypedNode::And(a, b) if truth => {
                self.assume(a, true);
                self.assume(b, true);
            }
            TypedNode::Or(a, b) if !truth => {
                self.assume(a, false);
                self.assume(b, false);
            }
            TypedNode::And(..) | TypedNode::Or(..) => {}
            TypedNode::Compare(order, left, right, _) if matches!(left.gives, Type::Quantity(_)) => {
                let order = if truth { *order } else { order.opposite() };
                let (a, b) = (interval(left, self), interval(right, self));
                self.learn_quantity(left, b.left_of(order));
                self.learn_quantity(right, a.left_of(order.reversed()));
                self.truths.push((checked.normalized(), truth));
            }
            TypedNode::OneOf(value, words) => {
                if let Type::Word(known) = value.gives {
                    let named = words_in(words);
                    let mut left = self.words_of(value, known);
                    left.retain(|word| named.contains(word) == truth);
                    let key = value.normalized();
                    self.words.retain(|(k, _)| *k != key);
                    self.words.push((key, left));
                }
            }
            _ => self.truths.push((checked.normalized(), truth)),
        }
    }

    /// How a condition comes out whatever a design says, and whether a limit decides that.
    fn outcome(&self, checked: &Checked) -> Option<(bool, bool)> {
        match &checked.node {
            TypedNode::Compare(order, left, right, _) => {
                if left.normalized() == right.normalized() {
                    let equal = matches!(order, Order::Equal | Order::AtMost | Order::AtLeast);
                    return Some((equal, false));
                }
                if matches!(left.gives, Type::Quantity(_)) {
                    let (a, b) = (interval(left, self), interval(right, self));
                    if let Some(truth) = a.compare(*order, b) {
                        return Some((truth, a.by_limit || b.by_limit));
                    }
                }
            }
            TypedNode::OneOf(value, words) => {
                if let Type::Word(known) = value.gives {
                    let (named, left) = (words_in(words), self.words_of(value, known));
                    if left.iter().all(|word| !named.contains(word)) {
                        return Some((false, false));
                    }
                    if left.iter().all(|word| named.contains(word)) {
                        return Some((true, false));
                    }
                    return None;
                }
            }
            TypedNode::Same(left, right) if left.normalized() == right.normalized() => {
                return Some((true, false));
            }
            TypedNode::Has(of, slot) => {
                if let Type::Entity(entity_type) = of.gives
                    && entity_type.field(*slot).is_some_and(|f| f.need == Need::Required)
                {
                    return Some((true, false));
                }
            }
            _ => {}
        }
        let (key, opposite) = (checked.normalized(), checked.opposite());
        let known = |(k, truth): &(String, bool)| match k {
            k if *k == key => Some((*truth, false)),
            k if *k == opposite => Some((!*truth, false)),
            _ => None,
        };
        self.truths.iter().find_map(known)
    }
}

/// Finds the conditions of an expression that always come out the same, given what is known where it stands.
///
/// A condition is looked at as it is evaluated: the right of an `and` where its left is true, that of an `or` where its
/// left is false, the body of an `every` for members that its `where` lets through. Only the smallest conditions are reported.
#[must_use]
pub fn fixed_conditions(checked: &Checked, facts: &Facts) -> Vec<Fixed> {
    let mut found = Vec::new();
    look(checked, facts, &mut found);
    found
}

fn look_bound(bound: &Bound, facts: &Facts, found: &mut Vec<Fixed>) -> Facts {
    look(&bound.over, facts, found);
    let mut inside = facts.clone();
    if let Some(filter) = &bound.filter {
        look(filter, facts, found);
        inside.assume(filter, true);
    }
    inside
}

fn look(checked: &Checked, facts: &Facts, found: &mut Vec<Fixed>) {
    match &checked.node {
        TypedNode::And(left, right) | TypedNode::Or(left, right) => {
            look(left, facts, found);
            let mut known = facts.clone();
            known.assume(left, matches!(checked.node, TypedNode::And(..)));
            look(right, &known, found);
        }
        TypedNode::Not(inner) => {
            let before = found.len();
            look(inner, facts, found);
            // `is not …` is one condition to a reader, with the `not` inside it.
            for fixed in found.iter_mut().skip(before).filter(|f| f.range == checked.range) {
                fixed.truth = !fixed.truth;
            }
        }
        TypedNode::If(condition, yes, no) => {
            look(condition, facts, found);
            for (part, truth) in [(yes, true), (no, false)] {
                let mut known = facts.clone();
                known.assume(condition, truth);
                look(part, &known, found);
            }
        }
        TypedNode::Quantified(_, bound, body) => {
            let inside = look_bound(bound, facts, found);
            look(body, &inside, found);
        }
        TypedNode::Fold(_, value, bound) => {
            let inside = look_bound(bound, facts, found);
            look(value, &inside, found);
        }
        TypedNode::Count(bound) => {
            look_bound(bound, facts, found);
        }
        TypedNode::Default(..) | TypedNode::Given(_) => {
            for part in checked.parts() {
                look(part, facts, found);
            }
        }
        TypedNode::Constant(_) => {}
        _ => {
            let before = found.len();
            for part in checked.parts() {
                look(part, facts, found);
            }
            if checked.gives == Type::Truth
                && found.len() == before
                && let Some((truth, by_limit)) = facts.outcome(checked)
            {
                let here = Facts::default().outcome(checked).is_none();
                found.push(Fixed { range: checked.range.clone(), truth, here, by_limit });
            }
        }
    }
}

/// The values that may be found in a table or on a curve.
fn found_in(table: &[Checked], facts: &Facts) -> Interval {
    let any = |a: Option<Interval>, b: Interval| Some(a.map_or(b, |a| a.or(b)));
    let found = match table {
        [Checked { node: TypedNode::Column(column), .. }] => column
            .pairs
            .iter()
            .skip(1)
            .step_by(2)
            .map(|value| match value {
                Value::Quantity(quantity) => Interval::point(quantity.si),
                _ => Interval::ALL,
            })
            .fold(None, any),
        [_] => None,
        pairs => pairs.iter().skip(1).step_by(2).map(|value| interval(value, facts)).fold(None, any),
    };
    // Where points lie, nothing says that they are whole numbers between them.
    found.map_or(Interval::ALL, |found| Interval { whole: false, ..found })
}

/// The values of a quantity, as far as the expression and what is known of its parts tell.
pub(super) fn interval(checked: &Checked, facts: &Facts) -> Interval {
    let own = match &checked.node {
        TypedNode::Constant(Value::Quantity(quantity)) => return Interval::point(quantity.si),
        TypedNode::Limit(limit) => return Interval { by_limit: true, ..Interval::point(limit.value.si) },
        TypedNode::Read { of, access: Access::Field(slot), .. } => match of.gives {
            Type::Entity(entity_type) => match entity_type.field(*slot).map(|f| &f.shape) {
                Some(Shape::Measure(dimension, sign)) if !dimension.is_absolute() => Interval::of(*sign),
                Some(Shape::Number(sign)) => Interval::of(*sign),
                Some(Shape::Count(least)) => Interval { whole: true, ..Interval::from(f64::from(*least)) },
                _ => Interval::ALL,
            },
            _ => Interval::ALL,
        },
        TypedNode::Count(_) => Interval { whole: true, ..Interval::from(0.0) },
        TypedNode::Fold(Fold::Sum, value, _) => {
            if interval(value, facts).not_negative() {
                Interval::from(0.0)
            } else {
                Interval::ALL
            }
        }
        TypedNode::Fold(Fold::Mean | Fold::Middle, value, _) => {
            Interval { whole: false, ..interval(value, facts) }
        }
        TypedNode::Fold(_, value, _) => interval(value, facts),
        TypedNode::Negate(inner) => interval(inner, facts).negated(),
        TypedNode::Arithmetic(which, left, right) => {
            let (a, b) = (interval(left, facts), interval(right, facts));
            match which {
                Arithmetic::Add => a.plus(b),
                Arithmetic::Subtract => a.plus(b.negated()),
                Arithmetic::Multiply => a.times(b),
                Arithmetic::Divide => a.over(b),
            }
        }
        TypedNode::Power(base, exponent) => {
            let inside = interval(base, facts);
            if inside.positive() {
                Interval { by_limit: inside.by_limit, ..Interval::of(Sign::Positive) }
            } else if exponent % 2 == 0 {
                Interval::from(0.0)
            } else {
                Interval::ALL
            }
        }
        TypedNode::If(_, yes, no) => interval(yes, facts).or(interval(no, facts)),
        TypedNode::Default(value, other) => interval(value, facts).or(interval(other, facts)),
        TypedNode::Own(function, _) => function.range,
        TypedNode::Call(function, arguments) => match (function.name, arguments.as_slice()) {
            ("abs" | "sqrt" | "pressure_at" | "density_at", _) => Interval::from(0.0),
            ("drill_at_least" | "drill_at_most" | "tap_drill", _) => Interval::of(Sign::Positive),
            ("interpolated" | "by_steps" | "in_row", [_, table @ ..])
            | ("mean_between", [_, _, table @ ..]) => found_in(table, facts),
            ("larger", [a, b]) => {
                let (a, b) = (interval(a, facts), interval(b, facts));
                let floor = Interval::ALL.and(Interval { high: f64::INFINITY, below: false, ..a });
                Interval {
                    // A whole number and another: either may be the larger.
                    whole: a.whole && b.whole,
                    by_limit: a.by_limit || b.by_limit,
                    ..floor.and(Interval { high: f64::INFINITY, below: false, ..b })
                }
            }
            _ => Interval::ALL,
        },
        _ => Interval::ALL,
    };
    match facts.quantity(checked) {
        Some(known) => own.and(known),
        None => own,
    }
}
