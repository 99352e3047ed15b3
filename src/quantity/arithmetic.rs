//! Sums and products of quantities, with their dimensions checked.

use std::cmp::Ordering;
use std::fmt;

use super::{Dimension, Form, Quantity, Style, System};

/// Why two quantities could not be combined.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ArithmeticError {
    /// The dimensions do not fit.
    Dimensions {
        /// What was tried: `add`, `compare`.
        doing: &'static str,
        /// The left one, in words.
        left: String,
        /// The right one, in words.
        right: String,
    },
    /// A division by zero.
    DivisionByZero,
    /// The result is not a number that can be worked with.
    OutOfRange,
}

impl fmt::Display for ArithmeticError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Dimensions { doing, left, right } => write!(f, "cannot {doing} {left} and {right}"),
            Self::DivisionByZero => f.write_str("it divides by zero"),
            Self::OutOfRange => f.write_str("the result is beyond what can be computed"),
        }
    }
}

impl std::error::Error for ArithmeticError {}

/// Two values this near, relative to the larger, are the same measure in different units.
const SAME: f64 = 1e-9;

impl Quantity {
    /// A plain number.
    #[must_use]
    pub fn number(value: f64) -> Self {
        Self::new(value, Dimension::NUMBER)
    }

    /// A quantity in SI base units, with no style.
    #[must_use]
    pub fn new(si: f64, dimension: Dimension) -> Self {
        Self { si, dimension, style: Style::default() }
    }

    /// The same quantity printed in another style.
    #[must_use]
    pub fn with_style(mut self, style: Style) -> Self {
        self.style = style;
        self
    }

    /// The same as a height or a distance of the flight, where it is a length.
    #[must_use]
    pub fn of_flight(mut self) -> Self {
        self.style.far = true;
        self
    }

    /// The sum. Two absolute temperatures have none.
    ///
    /// # Errors
    /// When the dimensions differ, or the result is out of range.
    pub fn plus(self, other: Self) -> Result<Self, ArithmeticError> {
        let dimension =
            sum_dimension(self.dimension, other.dimension).ok_or_else(|| clash("add", self, other))?;
        finish(self.si + other.si, dimension, kept(self, other))
    }

    /// The difference. Of two absolute temperatures it is a temperature difference.
    ///
    /// # Errors
    /// When the dimensions differ, or the result is out of range.
    pub fn minus(self, other: Self) -> Result<Self, ArithmeticError> {
        let dimension = difference_dimension(self.dimension, other.dimension)
            .ok_or_else(|| clash("subtract", self, other))?;
        let style = if dimension == self.dimension { kept(self, other) } else { system_only(self, other) };
        finish(self.si - other.si, dimension, style)
    }

    /// The product.
    ///
    /// # Errors
    /// When one is an absolute temperature, or the result is out of range.
    pub fn times(self, other: Self) -> Result<Self, ArithmeticError> {
        let dimension =
            self.dimension.times(other.dimension).ok_or_else(|| clash("multiply", self, other))?;
        let style = if other.dimension == Dimension::NUMBER {
            scaled(self)
        } else if self.dimension == Dimension::NUMBER {
            scaled(other)
        } else {
            system_only(self, other)
        };
        finish(self.si * other.si, dimension, style)
    }

    /// The quotient.
    ///
    /// # Errors
    /// When the divisor is zero, one is an absolute temperature, or the result is out of range.
    pub fn over(self, other: Self) -> Result<Self, ArithmeticError> {
        let dimension = self.dimension.over(other.dimension).ok_or_else(|| clash("divide", self, other))?;
        if other.si == 0.0 {
            return Err(ArithmeticError::DivisionByZero);
        }
        let style =
            if other.dimension == Dimension::NUMBER { scaled(self) } else { system_only(self, other) };
        finish(self.si / other.si, dimension, style)
    }

    /// The negative; not of an absolute temperature.
    ///
    /// # Errors
    /// For an absolute temperature.
    pub fn negated(self) -> Result<Self, ArithmeticError> {
        if self.dimension.is_absolute() {
            return Err(clash("negate", self, self));
        }
        Ok(Self { si: -self.si, ..self })
    }

    /// A whole power.
    ///
    /// # Errors
    /// For an absolute temperature, an exponent out of range, or zero to a negative power.
    pub fn pow(self, exponent: i8) -> Result<Self, ArithmeticError> {
        let dimension = self.dimension.power(exponent).ok_or_else(|| clash("raise", self, self))?;
        if self.si == 0.0 && exponent < 0 {
            return Err(ArithmeticError::DivisionByZero);
        }
        let style = if dimension == self.dimension { self.style } else { system_only(self, self) };
        finish(self.si.powi(i32::from(exponent)), dimension, style)
    }

    /// The square root.
    ///
    /// # Errors
    /// Of a negative value, or when the dimension has no root.
    pub fn sqrt(self) -> Result<Self, ArithmeticError> {
        let dimension = self.dimension.root().ok_or_else(|| clash("take the root of", self, self))?;
        if self.si < 0.0 {
            return Err(ArithmeticError::OutOfRange);
        }
        let style = if dimension == self.dimension { self.style } else { system_only(self, self) };
        finish(self.si.sqrt(), dimension, style)
    }

    /// The size without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self { si: self.si.abs(), ..self }
    }

    /// Compares nominal values; two within one part in 10⁹ are equal, so `1/4 in` equals `6.35 mm`.
    ///
    /// # Errors
    /// When the dimensions differ.
    pub fn compare(self, other: Self) -> Result<Ordering, ArithmeticError> {
        if self.dimension != other.dimension {
            return Err(clash("compare", self, other));
        }
        if is_same(self.si, other.si) {
            return Ok(Ordering::Equal);
        }
        self.si.partial_cmp(&other.si).ok_or(ArithmeticError::OutOfRange)
    }
}

/// Whether two numbers count as one: within one part in 10⁹.
pub(crate) fn is_same(a: f64, b: f64) -> bool {
    let apart = (a - b).abs();
    a == b || (apart.is_finite() && apart <= SAME * a.abs().max(b.abs()))
}

/// The dimension of a sum, or `None` where two entities cannot be added.
#[must_use]
pub fn sum_dimension(left: Dimension, right: Dimension) -> Option<Dimension> {
    match (left.is_absolute(), right.is_absolute()) {
        (false, false) => (left == right).then_some(left),
        (true, false) => (right == Dimension::TEMPERATURE_DIFFERENCE).then_some(left),
        (false, true) => (left == Dimension::TEMPERATURE_DIFFERENCE).then_some(right),
        (true, true) => None,
    }
}

/// The dimension of a difference, or `None` where one entity cannot be taken from the other.
#[must_use]
pub fn difference_dimension(left: Dimension, right: Dimension) -> Option<Dimension> {
    match (left.is_absolute(), right.is_absolute()) {
        (false, false) => (left == right).then_some(left),
        (true, false) => (right == Dimension::TEMPERATURE_DIFFERENCE).then_some(left),
        (true, true) => Some(Dimension::TEMPERATURE_DIFFERENCE),
        (false, true) => None,
    }
}

fn finish(si: f64, dimension: Dimension, style: Style) -> Result<Quantity, ArithmeticError> {
    if si.is_finite() { Ok(Quantity { si, dimension, style }) } else { Err(ArithmeticError::OutOfRange) }
}

fn clash(doing: &'static str, left: Quantity, right: Quantity) -> ArithmeticError {
    ArithmeticError::Dimensions { doing, left: left.dimension.in_words(), right: right.dimension.in_words() }
}

/// A sum is printed like its left part, or its right where the left has no unit (a bare zero).
fn kept(left: Quantity, right: Quantity) -> Style {
    let from = if left.style.unit.is_some() { left.style } else { right.style };
    let far = left.style.far || right.style.far;
    Style { form: Form::Decimal, system: system_only(left, right).system, far, ..from }
}

fn scaled(of: Quantity) -> Style {
    Style { form: Form::Decimal, ..of.style }
}

fn system_only(left: Quantity, right: Quantity) -> Style {
    let system = if left.style.system == System::Unknown { right.style.system } else { left.style.system };
    Style { unit: None, form: Form::Decimal, system, far: false }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;

    fn q(text: &str) -> Quantity {
        Quantity::read(text).unwrap()
    }

    #[test]
    fn the_same_size_in_two_units_is_equal() {
        assert_eq!(q("1/4 in").compare(q("6.35 mm")).unwrap(), Ordering::Equal);
        assert_eq!(q("6.36 mm").compare(q("1/4 in")).unwrap(), Ordering::Greater);
        assert!(q("1 in").compare(q("1 lb")).is_err());
    }

    #[test]
    fn absolute_temperatures_are_points_on_a_scale() {
        let difference = q("65 degF").minus(q("15 degF")).unwrap();
        assert_eq!(difference.dimension, Dimension::TEMPERATURE_DIFFERENCE);
        assert!((difference.si - 50.0 * 5.0 / 9.0).abs() < 1e-9);
        assert!(q("65 degF").plus(q("15 degF")).is_err());
        assert!(q("65 degF").times(Quantity::number(2.0)).is_err());
        assert_eq!(q("20 degC").plus(q("5 deltaC")).unwrap().to_string(), "25 degC");
    }

    #[test]
    fn nothing_infinite_leaves() {
        assert_eq!(q("1 in").over(q("0 s")), Err(ArithmeticError::DivisionByZero));
        let big = Quantity::new(1e300, Dimension::LENGTH);
        assert_eq!(big.times(big), Err(ArithmeticError::OutOfRange));
    }

    #[test]
    fn a_derived_value_keeps_the_authors_system() {
        let area = q("2 in").times(q("3 in")).unwrap();
        assert_eq!(area.to_string(), "6 in²");
        assert_eq!(q("20 mm").times(q("3 mm")).unwrap().to_string(), "60 mm²");
        assert_eq!(q("11/64 in").times(Quantity::number(2.0)).unwrap().to_string(), "0.3438 in");
    }
}
