//! The one table of units, and units built from its rows (`m/s`, `lb/in^3`).

use std::collections::HashMap;
use std::sync::LazyLock;

use super::{Dimension, System, UnitId};

/// A row of the unit table.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// As it is printed and may be written.
    pub name: &'static str,
    /// Other spellings.
    pub also: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// One of it in SI base units.
    pub factor: f64,
    /// What is added after scaling; not zero for absolute temperatures only.
    pub offset: f64,
    /// The system of units it belongs to.
    pub system: System,
    /// The same unit defined through others, which the table's test compares with `factor`.
    pub equals: &'static str,
}

/// A unit as written, possibly built from several rows of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitExpression {
    /// What it measures.
    pub dimension: Dimension,
    /// One of it in SI base units.
    pub factor: f64,
    /// What is added after scaling.
    pub offset: f64,
    /// Its row, when it is a row.
    pub id: Option<UnitId>,
    /// The system of the first part that has one.
    pub system: System,
}

const fn row(
    name: &'static str,
    also: &'static [&'static str],
    dimension: Dimension,
    factor: f64,
    system: System,
    equals: &'static str,
) -> Unit {
    Unit { name, also, dimension, factor, offset: 0.0, system, equals }
}

const fn scale(
    name: &'static str,
    also: &'static [&'static str],
    factor: f64,
    offset: f64,
    system: System,
) -> Unit {
    Unit { name, also, dimension: Dimension::TEMPERATURE, factor, offset, system, equals: "" }
}

use Dimension as D;
use System::{Imperial as I, Metric as M, Unknown as U};

const INCH: f64 = 0.0254;
const FOOT: f64 = 0.3048;
const POUND: f64 = 0.453_592_37;
const POUND_FORCE: f64 = 4.448_221_615_260_5;

/// All units. Commonest first within a dimension: help texts list them in this order.
///
/// Factors: NIST Special Publication 811 (2008), appendix B; exact where that page marks them exact.
pub static UNITS: &[Unit] = &[
    row("in", &["inch", "inches", "\"", "″"], D::LENGTH, INCH, I, "25.4 mm"),
    row("mm", &["millimetre", "millimetres", "millimeter", "millimeters"], D::LENGTH, 1e-3, M, "1000 µm"),
    row("ft", &["foot", "feet", "'", "′"], D::LENGTH, FOOT, I, "12 in"),
    row("m", &["metre", "metres", "meter", "meters"], D::LENGTH, 1.0, M, "100 cm"),
    row("cm", &[], D::LENGTH, 1e-2, M, "10 mm"),
    row("km", &[], D::LENGTH, 1e3, M, "1000 m"),
    row("mi", &["mile", "miles"], D::LENGTH, 1609.344, I, "5280 ft"),
    row("yd", &["yard", "yards"], D::LENGTH, 0.9144, I, "3 ft"),
    row("mil", &["thou"], D::LENGTH, 2.54e-5, I, "0.001 in"),
    row("µm", &["um", "μm", "micron", "microns"], D::LENGTH, 1e-6, M, "0.001 mm"),
    row("in²", &["in^2", "sqin", "in2"], D::AREA, INCH * INCH, I, "645.16 mm^2"),
    row("mm²", &["mm^2", "mm2"], D::AREA, 1e-6, M, "0.01 cm^2"),
    row("ft²", &["ft^2", "sqft", "ft2"], D::AREA, FOOT * FOOT, I, "144 in^2"),
    row("cm²", &["cm^2", "cm2"], D::AREA, 1e-4, M, "100 mm^2"),
    row("m²", &["m^2", "m2"], D::AREA, 1.0, M, "10000 cm^2"),
    row("in³", &["in^3", "cuin", "in3"], D::VOLUME, INCH * INCH * INCH, I, "16.387064 mL"),
    row("cm³", &["cm^3", "cc", "cm3"], D::VOLUME, 1e-6, M, "1000 mm^3"),
    row("mL", &["ml"], D::VOLUME, 1e-6, M, "1 cm^3"),
    row("L", &["l", "litre", "litres", "liter", "liters"], D::VOLUME, 1e-3, M, "1000 cm^3"),
    row("ft³", &["ft^3", "ft3"], D::VOLUME, FOOT * FOOT * FOOT, I, "1728 in^3"),
    row("mm³", &["mm^3", "mm3"], D::VOLUME, 1e-9, M, ""),
    row("m³", &["m^3", "m3"], D::VOLUME, 1.0, M, "1000 L"),
    row("oz", &["ounce", "ounces"], D::MASS, POUND / 16.0, I, "28.349523125 g"),
    row("g", &["gram", "grams"], D::MASS, 1e-3, M, "1000 mg"),
    row("lb", &["lbs", "lbm", "pound", "pounds"], D::MASS, POUND, I, "16 oz"),
    row("kg", &["kilogram", "kilograms"], D::MASS, 1.0, M, "1000 g"),
    row("mg", &[], D::MASS, 1e-6, M, ""),
    row("gr", &["grain", "grains"], D::MASS, 6.479_891e-5, I, "64.79891 mg"),
    row("slug", &["slugs"], D::MASS, POUND_FORCE / FOOT, I, "14.593902937206363 kg"),
    row("s", &["sec", "second", "seconds"], D::TIME, 1.0, U, "1000 ms"),
    row("min", &["minute", "minutes"], D::TIME, 60.0, U, "60 s"),
    row("h", &["hr", "hour", "hours"], D::TIME, 3600.0, U, "60 min"),
    row("days", &["day", "d"], D::TIME, 86400.0, U, "24 h"),
    row("ms", &[], D::TIME, 1e-3, U, ""),
    row("ft/s", &["fps", "ft/sec"], D::SPEED, FOOT, I, "0.3048 m/s"),
    row("m/s", &["m/sec"], D::SPEED, 1.0, M, "3.6 km/h"),
    row("mph", &[], D::SPEED, 0.447_04, I, "1 mi/h"),
    row("km/h", &["kph"], D::SPEED, 1.0 / 3.6, M, ""),
    row("kn", &["knot", "knots", "kt"], D::SPEED, 1852.0 / 3600.0, U, "1.852 km/h"),
    row("ft/s²", &["ft/s^2"], D::ACCELERATION, FOOT, I, "12 in/s^2"),
    row("m/s²", &["m/s^2"], D::ACCELERATION, 1.0, M, "100 cm/s^2"),
    row("gee", &["gees"], D::ACCELERATION, 9.806_65, U, "9.80665 m/s^2"),
    row("lbf", &["pounds-force"], D::FORCE, POUND_FORCE, I, "1 lb*gee"),
    row("N", &["newton", "newtons"], D::FORCE, 1.0, M, "1 kg*m/s^2"),
    row("kN", &[], D::FORCE, 1e3, M, "1000 N"),
    row("ozf", &[], D::FORCE, POUND_FORCE / 16.0, I, "0.0625 lbf"),
    row("psi", &["lbf/in²", "lbf/in^2"], D::PRESSURE, POUND_FORCE / (INCH * INCH), I, "6894.757293168362 Pa"),
    row("kPa", &[], D::PRESSURE, 1e3, M, "1000 Pa"),
    row("Pa", &[], D::PRESSURE, 1.0, M, "1 N/m^2"),
    row("hPa", &["mbar"], D::PRESSURE, 100.0, M, "100 Pa"),
    row("ksi", &[], D::PRESSURE, 1000.0 * POUND_FORCE / (INCH * INCH), I, "1000 psi"),
    row("MPa", &["N/mm²", "N/mm^2"], D::PRESSURE, 1e6, M, "1000 kPa"),
    row("GPa", &[], D::PRESSURE, 1e9, M, "1000 MPa"),
    row("bar", &[], D::PRESSURE, 1e5, M, "100 kPa"),
    row("atm", &[], D::PRESSURE, 101_325.0, U, "1013.25 hPa"),
    row("inHg", &[], D::PRESSURE, 3_386.388_640_340_997_5, I, ""),
    row("ft-lbf", &["ft·lbf", "ft*lbf", "ft-lb"], D::ENERGY, FOOT * POUND_FORCE, I, "12 in*lbf"),
    row("J", &["joule", "joules"], D::ENERGY, 1.0, M, "1 N*m"),
    row("mJ", &[], D::ENERGY, 1e-3, M, ""),
    row("N·m", &["N*m", "Nm", "N-m"], D::ENERGY, 1.0, M, "1 J"),
    row(
        "lbf·in",
        &["lbf*in", "in·lbf", "in*lbf", "in-lbf"],
        D::ENERGY,
        INCH * POUND_FORCE,
        I,
        "0.1129848290276167 N*m",
    ),
    row("N·s", &["Ns", "N*s", "N-s", "N-sec", "newton-seconds"], D::IMPULSE, 1.0, M, "1 kg*m/s"),
    row("lbf·s", &["lbf*s", "lbf-s"], D::IMPULSE, POUND_FORCE, I, "4.4482216152605 N*s"),
    row("lb/in³", &["lb/in^3"], D::DENSITY, POUND / (INCH * INCH * INCH), I, "27.679904710203125 g/cm^3"),
    row("g/cm³", &["g/cm^3", "g/cc", "g/mL"], D::DENSITY, 1e3, M, "1000 kg/m^3"),
    row("kg/m³", &["kg/m^3"], D::DENSITY, 1.0, M, "0.001 g/cm^3"),
    row("lb/ft³", &["lb/ft^3"], D::DENSITY, POUND / (FOOT * FOOT * FOOT), I, "16.018463373960142 kg/m^3"),
    row("oz/yd²", &["oz/yd^2"], D::AREAL_DENSITY, POUND / 16.0 / 0.836_127_36, I, "33.90574747488219 g/m^2"),
    row("g/m²", &["g/m^2", "gsm"], D::AREAL_DENSITY, 1e-3, M, "0.001 kg/m^2"),
    row("g/m", &[], D::LINEAR_DENSITY, 1e-3, M, "0.001 kg/m"),
    row("oz/yd", &[], D::LINEAR_DENSITY, POUND / 16.0 / 0.9144, I, "1 oz/yd"),
    row("°", &["deg", "degree", "degrees"], D::ANGLE, std::f64::consts::PI / 180.0, U, ""),
    row("rad", &["radian", "radians"], D::ANGLE, 1.0, U, ""),
    row("rad/s", &[], D::ANGULAR_SPEED, 1.0, U, ""),
    scale("degF", &["°F", "℉", "F", "ºF"], 5.0 / 9.0, 459.67 * 5.0 / 9.0, I),
    scale("degC", &["°C", "℃", "C", "ºC"], 1.0, 273.15, M),
    scale("K", &["kelvin"], 1.0, 0.0, U),
    scale("Ra", &["°Ra", "rankine"], 5.0 / 9.0, 0.0, I),
    row("deltaF", &["degR"], D::TEMPERATURE_DIFFERENCE, 5.0 / 9.0, I, ""),
    row("deltaC", &["deltaK"], D::TEMPERATURE_DIFFERENCE, 1.0, M, "1.8 deltaF"),
    row("A", &["amp", "amps", "ampere"], D::CURRENT, 1.0, U, "1000 mA"),
    row("mA", &[], D::CURRENT, 1e-3, U, "0.001 A"),
    row("mAh", &[], D::CHARGE, 3.6, U, "1 mA*h"),
    row("Ah", &[], D::CHARGE, 3600.0, U, "1000 mAh"),
    row("V", &["volt", "volts"], D::VOLTAGE, 1.0, U, "1 W/A"),
    row("mV", &[], D::VOLTAGE, 1e-3, U, ""),
    row("ohm", &["ohms", "Ω", "\u{2126}"], D::RESISTANCE, 1.0, U, "1 V/A"),
    row("W", &["watt", "watts"], D::POWER, 1.0, U, "1 J/s"),
    row("mW", &[], D::POWER, 1e-3, U, ""),
    row("Hz", &[], D::FREQUENCY, 1.0, U, ""),
    row("MHz", &[], D::FREQUENCY, 1e6, U, "1000000 Hz"),
    row("GHz", &[], D::FREQUENCY, 1e9, U, "1000 MHz"),
    row("%", &["percent"], D::NUMBER, 0.01, U, ""),
];

/// The row of a unit; the first row for an index that is not one.
#[must_use]
pub fn unit_row(id: UnitId) -> &'static Unit {
    static NONE: Unit = row("", &[], D::NUMBER, 1.0, U, "");
    UNITS.get(usize::from(id.0)).unwrap_or(&NONE)
}

/// The printed name of a unit.
#[must_use]
pub fn unit_name(id: UnitId) -> &'static str {
    unit_row(id).name
}

/// The unit written as `text`: a row of the table, or rows joined by `*`, `·`, `/` and powers, without white space.
#[must_use]
pub fn unit(text: &str) -> Option<UnitExpression> {
    if let Some(found) = lookup(text) {
        return Some(found);
    }
    let mut total: Option<UnitExpression> = None;
    let mut divide = false;
    let mut rest = text;
    loop {
        let end = rest.find(['*', '·', '/']).unwrap_or(rest.len());
        let part = powered(rest.get(..end)?)?;
        if part.offset != 0.0 || part.dimension.is_absolute() {
            return None;
        }
        total = Some(match total {
            None => UnitExpression { id: None, ..part },
            Some(so_far) => UnitExpression {
                dimension: if divide {
                    so_far.dimension.over(part.dimension)?
                } else {
                    so_far.dimension.times(part.dimension)?
                },
                factor: if divide { so_far.factor / part.factor } else { so_far.factor * part.factor },
                offset: 0.0,
                id: None,
                system: if so_far.system == U { part.system } else { so_far.system },
            },
        });
        let Some(sign) = rest.get(end..)?.chars().next() else { return total };
        divide = sign == '/';
        rest = rest.get(end + sign.len_utf8()..)?;
    }
}

fn lookup(text: &str) -> Option<UnitExpression> {
    static BY_NAME: LazyLock<HashMap<&'static str, usize>> = LazyLock::new(|| {
        let names = |row: &'static Unit| std::iter::once(row.name).chain(row.also.iter().copied());
        // Backwards, so that the first of two rows with a name in common keeps it.
        UNITS.iter().enumerate().rev().flat_map(|(i, row)| names(row).map(move |name| (name, i))).collect()
    });
    let index = *BY_NAME.get(text)?;
    let row = UNITS.get(index)?;
    Some(UnitExpression {
        dimension: row.dimension,
        factor: row.factor,
        offset: row.offset,
        id: u16::try_from(index).ok().map(UnitId),
        system: row.system,
    })
}

fn powered(text: &str) -> Option<UnitExpression> {
    let (base, exponent) = if let Some((base, power)) = text.split_once('^') {
        (base, power.parse::<i8>().ok()?)
    } else if let Some(base) = text.strip_suffix('²') {
        (base, 2)
    } else if let Some(base) = text.strip_suffix('³') {
        (base, 3)
    } else {
        return lookup(text);
    };
    let unit = lookup(base)?;
    Some(UnitExpression {
        dimension: unit.dimension.power(exponent)?,
        factor: unit.factor.powi(i32::from(exponent)),
        id: None,
        ..unit
    })
}

/// The names of the units of a dimension, commonest first.
#[must_use]
pub fn units_of(dimension: Dimension) -> Vec<&'static str> {
    UNITS.iter().filter(|u| u.dimension == dimension).map(|u| u.name).collect()
}

/// A unit of a dimension that people of a system write, where there is one; else any of that dimension.
#[must_use]
pub fn unit_of(dimension: Dimension, system: System) -> Option<&'static str> {
    let of = || UNITS.iter().filter(|u| u.dimension == dimension);
    of().find(|u| u.system == system).or_else(|| of().next()).map(|u| u.name)
}

/// The unit whose spelling is nearest to `text`, when one is near.
#[must_use]
pub fn nearest_unit(text: &str) -> Option<&'static str> {
    let mut best: Option<(usize, &'static str)> = None;
    for unit in UNITS {
        for name in std::iter::once(&unit.name).chain(unit.also) {
            let distance = strsim::damerau_levenshtein(&text.to_lowercase(), &name.to_lowercase());
            let near = distance <= 1 + name.chars().count() / 4 && distance < name.chars().count();
            if near && best.is_none_or(|(d, _)| distance < d) {
                best = Some((distance, unit.name));
            }
        }
    }
    best.map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may panic")]
    use super::*;

    #[test]
    fn redundant_definitions_agree() {
        let mut checked = 0;
        for row in UNITS.iter().filter(|u| !u.equals.is_empty()) {
            let (number, other) = row.equals.split_once(' ').unwrap();
            let other = unit(other).unwrap_or_else(|| unit(row.name).unwrap());
            let value = number.parse::<f64>().unwrap() * other.factor;
            assert_eq!(other.dimension, row.dimension, "{}", row.name);
            assert!(
                (value / row.factor - 1.0).abs() < 1e-12,
                "{}: {} is {value}, not {}",
                row.name,
                row.equals,
                row.factor
            );
            checked += 1;
        }
        assert!(checked > 50);
    }

    #[test]
    fn no_spelling_means_two_units() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in UNITS {
            for name in std::iter::once(&unit.name).chain(unit.also) {
                assert!(seen.insert(*name), "{name} twice");
            }
        }
    }

    #[test]
    fn builds_units_from_parts() {
        assert_eq!(unit("kg*m/s^2").unwrap().dimension, D::FORCE);
        assert!((unit("lb/in^3").unwrap().factor - 27_679.904_710_203_125).abs() < 1e-6);
        assert_eq!(unit("degF/s"), None);
        assert_eq!(unit("furlong"), None);
        assert_eq!(nearest_unit("inchs"), Some("in"));
    }
}
