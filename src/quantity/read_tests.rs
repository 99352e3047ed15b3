//! Measures as people write them, and what is wrong with others.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may panic")]
use super::*;
use Dimension as D;

fn si(text: &str, due: Dimension) -> f64 {
    Measure::read(text, due).unwrap_or_else(|e| panic!("{text}: {e}")).nominal.si
}

#[test]
fn reads_what_builders_write() {
    for (text, inches) in [
        ("4.02 in", 4.02),
        ("1/4 in", 0.25),
        ("1 1/2 in", 1.5),
        ("1-1/2 in", 1.5),
        ("11/64\"", 11.0 / 64.0),
        ("5 ft 3 in", 63.0),
        ("98mm", 98.0 / 25.4),
        ("1,500 ft", 18_000.0),
        ("5 ft 3 1/2 in", 63.5),
        ("1e-3 m", 0.001 / 0.0254),
        ("20 µm", 20e-6 / 0.0254),
        ("\u{2212}5 mm", -5.0 / 25.4),
        (".5 in", 0.5),
        ("3.9\u{a0}in", 3.9),
        ("3/16\"", 3.0 / 16.0),
        ("12'", 144.0),
        ("5'3\"", 63.0),
        ("5' 3\"", 63.0),
        ("4 in.", 4.0),
        ("Ø 98 mm", 98.0 / 25.4),
        ("⌀98mm", 98.0 / 25.4),
    ] {
        assert!((si(text, D::LENGTH) / 0.0254 - inches).abs() < 1e-9, "{text}");
    }
    assert!((si("2 lb 3 oz", D::MASS) - 35.0 * 0.028_349_523_125).abs() < 1e-12);
    assert!((si("65 degF", D::TEMPERATURE) - 291.483_333_333_333_3).abs() < 1e-9);
    assert_eq!(si("-459.67 degF", D::TEMPERATURE), 0.0);
    assert!((si("-5 °C", D::TEMPERATURE) - 268.15).abs() < 1e-9);
    assert!((si("12°", D::ANGLE).to_degrees() - 12.0).abs() < 1e-12);
    assert!((si("2 sq in", D::AREA) - 2.0 * 0.000_645_16).abs() < 1e-15);
    for volume in ["100 cubic inches", "100 cu in", "100 cu. in.", "100 in^3"] {
        assert!((si(volume, D::VOLUME) - 100.0 * 0.0254_f64.powi(3)).abs() < 1e-12, "{volume}");
    }
    for temperature in ["70F", "70 F", "70°F", "70 °F", "70 deg F", "70 degrees F", "70 degF"] {
        assert!((si(temperature, D::TEMPERATURE) - 294.261_111_111).abs() < 1e-6, "{temperature}");
    }
    assert!((si("45 deg", D::ANGLE).to_degrees() - 45.0).abs() < 1e-12);
    // On a cord stands `1500 lb`, and pounds-force are meant.
    let cord = Measure::read("1500 lb", D::FORCE).unwrap().nominal;
    assert!((cord.si - 1500.0 * 4.448_221_615_260_5).abs() < 1e-9);
    assert_eq!(cord.to_string(), "1500 lbf");
    assert!((si("25 %", D::NUMBER) - 0.25).abs() < 1e-15);
    assert!((si("1.85 g/cm^3", D::DENSITY) - 1850.0).abs() < 1e-9);
}

#[test]
fn reads_tolerances() {
    for (text, minus, plus) in [
        ("3.9 ± 0.01 in", 0.01, 0.01),
        ("3.9 +/- 0.01 in", 0.01, 0.01),
        ("3.9 in ± 0.01 in", 0.01, 0.01),
        ("3.9 in ± 0.254 mm", 0.01, 0.01),
        ("3.9 in ±1%", 0.039, 0.039),
        ("3.9 in +0.02/-0.00", 0.0, 0.02),
        ("3.9 in +0.02/-0.01 in", 0.01, 0.02),
        ("3.9in+0.02/-0.01", 0.01, 0.02),
    ] {
        let measure = Measure::read(text, D::LENGTH).unwrap_or_else(|e| panic!("{text}: {e}"));
        let tolerance = measure.tolerance.unwrap();
        assert!((measure.nominal.si - 3.9 * 0.0254).abs() < 1e-12, "{text}");
        assert!((tolerance.minus / 0.0254 - minus).abs() < 1e-9, "{text}");
        assert!((tolerance.plus / 0.0254 - plus).abs() < 1e-9, "{text}");
    }
}

#[test]
fn says_what_is_wrong_and_what_to_write() {
    for (text, due, message, help) in [
        ("4.02", D::LENGTH, "has no unit; expected a length", "`4.02 in`"),
        ("12 lb", D::LENGTH, "expected a length, found", "`in`"),
        ("12 oz", D::FORCE, "expected a force, found", "`lbf`"),
        ("2 lb 3 oz", D::FORCE, "expected a force, found", "`lbf`"),
        ("12 lbf", D::MASS, "expected a mass, found", "`lb`"),
        ("12 inchs", D::LENGTH, "not a unit known", "did you mean `in`"),
        ("1,5 in", D::LENGTH, "comma parts no thousands", "write `1.5`: a decimal point"),
        ("Ø 3 kg", D::LENGTH, "expected a length", ""),
        ("cubic 3 in", D::VOLUME, "not a number", ""),
        ("", D::LENGTH, "no value", "`in`"),
        ("about 3 in", D::LENGTH, "not a number", ""),
        ("3/0 in", D::LENGTH, "fraction has no value", ""),
        ("1e308 in", D::LENGTH, "this large", ""),
        ("1e999 in", D::LENGTH, "this large", ""),
        ("nan in", D::LENGTH, "not a number", ""),
        ("inf", D::NUMBER, "not a number", ""),
        ("2 lb 3 in", D::MASS, "cannot be joined", ""),
        ("3 oz 2 lb", D::MASS, "larger unit to the smaller", ""),
        ("3 in ± -1 in", D::LENGTH, "not negative", ""),
        ("3 in ± 1 lb", D::LENGTH, "unit of the value", ""),
        ("3 in +0.1", D::LENGTH, "no lower side", "both sides"),
        ("-500 degC", D::TEMPERATURE, "absolute zero", ""),
        ("-459.68 degF", D::TEMPERATURE, "absolute zero", ""),
        ("3 in 4", D::LENGTH, "no unit", ""),
        ("3 in x", D::LENGTH, "not a number", ""),
    ] {
        let Err(error) = Measure::read(text, due) else { panic!("{text} was read") };
        assert!(error.message.contains(message), "{text}: {}", error.message);
        assert!(error.help.unwrap_or_default().contains(help), "{text}");
        assert!(text.get(error.range.clone()).is_some(), "{text}: {:?}", error.range);
    }
}
