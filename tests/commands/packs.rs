//! Rule packs of one's own: one file adds a rule, and a mistake in it is shown at its bytes.

use super::{Bench, DUAL, swap};

pub(super) const PACK: &str = "\
pack: club
about: Rules of a club.
rules:
  rail-in-club:
    title: The rail is one of the club's
    before: flight
    for: rocket
    require: rocket.flight.rail >= 100 in
    level: error
    finding: \"the rail is {rocket.flight.rail}\"
    why: The club's rails are longer.
    source: {club: field rules}
    trials:
      - {expect: broken}
      - {with: {flight.rail: 120 in}, expect: held}
      - {without: flight.rail, expect: unproven}
";

#[test]
fn one_file_adds_a_rule_that_works() {
    let bench = Bench::new();
    bench.write("rules/club.yaml", PACK);
    bench.write("a.rocket.yaml", DUAL);
    let line = DUAL.lines().position(|l| l.contains("rail: 96 in")).unwrap() + 1;
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "rules", "--format", "concise"]);
    run.code(1).has(&format!("a.rocket.yaml:{line}:9: error[rail-in-club] the rail is 96 in"));
    let run = bench.run(&["review", "a.rocket.yaml", "--format", "concise"]);
    assert!(!run.all().contains("rail-in-club"));
    bench.run(&["rules", "--rules", "rules"]).code(0).has("rail-in-club").has("club: field rules");
    bench.run(&["explain", "rail-in-club", "--rules", "rules"]).code(0).has("rocket.flight.rail >= 100 in");
    bench
        .run(&["trial", "rules"])
        .code(0)
        .has("3 trials of 1 rule: 3 as expected, 0 not; 0 rules lack a trial");
}

#[test]
fn trials_say_what_went_otherwise() {
    let bench = Bench::new();
    let trial = |pack: &str| {
        bench.write("p/pack.yaml", pack);
        bench.run(&["trial", "p"])
    };
    trial(&swap(
        PACK,
        "{with: {flight.rail: 120 in}, expect: held}",
        "{with: {flight.rail: 99 in}, expect: held}",
    ))
    .code(1)
    .has("`rail-in-club` came out broken, and the trial expects held");
    trial(&swap(PACK, "      - {without: flight.rail, expect: unproven}\n", ""))
        .code(1)
        .has("`rail-in-club` has no trial that comes out unproven");
    trial(&swap(PACK, "      - {expect: broken}\n", "")).code(1).has("no trial that comes out broken");
    trial(&swap(PACK, "{with: {flight.rail: 120 in}", "{with: {flihgt.rail: 120 in}"))
        .code(1)
        .has("the specimen has no `flihgt`")
        .has("did you mean `flight`?");
    trial(&swap(PACK, "{without: flight.rail", "{without: flight.rial"))
        .code(1)
        .has("the specimen has no `rial`")
        .has("did you mean `rail`?");
    trial(
        &swap(PACK, "{without: flight.rail", "{subject: flihgt, without: flight.rail")
            .replace("for: rocket", "for: flight")
            .replace("rocket.flight", "flight"),
    )
    .code(1)
    .has("no flight `flihgt`")
    .has("did you mean `flight`?");
    trial(&swap(PACK, "{with: {flight.rail: 120 in}", "{with: {flight.rail: 120}"))
        .code(1)
        .has("`120` has no unit; expected a");
    trial(&swap(PACK, "{with: {flight.rail: 120 in}", "{with: {flight.rail: }"))
        .code(1)
        .has("came out unproven");
    trial(&swap(PACK, "      - {expect: broken}", "      - {specimen: none_such, expect: broken}"))
        .code(2)
        .has("no specimen is named `none_such`");
    trial(&swap(PACK, "      - {expect: broken}", "      - {expect: brokn}"))
        .code(2)
        .has("`brokn` is not a word known here")
        .has("did you mean `broken`");
    trial("pack: [\n").code(2).has("never closed");
    bench.run(&["trial", "not-there"]).code(2).has("there is no such file");
    std::fs::create_dir(bench.path().join("nothing")).unwrap();
    bench.run(&["trial", "nothing"]).code(2).has("no rule files here");
}

/// A pack with one thing changed is refused with a message at the bytes of `at`, and a good pack beside it still runs.
#[track_caller]
fn refused(pack: &str, at: &str, message: &str, help: &str) {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("good.yaml", swap(PACK, "pack: club", "pack: good").replace("rail-in-club", "good-rule"));
    bench.write("wrong.yaml", pack);
    let arguments = ["review", "a.rocket.yaml", "--rules", "good.yaml", "--rules", "wrong.yaml"];
    let run = bench.run(&[&arguments[..], &["--format", "json"]].concat());
    let document = run.code(2).json();
    let problems = document["problems"].as_array().unwrap();
    let problem = problems
        .iter()
        .find(|p| p["message"].as_str().unwrap().contains(message))
        .unwrap_or_else(|| panic!("{message} is not in {problems:?}"));
    assert!(problem["help"].as_str().unwrap_or("").contains(help), "{help} is not in {problem}");
    assert_eq!(problem["path"], "wrong.yaml");
    let place = &problem["place"];
    let range = place["start_byte"].as_u64().unwrap() as usize..place["end_byte"].as_u64().unwrap() as usize;
    assert_eq!(pack.get(range.clone()), Some(at), "{problem}");
    let line = pack[..range.start].matches('\n').count() as u64 + 1;
    assert_eq!(place["line"].as_u64(), Some(line));
    let good =
        document["designs"][0]["findings"].as_array().unwrap().iter().any(|f| f["rule"] == "good-rule");
    assert!(good, "the good pack did not run");
    bench.run(&arguments).code(2).has(message);
}

/// The requirement replaced.
fn with(require: &str) -> String {
    swap(PACK, "rocket.flight.rail >= 100 in", require)
}

#[test]
fn requirements_that_make_no_sense() {
    refused(&with("rocket.flight.rail >= 3 lbf"), "3 lbf", "cannot compare a length and a force", "");
    refused(&with("rocket.flight.rial >= 100 in"), "rial", "rial", "did you mean `rail`?");
    refused(&with("rocket.flihgt.rail >= 100 in"), "flihgt", "flihgt", "did you mean `flight`?");
    refused(
        &with("rocket.flight.rail >= 100 inchs"),
        "inchs",
        "`inchs` is not a unit known here",
        "did you mean",
    );
    refused(&with("rocket.motor.designation matches /K(/"), "K(", "pattern", "");
    refused(&with("rocket.seeks is level2"), "level2", "level2", "level 2");
    refused(
        &with("rocket.sections.mass >= 1 kg"),
        "rocket.sections",
        "this is a collection of section",
        "ask each member",
    );
    refused(&with("(rocket.flight.rail >= 100 in"), "n", "expected", "");
    refused(&with("rocket.flight.rail >= 100 in)"), ")", "the expression should end here", "");
    refused(&with("rocket.flight.rail"), "rocket.flight.rail", "expected", "a comparison");
    refused(&with("rocket.flight.rail >= 100 in & true"), "&", "`&` means nothing here", "write `and`");
    refused(
        &with("rocket.flight.rail + rocket.flight.temperature > 1 in"),
        "rocket.flight.temperature",
        "",
        "",
    );
    refused(&with(&format!("{}true{}", "(".repeat(200), ")".repeat(200))), "(", "nested too deep", "");
    refused(&with(&vec!["true"; 600].join(" and ")), &vec!["true"; 600].join(" and "), "too long", "derived");
}

#[test]
fn rules_that_are_put_together_wrong() {
    refused(
        &swap(PACK, "for: rocket", "for: rokcet"),
        "rokcet",
        "`rokcet` is not a type of part",
        "did you mean `rocket`?",
    );
    refused(
        &swap(PACK, "before: flight", "before: fligth"),
        "fligth",
        "`fligth` is not a word known here",
        "did you mean `flight`?",
    );
    refused(
        &swap(PACK, "level: error", "level: fatal"),
        "fatal",
        "`fatal` is not a word known here",
        "`error`",
    );
    refused(
        &swap(PACK, "{rocket.flight.rail}\"", "{rocket.flight.rial}\""),
        "rial",
        "rial",
        "did you mean `rail`?",
    );
    refused(
        &swap(PACK, "    why: The club's rails are longer.\n", ""),
        "rail-in-club",
        "`why` is missing here",
        "Why it matters",
    );
    refused(&swap(PACK, "    why:", "    wyh:"), "wyh", "a rule has no `wyh`", "did you mean `why`?");
    refused(
        &swap(PACK, "    why:", "    when: rocket.flight.rail\n    why:"),
        "rocket.flight.rail",
        "expected",
        "",
    );
    refused(
        &swap(PACK, "pack: club", "pack: venting"),
        "venting",
        "a pack named `venting` is already in force",
        "",
    );
    refused(
        &swap(PACK, "rail-in-club", "good-rule"),
        "good-rule",
        "a rule named `good-rule` already stands in pack `good`",
        "",
    );
    refused(
        &swap(PACK, "{with: {flight.rail: 120 in}, expect: held}", "{with: {flight.rail: 120 in}}"),
        "with",
        "`expect` is missing here",
        "The outcome",
    );
    let remedy = |text: &str| swap(PACK, "    trials:", &format!("    remedy: {{{text}}}\n    trials:"));
    refused(&remedy("set: rocket.flight.rial, to: 120 in, say: x"), "rial", "rial", "did you mean `rail`?");
    refused(&remedy("set: rocket.flight.rail, to: 3 kg, say: x"), "3 kg", "", "");
    refused(&remedy("set: rocket.flight.rail, to: 120 in"), "remedy", "`say` is missing here", "");
    refused(&remedy("set: rocket.name, to: 120 in, say: x"), "120 in", "the field takes a word", "");
    let bench = Bench::new();
    let renamed = remedy("set: rocket.name, to: '\"Tern\"', say: x");
    bench.write("p/pack.yaml", swap(&renamed, "{expect: broken}", "{expect: broken, remedy: none}"));
    bench.run(&["trial", "p"]).code(0);
    let wrong =
        "set: rocket.flight.rail, to: 120 in, say: \"{value}, then {value} for {rocket.flight.rial}\"";
    refused(&remedy(wrong), "rial", "rial", "did you mean `rail`?");
}

#[test]
fn limits_and_derived_quantities() {
    let limit = |is: &str| {
        swap(PACK, "rules:", &format!("limits: {{least_rail: {{is: {is}, source: {{club: x}}}}}}\nrules:"))
            .replace("rail >= 100 in", "rail >= least_rail")
    };
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("ok.yaml", limit("100 in"));
    bench
        .run(&["review", "a.rocket.yaml", "--rules", "ok.yaml", "--format", "concise"])
        .code(1)
        .has("[rail-in-club]");
    refused(&limit("100 inchs"), "inchs", "`inchs` is not a unit known here", "");
    refused(&limit("100 kg"), "least_rail", "cannot compare a length and a mass", "");
    let derived = |text: &str| swap(PACK, "rules:", &format!("derived:\n{text}rules:"));
    let one = |name: &str, is: &str| format!("  {name}: {{of: flight, is: {is}, doc: x}}\n");
    bench.write(
        "ok.yaml",
        derived(&one("half_rail", "flight.rail / 2"))
            .replace("rocket.flight.rail >= 100 in", "rocket.flight.half_rail >= 50 in"),
    );
    bench
        .run(&["review", "a.rocket.yaml", "--rules", "ok.yaml", "--format", "concise"])
        .code(1)
        .has("[rail-in-club]");
    refused(&derived(&one("half_rail", "flight.half_rail / 2")), "half_rail", "half_rail", "");
    // In any order.
    bench
        .write("ok.yaml", derived(&(one("a_rail", "flight.b_rail / 2") + &one("b_rail", "flight.rail / 2"))));
    bench.run(&["review", "a.rocket.yaml", "--rules", "ok.yaml", "--format", "concise"]).code(1);
    refused(&derived(&one("rail", "flight.rail / 2")), "rail", "a flight already has `rail`", "");
    refused(
        &derived("  x: {of: fligth, is: flight.rail, doc: x}\n"),
        "fligth",
        "`fligth` is not a type of part",
        "did you mean `flight`?",
    );
}

#[test]
fn files_that_are_no_packs() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for (bytes, message) in [
        (&b"pack: [\n"[..], "never closed"),
        (b"", "the file is empty"),
        (b"- a\n", "there is no pack here"),
        (b"pack: a\xff\n", "not UTF-8"),
        (b"pack: a\nabout: b\nrules: {r: 3}\n", "`r`, a rule, is described by a map"),
    ] {
        bench.write("wrong.yaml", bytes);
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", "wrong.yaml", "--format", "concise"]);
        run.code(2).has("wrong.yaml:").has(message).has("a.rocket.yaml: ");
    }
    bench
        .run(&["review", "a.rocket.yaml", "--rules", "gone.yaml", "--format", "concise"])
        .code(2)
        .has("gone.yaml:1:1: ")
        .has("a.rocket.yaml: ");
}

#[test]
fn a_rule_that_is_not_there() {
    let bench = Bench::new();
    bench.write("club.yaml", PACK);
    bench
        .run(&["explain", "rail-in-clbu", "--rules", "club.yaml"])
        .code(2)
        .has("no rule is named `rail-in-clbu`; did you mean `rail-in-club`?");
    bench.run(&["explain", "qqqqqqqqqqqqqqq"]).code(2).has("`holdpoint rules` lists them");
}

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

/// A pack of a club that bears the name of a built-in one shadows nothing: `trial` refuses what `review` refuses.
#[test]
fn trial_refuses_the_names_that_a_review_refuses() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for (pack, words) in [
        (swap(PACK, "pack: club", "pack: rail"), "a pack named `rail` is already in force"),
        (
            PACK.replace("rail-in-club", "two-rail-buttons"),
            "a rule named `two-rail-buttons` already stands in pack `rail`",
        ),
    ] {
        bench.write("p/p.yaml", &pack);
        bench.run(&["trial", "p"]).code(2).has(words);
        bench.run(&["review", "a.rocket.yaml", "--rules", "p"]).code(2).has(words);
    }
}

/// The file of a built-in pack is edited in its place, and tried there before it is built in.
#[test]
fn an_edited_file_of_a_built_in_pack_takes_its_place_in_trials() {
    let bench = Bench::new();
    let rail = include_str!("../../rules/rail.yaml");
    bench.write("rules/rail.yaml", format!("{rail}# edited\n"));
    bench.run(&["trial", "rules"]).code(0).has("0 not");
}
