//! The unit table against conversions computed apart from this program, and against the definitions of
//! NIST Special Publication 811 (2008), appendix B.

use crate::sheet::{close, near, rows};
use holdpoint::engineering::STANDARD_GRAVITY;
use holdpoint::quantity::{Dimension, Measure, UnitExpression};

/// The names of the check table and how a builder writes the same unit here.
const SPELLINGS: &[(&str, &str)] = &[
    ("inch", "in"),
    ("foot", "ft"),
    ("millimeter", "mm"),
    ("meter", "m"),
    // There is no row for it; a knot is one for each hour.
    ("nautical_mile", "kn*h"),
    ("pound", "lb"),
    ("ounce", "oz"),
    ("grain", "gr"),
    ("slug", "slug"),
    ("gram", "g"),
    ("kilogram", "kg"),
    ("force_pound", "lbf"),
    ("newton", "N"),
    ("psi", "psi"),
    ("ksi", "ksi"),
    ("pascal", "Pa"),
    ("kilopascal", "kPa"),
    ("megapascal", "MPa"),
    ("gigapascal", "GPa"),
    ("atmosphere", "atm"),
    ("inHg", "inHg"),
    ("foot*force_pound", "ft-lbf"),
    ("joule", "J"),
    ("pound/foot**3", "lb/ft^3"),
    ("pound/inch**3", "lb/in^3"),
    ("kilogram/meter**3", "kg/m^3"),
    ("gram/centimeter**3", "g/cm^3"),
    ("foot/second", "ft/s"),
    ("meter/second", "m/s"),
    ("mile/hour", "mph"),
    ("knot", "kn"),
    ("inch**3", "in^3"),
    ("milliliter", "mL"),
    ("meter**3", "m^3"),
    ("newton*second", "N*s"),
    ("force_pound*second", "lbf*s"),
    // The table sets one degree of each scale against the other, which is a difference of temperatures.
    ("degR", "degR"),
    ("kelvin", "deltaK"),
    ("ounce/yard**2", "oz/yd^2"),
    ("gram/meter**2", "g/m^2"),
    ("meter/second**2", "m/s^2"),
    ("foot/second**2", "ft/s^2"),
    ("degC", "degC"),
    ("degF", "degF"),
];

#[track_caller]
fn unit(spelling: &str) -> UnitExpression {
    holdpoint::quantity::unit(spelling).unwrap_or_else(|| panic!("no unit {spelling}"))
}

fn called(name: &str) -> UnitExpression {
    let spelling = SPELLINGS.iter().find(|(theirs, _)| *theirs == name);
    unit(spelling.unwrap_or_else(|| panic!("no spelling for {name}")).1)
}

fn convert(value: f64, from: UnitExpression, to: UnitExpression) -> f64 {
    assert_eq!(from.dimension, to.dimension);
    (value * from.factor + from.offset - to.offset) / to.factor
}

#[test]
fn conversions_agree_with_another_library() {
    let table = rows("unit_conversions.csv");
    assert_eq!(table.len(), 36);
    for row in &table {
        let what = format!("{} {} in {}", row.text("value"), row.text("from"), row.text("to"));
        let relative: f64 = row.text("tolerance").strip_suffix(" rel").unwrap().parse().unwrap();
        let value = convert(row.number("value"), called(row.text("from")), called(row.text("to")));
        close(&what, value, row.number("result"), relative);
    }
}

/// Every name of the table is met in it, so that no spelling above goes unchecked.
#[test]
fn no_spelling_is_idle() {
    let table = rows("unit_conversions.csv");
    for (name, _) in SPELLINGS {
        assert!(table.iter().any(|r| r.text("from") == *name || r.text("to") == *name), "{name}");
    }
}

/// A unit put together from its parts has the kind and size of the unit that stands in the table as one.
#[test]
fn built_units_agree_with_their_rows() {
    for row in &rows("unit_conversions.csv") {
        for name in [row.text("from"), row.text("to")] {
            if !name.contains(['*', '/']) {
                continue;
            }
            let built = name.replace("**", "^").replace("force_pound", "lbf").replace("centimeter", "cm");
            let (built, whole) = (unit(&built), called(name));
            assert_eq!(built.dimension, whole.dimension, "{name}");
            close(name, built.factor, whole.factor, 1e-14);
        }
    }
}

/// SP 811 appendix B gives these exactly; the last binary digits are all that may differ.
#[test]
fn exact_definitions_of_sp_811() {
    for (spelling, value, si) in [
        ("in", 25.4, "mm"),
        ("ft", 0.3048, "m"),
        ("lb", 0.453_592_37, "kg"),
        ("lbf", 4.448_221_615_260_5, "N"),
        ("gee", 9.806_65, "m/s²"),
    ] {
        close(spelling, convert(1.0, unit(spelling), unit(si)), value, 4.0 * f64::EPSILON);
    }
    near("standard gravity", STANDARD_GRAVITY, 9.806_65, 0.0);
}

/// SP 811 appendix B: t/°C = (t/°F − 32)/1.8 and T/K = (t/°F + 459.67)/1.8.
#[test]
fn fahrenheit_formula_of_sp_811() {
    for fahrenheit in [-459.67, -40.0, 0.0, 32.0, 59.0, 100.0, 212.0, 3000.0] {
        let kelvin = convert(fahrenheit, unit("degF"), unit("K"));
        near("K", kelvin, (fahrenheit + 459.67) / 1.8, 1e-11);
        near("Ra", convert(fahrenheit, unit("degF"), unit("Ra")), fahrenheit + 459.67, 1e-11);
        let celsius = convert(fahrenheit, unit("degF"), unit("degC"));
        near("degC", celsius, (fahrenheit - 32.0) / 1.8, 1e-11);
    }
    let boiling = Measure::read("212 °F", Dimension::TEMPERATURE).unwrap();
    near("212 °F as read", boiling.nominal.si, 373.15, 1e-11);
}

/// SP 811 appendix B lists the conventional inch of mercury as 3.386 389 E+03 Pa: seven digits, rounded.
#[test]
fn inch_of_mercury_of_sp_811() {
    near("inHg", convert(1.0, unit("inHg"), unit("Pa")), 3386.389, 0.0005);
}
