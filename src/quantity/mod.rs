//! Measures with their units: dimensions, units, reading what builders write, printing it back.
//!
//! Decided once, for the whole house:
//! - Values are kept in SI base units; the author's unit rides along as a [`Style`], for printing only.
//! - **Angle is a dimension of its own** (base unit: radian), so a clock angle is never taken for a ratio.
//! - **An absolute temperature and a temperature difference are different dimensions** (`absolute` flag):
//!   two absolute temperatures may be subtracted, never added or multiplied.
//! - Counts, ratios and percentages are plain numbers ([`Dimension::NUMBER`]).

mod arithmetic;
mod dimension;
mod print;
mod read;
mod typed;
mod unit_words;
mod units;

pub(crate) use arithmetic::is_same;
pub use arithmetic::{ArithmeticError, difference_dimension, sum_dimension};
pub use dimension::Dimension;
pub use print::{is_moment_unit, moment_unit, si_unit, unit_within};
pub use read::ReadError;
pub use typed::{
    Acceleration, Angle, Area, Current, Density, Dimensional, ElectricCharge, Energy, Force, Frequency,
    Impulse, Length, Mass, Power, Pressure, Resistance, Speed, Styled, Temperature, TemperatureDifference,
    Time, Voltage, Volume,
};
pub use units::{UNITS, Unit, UnitExpression, nearest_unit, unit, unit_name, unit_of, unit_row, units_of};

/// A value in SI base units with its dimension and the style it is to be printed in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The value in SI base units (m, kg, s, K, A, rad and their products).
    pub si: f64,
    /// What kind of entity it measures.
    pub dimension: Dimension,
    /// How the author would write it; never part of the value.
    pub style: Style,
}

/// How a quantity is printed: the author's unit where one is known, else the author's system of units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Style {
    /// Index of a unit in the unit table.
    pub unit: Option<UnitId>,
    /// Decimal digits or a fraction of an inch.
    pub form: Form,
    /// The system a derived value is printed in when no unit is known.
    pub system: System,
    /// Whether a length is a height or a distance of the flight, printed in feet or metres, and no size of a part.
    pub far: bool,
}

/// Index into the unit table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct UnitId(pub(crate) u16);

/// How the digits of a measure are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Form {
    /// `0.172 in`
    #[default]
    Decimal,
    /// `11/64 in`
    Fraction,
    /// `2 lb 3 oz`
    Compound,
}

/// The system of units an author writes in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// Not known: the value came from neither.
    #[default]
    Unknown,
    /// Inches, pounds, feet per second.
    Imperial,
    /// Millimetres, grams, metres per second.
    Metric,
}

/// A quantity as read from a file, with the tolerance stated beside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The nominal value.
    pub nominal: Quantity,
    /// How far the real part may differ.
    pub tolerance: Option<Tolerance>,
}

/// A stated tolerance, both sides as positive SI values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// How far below the nominal value the part may be.
    pub minus: f64,
    /// How far above.
    pub plus: f64,
}
