//! Printing quantities in the author's own units.

use std::fmt;

use super::units::{UNITS, unit, unit_row};
use super::{Dimension, Form, Quantity, System, UnitId};

/// The unit a derived value is printed in, by dimension: imperial, metric.
const HABITS: &[(Dimension, &str, &str)] = &[
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

impl Quantity {
    /// The unit it is printed in: the author's, or the habit of the author's system for its size.
    #[must_use]
    pub fn unit(&self) -> Option<UnitId> {
        if let Some(id) = self.style.unit
            && unit_row(id).dimension == self.dimension
        {
            return Some(id);
        }
        let imperial = self.style.system == System::Imperial;
        let size = self.si.abs();
        let name = match (self.dimension, imperial) {
            (Dimension::LENGTH, true) if size >= 3.048 => "ft",
            (Dimension::LENGTH, false) if size >= 2.0 => "m",
            (Dimension::MASS, true) if size >= 0.453_592_37 => "lb",
            (Dimension::MASS, false) if size >= 1.0 => "kg",
            (Dimension::AREA, false) if size >= 1e-3 => "cm²",
            (Dimension::PRESSURE, false) if size >= 1e6 => "MPa",
            _ => match HABITS.iter().find(|(d, ..)| *d == self.dimension) {
                Some((_, inches, metres)) => {
                    if imperial {
                        inches
                    } else {
                        metres
                    }
                }
                None => {
                    UNITS
                        .iter()
                        .find(|u| u.dimension == self.dimension && u.dimension != Dimension::NUMBER)?
                        .name
                }
            },
        };
        by_name(name)
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
            None => (self.si, base_units(self.dimension)),
        }
    }

    /// Printed so that reading it back gives the same value within one part in a million: for edits to a file.
    #[must_use]
    pub fn exact(&self) -> String {
        self.printed(7)
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
        let mut text = decimal(total.abs() - whole * parts, digits - 2);
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
    let magnitude = value.abs().log10().floor();
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
    if (parts - parts.round()).abs() > 1e-6 || parts > 1e6 {
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
