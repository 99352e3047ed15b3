//! Expressions in one spelling, so that two that ask the same are the same text.

use std::fmt::Write as _;

use super::check::{Bound, Checked, Otherwise, TypedNode};
use super::tree::{Arithmetic, Order, Quantifier};
use crate::model::{Access, Reference};
use crate::vocabulary::Value;

impl Order {
    /// The order that holds where this one does not.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Less => Self::AtLeast,
            Self::AtMost => Self::More,
            Self::Equal => Self::NotEqual,
            Self::NotEqual => Self::Equal,
            Self::AtLeast => Self::Less,
            Self::More => Self::AtMost,
        }
    }

    /// The order with its two sides changed over.
    #[must_use]
    pub const fn reversed(self) -> Self {
        match self {
            Self::Less => Self::More,
            Self::AtMost => Self::AtLeast,
            Self::AtLeast => Self::AtMost,
            Self::More => Self::Less,
            Self::Equal | Self::NotEqual => self,
        }
    }
}

fn fixed(value: &Value) -> String {
    match value {
        // Adding zero makes one zero of the two.
        Value::Quantity(quantity) => format!("{:e}{:?}", quantity.si + 0.0, quantity.dimension.exponents()),
        Value::Word(word) => format!("{word:?}"),
        other => format!("{other:?}"),
    }
}

fn sorted(mut parts: Vec<String>, sign: &str) -> String {
    parts.sort();
    parts.dedup();
    if parts.len() == 1 {
        return parts.pop().unwrap_or_default();
    }
    format!("({})", parts.join(sign))
}

fn bound(bound: &Bound) -> String {
    let mut text = format!("${} of {}", bound.variable, bound.over.normalized());
    if let Some(filter) = &bound.filter {
        let _ = write!(text, " where {}", filter.normalized());
    }
    text
}

fn referring(of: &Checked, references: &[Reference]) -> String {
    let froms: Vec<String> = references.iter().map(|r| format!("{}.f{}", r.from.name, r.slot)).collect();
    format!("{} to {}", froms.join("|"), of.normalized())
}

impl Checked {
    /// The expression in one spelling: the same for two that always come out alike by the laws that are looked at here
    /// (order of `and`, `or`, sums, products and the sides of a comparison; `not` moved inward; `no` and `some` by `every`).
    ///
    /// Names that a pack gives to limits are no part of it: only their values are.
    #[must_use]
    pub fn normalized(&self) -> String {
        self.spelled(false)
    }

    /// The spelling of what is true where this is false.
    pub(super) fn opposite(&self) -> String {
        self.spelled(true)
    }

    /// What is joined by `and`, however deep.
    pub(super) fn conjuncts(&self) -> Vec<&Self> {
        match &self.node {
            TypedNode::And(a, b) => [a.conjuncts(), b.conjuncts()].concat(),
            _ => vec![self],
        }
    }

    fn joined(&self, and: bool, negated: bool, parts: &mut Vec<String>) {
        match (&self.node, and != negated) {
            (TypedNode::And(a, b), true) | (TypedNode::Or(a, b), false) => {
                a.joined(and, negated, parts);
                b.joined(and, negated, parts);
            }
            _ => parts.push(self.spelled(negated)),
        }
    }

    fn summands(&self, times: bool, parts: &mut Vec<String>) {
        match &self.node {
            TypedNode::Arithmetic(Arithmetic::Add, a, b) if !times => {
                a.summands(times, parts);
                b.summands(times, parts);
            }
            TypedNode::Arithmetic(Arithmetic::Multiply, a, b) if times => {
                a.summands(times, parts);
                b.summands(times, parts);
            }
            _ => parts.push(self.normalized()),
        }
    }

    fn spelled(&self, negated: bool) -> String {
        let not = |text: String| if negated { format!("not {text}") } else { text };
        match &self.node {
            TypedNode::Not(inner) => inner.spelled(!negated),
            TypedNode::And(..) | TypedNode::Or(..) => {
                let and = matches!(self.node, TypedNode::And(..)) != negated;
                let mut parts = Vec::new();
                self.joined(and, negated, &mut parts);
                sorted(parts, if and { " and " } else { " or " })
            }
            TypedNode::Compare(order, left, right, _) => {
                let order = if negated { order.opposite() } else { *order };
                let (a, b) = (left.normalized(), right.normalized());
                if a <= b {
                    format!("({a} {} {b})", order.sign())
                } else {
                    format!("({b} {} {a})", order.reversed().sign())
                }
            }
            TypedNode::Quantified(quantifier, over, body) => {
                // `no` is `every … not`, `some` is not `every … not`.
                let inner = body.spelled(*quantifier != Quantifier::Every);
                let outer = (*quantifier == Quantifier::Some) != negated;
                format!("{}every {} has {inner}", if outer { "not " } else { "" }, bound(over))
            }
            TypedNode::Constant(Value::Truth(truth)) => (*truth != negated).to_string(),
            TypedNode::Constant(value) => fixed(value),
            TypedNode::Limit(limit) => fixed(&Value::Quantity(limit.value)),
            TypedNode::Root => "rocket".to_owned(),
            TypedNode::Today => "today".to_owned(),
            TypedNode::Variable(number) => format!("${number}"),
            TypedNode::Read { of, access, .. } => {
                let (letter, number) = match access {
                    Access::Field(slot) => ('f', slot),
                    Access::Computed(number) => ('c', number),
                };
                not(format!("{}.{}{letter}{number}", of.normalized(), of.gives))
            }
            TypedNode::Holder(of, entity_type) => format!("{}^{}", of.normalized(), entity_type.name),
            TypedNode::All(entity_type) => format!("all {}", entity_type.name),
            TypedNode::Inverse(of, references) => referring(of, references),
            TypedNode::IsReferredTo(of, references) => not(format!("some {}", referring(of, references))),
            TypedNode::Named(entity_type, name) => format!("the {} named {name:?}", entity_type.name),
            TypedNode::Parameter(number) => not(format!("#{number}")),
            TypedNode::Column(column) => format!("{}{:?}", column.name, column.pairs),
            TypedNode::Own(function, arguments) => {
                let parts: Vec<String> = arguments.iter().map(Self::normalized).collect();
                not(format!("{}.{}({})", function.pack, function.name, parts.join(", ")))
            }
            TypedNode::Before(_, first, second) => {
                not(format!("{} before {}", first.normalized(), second.normalized()))
            }
            TypedNode::Call(function, arguments) => {
                let mut parts: Vec<String> = arguments.iter().map(Self::normalized).collect();
                if matches!(function.name, "larger" | "smaller" | "clearance" | "can_mate") {
                    parts.sort();
                }
                not(format!("{}({})", function.name, parts.join(", ")))
            }
            TypedNode::Negate(inner) => format!("-{}", inner.normalized()),
            TypedNode::Arithmetic(which, left, right) => {
                let mut parts = Vec::new();
                match which {
                    Arithmetic::Add | Arithmetic::Multiply => {
                        let times = *which == Arithmetic::Multiply;
                        self.summands(times, &mut parts);
                        parts.sort();
                        format!("({})", parts.join(if times { " * " } else { " + " }))
                    }
                    Arithmetic::Subtract => format!("({} - {})", left.normalized(), right.normalized()),
                    Arithmetic::Divide => format!("({} / {})", left.normalized(), right.normalized()),
                }
            }
            TypedNode::Power(base, exponent) => format!("{}^{exponent}", base.normalized()),
            TypedNode::If(condition, yes, no) => {
                format!(
                    "(if {} then {} else {})",
                    condition.normalized(),
                    yes.spelled(negated),
                    no.spelled(negated)
                )
            }
            TypedNode::Default(value, other) => {
                format!("({} or else {})", value.spelled(negated), other.spelled(negated))
            }
            TypedNode::With(value, changes) => {
                let change = |one: &Otherwise| {
                    format!("{}#{} = {}", one.of.normalized(), one.slot, one.value.normalized())
                };
                format!("{} with {}", value.normalized(), sorted(changes.iter().map(change).collect(), ", "))
            }
            TypedNode::Given(inner) => not(format!("{} is given", inner.normalized())),
            TypedNode::Has(of, slot) => not(format!("{} has {}{slot}", of.normalized(), of.gives)),
            TypedNode::Same(left, right) => {
                not(sorted(vec![left.normalized(), right.normalized()], " same "))
            }
            TypedNode::OneOf(value, words) => {
                let words = sorted(words.iter().map(fixed).collect(), ", ");
                not(format!("{} is {words}", value.normalized()))
            }
            TypedNode::Matches(value, pattern) => {
                not(format!("{} matches {}", value.normalized(), pattern.as_str()))
            }
            TypedNode::Fold(fold, value, over) => {
                let name = fold.word();
                format!("{name} {} over {}", value.normalized(), bound(over))
            }
            TypedNode::Count(over) => format!("count {}", bound(over)),
        }
    }
}
