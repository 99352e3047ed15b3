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
pub(super) fn refused(pack: &str, at: &str, message: &str, help: &str) {
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
pub(super) fn with(require: &str) -> String {
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
