//! One rule on one subject as it is drawn: the outcome, what decided it, and the margin.

use std::cmp::Ordering;

use super::active::Rule;
use super::verdict::Verdict;
use crate::language::{ComparisonTrace, Order, Trace, evaluate_into};
use crate::model::{Footprint, Model, Unknown};
use crate::quantity::Quantity;
use crate::vocabulary::{EntityId, Value};

/// How much there is to spare: negative when it is broken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Margin {
    /// Value over limit, less one (or the other way round for an upper limit).
    Ratio(f64),
    /// The gap itself, where the limit is zero.
    Gap(Quantity),
}

impl Margin {
    /// As it is printed in the report of a design: a gap in the unit of the author.
    #[must_use]
    pub fn shown(self, model: &Model<'_>) -> Self {
        match self {
            Self::Gap(gap) => Self::Gap(Quantity { si: gap.si, ..model.shown(gap) }),
            Self::Ratio(_) => self,
        }
    }

    /// For ordering margins: the ratio, or the sign of a gap with its size in SI.
    #[must_use]
    pub fn size(self) -> f64 {
        match self {
            Self::Ratio(ratio) => ratio,
            Self::Gap(gap) => gap.si,
        }
    }

    /// Which of two margins of one rule is the narrower. A share and a gap have no common measure: a rule that has shares is
    /// measured by those.
    fn narrower(self, other: Self) -> Ordering {
        match (self, other) {
            (Self::Ratio(_), Self::Gap(_)) => Ordering::Less,
            (Self::Gap(_), Self::Ratio(_)) => Ordering::Greater,
            // Gaps of other dimensions have none either: the first one counts.
            (Self::Gap(a), Self::Gap(b)) if a.dimension != b.dimension => Ordering::Equal,
            _ => self.size().total_cmp(&other.size()),
        }
    }

    fn of(comparison: ComparisonTrace) -> Option<Self> {
        let ComparisonTrace { order, left, right, places } = comparison;
        let (value, limit, upper) = match order {
            Order::AtLeast | Order::More => (left, right, false),
            Order::AtMost | Order::Less => (left, right, true),
            Order::Equal | Order::NotEqual => return None,
        };
        // What counts as equal leaves nothing to spare, and is not short by the noise of its working.
        let is_same = value.compare(limit) == Ok(Ordering::Equal);
        // How far a place is from the nose tip says nothing of how far two places are apart.
        if places
            || limit.si == 0.0
            || value.si == 0.0
            || value.dimension.is_absolute()
            || (value.si < 0.0) != (limit.si < 0.0)
        {
            let gap = if upper { limit.minus(value) } else { value.minus(limit) };
            return gap.ok().map(|gap| Self::Gap(if is_same { Quantity { si: 0.0, ..gap } } else { gap }));
        }
        let ratio = if upper { limit.si / value.si } else { value.si / limit.si };
        ratio.is_finite().then_some(Self::Ratio(if is_same { 0.0 } else { ratio - 1.0 }))
    }
}

/// A value taken at another size than is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// The entity.
    pub entity: EntityId,
    /// The field: a quantity, a place on a part or a curve.
    pub slot: u16,
    /// The size in SI; of a curve, what its ordinates are multiplied with.
    pub si: f64,
}

/// In how many flights a rule holds, and the share that it asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoldsIn {
    /// The flights in which it holds, or does not apply.
    pub held: usize,
    /// All flights.
    pub of: usize,
    /// The share of them that is asked for.
    pub asked: f64,
}

impl HoldsIn {
    /// Whether it holds as often as is asked.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.held as f64 >= self.asked * self.of as f64
    }
}

/// What a rule says of a subject.
#[derive(Clone, Debug)]
pub struct Judgement {
    /// The outcome.
    pub verdict: Verdict,
    /// What decided it.
    pub trace: Trace,
    /// Why it is unproven.
    pub gap: Option<Unknown>,
    /// How much there is to spare, where a comparison decided it.
    pub margin: Option<Margin>,
    /// How far apart the sides of the deciding comparison are: what moves when a deciding value changes. For a margin that is a
    /// share, the logarithm of left over right, so that a value counts alike on the side that is far too small; else left
    /// less right, in SI.
    pub slack: Option<f64>,
    /// Of a tight one, the sizes within the stated tolerances at which it is broken, as few as will do it.
    pub worst: Vec<Size>,
    /// How often it holds, of a rule that asks for a share of flights and holds as drawn.
    pub holds_in: Option<HoldsIn>,
    /// The fields that it rests on, of one that was judged by more than what is drawn.
    pub footprint: Footprint,
}

/// Judges a subject by a rule, tolerances left aside.
#[must_use]
pub fn judge_nominal(rule: &Rule, model: &Model<'_>, subject: EntityId) -> Judgement {
    let plain = |verdict, trace, gap| Judgement {
        verdict,
        trace,
        gap,
        margin: None,
        slack: None,
        worst: Vec::new(),
        holds_in: None,
        footprint: Footprint::default(),
    };
    let mut trace = Trace::for_an_expression();
    if let Some(when) = &rule.when {
        let evaluation = evaluate_into(trace, when, model, subject);
        match evaluation.value {
            Ok(Value::Truth(true)) => trace = evaluation.trace,
            Ok(_) => return plain(Verdict::NotApplicable, evaluation.trace, None),
            Err(gap) => return plain(Verdict::Unproven, evaluation.trace, Some(gap)),
        }
        trace.comparisons.clear();
        trace.members.clear();
    }
    let applies = trace.reads.len();
    let evaluation = evaluate_into(trace, &rule.require, model, subject);
    let mut trace = evaluation.trace;
    let broken = matches!(evaluation.value, Ok(Value::Truth(false)));
    // Of a broken rule the broken side counts, of a held one the narrowest that holds.
    let deciding = trace
        .comparisons
        .iter()
        .filter_map(|c| Margin::of(*c).map(|margin| (margin, slack(margin, c.left.si, c.right.si))))
        .filter(|(margin, _)| if broken { margin.size() <= 0.0 } else { margin.size() >= 0.0 })
        .min_by(|a, b| a.0.narrower(b.0));
    let (margin, slack) = (deciding.map(|d| d.0), deciding.map(|d| d.1));
    match evaluation.value {
        Ok(Value::Truth(true)) => {
            trace.reads.drain(..applies);
            Judgement { margin, slack, ..plain(Verdict::Held, trace, None) }
        }
        Ok(_) => {
            // What made the rule apply is part of why it is broken when the requirement read nothing itself.
            if trace.reads.len() > applies {
                trace.reads.drain(..applies);
            }
            Judgement { margin, slack, ..plain(Verdict::Broken, trace, None) }
        }
        Err(gap) => {
            trace.reads.drain(..applies);
            plain(Verdict::Unproven, trace, Some(gap))
        }
    }
}

/// How far apart two sides are that are compared.
fn slack(margin: Margin, left: f64, right: f64) -> f64 {
    match margin {
        Margin::Ratio(_) if left > 0.0 && right > 0.0 => libm::log(left / right),
        _ => left - right,
    }
}
