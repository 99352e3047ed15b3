//! What is said of a condition before any design is there, that it always comes out the same, holds of every design.

use std::sync::LazyLock;

use holdpoint::design::{Design, PARACHUTE, ROCKET, SECTION};
use holdpoint::language::{Facts, Scope, check, evaluate, fixed_conditions, parse};
use holdpoint::model::{Catalogue, Environment, Model, Named, Type, catalogue};
use holdpoint::quantity::UNITS;
use holdpoint::rules::TRIAL_DAY;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{EntityType, Value};
use holdpoint::yaml::Source;

use super::choices::Choices;
use super::corpus::DESIGNS;
use super::driver::fuzz;

static CATALOGUE: LazyLock<Catalogue> = LazyLock::new(catalogue);
static SUBJECTS: [&EntityType; 3] = [&ROCKET, &SECTION, &PARACHUTE];
/// Designs of every kind that there is an example of.
static SAMPLES: LazyLock<Vec<Design>> = LazyLock::new(|| {
    let every = DESIGNS.len() / 8;
    let read = |text: &String| Design::read(Source::new("t", text.as_str()), Tables::built_in());
    DESIGNS.iter().step_by(every).map(read).filter(Design::is_readable).collect()
});

/// What a subject has of numbers: quantities over a unit of theirs.
fn numbers_of(subject: &'static EntityType) -> Vec<String> {
    let number = |name: &String| {
        let Some(Type::Quantity(dimension)) = CATALOGUE.named(subject, name).map(|named| match named {
            Named::Field(_, field) => Type::of(&field.shape),
            Named::Computed(_, gives) => gives,
            Named::Holder(of) => Type::Entity(of),
        }) else {
            return None;
        };
        let unit = UNITS.iter().find(|unit| unit.dimension == dimension && !dimension.is_absolute())?;
        Some(format!("({}.{name} / 1 {})", subject.name, unit.name))
    };
    let mut all: Vec<String> = CATALOGUE.names(subject).iter().filter_map(number).collect();
    // Whole numbers are another kind: as many of them as of the others.
    let counts =
        ["section", "joint", "charge", "fins", "parachute"].map(|name| format!("(count of all {name})"));
    let times = all.len() / counts.len();
    all.extend(counts.iter().cycle().take(times * counts.len()).cloned());
    all
}

static NUMBERS: LazyLock<Vec<Vec<String>>> = LazyLock::new(|| {
    let all: Vec<Vec<String>> = SUBJECTS.iter().map(|subject| numbers_of(subject)).collect();
    assert!(all.iter().all(|numbers| numbers.len() > 8), "{all:?}");
    all
});

/// A number: one that is written, one of the design, or what becomes of two.
fn value(numbers: &[String], depth: usize, choices: &mut Choices<'_>) -> String {
    let mut less = || value(numbers, depth.saturating_sub(1), choices);
    let (a, b) = if depth > 0 { (less(), less()) } else { (String::new(), String::new()) };
    match choices.below(if depth > 0 { 14 } else { 2 }) {
        0 => choices.one_of(&["0", "1", "2.5", "2.5", "1e-9", "1e9"]).to_owned(),
        1 => choices.member(numbers).clone(),
        2 => format!("({a} + {b})"),
        3 => format!("({a} - {b})"),
        4 | 5 => format!("({a} * {b})"),
        6 | 7 => format!("({a} / {b})"),
        8 => format!("(-{a})"),
        9 => format!("({a})^{}", choices.one_of(&["2", "3", "-1"])),
        10 => format!("larger({a}, {b})"),
        11 => format!("smaller({a}, {b})"),
        12 => format!("abs({a})"),
        _ => format!("(if {a} < {b} then {a} else {b})"),
    }
}

#[test]
fn a_condition_that_is_said_to_come_out_the_same_does() {
    fuzz("decided", 24, 60, |choices| {
        let which = choices.below(SUBJECTS.len());
        let (subject, numbers) = (SUBJECTS[which], &NUMBERS[which]);
        let order = choices.one_of(&["<", "<=", "=", ">=", ">", "!="]);
        let (left, right) = (1 + choices.below(3), choices.below(2));
        let text = format!("{} {order} {}", value(numbers, left, choices), value(numbers, right, choices));
        let scope = Scope::about(&CATALOGUE, subject);
        let Ok(checked) = parse(&text).and_then(|tree| check(&tree, &scope)) else { return };
        let decided = fixed_conditions(&checked, &Facts::default());
        for fixed in decided.iter().filter(|fixed| !fixed.here) {
            let part = &text[fixed.range.clone()];
            let alone = check(&parse(part).unwrap(), &scope).unwrap();
            for design in SAMPLES.iter() {
                let environment =
                    Environment { catalogue: &CATALOGUE, tables: Tables::built_in(), today: TRIAL_DAY };
                let model = Model::new(design, environment);
                for id in design.store.of_type(subject).take(3) {
                    if let Ok(Value::Truth(truth)) = evaluate(&alone, &model, None, id).value {
                        assert_eq!(truth, fixed.truth, "`{part}` of `{text}`");
                    }
                }
            }
        }
    });
}
