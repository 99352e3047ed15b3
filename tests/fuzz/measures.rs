//! Measures: whatever is written, it is read or refused with a place; what is printed reads back.

use holdpoint::quantity::{Dimension, Form, Measure, Quantity, Style, System, UNITS};
use holdpoint::vocabulary::Position;

use super::choices::Choices;
use super::corpus::soup;
use super::driver::fuzz;

const DIMENSIONS: [Dimension; 16] = [
    Dimension::NUMBER,
    Dimension::LENGTH,
    Dimension::AREA,
    Dimension::VOLUME,
    Dimension::MASS,
    Dimension::TIME,
    Dimension::SPEED,
    Dimension::ACCELERATION,
    Dimension::FORCE,
    Dimension::PRESSURE,
    Dimension::DENSITY,
    Dimension::TEMPERATURE,
    Dimension::TEMPERATURE_DIFFERENCE,
    Dimension::ANGLE,
    Dimension::IMPULSE,
    Dimension::CHARGE,
];

fn number(choices: &mut Choices<'_>) -> String {
    let sign = choices.one_of(&["", "", "", "-", "+", "\u{2212}"]);
    let whole = ["0", "1", "3", "12", "64", "1,500", "1e3", "999999999", ".5", "1e-30", "1e15", "9.99999995"];
    let digits = match choices.below(5) {
        0 => format!("{}.{}", choices.below(1000), choices.below(70_000)),
        1 => format!("{}/{}", choices.below(70), choices.below(70)),
        2 => format!("{} {}/{}", choices.below(20), choices.below(70), choices.below(70)),
        3 => format!("{}e{}", choices.below(1000), i64::try_from(choices.below(40)).unwrap() - 20),
        _ => choices.one_of(&whole).to_owned(),
    };
    format!("{sign}{digits}")
}

/// A measure as people write them, mostly.
fn measure(choices: &mut Choices<'_>) -> String {
    let mut text = String::new();
    for _ in 0..=usize::from(choices.once_in(4)) {
        let unit = choices.member(UNITS).name;
        let gap = choices.one_of(&[" ", "", "\u{a0}", "  "]);
        text.push_str(&format!("{}{gap}{unit} ", number(choices)));
    }
    if choices.once_in(4) {
        let unit = choices.member(UNITS).name;
        text = match choices.below(4) {
            0 => format!("{text}± {}", number(choices)),
            1 => format!("{text}± {} %", number(choices)),
            2 => format!("{text}+{}/-{} {unit}", number(choices), number(choices)),
            _ => format!("{text}+/- {} {unit}", number(choices)),
        };
    }
    if choices.once_in(8) {
        let unit = choices.member(UNITS).name;
        text = format!("{}{}{unit}", text.trim_end(), choices.one_of(&["/", "*", "·", "^2/", "^", "-"]));
    }
    if choices.once_in(6) {
        text.push_str(choices.one_of(&[
            " from aft",
            " from fore",
            " from fore of x",
            " from",
            "x",
            "\"",
            " 4",
        ]));
    }
    text.trim_end().to_owned()
}

/// The value printed in every way reads back as the same, as finely as that way promises.
fn reads_back(read: Quantity, text: &str) {
    for (system, form) in [
        (read.style.system, read.style.form),
        (System::Imperial, Form::Fraction),
        (System::Imperial, Form::Compound),
        (System::Metric, Form::Decimal),
        (System::Unknown, Form::Decimal),
    ] {
        for unit in [read.style.unit, None] {
            let one = read.with_style(Style { unit, form, system, far: false });
            // Of a temperature it is the number printed that is so fine: 2.5 K is -270.6 degC.
            let is_temperature = read.dimension == Dimension::TEMPERATURE;
            let number = one.unit().filter(|_| is_temperature).map_or(0.0, |unit| one.value_in(unit).abs());
            let printed = one.exact();
            let again = Quantity::read(&printed)
                .unwrap_or_else(|e| panic!("{text:?} is printed as {printed:?}: {e}"));
            assert_eq!(again.dimension, read.dimension, "{text:?} is printed as {printed:?}");
            let off = (again.si - read.si).abs();
            assert!(
                off <= 1.1e-6 * read.si.abs().max(number),
                "{text:?} is printed as {printed:?}, {off} off"
            );
            if read.dimension == Dimension::TEMPERATURE && read.si < 1.0 {
                // Four digits of it, rounded, may be below absolute zero.
                continue;
            }
            for shown in [one.to_string(), one.fine(), one.rough()] {
                let again =
                    Quantity::read(&shown).unwrap_or_else(|e| panic!("{text:?} is shown as {shown:?}: {e}"));
                assert_eq!(again.dimension, read.dimension, "{text:?} is shown as {shown:?}");
            }
        }
    }
}

#[test]
fn measures_are_read_or_refused_and_read_back() {
    fuzz("measures", 60, 40, |choices| {
        let text = if choices.once_in(5) { soup(choices) } else { measure(choices) };
        let expected = *choices.member(&DIMENSIONS);
        match Measure::read(&text, expected) {
            Ok(measure) => {
                assert_eq!(measure.nominal.dimension, expected, "{text:?}");
                let (low, high) = measure.range();
                assert!(low.is_finite() && high.is_finite() && low <= high, "{text:?}: {low} to {high}");
            }
            Err(error) => assert!(text.get(error.range.clone()).is_some(), "{text:?}: {error:?}"),
        }
        match Quantity::read(&text) {
            Ok(read) => {
                assert!(read.si.is_finite(), "{text:?}");
                // At the ends of what is read, another unit may be beyond them.
                if read.si == 0.0 || (1e-20..1e10).contains(&read.si.abs()) {
                    reads_back(read, &text);
                }
            }
            Err(error) => assert!(text.get(error.range.clone()).is_some(), "{text:?}: {error:?}"),
        }
        if let Err(error) = Position::read(&text) {
            assert!(text.get(error.range.clone()).is_some(), "{text:?}: {error:?}");
        }
    });
}
