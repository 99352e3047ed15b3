//! Printing quantities in the author's own units.

use std::fmt;

use super::units::{UNITS, unit, unit_row};
use super::{Dimension, Form, Quantity, System, UnitId};

/// The unit a derived value is printed in, by dimension: imperial, metric.
const PREFERRED_UNITS: &[(Dimension, &str, &str)] = &[
    (Dimension::LENGTH, "in", "mm"),
    (Dimension::AREA, "in²", "mm²"),
    (Dimension::VOLUME, "in³", "cm³"),
    (Dimension::MASS, "oz", "g"),
    (Dimension::TIME, "s", "s"),
    (Dimension::SPEED, "ft/s", "m/s"),
    (Dimension::ACCELERATION, "ft/s²", "m/s²"),
    (Dimension::FORCE, "lbf", "N"),
    (Dimension::PRESSURE, "psi", "kPa"),
    (Dimension::ENERGY, "ft-lbf", "J"),
    (Dimension::IMPULSE, "N·s", "N·s"),
    (Dimension::DENSITY, "lb/ft³", "kg/m³"),
    (Dimension::TEMPERATURE, "degF", "degC"),
    (Dimension::TEMPERATURE_DIFFERENCE, "deltaF", "deltaC"),
    (Dimension::ANGLE, "°", "°"),
];

fn by_name(name: &str) -> Option<UnitId> {
    UNITS.iter().position(|u| u.name == name).and_then(|i| u16::try_from(i).ok()).map(UnitId)
}

/// So many digits has what is written into a file.
const EXACT: i32 = 7;

/// Units, smallest first, each with the size from which it is taken.
type Steps = &'static [(&'static str, f64)];

/// The units that are multiples of one another, smallest first, each with the size from which it is taken.
const MULTIPLES: &[(Dimension, System, Steps)] = &[
    (Dimension::MASS, System::Imperial, &[("oz", 0.0), ("lb", 0.453_592_37)]),
    (Dimension::MASS, System::Metric, &[("g", 0.0), ("kg", 1.0)]),
    (Dimension::AREA, System::Metric, &[("mm²", 0.0), ("cm²", 1e-3), ("m²", 1.0)]),
    (Dimension::FORCE, System::Metric, &[("N", 0.0), ("kN", 1e4)]),
    (Dimension::PRESSURE, System::Metric, &[("Pa", 0.0), ("kPa", 100.0), ("MPa", 1e6), ("GPa", 1e9)]),
];

/// The unit of a size that people who write in a system of units take; lengths that are no sizes of parts in feet or metres.
fn preferred_unit(dimension: Dimension, system: System, si: f64, far: bool) -> Option<UnitId> {
    let system = if system == System::Imperial { system } else { System::Metric };
    if dimension == Dimension::LENGTH && far {
        return by_name(if system == System::Imperial { "ft" } else { "m" });
    }
    let multiples = MULTIPLES.iter().find(|(d, s, _)| *d == dimension && *s == system);
    let of_size = multiples.and_then(|(.., units)| units.iter().rev().find(|(_, from)| si.abs() >= *from));
    let preferred = PREFERRED_UNITS.iter().find(|(d, ..)| *d == dimension);
    let name = match (of_size, preferred) {
        (Some((name, _)), _) => name,
        (None, Some((_, inches, metres))) => {
            if system == System::Imperial {
                inches
            } else {
                metres
            }
        }
        (None, None) => super::unit_of(dimension, system).filter(|_| dimension != Dimension::NUMBER)?,
    };
    by_name(name)
}

/// The unit of a size in a design whose author mostly writes one unit for its dimension: that one, or a multiple of it where people
/// change to multiples; none mostly written, the preferred unit of a system.
#[must_use]
pub fn unit_within(
    dimension: Dimension,
    mostly: Option<UnitId>,
    system: System,
    si: f64,
    far: bool,
) -> Option<UnitId> {
    let Some(own) = mostly else { return preferred_unit(dimension, system, si, far) };
    let row = unit_row(own);
    let multiples = MULTIPLES.iter().filter(|(d, s, _)| *d == dimension && *s == row.system);
    let one_of_them = multiples.flat_map(|(.., units)| units.iter()).any(|(name, _)| *name == row.name);
    if one_of_them { preferred_unit(dimension, row.system, si, far) } else { Some(own) }
}

/// The units of a moment: imperial, metric.
const MOMENTS: [&str; 2] = ["lbf·in", "N·m"];

/// The unit of a moment, which has the dimension of an energy and is never one.
#[must_use]
pub fn moment_unit(system: System) -> Option<UnitId> {
    let [inches, metres] = MOMENTS;
    by_name(if system == System::Imperial { inches } else { metres })
}

/// Whether a unit is one of a moment.
#[must_use]
pub fn is_moment_unit(id: UnitId) -> bool {
    MOMENTS.contains(&unit_row(id).name)
}

impl Quantity {
    /// The unit it is printed in: the author's, or the preferred unit of the author's system for its size.
    #[must_use]
    pub fn unit(&self) -> Option<UnitId> {
        if let Some(id) = self.style.unit
            && unit_row(id).dimension == self.dimension
        {
            return Some(id);
        }
        preferred_unit(self.dimension, self.style.system, self.si, self.style.far)
    }

    /// The value in a unit of the table.
    #[must_use]
    pub fn value_in(&self, id: UnitId) -> f64 {
        let row = unit_row(id);
        (self.si - row.offset) / row.factor
    }

    /// The number and the name of the unit it is printed in; the name is empty for a plain number.
    #[must_use]
    pub fn value_and_unit(&self) -> (f64, String) {
        match self.unit() {
            Some(id) => (self.value_in(id), unit_row(id).name.to_owned()),
            None if self.dimension == Dimension::NUMBER => (self.si, String::new()),
            None => match compound_unit(self.dimension, self.style.system) {
                Some((factor, name)) => (self.si / factor, name.to_owned()),
                None => (self.si, base_units(self.dimension)),
            },
        }
    }

    /// Printed so that reading it back gives the same value within one part in a million: for edits to a file.
    #[must_use]
    pub fn exact(&self) -> String {
        self.printed(EXACT)
    }

    /// Printed for a working: of a size of a part every thousandth of an inch and every hundredth of a millimetre, and one
    /// digit more of a height, so that a difference of two of them can be followed.
    #[must_use]
    pub fn fine(&self) -> String {
        let (value, unit) = self.value_and_unit();
        let decimals = match unit.as_str() {
            "in" | "cm" => 3,
            "mm" => 2,
            "m" | "ft" => return self.printed(5),
            _ => return self.printed(4),
        };
        // The places of the largest digit: 1 of 1 to 9, 3 of 100 to 999.
        let mut whole = 0;
        while whole < 7 && value.abs() >= 10_f64.powi(whole) {
            whole += 1;
        }
        self.printed((whole + decimals).max(4))
    }

    /// Printed to three digits, for what is not known better.
    #[must_use]
    pub fn rough(&self) -> String {
        self.printed(3)
    }

    fn printed(&self, digits: i32) -> String {
        let (value, unit) = self.value_and_unit();
        let number = match self.style.form {
            Form::Fraction => fraction(value).unwrap_or_else(|| decimal(value, digits)),
            Form::Compound => {
                if let Some(text) = self.compound(digits) {
                    return text;
                }
                decimal(value, digits)
            }
            Form::Decimal => decimal(value, digits),
        };
        match unit.as_str() {
            "" => number,
            "°" => format!("{number}°"),
            _ => format!("{number} {unit}"),
        }
    }

    /// `2 lb 3 oz`, `5 ft 3 in`: a larger unit and the next smaller one.
    fn compound(&self, digits: i32) -> Option<String> {
        let (large, small, parts) = match unit_row(self.unit()?).name {
            "lb" => ("lb", "oz", 16.0),
            "ft" => ("ft", "in", 12.0),
            _ => return None,
        };
        let total = self.value_in(by_name(small)?);
        let mut whole = (total.abs() / parts).floor();
        // What is printed for a file is exact in the smaller unit too.
        let digits_of_rest = if digits < EXACT { digits - 2 } else { digits };
        let mut text = decimal(total.abs() - whole * parts, digits_of_rest);
        if text.parse::<f64>().is_ok_and(|rest| rest >= parts) {
            whole += 1.0;
            "0".clone_into(&mut text);
        }
        let sign = if total < 0.0 { "-" } else { "" };
        Some(format!("{sign}{whole} {large} {text} {small}"))
    }
}

/// The SI unit of a dimension, in base units; empty for a plain number.
#[must_use]
pub fn si_unit(dimension: Dimension) -> String {
    if dimension == Dimension::TEMPERATURE { "K".to_owned() } else { base_units(dimension) }
}

/// What quantities without a unit of their own are printed in: metric, customary.
const COMPOUND: &[(&str, &str)] =
    &[("ohm·m", "ohm·m"), ("Pa·s", "lb/ft/s"), ("J/kg", "ft-lbf/lb"), ("g/m", "oz/yd"), ("N/m", "lbf/in")];

fn compound_unit(dimension: Dimension, system: System) -> Option<(f64, &'static str)> {
    let names = COMPOUND.iter().map(|(metric, customary)| match system {
        System::Imperial => *customary,
        _ => *metric,
    });
    let found = names.filter_map(|name| unit(name).map(|unit| (unit, name)));
    found.into_iter().find(|(unit, _)| unit.dimension == dimension).map(|(unit, name)| (unit.factor, name))
}

fn base_units(dimension: Dimension) -> String {
    let mut text = String::new();
    for (name, exponent) in ["m", "kg", "s", "K", "A", "rad"].iter().zip(dimension.exponents()) {
        if exponent == 0 {
            continue;
        }
        if !text.is_empty() {
            text.push('*');
        }
        // A kelvin is an absolute temperature in the table; a difference is spelled apart.
        text.push_str(if *name == "K" { "deltaC" } else { name });
        if exponent != 1 {
            text.push_str(&format!("^{exponent}"));
        }
    }
    debug_assert!(text.is_empty() || unit(&text).is_some(), "{text}");
    text
}

/// A number with so many significant digits, without trailing zeros.
fn decimal(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let magnitude = libm::log10(value.abs()).floor();
    if !(-5.0..9.0).contains(&magnitude) {
        return format!("{:.*e}", usize::try_from(digits - 1).unwrap_or(3), value);
    }
    // The magnitude is within ±9 here, so the cast is exact.
    #[allow(clippy::cast_possible_truncation, reason = "between -5 and 9")]
    let places = (digits - 1 - magnitude as i32).clamp(0, 12);
    let text = format!("{value:.*}", usize::try_from(places).unwrap_or(0));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// `11/64`, `1 1/2`; none where the value is no 64th.
fn fraction(value: f64) -> Option<String> {
    let parts = value.abs() * 64.0;
    let rounds_to_zero = parts.round() == 0.0 && value != 0.0;
    if rounds_to_zero || (parts - parts.round()).abs() > 1e-6 || parts > 1e6 {
        return None;
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole, positive and below 1e6"
    )]
    let mut over = parts.round() as u64;
    let mut under = 64;
    while over.is_multiple_of(2) && under > 1 {
        over /= 2;
        under /= 2;
    }
    let sign = if value < 0.0 { "-" } else { "" };
    let (whole, rest) = (over / under, over % under);
    Some(match (whole, rest) {
        (whole, 0) => format!("{sign}{whole}"),
        (0, rest) => format!("{sign}{rest}/{under}"),
        (whole, rest) => format!("{sign}{whole} {rest}/{under}"),
    })
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.printed(4))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may panic")]
    use super::super::Style;
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn prints_as_the_author_wrote() {
        for text in [
            "4.02 in",
            "11/64 in",
            "1 1/2 in",
            "98 mm",
            "2 lb 3 oz",
            "65 degF",
            "12°",
            "95 ft/s",
            "0.75",
            "400",
        ] {
            assert_eq!(Quantity::read(text).unwrap().to_string(), text);
        }
        let (inch, form) = (by_name("in"), Form::Fraction);
        let sliver = Quantity::new(1e-12, Dimension::LENGTH).with_style(Style {
            unit: inch,
            form,
            ..Style::default()
        });
        assert_eq!(Quantity::read("1 lb 6.05312 oz").unwrap().exact(), "1 lb 6.05312 oz");
        assert_eq!(sliver.to_string(), "3.937e-11 in", "little is not nothing");
        assert_eq!(Quantity::new(0.00254, Dimension::LENGTH).to_string(), "2.54 mm");
    }

    proptest! {
        #[test]
        fn what_is_printed_can_be_read_back(value in 1e-3_f64..1e6, row in 0..UNITS.len()) {
            let unit = &UNITS[row];
            let text = format!("{value} {}", unit.name);
            let read = Quantity::read(&text).unwrap();
            let again = Quantity::read(&read.exact()).unwrap();
            prop_assert_eq!(again.dimension, read.dimension);
            prop_assert!((again.value_in(UnitId(u16::try_from(row).unwrap())) / value - 1.0).abs() < 1.1e-6, "{} -> {}", text, read.exact());
            let shown = Quantity::read(&read.to_string()).unwrap();
            prop_assert!((shown.si - read.si).abs() <= read.si.abs() * 1e-3 + unit.factor * 1e-4 + unit.offset * 1e-3);
        }

        #[test]
        fn derived_values_can_be_read_back(l in -3_i8..4, m in -2_i8..3, t in -3_i8..3, si in 1e-3_f64..1e3) {
            let one = |text: &str, e: i8| Quantity::read(text).unwrap().pow(e).unwrap();
            let derived = one("1 m", l).times(one("1 kg", m)).unwrap().times(one("1 s", t)).unwrap()
                .times(Quantity::number(si)).unwrap();
            let again = Quantity::read(&derived.exact()).unwrap();
            prop_assert_eq!(again.dimension, derived.dimension);
            prop_assert!((again.si / derived.si - 1.0).abs() < 1.1e-6);
        }
    }
}
