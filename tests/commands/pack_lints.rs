//! What `trial` says of rules that load: conditions that never vary, rules that ask the same, names without use.

use super::packs::{PACK, refused, with};
use super::{Bench, swap};

#[test]
fn coverage_names_each_condition_that_no_trial_settles_both_ways() {
    let bench = Bench::new();
    let run = |pack: &str| {
        bench.write("p/pack.yaml", pack);
        bench.run(&["trial", "--coverage", "p"])
    };
    run(PACK).code(0).has("2 of 2 outcomes of 1 conditions were seen: 100.0 %");
    // Not a word of it where it is not asked for.
    assert!(!bench.run(&["trial", "p"]).all().contains("outcomes"));
    let wordy = with(
        ">-\n      rocket.flight.rail >= 100 in or\n      rocket.flight has ceiling and rocket.flight.ceiling > 9000 ft",
    );
    let line = wordy.lines().position(|l| l.contains("has ceiling")).unwrap() + 1;
    run(&wordy)
        .code(0)
        .has("`rail-in-club` has conditions that no trial settles both ways")
        .has(&format!("p/pack.yaml:{line}:7: never false: rocket.flight has ceiling\n"))
        .has(&format!("p/pack.yaml:{line}:37: never true: rocket.flight.ceiling > 9000 ft\n"))
        .has("7 of 10 outcomes of 5 conditions were seen: 70.0 %");
    // Conditions of a derived quantity and of a message count, and one that is asked for only when another is so.
    let derived = "derived:\n  on_club_rail: {of: flight, is: flight.rail >= 100 in, doc: x}\nrules:";
    let message = "the rail is {if rocket.flight.rail > 1 in and rocket.flight.rail < 2 in then 1 in else rocket.flight.rail}";
    let pack = with("rocket.flight.on_club_rail")
        .replace("rules:", derived)
        .replace("the rail is {rocket.flight.rail}", message);
    let line = pack.lines().position(|l| l.contains("the rail is")).unwrap() + 1;
    run(&pack)
        .code(0)
        .has(&format!("p/pack.yaml:{line}:31: never false: rocket.flight.rail > 1 in\n"))
        .has(&format!("p/pack.yaml:{line}:61: never true: rocket.flight.rail < 2 in\n"));
}

/// A pack of two rules: that of the club, and another about the rail in the pack's own words.
fn beside(when: &str, require: &str, level: &str) -> String {
    let when = if when.is_empty() { String::new() } else { format!("    when: {when}\n") };
    format!(
        "{PACK}  second:\n    title: t\n    before: flight\n    for: rocket\n{when}    require: {require}\n    level: {level}\n    \
         finding: \"the rail is {{rocket.flight.rail}}\"\n    why: w\n    source: {{club: field rules}}\n    trials:\n      \
         - {{with: {{flight.rail: 1 in}}, expect: broken}}\n      - {{with: {{flight.rail: 200 in}}, expect: held}}\n      \
         - {{without: flight.rail, expect: unproven}}\n"
    )
}

#[test]
fn conditions_that_cannot_vary_are_refused() {
    let always = |require: &str, at: &str, help: &str| {
        refused(&with(require), at, "this always comes out true", help);
    };
    let never = |require: &str, at: &str, help: &str| {
        refused(&with(require), at, "this never comes out true", help);
    };
    let alone = "no design can make it come out otherwise";
    let here = "what the rule asks before it decides it";
    // By the sign of a measure, and of what is worked out from it.
    always("rocket.flight.rail > -1 in", "rocket.flight.rail > -1 in", alone);
    never("rocket.flight.rail < 0 in", "rocket.flight.rail < 0 in", alone);
    never("rocket.flight.rail * 2 + 1 in <= 1 in", "rocket.flight.rail * 2 + 1 in <= 1 in", alone);
    always("rocket.flight.rail ^ 2 >= 0 in^2", "rocket.flight.rail ^ 2 >= 0 in^2", alone);
    always("sqrt(rocket.flight.rail * 1 in) >= 0 in", "sqrt(rocket.flight.rail * 1 in) >= 0 in", alone);
    // By whole counts.
    never("count of rocket.sections = 2.5", "count of rocket.sections = 2.5", alone);
    always("count of rocket.sections >= 0", "count of rocket.sections >= 0", alone);
    // By words that the field cannot hold, or that are all it can hold.
    refused(&with("rocket.seeks is level2"), "level2", "this is never `level2`", "level 2");
    never(
        "some j of rocket.joints where j.parts_at is apogee has j.parts_at is main",
        "j.parts_at is main",
        here,
    );
    always(
        "every j of rocket.joints where j.parts_at is apogee has j.parts_at is not one of (main, never)",
        "j.parts_at is not one of (main, never)",
        here,
    );
    // In what is said, where `when` has ruled it out.
    let said = swap(PACK, "    level:", "    when: rocket.flight.rail > 1 in\n    level:").replace(
        "the rail is {rocket.flight.rail}",
        "the rail is {if rocket.flight.rail <= 1 in then 1 in else rocket.flight.rail}",
    );
    refused(&said, "rocket.flight.rail <= 1 in", "this never comes out true", here);
    // One thing beside itself.
    always("rocket.flight.rail = rocket.flight.rail", "rocket.flight.rail = rocket.flight.rail", alone);
    never("rocket.flight.rail < rocket.flight.rail", "rocket.flight.rail < rocket.flight.rail", alone);
    // A low bound above the high one, and what was asked before.
    never("rocket.flight.rail >= 9 ft and rocket.flight.rail <= 8 ft", "rocket.flight.rail <= 8 ft", here);
    always("rocket.flight.rail < 9 ft or rocket.flight.rail > 8 ft", "rocket.flight.rail > 8 ft", here);
    never("rocket.flight.rail >= 9 ft and not rocket.flight.rail < 8 ft", "rocket.flight.rail < 8 ft", here);
    never("rocket.name = rocket.notes and rocket.name != rocket.notes", "rocket.name != rocket.notes", here);
}

#[test]
fn conditions_that_can_vary_are_let_through() {
    let bench = Bench::new();
    for require in [
        "rocket.flight.rail > 0.001 in",
        "rocket.flight.rail - 1 in > -0.5 in",
        "count of rocket.sections = 2",
        "(1e-9 / 1e-9) = (count of all joint)",
        "rocket.flight.rail >= 8 ft and rocket.flight.rail <= 9 ft",
        "rocket.flight.rail < 8 ft or rocket.flight.rail > 9 ft",
        "rocket.flight.rail > 100 in or (rocket.flight.rail > 90 in and rocket.name matches /^Z/)",
        "rocket.flight.temperature > 40 degF",
        "every j of rocket.joints where j.parts_at is not never has j.parts_at is apogee",
        "rocket.flight.rail = rocket.length",
        "if rocket.flight.rail > 8 ft then rocket.flight.rail < 9 ft else rocket.flight.rail > 7 ft",
    ] {
        bench.write("p/pack.yaml", with(require));
        let run = bench.run(&["rules", "--rules", "p"]);
        assert!(run.code == 0 && run.err.is_empty(), "{require}: {}", run.err);
    }
}

#[test]
fn rules_about_nothing_are_refused() {
    refused(
        &swap(PACK, "for: rocket", "for: thread"),
        "thread",
        "no design holds a thread, so this rule is about nothing",
        "a row of a table",
    );
    refused(
        &with("count of all material > 1"),
        "material",
        "no design holds a material",
        "reach it from what refers to it",
    );
}

#[test]
fn limits_that_decide_a_condition_are_told_by_trial() {
    let bench = Bench::new();
    let limits =
        "limits:\n  low: {is: 120 in, source: {club: x}}\n  high: {is: 80 in, source: {club: x}}\nrules:";
    let pack = with("rocket.flight.rail >= low and rocket.flight.rail <= high").replace("rules:", limits);
    bench.write("p/pack.yaml", &pack);
    // A club sets limits; its packs are still read.
    bench.run(&["rules", "--rules", "p"]).code(0).has("rail-in-club");
    bench
        .run(&["trial", "p"])
        .code(1)
        .has("this never comes out true")
        .has("pack.yaml:11:44]")
        .has("the limit decides it as it is set")
        .has("0 errors and 1 warning in the packs themselves");
}

#[test]
fn rules_that_ask_the_same_are_told_by_trial() {
    let bench = Bench::new();
    let trial = |pack: String| {
        bench.write("p/pack.yaml", pack);
        bench.run(&["trial", "p"])
    };
    let same = "`second` asks the same as `rail-in-club` of pack `club`";
    for require in [
        "rocket.flight.rail >= 100 in",
        "not rocket.flight.rail < 100 in",
        "100 in <= rocket.flight.rail",
        "not (rocket.flight.rail < 2540 mm)",
    ] {
        trial(beside("", require, "warning"))
            .code(1)
            .has(same)
            .has("the other rule")
            .has("1 error and 0 warnings");
    }
    for (when, require) in
        [("rocket has seeks", "rocket.flight.rail >= 100 in"), ("", "rocket.flight.rail > 100 in")]
    {
        assert!(!trial(beside(when, require, "error")).all().contains("asks the same"), "{when} {require}");
    }
    // The built-in packs are looked at as well.
    let again = swap(PACK, "rocket.flight.rail >= 100 in", "rocket.stability >= 1");
    trial(again).has("`rail-in-club` asks the same as `stable-in-flight` of pack `stability`");
}

#[test]
fn rules_in_the_shadow_of_another_are_told_by_trial() {
    let bench = Bench::new();
    let trial = |when: &str, require: &str, level: &str| {
        bench.write("p/pack.yaml", beside(when, require, level));
        bench.run(&["trial", "p"])
    };
    let shadowed = "is broken only where `rail-in-club` is, which asks for more";
    for (when, require) in [
        ("", "rocket.flight.rail >= 90 in"),
        ("", "rocket.flight.rail > 8 ft"),
        ("rocket has seeks", "rocket.flight.rail >= 100 in"),
        ("rocket has seeks", "rocket.flight.rail * 2 >= 2 * 90 in or rocket.flight.rail >= 100 in"),
    ] {
        let run = trial(when, require, "warning");
        if require.contains(" or ") {
            // More than is looked at: nothing is said rather than something wrong.
            assert!(!run.all().contains("is broken only where"), "{require}");
        } else {
            run.code(0).has(shadowed).has("0 errors and 1 warning in the packs themselves");
        }
    }
    // Stricter, of another quantity, or graver: each says something of its own.
    bench.write(
        "p/pack.yaml",
        swap(
            &beside("", "rocket.flight.rail >= 90 in", "error"),
            "level: error\n    finding: \"the rail is {rocket.flight.rail}\"\n    why: The",
            "level: warning\n    finding: \"the rail is {rocket.flight.rail}\"\n    why: The",
        ),
    );
    assert!(!bench.run(&["trial", "p"]).all().contains("is broken only where"));
    assert!(!trial("", "rocket.flight.rail >= 2 * 90 in", "note").all().contains("`second` is broken only"));
    assert!(!trial("", "rocket.flight.rail <= 150 in", "note").all().contains("is broken only where"));
    assert!(
        !trial("", "rocket.flight.rail >= 0.5 * rocket.length", "note")
            .all()
            .contains("is broken only where")
    );
}

#[test]
fn names_without_use_are_told_by_trial() {
    let bench = Bench::new();
    let unused = "limits:\n  never_asked: {is: 120 in, source: {club: x}}\nderived:\n  half_rail: {of: flight, is: flight.rail / 2, doc: x}\nrules:";
    bench.write("p/pack.yaml", PACK.replace("rules:", unused));
    bench
        .run(&["trial", "p"])
        .code(0)
        .has("nothing compares with the limit `never_asked`")
        .has("pack.yaml:4:3]")
        .has("no rule uses `half_rail` of a flight")
        .has("pack.yaml:6:3]")
        .has("0 errors and 2 warnings in the packs themselves");
    // In a message, or in another derived quantity that a rule uses, it is used.
    let used = PACK
        .replace("rules:", &unused.replace("flight.rail / 2", "flight.rail / never_asked * 1 in"))
        .replace("{rocket.flight.rail}", "{rocket.flight.half_rail}");
    bench.write("p/pack.yaml", used);
    let run = bench.run(&["trial", "p"]);
    assert!(!run.all().contains("in the packs themselves"), "{}", run.all());
    // A rule that could not be read may be what uses it: nothing is said.
    bench.write("p/pack.yaml", PACK.replace("rules:", unused).replace(">= 100 in", ">= 100 inchs"));
    assert!(!bench.run(&["trial", "p"]).all().contains("never_asked"));
}

#[test]
fn a_source_that_names_none_is_told_by_trial() {
    let bench = Bench::new();
    bench.write("p/pack.yaml", swap(PACK, "{club: field rules}", "{note: plain reason}"));
    bench
        .run(&["trial", "p"])
        .code(0)
        .has("this source names nothing that a reader could look up or ask")
        .has("pack.yaml:12:13]")
        .has("0 errors and 1 warning in the packs themselves");
    bench.write(
        "p/pack.yaml",
        swap(PACK, "{club: field rules}", "{common_practice: long rails, note: plain reason}"),
    );
    assert!(!bench.run(&["trial", "p"]).all().contains("in the packs themselves"));
}
