//! The language of rules: three-valued logic, precedence, literals, the trace, and that its work is bounded.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

mod generated;

use holdpoint::design::{Design, ROCKET};
use holdpoint::language::{Evaluation, LanguageError, Scope, check, evaluate, parse};
use holdpoint::model::{Access, Catalogue, Environment, Model, catalogue};
use holdpoint::quantity::Quantity;
use holdpoint::rules::TRIAL_DAY;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::{Date, Value};
use holdpoint::yaml::Source;

/// Some values are written and some are not; `flight.rail` is 96 in, `flight.ceiling` is missing.
const DESIGN: &str = "\
holdpoint: 1
name: T
seeks: level 2
sections:
  a: {mass: 1 kg, filled: 1 in^3, vents: {p: {count: 2, diameter: 1/4 in}, q: {count: 1}}}
  b: {mass: 3 kg, vents: none}
  c: {filled: 2 in^3}
flight: {rail: 96 in, site_elevation: 100 ft}
";

/// Kleene's third value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Three {
    Yes,
    No,
    Missing,
}
use Three::{Missing, No, Yes};

struct World {
    design: Design,
    catalogue: Catalogue,
}

fn environment(catalogue: &Catalogue, today: Date) -> Environment<'_> {
    Environment { catalogue, tables: Tables::built_in(), today }
}

impl World {
    fn new() -> Self {
        let design = Design::read(Source::new("t", DESIGN), Tables::built_in());
        assert_eq!(design.problems, []);
        Self { design, catalogue: catalogue() }
    }

    fn try_run<T>(
        &self,
        text: &str,
        see: impl FnOnce(&Model<'_>, Evaluation) -> T,
    ) -> Result<T, LanguageError> {
        let scope = Scope::about(&self.catalogue, &ROCKET);
        let checked = check(&parse(text)?, &scope)?;
        let model = Model::new(&self.design, environment(&self.catalogue, TRIAL_DAY));
        let evaluation = evaluate(&checked, &model, None, self.design.store.root());
        Ok(see(&model, evaluation))
    }

    #[track_caller]
    fn run(&self, text: &str) -> Evaluation {
        self.try_run(text, |_, e| e).unwrap_or_else(|e| panic!("{text}: {e:?}"))
    }

    #[track_caller]
    fn truth(&self, text: &str) -> Three {
        match self.run(text).value {
            Ok(Value::Truth(true)) => Yes,
            Ok(Value::Truth(false)) => No,
            Ok(other) => panic!("{text}: {other:?}"),
            Err(_) => Missing,
        }
    }

    #[track_caller]
    fn quantity(&self, text: &str) -> Option<Quantity> {
        match self.run(text).value {
            Ok(Value::Quantity(quantity)) => Some(quantity),
            Ok(other) => panic!("{text}: {other:?}"),
            Err(_) => None,
        }
    }

    #[track_caller]
    fn number(&self, text: &str) -> f64 {
        self.quantity(text).unwrap_or_else(|| panic!("{text} is missing")).si
    }

    /// The fields that decided, by path.
    #[track_caller]
    fn reads(&self, text: &str) -> Vec<String> {
        self.try_run(text, |model, evaluation| {
            let field = |access| match access {
                Access::Field(slot) => slot,
                Access::Computed(_) => panic!("{text} reads what is worked out"),
            };
            let all = evaluation.trace.reads.iter();
            all.map(|r| model.design().store.field_path(r.entity, field(r.access))).collect()
        })
        .unwrap()
    }

    #[track_caller]
    fn error(&self, text: &str) -> LanguageError {
        match self.try_run(text, |_, e| e) {
            Err(error) => error,
            Ok(evaluation) => panic!("{text} was taken: {evaluation:?}"),
        }
    }
}

/// An expression of each truth.
fn spelled(three: Three) -> &'static str {
    match three {
        Yes => "rocket.flight.rail > 1 in",
        No => "rocket.flight.rail < 1 in",
        Missing => "rocket.flight.ceiling > 1 ft",
    }
}

const ALL: [Three; 3] = [No, Missing, Yes];

/// Kleene, Introduction to Metamathematics (1952), section 64: `and` is the lesser, `or` the greater of No < Missing < Yes.
#[test]
fn kleene_tables() {
    let world = World::new();
    for (i, a) in ALL.into_iter().enumerate() {
        assert_eq!(world.truth(spelled(a)), a);
        let not = [Yes, Missing, No][i];
        assert_eq!(world.truth(&format!("not {}", spelled(a))), not);
        assert_eq!(world.truth(&format!("not not ({})", spelled(a))), a);
        for (j, b) in ALL.into_iter().enumerate() {
            let (a, b) = (spelled(a), spelled(b));
            assert_eq!(world.truth(&format!("{a} and {b}")), ALL[i.min(j)], "{a} and {b}");
            assert_eq!(world.truth(&format!("{a} or {b}")), ALL[i.max(j)], "{a} or {b}");
        }
    }
}

#[test]
fn quantifiers_with_missing_members() {
    let world = World::new();
    // The masses: 1 kg, 3 kg, missing.
    for (text, expected) in [
        ("every x of rocket.sections has x.mass > 2 kg", No),
        ("every x of rocket.sections has x.mass > 0.5 kg", Missing),
        ("some x of rocket.sections has x.mass > 2 kg", Yes),
        ("some x of rocket.sections has x.mass > 5 kg", Missing),
        ("no x of rocket.sections has x.mass > 2 kg", No),
        ("no x of rocket.sections has x.mass > 5 kg", Missing),
        ("every x of rocket.sections where x.mass is given has x.mass > 0.5 kg", Yes),
        ("no x of rocket.sections where x.mass is given has x.mass > 5 kg", Yes),
        ("some x of rocket.sections where x.mass is given has x.mass > 5 kg", No),
        // It is not known whether the third counts, but it would not break the rule if it did.
        ("every x of rocket.sections where x.mass > 0.5 kg has x.filled or else 1 in^3 > 0 in^3", Yes),
        ("every x of rocket.sections where x.mass > 0.5 kg has x.filled or else 0 in^3 < 2 in^3", Missing),
        // A collection that is written as none has no members; one that is not written is missing.
        ("every v of rocket.sections has true", Yes),
        ("some x of rocket.sections has (every v of x.vents has false)", Yes),
        ("every j of rocket.joints has true", Missing),
        ("some j of rocket.joints has true", Missing),
    ] {
        assert_eq!(world.truth(text), expected, "{text}");
    }
}

#[test]
fn counts_and_folds_with_missing_members() {
    let world = World::new();
    assert_eq!(world.number("count of rocket.sections"), 3.0);
    assert_eq!(world.number("count of x of rocket.sections where x.filled is given"), 2.0);
    assert_eq!(world.quantity("count of x of rocket.sections where x.mass > 2 kg"), None);
    assert_eq!(world.number("count of x of rocket.sections where x.mass is given and x.mass > 2 kg"), 1.0);
    assert_eq!(world.quantity("count of rocket.joints"), None);
    assert_eq!(world.quantity("sum of x.mass over x of rocket.sections"), None);
    assert_eq!(world.number("sum of (x.mass or else 0 kg) over x of rocket.sections"), 4.0);
    assert_eq!(world.number("sum of x.mass over x of rocket.sections where x.mass is given"), 4.0);
    assert_eq!(world.number("least of x.mass over x of rocket.sections where x.mass is given"), 1.0);
    assert_eq!(world.number("greatest of x.mass over x of rocket.sections where x.mass is given"), 3.0);
    assert_eq!(world.quantity("greatest of x.mass over x of rocket.sections"), None);
    assert_eq!(world.number("sum of 1 kg over x of rocket.sections where false"), 0.0);
    assert_eq!(world.quantity("least of 1 kg over x of rocket.sections where false"), None);
}

#[test]
fn defaults_conditions_and_given() {
    let world = World::new();
    let inch = 0.0254;
    assert!((world.number("rocket.flight.rail or else 1 in") - 96.0 * inch).abs() < 1e-12);
    assert!((world.number("rocket.flight.ceiling or else 1 in") - inch).abs() < 1e-12);
    // A missing part makes a sum missing, and the default stands for the whole of it.
    assert!((world.number("rocket.flight.ceiling + 1 in or else 5 in") - 5.0 * inch).abs() < 1e-12);
    assert_eq!(world.quantity("rocket.flight.ceiling + 1 in"), None);
    assert_eq!(world.truth("rocket.flight.rail is given"), Yes);
    assert_eq!(world.truth("rocket.flight.ceiling is given"), No);
    assert_eq!(world.truth("rocket.flight.ceiling is not given"), Yes);
    assert_eq!(world.truth("rocket.wiring is given"), No);
    assert_eq!(world.number("if rocket.flight.rail > 1 in then 1 else 2"), 1.0);
    assert_eq!(world.number("if rocket.flight.rail < 1 in then 1 else 2"), 2.0);
    assert_eq!(world.quantity("if rocket.flight.ceiling > 1 in then 1 else 2"), None);
    assert_eq!(world.truth("rocket.seeks is \"level 2\""), Yes);
    assert_eq!(world.truth("rocket.seeks is one of (\"level 1\", \"level 3\")"), No);
    assert_eq!(world.truth("rocket.name matches /^T$/"), Yes);
    // Dividing by nothing is no number, and holds.
    assert_eq!(world.quantity("1 / (rocket.flight.rail - 96 in)"), None);
    // A default stands for what is not written, not for what makes no sense; where something is missing too, it may yet.
    assert_eq!(world.quantity("1 in / (rocket.flight.rail - 96 in) or else 5"), None);
    assert_eq!(
        world.number("rocket.flight.ceiling * (1 / (rocket.flight.rail - 96 in)) or else 5"),
        5.0,
        "a missing ceiling"
    );
}

#[test]
fn what_no_expression_can_be_is_told() {
    let world = World::new();
    for (text, part) in [
        // Nothing over nothing is a division, whose divisor is none; it is no literal.
        ("1/0 in > 0 in", "in"),
        ("(rocket.flight.rail > 1 in) is one of (\"maybe\")", "maybe"),
        ("every and of rocket.sections has true", "and"),
        ("rocket.seeks > \"level 9\"", "no place in the order"),
        ("rocket.flight.pad.igniter_goes_in > \"last\"", "no order"),
        ("rocket.name < \"T\"", "T"),
        ("today + today > 1 s", "date"),
        ("today - 1 s > 1 s", "date"),
        ("today * today > 1 s", "date"),
    ] {
        let error = world.error(text);
        let words = format!(
            "{} {} {}",
            error.message,
            error.help.clone().unwrap_or_default(),
            &text[error.range.clone()]
        );
        assert!(words.contains(part), "{text}: {error:?}");
    }
    // Words of an order are compared by it; one that stands outside of it has no place.
    assert_eq!(world.truth("rocket.seeks > \"level 1\""), Yes);
    assert_eq!(world.truth("rocket.seeks >= \"level 3\""), No);
    assert_eq!(world.error("rocket.name is \"T").range, 15..16);
    assert_eq!(world.error("rocket.name matches /T").range, 20..21);
    assert_eq!(world.truth("1/0 > 0"), Missing);
    assert_eq!(world.truth("(rocket.flight.rail > 1 in) is one of (\"true\")"), Yes);
    assert_eq!(world.truth("(rocket.flight.rail > 1 in) is one of (\"false\")"), No);
}

#[test]
fn precedence() {
    let world = World::new();
    for (text, value) in [
        ("2 + 3 * 4", 14.0),
        ("(2 + 3) * 4", 20.0),
        ("2 - 3 - 4", -5.0),
        ("16 / 4 / 2", 2.0),
        ("2 * 3 ^ 2", 18.0),
        ("-3 ^ 2", -9.0),
        ("2 ^ -1", 0.5),
        ("- - 2", 2.0),
        ("12 / 4 * 3", 9.0),
        ("if true then 1 else 2 + 3", 1.0),
    ] {
        assert!((world.number(text) - value).abs() < 1e-12, "{text}: {}", world.number(text));
    }
    for (text, truth) in [
        ("true or false and false", Yes),
        ("(true or false) and false", No),
        ("not false and false", No),
        ("not (false and false)", Yes),
        ("not rocket.flight.rail > 9 ft", Yes),
        ("rocket.flight.rail + 1 ft = 9 ft and rocket.flight.rail < 9 ft", Yes),
        ("false and true or true", Yes),
    ] {
        assert_eq!(world.truth(text), truth, "{text}");
    }
    assert!(world.error("1 < 2 < 3").message.contains("should end here"));
}

/// 1 in = 25.4 mm exactly: NIST SP 811 (2008), appendix B.8.
#[test]
fn literals_carry_units() {
    let world = World::new();
    let mm = 0.001;
    for (text, value) in [
        ("1/4 in", 6.35 * mm),
        ("1 1/2 in", 38.1 * mm),
        ("0.1 in", 2.54 * mm),
        (".5 in", 12.7 * mm),
        ("2.54 mm", 2.54 * mm),
        ("11/64 in", 4.365_625 * mm),
        ("1/4 in + 1 mm", 7.35 * mm),
        ("1 ft / 4", 76.2 * mm),
        ("1e-3 m", mm),
        ("2 * 1/4 in", 12.7 * mm),
    ] {
        assert!((world.number(text) - value).abs() < 1e-12, "{text}: {}", world.number(text));
        let area = world.number(&format!("({text}) * 1 m"));
        assert!((area - value).abs() < 1e-12, "{text}");
    }
    assert_eq!(world.truth("rocket.flight.rail = 8 ft"), Yes);
    assert_eq!(world.truth("rocket.flight.rail * 1 ft = 8 ft^2"), Yes);
    assert_eq!(world.truth("rocket.flight.rail / 1 s = 8 ft/s"), Yes);
    for (text, part) in [("1 inn > 0 in", "inn"), ("1 in > 1 s", "1 s"), ("1 in + 1 kg > 0 in", "1 kg")] {
        let error = world.error(text);
        assert_eq!(text.get(error.range.clone()), Some(part), "{text}: {error:?}");
    }
}

#[test]
fn the_trace_keeps_what_decided() {
    let world = World::new();
    let (rail, ceiling, elevation) = ("flight.rail", "flight.ceiling", "flight.site_elevation");
    for (text, reads) in [
        // The side that fails decides an `and`; both decide one that holds.
        ("rocket.flight.rail > 1 in and rocket.flight.site_elevation > 1 mi", &[elevation][..]),
        ("rocket.flight.rail < 1 in and rocket.flight.site_elevation > 1 ft", &[rail]),
        ("rocket.flight.rail > 1 in and rocket.flight.site_elevation > 1 ft", &[rail, elevation]),
        // The side that holds decides an `or`; both decide one that fails.
        ("rocket.flight.rail > 1 in or rocket.flight.site_elevation > 1 mi", &[rail]),
        ("rocket.flight.rail < 1 in or rocket.flight.site_elevation > 1 ft", &[elevation]),
        ("rocket.flight.rail < 1 in or rocket.flight.site_elevation > 1 mi", &[rail, elevation]),
        // A missing side does not decide where the other one does.
        ("rocket.flight.ceiling > 1 ft and rocket.flight.rail < 1 in", &[rail]),
        ("rocket.flight.ceiling > 1 ft or rocket.flight.rail > 1 in", &[rail]),
    ] {
        let found = world.reads(text);
        for read in reads {
            assert!(found.iter().any(|f| f == read), "{text}: {found:?} lacks {read}");
        }
        for other in [rail, ceiling, elevation].iter().filter(|o| !reads.contains(o)) {
            assert!(!found.iter().any(|f| f == other), "{text}: {found:?} has {other}");
        }
    }
    // The member that fails an `every` decides it.
    let found = world.reads("every x of rocket.sections has x.mass < 2 kg");
    assert!(
        found.contains(&"sections.b.mass".to_owned()) && !found.contains(&"sections.a.mass".to_owned()),
        "{found:?}"
    );
    let found = world.reads("greatest of x.mass over x of rocket.sections where x.mass is given < 2 kg");
    assert!(found.contains(&"sections.b.mass".to_owned()), "{found:?}");
}

#[test]
fn unproven_names_the_keys_that_would_settle_it() {
    let world = World::new();
    let missing = |text: &str| {
        world
            .try_run(text, |model, evaluation| {
                let gap = evaluation.value.unwrap_err();
                gap.keys()
                    .iter()
                    .map(|k| model.design().store.field_path(k.entity, k.slot))
                    .collect::<Vec<_>>()
            })
            .unwrap()
    };
    assert_eq!(missing("rocket.flight.ceiling > 1 ft"), ["flight.ceiling"]);
    assert_eq!(
        missing("rocket.flight.ceiling > rocket.flight.predicted_apogee"),
        ["flight.ceiling", "flight.predicted_apogee"]
    );
    assert_eq!(missing("every x of rocket.sections has x.mass > 0.5 kg"), ["sections.c.mass"]);
    assert_eq!(missing("rocket.motor.length > 1 in"), ["motor"]);
}

#[test]
fn work_is_bounded() {
    let world = World::new();
    let deep = |n: usize| format!("{}true{}", "(".repeat(n), ")".repeat(n));
    // 48 deep: a pair of brackets goes two down, and the whole is one.
    for depth in [1, 20, 23] {
        assert_eq!(world.truth(&deep(depth)), Yes, "{depth}");
    }
    assert!(world.error(&deep(24)).message.contains("nested too deep"));
    let chosen = |n: usize| format!("{}true{}", "if true then ".repeat(n), " else false".repeat(n));
    assert_eq!(world.truth(&chosen(46)), Yes);
    assert!(world.error(&chosen(47)).message.contains("nested too deep"));
    assert!(world.error(&deep(900)).message.contains("nested too deep"));
    assert!(world.error(&format!("{}true", "not ".repeat(400))).message.contains("nested too deep"));
    assert!(world.error(&format!("{}1", "- ".repeat(400))).message.contains("nested too deep"));
    assert!(world.error(&"true and ".repeat(400)).message.contains("too long"));
    let conditions = format!("{}true{}", "if true then ".repeat(60), " else false".repeat(60));
    assert!(world.error(&conditions).message.contains("nested too deep"));
    // As long as it may be: a flat chain, and quantifiers within each other as deep as they go.
    let chain = vec!["true"; 100].join(" and ");
    assert_eq!(world.truth(&chain), Yes);
    // A chain is a deep tree too.
    for (first, more) in [("true", " and true"), ("true", " or false"), ("1", " + 1"), ("1", " * 1")] {
        let text = format!("{first}{}", more.repeat(150));
        assert!(world.error(&text).message.contains("too many parts"), "{text}");
    }
    assert!(world.error(&format!("rocket{}", ".motor".repeat(200))).message.contains("no path is this long"));
    let nested: String = (0..40).map(|i| format!("every s{i} of rocket.sections has ")).collect();
    let started = std::time::Instant::now();
    let _ = world.try_run(&format!("{nested}true"), |_, e| e);
    assert!(started.elapsed().as_secs() < 5, "{:?}", started.elapsed());
}

#[test]
fn the_day_is_an_input_and_dates_give_days() {
    let design = Design::read(
        Source::new("t", "holdpoint: 1\nmeasured: {date: 2026-02-27, motor: K1}\n"),
        Tables::built_in(),
    );
    assert_eq!(design.problems, []);
    let catalogue = catalogue();
    let scope = Scope::about(&catalogue, &ROCKET);
    let on = |text: &str, day: jiff::civil::Date| {
        let model = Model::new(&design, environment(&catalogue, day));
        evaluate(&check(&parse(text).unwrap(), &scope).unwrap(), &model, None, design.store.root()).value
    };
    // 2026 is no leap year: the 27th and 28th of February, then the 1st of March.
    let march = jiff::civil::date(2026, 3, 1);
    let Ok(Value::Quantity(days)) = on("today - rocket.measured.date", march) else { panic!("no time") };
    assert_eq!((days.si, days.to_string().as_str()), (2.0 * 86400.0, "2 days"));
    let Ok(Value::Quantity(back)) = on("rocket.measured.date - today", march) else { panic!("no time") };
    assert_eq!(back.si, -2.0 * 86400.0);
    assert_eq!(on("rocket.measured.date <= today", march), Ok(Value::Truth(true)));
    assert_eq!(on("rocket.measured.date <= today", jiff::civil::date(2026, 2, 26)), Ok(Value::Truth(false)));
}

/// Whatever works a quantity out, what comes to no number is refused and judged by no rule.
#[test]
fn what_comes_to_no_number_is_refused() {
    use holdpoint::design::Rocket;
    use holdpoint::model::{Computed, Formula, Read};

    static ENDLESS: Computed<Rocket, f64> = Computed {
        name: "endless",
        doc: "",
        formula: Formula::expression(""),
        source: "",
        words: &[],
        compute: |_, _| Ok(f64::INFINITY),
    };
    static NO_NUMBER: Computed<Rocket, Vec<f64>> = Computed {
        name: "no_number",
        doc: "",
        formula: Formula::expression(""),
        source: "",
        words: &[],
        compute: |_, _| Ok(vec![1.0, f64::NAN]),
    };
    let catalogue = Catalogue::new(&ROCKET, &[&[&ENDLESS, &NO_NUMBER]]);
    let design = Design::read(Source::new("t", "holdpoint: 1\n"), Tables::built_in());
    let model = Model::new(&design, environment(&catalogue, TRIAL_DAY));
    for (number, name) in [(0, "endless"), (1, "no_number")] {
        let gap = model.read(Read { entity: model.root(), access: Access::Computed(number) }).unwrap_err();
        assert_eq!(&*gap.refusals()[0].reason, format!("`{name}` is beyond what can be computed"));
    }
}

/// A literal beyond all numbers is refused at its place.
#[test]
fn a_literal_that_comes_to_no_number_is_refused() {
    let error = World::new().error("1e15 km^99 > 1 km^99");
    assert_eq!((error.message.as_str(), error.range), ("no rocket has a value this large", 0..10));
}

/// A whole number that is written as a quotient is one: a count may be equal to it.
#[test]
fn a_quotient_may_be_a_whole_number() {
    assert_eq!(World::new().truth("(1e-9 / 1e-9) = (count of all section)"), No);
    assert_eq!(World::new().truth("(3e-9 / 1e-9) = (count of all section)"), Yes);
}
