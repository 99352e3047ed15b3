//! What packs may say, and how they are told what is wrong with them.

use super::packs::PACK;
use super::{Bench, DUAL, swap};

/// Trials of a pack.
fn trial(bench: &Bench, pack: &str) -> super::Run {
    bench.write("p/pack.yaml", pack);
    bench.run(&["trial", "p"])
}

/// A pack with one rule of the rocket that requires something, and no trials that come out as they should.
fn requiring(expression: &str) -> String {
    swap(PACK, "require: rocket.flight.rail >= 100 in", &format!("require: {expression}"))
}

#[test]
fn derived_quantities_stand_in_any_order() {
    let bench = Bench::new();
    let derived = "derived:
  twice: {of: rocket, is: rocket.once * 2, doc: Twice.}
  once: {of: rocket, is: rocket.flight.rail, doc: Once.}
rules:";
    let pack = swap(&requiring("rocket.twice >= 200 in"), "rules:", derived);
    trial(&bench, &pack).code(0).has("3 as expected");
    // A pack may use what a later one works out.
    bench.write(
        "p/a.yaml",
        "pack: first\nabout: A.\nderived:\n  thrice: {of: rocket, is: rocket.once * 3, doc: Thrice.}\n",
    );
    bench.run(&["trial", "p"]).code(0);
}

#[test]
fn a_circle_of_derived_quantities_is_told_as_one() {
    let bench = Bench::new();
    let derived = "derived:
  a: {of: rocket, is: rocket.b * 2, doc: A.}
  b: {of: rocket, is: rocket.c * 2, doc: B.}
  c: {of: rocket, is: rocket.b + 1, doc: C.}
rules:";
    let run = trial(&bench, &swap(PACK, "rules:", derived));
    run.code(2).has("`b` is worked out from itself: `b` from `c` from `b`");
    // It is told once, and `a` only waits for those on it.
    assert_eq!(run.all().matches("is worked out from itself").count(), 1);
}

#[test]
fn a_quantity_with_a_mistake_is_not_missed_elsewhere() {
    let bench = Bench::new();
    let derived = "derived:
  wrong: {of: rocket, is: 1 kg + 1 m, doc: A.}
rules:";
    let pack = swap(&requiring("rocket.wrong > 1 kg"), "rules:", derived);
    trial(&bench, &pack)
        .code(2)
        .has("cannot add a mass and a length")
        .has("`wrong` is left out, since something is wrong with it");
}

#[test]
fn what_other_languages_write_is_answered() {
    let bench = Bench::new();
    for (expression, help) in [
        ("rocket.flight.rail == 100 in", "write `=`"),
        ("rocket.flight.rail => 100 in", "write `>=`"),
        ("rocket.flight.rail <> 100 in", "write `!=`"),
        ("apogee > 100 ft", "did you mean `rocket.apogee`?"),
        ("rocket.flight.rail > 100", "write its unit after it"),
        ("rocket.seeks >= \"level two\"", "`level two` has no place in the order"),
        ("rocket.seeks = \"level two\"", "this is never `level two`"),
        ("rocket.measured.date > 2026-02-30", "`2026-02-30` is not a day"),
        ("sin(rocket.flight.rail_angle) < 5 deg", "the sine of an angle is a plain number"),
    ] {
        trial(&bench, &requiring(expression)).code(2).has(help);
    }
}

#[test]
fn names_that_rules_or_people_cannot_use_are_refused() {
    let bench = Bench::new();
    trial(&bench, &swap(PACK, "rail-in-club:", "rail in club:")).code(2).has("call it `rail-in-club`");
    let limit = "limits:
  the-rail: {is: 8 ft, doc: A., source: {club: x}}
rules:";
    trial(&bench, &swap(PACK, "rules:", limit)).code(2).has("rules cannot name `the-rail`");
    trial(&bench, &swap(PACK, "rules:", &limit.replace("the-rail", "mean")))
        .code(2)
        .has("it is a word of their language");
}

#[test]
fn a_finding_names_the_member_that_decided_and_the_unit() {
    let bench = Bench::new();
    let pack = "\
pack: club
about: Rules of a club.
rules:
  buttons-apart:
    title: The buttons are far apart
    before: flight
    for: rail_button
    require: no other of all rail_button where other is not the same as rail_button has clearance(other, rail_button) < 20 in
    level: error
    finding: \"{rail_button} and {other} are {clearance(other, rail_button) in mm} apart; {name_of(other)} is at {other.clock}\"
    why: The rail holds the rocket by both.
    source: {club: field rules}
";
    bench.write("p/pack.yaml", pack);
    bench.write("a.rocket.yaml", DUAL);
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "p", "--format", "concise"]);
    run.has(
        "rail button `fore` of booster and rail button `aft` of booster are 412.7 mm apart; aft is at 60°",
    );
}

#[test]
fn trials_say_what_is_missing_and_try_the_remedy() {
    let bench = Bench::new();
    let missing =
        swap(PACK, "{without: flight.rail, expect: unproven}", "{without: flight.rail, expect: held}");
    trial(&bench, &missing).code(1).has("came out unproven (not written down: `flight.rail`)");

    let remedied = |to: &str| {
        let remedy = format!(
            "    remedy: {{set: rocket.flight.rail, to: {to}, say: \"a rail of {{value}}\"}}\n    trials:\n"
        );
        swap(PACK, "    trials:\n", &remedy)
    };
    trial(&bench, &remedied("100 in")).code(0);
    trial(&bench, &remedied("50 in")).code(1).has("does nothing for any trial that breaks it");
    // What is there already cures nothing.
    trial(&bench, &remedied("rocket.flight.rail")).code(1).has("does nothing");
    let said = |effect: &str, to: &str| {
        swap(&remedied(to), "{expect: broken}", &format!("{{expect: broken, remedy: {effect}}}"))
    };
    trial(&bench, &said("settles", "100 in")).code(0);
    trial(&bench, &said("helps", "98 in")).code(0);
    trial(&bench, &said("none", "50 in")).code(0);
    trial(&bench, &said("settles", "98 in")).code(1).has("does this here: helps, and the trial says settles");
}
