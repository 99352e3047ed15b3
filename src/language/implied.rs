//! What a requirement asks, piece by piece, and whether one requirement asks for all that another does.

use super::check::{Checked, TypedNode};
use super::facts::{Facts, interval};
use super::tree::{Arithmetic, Order};
use crate::model::Type;

/// One of the entities that a condition joined by `and` asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Conjunct {
    /// The whole of it in one spelling.
    normalized: String,
    /// A quantity in one spelling, how it must stand to a bound, and the bound as a multiple of something not negative.
    bound: Option<(String, Order, f64, String)>,
}

/// A quantity as a fixed factor and the rest: the rest may not be negative. Limits count at the value they have.
fn factored(checked: &Checked) -> Option<(f64, String)> {
    let range = interval(checked, &Facts::default());
    if let Some(value) = range.only() {
        return Some((value, String::new()));
    }
    if let TypedNode::Arithmetic(Arithmetic::Multiply, left, right) = &checked.node {
        let (fixed, rest) =
            match (interval(left, &Facts::default()).only(), interval(right, &Facts::default()).only()) {
                (Some(fixed), _) => (fixed, right),
                (_, Some(fixed)) => (fixed, left),
                (None, None) => return None,
            };
        let (more, rest) = factored(rest).unwrap_or_else(|| (1.0, rest.normalized()));
        return interval(checked, &Facts::default()).not_negative().then_some((fixed * more, rest));
    }
    range.not_negative().then(|| (1.0, checked.normalized()))
}

impl Conjunct {
    /// What a condition asks for, one for each part that `and` joins.
    #[must_use]
    pub fn all_of(checked: &Checked) -> Vec<Self> {
        checked.conjuncts().into_iter().map(Self::of).collect()
    }

    fn of(checked: &Checked) -> Self {
        let (node, negated) = match &checked.node {
            TypedNode::Not(inner) => (&inner.node, true),
            node => (node, false),
        };
        let bound = match node {
            TypedNode::Compare(order, left, right, _) if matches!(left.gives, Type::Quantity(_)) => {
                let order = if negated { order.opposite() } else { *order };
                let fixed = |side: &Checked| interval(side, &Facts::default()).only().is_some();
                match (fixed(left), factored(right), factored(left)) {
                    (false, Some((factor, rest)), _) => Some((left.normalized(), order, factor, rest)),
                    (_, _, Some((factor, rest))) => {
                        Some((right.normalized(), order.reversed(), factor, rest))
                    }
                    _ => None,
                }
            }
            _ => None,
        };
        Self { normalized: checked.normalized(), bound }
    }

    /// Whether this is so wherever another is.
    #[must_use]
    pub fn follows_from(&self, other: &Self) -> bool {
        if self.normalized == other.normalized {
            return true;
        }
        let (Some((mine, order, loose, rest)), Some((theirs, their_order, tight, their_rest))) =
            (&self.bound, &other.bound)
        else {
            return false;
        };
        if mine != theirs || rest != their_rest {
            return false;
        }
        match (order, their_order) {
            (Order::AtLeast, Order::AtLeast | Order::More) | (Order::More, Order::More) => tight >= loose,
            (Order::More, Order::AtLeast) => tight > loose,
            (Order::AtMost, Order::AtMost | Order::Less) | (Order::Less, Order::Less) => tight <= loose,
            (Order::Less, Order::AtMost) => tight < loose,
            _ => false,
        }
    }
}
