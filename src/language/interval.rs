//! Which values a quantity can have, whatever a design says: from signs of fields, whole counts and fixed numbers.

use super::tree::Order;
use crate::quantity::is_same;
use crate::vocabulary::Sign;

/// The values between two bounds, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Interval {
    pub(super) low: f64,
    /// Whether the low bound itself is left out.
    pub(super) above: bool,
    pub(super) high: f64,
    /// Whether the high bound itself is left out.
    pub(super) below: bool,
    /// Whether only whole numbers occur.
    pub(super) whole: bool,
    /// Whether a limit of the pack had a say, which a club may set otherwise.
    pub(super) by_limit: bool,
}

impl Interval {
    pub(super) const ALL: Self = Self {
        low: f64::NEG_INFINITY,
        above: false,
        high: f64::INFINITY,
        below: false,
        whole: false,
        by_limit: false,
    };

    pub(super) fn point(si: f64) -> Self {
        Self { low: si, high: si, ..Self::ALL }
    }

    pub(super) fn from(low: f64) -> Self {
        Self { low, ..Self::ALL }
    }

    pub(super) fn of(sign: Sign) -> Self {
        match sign {
            Sign::Positive => Self { above: true, ..Self::from(0.0) },
            Sign::NotNegative => Self::from(0.0),
            Sign::Any => Self::ALL,
        }
    }

    pub(super) fn positive(self) -> bool {
        self.low > 0.0 || (self.low == 0.0 && self.above)
    }

    /// What lies in both.
    pub(super) fn and(self, other: Self) -> Self {
        let mut both = self;
        if other.low > both.low || (other.low == both.low && other.above) {
            (both.low, both.above) = (other.low, other.above);
        }
        if other.high < both.high || (other.high == both.high && other.below) {
            (both.high, both.below) = (other.high, other.below);
        }
        both.whole |= other.whole;
        both.by_limit |= other.by_limit;
        both
    }

    /// What lies in either, and between them.
    pub(super) fn or(self, other: Self) -> Self {
        let (low, above) = match self.low.total_cmp(&other.low) {
            std::cmp::Ordering::Less => (self.low, self.above),
            std::cmp::Ordering::Greater => (other.low, other.above),
            std::cmp::Ordering::Equal => (self.low, self.above && other.above),
        };
        let (high, below) = match self.high.total_cmp(&other.high) {
            std::cmp::Ordering::Greater => (self.high, self.below),
            std::cmp::Ordering::Less => (other.high, other.below),
            std::cmp::Ordering::Equal => (self.high, self.below && other.below),
        };
        Self {
            low,
            above,
            high,
            below,
            whole: self.whole && other.whole,
            by_limit: self.by_limit || other.by_limit,
        }
    }

    pub(super) fn negated(self) -> Self {
        Self { low: -self.high, above: self.below, high: -self.low, below: self.above, ..self }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            above: self.above || other.above,
            high: self.high + other.high,
            below: self.below || other.below,
            whole: self.whole && other.whole,
            by_limit: self.by_limit || other.by_limit,
        }
    }

    pub(super) fn times(self, other: Self) -> Self {
        // Nothing times anything is nothing, however large.
        let product = |a: f64, b: f64| if a == 0.0 || b == 0.0 { 0.0 } else { a * b };
        let corners = [
            product(self.low, other.low),
            product(self.low, other.high),
            product(self.high, other.low),
            product(self.high, other.high),
        ];
        let low = corners.iter().copied().fold(f64::INFINITY, f64::min);
        let high = corners.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let above = low == 0.0 && self.positive() && other.positive();
        Self { low, above, high, by_limit: self.by_limit || other.by_limit, ..Self::ALL }
    }

    pub(super) fn over(self, other: Self) -> Self {
        if !other.positive() {
            return Self { by_limit: self.by_limit || other.by_limit, ..Self::ALL };
        }
        let inverse = Self {
            low: 1.0 / other.high,
            above: other.high.is_infinite(),
            high: if other.low == 0.0 { f64::INFINITY } else { 1.0 / other.low },
            below: false,
            ..other
        };
        self.times(Self { whole: false, ..inverse })
    }

    /// Whether a comparison always holds, or never; none where that hangs on the design.
    pub(super) fn compare(self, order: Order, other: Self) -> Option<bool> {
        // Two that differ by less than what counts as the same are the same: `1e9 <= 1e9 - 1` holds.
        let is_below = |a: f64, b: f64| a < b && !is_same(a, b);
        let less = is_below(self.high, other.low) || (self.high == other.low && (self.below || other.above));
        let more = is_below(other.high, self.low) || (self.low == other.high && (self.above || other.below));
        let at_most = less || is_same(self.high, other.low);
        let at_least = more || is_same(self.low, other.high);
        // A count is never a broken number.
        let broken = |a: Self, b: Self| a.whole && is_same(b.low, b.high) && !is_same(b.low, b.low.round());
        let apart = less || more || broken(self, other) || broken(other, self);
        match order {
            Order::Less if less => Some(true),
            Order::Less if at_least => Some(false),
            Order::AtMost if at_most => Some(true),
            Order::AtMost if more => Some(false),
            Order::More if more => Some(true),
            Order::More if at_most => Some(false),
            Order::AtLeast if at_least => Some(true),
            Order::AtLeast if less => Some(false),
            Order::Equal if apart => Some(false),
            Order::NotEqual if apart => Some(true),
            _ => None,
        }
    }

    /// The values that may stand on the left of a comparison that holds, when these stand on its right.
    pub(super) fn left_of(self, order: Order) -> Self {
        let by_limit = self.by_limit;
        match order {
            Order::Less => Self { high: self.high, below: true, by_limit, ..Self::ALL },
            Order::AtMost => Self { high: self.high, below: self.below, by_limit, ..Self::ALL },
            Order::More => Self { low: self.low, above: true, by_limit, ..Self::ALL },
            Order::AtLeast => Self { low: self.low, above: self.above, by_limit, ..Self::ALL },
            Order::Equal => Self { whole: false, ..self },
            Order::NotEqual => Self::ALL,
        }
    }

    /// The one value, where there is only one.
    pub(super) fn only(self) -> Option<f64> {
        (self.low == self.high && self.low.is_finite()).then_some(self.low)
    }

    /// Whether nothing below zero occurs.
    pub(super) fn not_negative(self) -> bool {
        self.low >= 0.0
    }
}
