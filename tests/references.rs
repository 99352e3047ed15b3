//! References the other way round, where one of them is not written down.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may panic")]

use holdpoint::design::{Design, ROCKET};
use holdpoint::language::{Evaluation, Scope, check, evaluate, parse};
use holdpoint::model::{Access, Environment, Model, catalogue};
use holdpoint::rules::TRIAL_DAY;
use holdpoint::tables::Tables;
use holdpoint::vocabulary::Value;
use holdpoint::yaml::Source;

/// Of which joint charge `two` is, nobody has said; `three` is of none.
const DESIGN: &str = "\
holdpoint: 1
sections: {a: {mass: 1 kg}, b: {mass: 3 kg}, c: {mass: 2 kg}}
joints: {j: {between: [a, b], parts_at: apogee}, k: {between: [b, c], parts_at: main}}
recovery: {charges: {one: {joint: j, powder: 1 g}, two: {powder: 3 g}, three: {joint: none, backs_up: one, powder: 9 g}}}
";

fn with<T>(text: &str, see: impl FnOnce(&Model<'_>, Evaluation) -> T) -> T {
    let design = Design::read(Source::new("t", DESIGN), Tables::built_in());
    assert_eq!(design.problems, []);
    let catalogue = catalogue();
    let scope = Scope::about(&catalogue, &ROCKET);
    let checked = check(&parse(text).unwrap(), &scope).unwrap_or_else(|error| panic!("{text}: {error:?}"));
    let environment = Environment { catalogue: &catalogue, tables: Tables::built_in(), today: TRIAL_DAY };
    let model = Model::new(&design, environment);
    let evaluation = evaluate(&checked, &model, None, design.store.root());
    see(&model, evaluation)
}

/// `None` where it is missing.
fn truth(text: &str) -> Option<bool> {
    with(text, |_, evaluation| match evaluation.value {
        Ok(Value::Truth(truth)) => Some(truth),
        Ok(other) => panic!("{text}: {other:?}"),
        Err(_) => None,
    })
}

/// The fields that decided, by path.
fn reads(text: &str) -> Vec<String> {
    with(text, |model, evaluation| {
        let path = |read: &holdpoint::model::Read| match read.access {
            Access::Field(slot) => model.design().store.field_path(read.entity, slot),
            Access::Computed(_) => panic!("{text} reads what is worked out"),
        };
        evaluation.trace.reads.iter().map(path).collect()
    })
}

/// What hangs on the missing reference is missing, and nothing else is.
#[test]
fn kleene_s_logic_holds() {
    let (yes, no) = (Some(true), Some(false));
    for (of_the_joint, apogee, main) in [
        ("j has charges", yes, None),
        ("not (j has charges)", no, None),
        ("some c of j.charges has c.powder < 2 g", yes, no),
        ("every c of j.charges has c.powder > 2 g", no, yes),
        ("every c of j.charges has c.powder > 0.5 g", yes, yes),
        ("no c of j.charges has c.powder > 2 g", None, None),
        ("some c of j.charges where c.powder < 2 g has c has backups", yes, no),
        ("count of j.charges = 1", None, None),
        ("(count of c of j.charges where c.powder < 2 g) = 1", yes, no),
        ("(sum of c.powder over c of j.charges where c.powder < 2 g) = 1 g", yes, no),
        ("j.charges is given", no, no),
        // A list of references is one too.
        ("j.fore has joints", yes, yes),
        ("count of j.aft.joints = 2", yes, no),
    ] {
        for (parts_at, expected) in [("apogee", apogee), ("main", main)] {
            let asked = |what: &str| {
                truth(&format!("some j of rocket.joints where j.parts_at is {parts_at} has ({what})"))
            };
            assert_eq!(asked(of_the_joint), expected, "{of_the_joint}, {parts_at}");
        }
    }
}

#[test]
fn what_decides_is_traced() {
    // A member that has the property decides, and that it is a member.
    let found = reads("some j of rocket.joints has (some c of j.charges has c.powder < 2 g)");
    assert_eq!(found, ["recovery.charges.one.joint", "recovery.charges.one.powder"]);
    // Of a member that has it not, only that it has it not.
    let found = reads(
        "some j of rocket.joints where j.parts_at is apogee has (some c of j.charges has c.powder > 20 g)",
    );
    assert!(found.contains(&"recovery.charges.one.powder".to_owned()), "{found:?}");
    assert!(!found.contains(&"recovery.charges.one.joint".to_owned()), "{found:?}");
    // What refers to nothing decides nothing.
    assert!(found.iter().all(|path| !path.contains("three")), "{found:?}");
}
