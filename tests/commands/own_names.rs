//! What a pack names for its own expressions: functions, tables; and the forms that go with them.

use super::packs::PACK;
use super::{Bench, DUAL, Run, swap};

/// The pack with more before its rules, and something else that it requires.
fn pack(more: &str, require: &str) -> String {
    let with = swap(PACK, "rules:\n", &format!("{more}rules:\n"));
    swap(&with, "require: rocket.flight.rail >= 100 in", &format!("require: {require}"))
}

fn trial(bench: &Bench, text: &str) -> Run {
    bench.write("p/pack.yaml", text);
    bench.run(&["trial", "p"])
}

/// What is said of a pack that does not load, each message at its place: pairs of a message and the bytes that it underlines.
pub(super) fn problems(bench: &Bench, text: &str) -> Vec<(String, String)> {
    bench.write("a.rocket.yaml", DUAL);
    bench.write("wrong.yaml", text);
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "wrong.yaml", "--format", "json"]);
    let document = run.code(2).json();
    let problems = document["problems"].as_array().unwrap().iter().map(|problem| {
        let at = |key: &str| problem["place"][key].as_u64().unwrap() as usize;
        let (from, to) = (at("start_byte"), at("end_byte"));
        let words = format!(
            "{} {}",
            problem["message"].as_str().unwrap(),
            problem["help"].as_str().unwrap_or_default()
        );
        (words, text[from..to].to_owned())
    });
    problems.collect()
}

#[track_caller]
pub(super) fn reported_at(found: &[(String, String)], message: &str, at: &str) {
    assert!(
        found.iter().any(|(words, place)| words.contains(message) && place == at),
        "{message}: {found:#?}"
    );
}

const FUNCTIONS: &str = "\
limits:
  little: {is: 4 in, doc: Little., source: {club: x}}
functions:
  double: {of: {x: length}, is: gap(x) + gap(x), doc: Twice the gap., source: {club: x}}
  gap: {of: {x: length}, is: x / 2 + little, doc: The gap., source: {club: x}}
derived:
  wanted: {of: flight, is: double(flight.rail), doc: Wanted.}
";

#[test]
fn a_function_stands_anywhere_and_is_worked_out_in_steps() {
    let bench = Bench::new();
    // 96 in / 2 + 4 in, twice, is 104 in; of 120 in it is 128 in.
    trial(&bench, &pack(FUNCTIONS, "rocket.flight.wanted >= 110 in")).code(0).has("3 as expected");
    bench.write("a.rocket.yaml", DUAL);
    let text = pack(FUNCTIONS, "rocket.flight.wanted >= 110 in");
    let text =
        swap(&text, "\"the rail is {rocket.flight.rail}\"", "\"{double(rocket.flight.rail)} is little\"");
    bench.write("p/pack.yaml", text);
    bench
        .run(&["review", "a.rocket.yaml", "--rules", "p"])
        .has("104 in is little")
        .has("gap(flight.rail) = 52 in")
        .has("[rail / 2 + little]");
    let page = bench.run(&["rules", "--rules", "p", "--pack", "club", "--markdown"]).code(0).out.clone();
    assert!(page.contains("### gap\n\nThe gap.\n\n- `x`: a length\n- is: `x / 2 + little`\n- gives: a length\n- source: club: x\n"), "{page}");
    let document = bench.run(&["rules", "--rules", "p", "--pack", "club", "--format", "json"]).json();
    assert_eq!(document["packs"][0]["functions"][0]["takes"], "gap(x), `x` a length");
}

#[test]
fn what_a_function_takes_may_be_a_part_a_truth_or_missing() {
    let bench = Bench::new();
    let functions = "\
functions:
  long: {of: {where: flight, due: length}, is: where.rail >= due, doc: Long.}
  sure: {of: {x: length}, is: x or else 1 in, doc: Sure.}
  either: {of: {a: truth, b: truth}, is: a or b, doc: One of both.}
  any_bay: {of: {size: length}, is: some bay of all section has bay.body_diameter > size, doc: Any.}
";
    let functions = functions.replace("where:", "place:").replace("where.rail", "place.rail");
    let require =
        "long(rocket.flight, 100 in) and sure(rocket.flight.ceiling) > 0 in and either(any_bay(1 in), false)";
    trial(&bench, &pack(&functions, require)).code(0).has("3 as expected");
    // What is missing is missing inside too, where nothing is said for it.
    let strict = functions.replace("x or else 1 in", "x");
    let text = pack(&strict, "sure(rocket.motor.delay * 1 m / 1 s) > 100 in");
    trial(&bench, &text).code(1).has("came out unproven (not written down: `motor.delay`)");
}

#[test]
fn mistakes_of_functions_are_reported_at_their_places() {
    let bench = Bench::new();
    let functions = "\
functions:
  f: {of: {m: length}, is: 2 * m, doc: A unit.}
  g: {of: {x: lenght}, is: x, doc: A slip.}
  h: {of: {x: length}, is: k(x), doc: A circle.}
  k: {of: {x: length}, is: rocket.far * h(x), doc: A circle.}
  ln: {of: {x: length}, is: x, doc: Taken.}
  n: {of: {}, is: 1 m, doc: Nothing.}
  p: {of: {x: length}, is: x + 1 s, doc: Wrong.}
  q: {of: {x: length}, is: p(x), doc: It waits.}
  ok: {of: {x: length, y: mass}, is: x, doc: Right.}
derived:
  far: {of: rocket, is: 1 * 1, doc: A number.}
  s1: {of: rocket, is: ok(1 m), doc: Too few.}
  s2: {of: rocket, is: 'ok(1 m, 2 m)', doc: The wrong one.}
  s3: {of: rocket, is: ok, doc: Not called.}
  s4: {of: rocket, is: okk(1 m), doc: A slip.}
";
    let found = problems(&bench, &pack(functions, "rocket.flight.rail >= 100 in"));
    reported_at(&found, "`m` is a unit", "m");
    reported_at(&found, "`lenght` is nothing that a function takes did you mean `length`?", "lenght");
    reported_at(&found, "`h` is worked out from itself: `h` from `k` from `h` one of them must be", "h");
    reported_at(&found, "`ln` is a function of the language", "ln");
    reported_at(&found, "a function takes at least one value", "of");
    reported_at(&found, "cannot add a length and a time", "1 s");
    reported_at(&found, "`p` is left out, since something is wrong with it", "p");
    reported_at(&found, "`ok` takes 2 values, and 1 is given ok(x, y), `x` a length, `y` a mass", "ok(1 m)");
    reported_at(&found, "`ok` takes a mass for `y` here, and this is a length", "2 m");
    reported_at(&found, "it is a function: call it with its values", "ok");
    reported_at(&found, "`okk` is no function did you mean `ok`?", "okk");
    assert_eq!(found.len(), 11, "{found:#?}");
}

#[test]
fn a_circle_through_a_quantity_and_a_function_is_reported_as_one() {
    let bench = Bench::new();
    let both = "\
functions:
  f: {of: {x: length}, is: rocket.around * x, doc: F.}
derived:
  around: {of: rocket, is: f(1 m) / 1 m, doc: Around.}
";
    let found = problems(&bench, &pack(both, "rocket.flight.rail >= 100 in"));
    reported_at(&found, "`f` is worked out from itself: `f` from `around` from `f`", "f");
    assert_eq!(found.len(), 1, "{found:#?}");
}

#[test]
fn functions_that_call_one_another_are_bounded() {
    let bench = Bench::new();
    // Each calls the one before twice: to work the last one out would take 2^20 steps.
    let mut many = "functions:\n  f0: {of: {x: length}, is: x + 1 in, doc: F.}\n".to_owned();
    for at in 1..=20 {
        many.push_str(&format!(
            "  f{at}: {{of: {{x: length}}, is: f{0}(x) + f{0}(2 * x), doc: F.}}\n",
            at - 1
        ));
    }
    trial(&bench, &pack(&many, "f20(rocket.flight.rail) >= 1 in")).code(1).has("the rule asks too much");
    bench.write("a.rocket.yaml", DUAL);
    bench.run(&["review", "a.rocket.yaml", "--rules", "p"]).code(1).has("the rule asks too much");
    // A long way down is told when the pack is loaded.
    let mut deep = "functions:\n  f0: {of: {x: length}, is: x + 1 in, doc: F.}\n".to_owned();
    for at in 1..=80 {
        deep.push_str(&format!("  f{at}: {{of: {{x: length}}, is: f{}(x), doc: F.}}\n", at - 1));
    }
    trial(&bench, &pack(&deep, "rocket.flight.rail >= 100 in")).code(2).has("the function is too deep");
}

const TABLES: &str = "\
tables:
  rails:
    doc: The rail for a motor.
    columns: {impulse: N*s, rail: ft, pads: number, who: text}
    rows:
      - [640, 6, 1, anyone]
      - [1600, 9 ft, 2, a mentor]
      - [5120, 3 m, 3, two mentors]
    source: {club: field rules, clause: \"2\"}
  by_class:
    doc: The rail for a class.
    columns: {class: text, rail: in}
    rows:
      - [J, 90]
      - [K, 110]
    source: {club: field rules}
";

#[test]
fn a_table_is_looked_up_by_steps_along_lines_and_in_a_row() {
    let bench = Bench::new();
    for (require, expected) in [
        // The motor of the trial gives 1500 N*s.
        ("rocket.flight.rail >= by_steps(rocket.motor.total_impulse, rails.rail)", "3 as expected"),
        ("rocket.flight.rail >= interpolated(rocket.motor.total_impulse, rails.rail)", "3 as expected"),
        ("rocket.flight.rail >= in_row(rocket.motor.impulse_class, by_class.rail)", "3 as expected"),
        // Between the rows the line counts.
        (
            "rocket.flight.rail >= 100 in and abs(interpolated(1120 N*s, rails.rail) - 7.5 ft) < 0.001 in",
            "3 as expected",
        ),
        ("rocket.flight.rail / 50 in >= by_steps(rocket.motor.total_impulse, rails.pads)", "3 as expected"),
        (
            "rocket.flight.rail > 100 in and by_steps(rocket.motor.total_impulse, rails.who) = \"a mentor\"",
            "3 as expected",
        ),
    ] {
        trial(&bench, &pack(TABLES, require)).code(0).has(expected);
    }
    // Beyond the table nothing is known.
    let text = pack(TABLES, "rocket.flight.rail >= by_steps(rocket.motor.total_impulse, rails.rail)");
    let beyond = "{with: {motor.total_impulse: 6000 N*s}, expect: broken}";
    trial(&bench, &swap(&text, "{expect: broken}", beyond)).code(1).has("lies beyond the table");
    let text = pack(TABLES, "rocket.flight.rail >= in_row(rocket.motor.impulse_class, by_class.rail)");
    let beyond = "{with: {motor.total_impulse: 6000 N*s}, expect: broken}";
    trial(&bench, &swap(&text, "{expect: broken}", beyond)).code(1).has("the table has no row for `M`");
}

#[test]
fn a_table_is_shown_with_its_units_and_source() {
    let bench = Bench::new();
    let text = pack(TABLES, "rocket.flight.rail >= by_steps(rocket.motor.total_impulse, rails.rail)");
    // Columns that nothing looks up are remarked.
    trial(&bench, &text).code(0).has("nothing looks a value up in `rails.pads`").has("`by_class.rail`");
    let page = bench.run(&["rules", "--rules", "p", "--pack", "club", "--markdown"]).code(0).out.clone();
    for due in [
        "### rails\n\nThe rail for a motor.\n\n| impulse (N\\*s) | rail (ft) | pads | who |\n|---|---|---|---|\n| 640 | 6 | 1 | anyone |\n",
        "\nSource: club: field rules, clause 2\n",
        "- club: field rules, clause 2: `rails`\n",
    ] {
        assert!(page.contains(due), "{due}\n{page}");
    }
    let document = bench.run(&["rules", "--rules", "p", "--pack", "club", "--format", "json"]).json();
    assert_eq!(document["packs"][0]["tables"][1]["rows"][1][1], "110");
}

#[test]
fn mistakes_of_tables_are_reported_at_their_places() {
    let bench = Bench::new();
    let tables = "\
tables:
  t1: {doc: X., columns: {a: N*s}, rows: [[1]], source: {club: x}}
  t2: {doc: X., columns: {a: N*s, b: parsec}, rows: [[1, 2]], source: {club: x}}
  t3: {doc: X., columns: {a: N*s, b: m}, rows: [[1, 2], [0.5, 3]], source: {club: x}}
  t4: {doc: X., columns: {a: N*s, b: m}, rows: [[1, 2, 4]], source: {club: x}}
  t5: {doc: X., columns: {a: N*s, b: m}, rows: [[1, 2 s]], source: {club: x}}
  t6: {doc: X., columns: {a: text, b: m}, rows: [[K, 2], [L, 4], [K, 3]], source: {club: x}}
  t7: {doc: X., columns: {a: text, b: m}, rows: [[K, ''], [L, 3]], source: {club: x}}
  t8: {doc: X., columns: {a: text, b: m}, rows: {K: 3}, source: {club: x}}
  u: {doc: X., columns: {a: N*s, b: m, c: text}, rows: [[1, 2, p], [2, 4, q]], source: {club: x}}
  v: {doc: X., columns: {a: text, b: m}, rows: [[cone, 2], [cube, 4]], source: {club: x}}
derived:
  a1: {of: rocket, is: u.b, doc: X.}
  a2: {of: rocket, is: u(1 N*s), doc: X.}
  a3: {of: rocket, is: 'by_steps(1 N*s, u.a)', doc: X.}
  a4: {of: rocket, is: 'by_steps(1 N*s, u.e)', doc: X.}
  a5: {of: rocket, is: 'by_steps(1 s, u.b)', doc: X.}
  a6: {of: rocket, is: 'interpolated(\"K\", v.b)', doc: X.}
  a7: {of: rocket, is: 'interpolated(1 N*s, u.c)', doc: X.}
  a8: {of: rocket, is: 'in_row(rocket.seeks, v.b)', doc: X.}
  a9: {of: rocket, is: 'by_steps(1 N*s, 2 N*s, 1 m, 1 N*s, 2 m)', doc: X.}
";
    let found = problems(&bench, &pack(tables, "rocket.flight.rail >= 100 in"));
    reported_at(&found, "a table has at least two columns", "{a: N*s}");
    reported_at(&found, "`parsec` is no unit known here", "parsec");
    reported_at(&found, "the first column rises from row to row", "0.5");
    reported_at(&found, "a row has a value for each of 2 columns: a, b", "[1, 2, 4]");
    reported_at(&found, "expected a length, found `2 s`, a time", "2 s");
    reported_at(&found, "a row for this stands above it", "K");
    reported_at(&found, "there is no value for `b` in this row", "''");
    reported_at(&found, "expected a list of rows", "{K: 3}");
    reported_at(&found, "`u` is a table, and no value", "u");
    reported_at(&found, "it is a table: look a value up", "u");
    reported_at(&found, "`a` is the column that the rows of `u` are looked up by", "a");
    reported_at(&found, "the table `u` has no column `e`", "e");
    reported_at(&found, "`by_steps` takes an impulse here, and this is a time", "1 s");
    reported_at(&found, "a text is looked up with `in_row`", "interpolated(\"K\", v.b)");
    reported_at(&found, "finds quantities only", "interpolated(1 N*s, u.c)");
    reported_at(&found, "this is never `cone`", "rocket.seeks");
    reported_at(&found, "the first of each pair of a table must rise", "1 N*s");
    assert_eq!(found.len(), 17, "{found:#?}");
    let taken = "limits:\n  t: {is: 1 m, source: {club: x}}\ntables:\n  t: {doc: X., columns: {a: m, b: m}, rows: [[1, 2]], source: {club: x}}\n";
    let found = problems(&bench, &pack(taken, "rocket.flight.rail >= t"));
    reported_at(&found, "a limit of this pack is already named `t`", "t");
}

#[test]
fn one_part_is_reached_by_its_name() {
    let bench = Bench::new();
    let named =
        |name: &str| format!("rocket.flight.rail >= 100 in and (the altimeter named \"{name}\") is given");
    trial(&bench, &pack("", &named("primary"))).code(0);
    let height = "(the altimeter named \"primary\").main_height < 1000 ft and rocket.flight.rail >= 100 in";
    trial(&bench, &pack("", height)).code(0).has("3 as expected");
    // Where no part has the name, or two have it, nothing is known.
    let height = height.replace("primary", "third");
    trial(&bench, &pack("", &height)).code(1).has("the design has no altimeter named `third`");
    let two = "(the vent named \"relief\").count > 0 and rocket.flight.rail >= 100 in";
    let text = pack("", &two.replace("> 0", ">= 2"));
    trial(&bench, &text).code(1).has("more than one vent is named `relief`");
}

#[test]
fn a_pair_is_reported_once() {
    let bench = Bench::new();
    let text = swap(PACK, "for: rocket", "for: rail_button");
    let pairs = |order: &str| {
        let require =
            format!("no other of all rail_button where {order} has clearance(rail_button, other) < 100 in");
        let text = swap(&text, "rocket.flight.rail >= 100 in", &require);
        let text = swap(
            &text,
            "\"the rail is {rocket.flight.rail}\"",
            "\"{name_of(rail_button)}, {name_of(other)}\"",
        );
        bench.write("p/pack.yaml", text);
        bench.write("a.rocket.yaml", DUAL);
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", "p", "--format", "concise"]);
        let lines = run.out.lines().filter(|line| line.contains("rail-in-club"));
        lines.map(|line| line.split("] ").nth(1).unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(pairs("other is not the same as rail_button"), ["aft, fore", "fore, aft"]);
    assert_eq!(pairs("other comes after rail_button"), ["fore, aft"]);
    assert_eq!(pairs("other comes before rail_button"), ["aft, fore"]);
}

#[test]
fn tags_and_brackets_of_yaml_are_reported_at_their_places() {
    let bench = Bench::new();
    let text = swap(PACK, "about: Rules of a club.", "about: !!str Rules of a club.");
    let text = swap(&text, "require: rocket", "require: !mine rocket");
    let text = swap(&text, "- {expect: broken}", "- !!map {expect: broken}");
    let found = problems(&bench, &text);
    reported_at(&found, "the tag `!!str` means nothing here leave it out", "!!str");
    reported_at(
        &found,
        "the tag `!mine` means nothing here leave it out; a text that begins with `!`",
        "!mine",
    );
    reported_at(&found, "the tag `!!map` means nothing here", "!!map");
    assert_eq!(found.len(), 3, "{found:#?}");
    let negated = swap(PACK, "    require: rocket", "    when: !rocket.motor.plugged\n    require: rocket");
    reported_at(&problems(&bench, &negated), "`not` turns a condition round", "!rocket.motor.plugged");
    for (was, is, message) in [
        (
            "\"the rail is {rocket.flight.rail}\"",
            "{rocket} is short",
            "a text that begins with `{` stands in double quotes",
        ),
        (
            "\"the rail is {rocket.flight.rail}\"",
            "{rocket}",
            "a text that begins with `{` or `[` stands in double quotes",
        ),
        ("The rail is one of the club's", "[a] rail", "a text that begins with `[` stands in double quotes"),
        ("require: rocket", "require: >- rocket", "nothing but a comment may follow this sign on its line"),
        ("rocket.flight.rail >= 100 in", "rocket.name matches /No #1/", "put the whole expression in quotes"),
    ] {
        let found = problems(&bench, &swap(PACK, was, is));
        assert!(found.iter().any(|(words, _)| words.contains(message)), "{is}: {found:#?}");
    }
    // A tag in a design is told too.
    bench.write("b.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: !!str 96 in"));
    bench.run(&["review", "b.rocket.yaml"]).code(2).has("the tag `!!str` means nothing here");
}

#[test]
fn one_mistake_in_a_requirement_is_not_reported_twice() {
    let bench = Bench::new();
    let text = swap(PACK, "for: rocket", "for: rail_button");
    let require = "no other of all rail_button where other comes after rail_button has other.wight > 1 kg";
    let text = swap(&text, "rocket.flight.rail >= 100 in", require);
    let text = swap(&text, "\"the rail is {rocket.flight.rail}\"", "\"{rail_button}, {other}\"");
    let found = problems(&bench, &text);
    reported_at(&found, "a rail_button has no `wight`", "wight");
    assert_eq!(found.len(), 1, "{found:#?}");
}

#[test]
fn a_rule_about_names_needs_no_trial_that_lacks_a_value() {
    let bench = Bench::new();
    let text = swap(PACK, "      - {without: flight.rail, expect: unproven}\n", "");
    let text =
        swap(&text, "rocket.flight.rail >= 100 in", "no a of all altimeter has name_of(a) matches /^p/");
    let text = swap(
        &text,
        "{with: {flight.rail: 120 in}, expect: held}",
        "{specimen: motor_ejection, expect: held}",
    );
    trial(&bench, &text).code(0).has("2 as expected");
    trial(&bench, &swap(PACK, "      - {without: flight.rail, expect: unproven}\n", ""))
        .code(1)
        .has("no trial that comes out unproven");
}

#[test]
fn a_trial_with_quotes_around_a_map_is_reported_so() {
    let bench = Bench::new();
    let text = swap(PACK, "{with: {flight.rail: 120 in}", "{with: {flight.pad: '{people_distance: 300 ft}'}");
    trial(&bench, &text).code(1).has("a map or a list stands there without");
}
