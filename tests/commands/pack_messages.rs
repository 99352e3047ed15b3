//! What is wrong with a pack is told once, at its place, with what to write instead.

use super::own_names::problems;
use super::packs::PACK;
use super::{Bench, Run, swap};

/// The pack with a limit that its rule compares with.
fn limited(is: &str) -> String {
    let limits = format!("limits:\n  shortest: {{is: {is}, doc: A., source: {{club: x}}}}\nrules:");
    swap(&swap(PACK, "rules:", &limits), "rail >= 100 in", "rail >= shortest")
}

fn requiring(expression: &str) -> String {
    swap(PACK, "require: rocket.flight.rail >= 100 in", &format!("require: {expression}"))
}

fn finding(words: &str) -> String {
    swap(PACK, "\"the rail is {rocket.flight.rail}\"", &format!("\"{words}\""))
}

fn remedied(remedy: &str) -> String {
    swap(PACK, "    trials:\n", &format!("    remedy: {{{remedy}}}\n    trials:\n"))
}

/// Where something is told: a mistake of a pack with its message, what to do, and the bytes that are underlined.
type Case<'c> = (String, &'c str, &'c str, &'c str);

/// Each pack has this mistake, and no other.
#[track_caller]
fn only(cases: &[Case<'_>]) {
    let bench = Bench::new();
    for (text, message, help, place) in cases {
        let found = problems(&bench, text);
        let words = format!("{message} {help}");
        assert_eq!(found, [(words, (*place).to_owned())], "{text}");
    }
}

#[test]
fn expressions_that_other_languages_would_take() {
    let end = "the expression should end here";
    let brackets = "behind `where`, a condition with `has` stands in brackets: `where (part has altimeters)`";
    only(&[
        (requiring("every c of all circuit where c has switch has c.channel is apogee"), end, brackets, "."),
        (requiring("count of part of rocket.sections where part has altimeters > 1"), end, brackets, ">"),
        (
            requiring("rocket.flight.rail >= 100 in)"),
            end,
            "this bracket closes nothing: leave it out, or open one before what it closes",
            ")",
        ),
        (
            requiring("rocket has flight.rail"),
            end,
            "behind `has` stands one name: lead to its owner before, as `a.b has c`",
            ".",
        ),
        (
            requiring("rocket.seeks is \"level 1\" or \"level 2\""),
            "each side of `or` is a truth, and this is a text",
            "of several words write `is one of (…)`, as `is one of (\"level 1\", \"level 2\")`",
            "\"level 2\"",
        ),
        (
            requiring("rocket.flight.rail >= 8,5 ft"),
            end,
            "a decimal number has a point and no comma: `8.5 ft`",
            ",",
        ),
        (requiring("rocket.apogee < 3 000 m"), end, "a number has no spaces in it: `3000 m`", "000 m"),
        (
            requiring("rocket.flight.rail – 1 ft >= 8 ft"),
            "`–` means nothing here",
            "write the minus of the keyboard, `-`",
            "–",
        ),
        (
            requiring("rocket.rail_exit_speed > 3 m / s"),
            "`s` is not a name known here",
            "a unit stands behind a number, and one made of several has no spaces in it, as in `3 m/s`",
            "s",
        ),
        (
            requiring("today >= 15 June"),
            "`June` is not a unit known here",
            "a day is written as `2026-06-15`; of a day of every year ask `month_of(today)` and `day_of(today)`",
            "June",
        ),
        (
            requiring("not rocket.recovery"),
            "what follows `not` is a truth, and this is a recovery",
            "whether there is one asks `not (rocket has recovery)`",
            "rocket.recovery",
        ),
        (requiring("average of p.diameter over p of all parachute > 8 in"), end, "write `mean of …`", "of"),
    ]);
    // A no-break space between words is a space.
    let bench = Bench::new();
    bench.write("p/pack.yaml", requiring("rocket.flight.rail\u{a0}>= 100 in"));
    bench.run(&["trial", "p"]).code(0);
}

#[test]
fn names_that_are_not_quite_those() {
    only(&[
        (
            requiring("apogee > 100 ft"),
            "`apogee` is not a name known here",
            "did you mean `rocket.apogee`?",
            "apogee",
        ),
        (
            requiring("count of rocket.parachutes > 1"),
            "a rocket has no `parachutes`",
            "its `recovery` has: write `….recovery.parachutes`",
            "parachutes",
        ),
        (
            requiring("rocket.flight.rail-angle > 5 deg"),
            "`angle` is not a name known here",
            "did you mean `rail_angle`? Names have `_` where words have a hyphen",
            "angle",
        ),
    ]);
    let bench = Bench::new();
    let twice = swap(PACK, "    level: error\n", "    level: error\n    level: note\n");
    let found = problems(&bench, &twice);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].0.starts_with("`level` is written twice in one map keep one of the two"), "{found:#?}");
}

#[test]
fn values_in_messages() {
    let remedy = |say: &str| remedied(&format!("set: rocket.flight.rail, to: 100 in, say: \"{say}\""));
    only(&[
        (
            finding("the rail is {value}"),
            "`value` is not a name known here",
            "`{value}` stands in the `say` of a remedy only, for what `to` comes to; here write the expression itself",
            "value",
        ),
        (
            finding("the rail is {rocket.flight.rail in}"),
            "a unit is missing behind `in`",
            "write it there, as in `{… in ft}`, or leave `in` out: then the unit of its author counts",
            "in",
        ),
        (
            finding("the rail is {rocket.flight.rail in kg}"),
            "`kg` is no unit of a length",
            "name a unit of its dimension, or leave `in …` out: then its author's counts",
            "kg",
        ),
        (
            finding("{rocket.name in kg}"),
            "`kg` is no unit of a text",
            "only a quantity has a unit: leave `in …` out",
            "kg",
        ),
        (
            finding("the rail is {rocket.flight.rail in fet}"),
            "`fet` is not a unit known here",
            "did you mean `ft`?",
            "fet",
        ),
        (
            finding("the rail is {rocket.flight.rail"),
            "this brace is never closed",
            "write `}` behind the expression; a brace that is to be read as one is written twice, `{{`",
            "{",
        ),
        (
            finding("the rail is rocket.flight.rail}"),
            "this brace closes nothing",
            "a brace that is to be read as one is written twice, `}}`",
            "}",
        ),
        (
            remedy("a rail of {value in kg}"),
            "`kg` is no unit of a length",
            "name a unit of its dimension, or leave `in …` out: then its author's counts",
            "kg",
        ),
        (
            remedy("{rocket.name}: a rail of {value in}"),
            "a unit is missing behind `in`",
            "write it there, as in `{… in ft}`, or leave `in` out: then the unit of its author counts",
            "in",
        ),
        (
            remedied("set: rocket.apogee, to: 9 ft, say: x"),
            "`apogee` is worked out and cannot be set",
            "set a field that is written down and that it is worked out from",
            "apogee",
        ),
        (
            remedied("set: rocket.flight.rail, to: 8 kg, say: x"),
            "expected a length, found a mass",
            "",
            "8 kg",
        ),
    ]);
    // Inches are a unit whose name is a word of messages.
    let bench = Bench::new();
    for said in ["{rocket.flight.rail in in}", "{8 in}", "{rocket.flight.rail in ft}"] {
        assert_eq!(problems_of(&bench, &finding(said)), 0, "{said}");
    }
}

fn problems_of(bench: &Bench, text: &str) -> usize {
    bench.write("p/pack.yaml", text);
    bench.run(&["rules", "--rules", "p", "--pack", "club"]).err.matches("╭─").count()
}

#[test]
fn a_remedy_says_its_value_in_a_unit_of_its_own() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", super::DUAL);
    let say = "of {rocket.flight.rail}, now {value in ft}, that is {value}";
    let text = remedied(&format!("set: rocket.flight.rail, to: 100 in, say: \"{say}\""));
    bench.write("p/pack.yaml", text);
    bench.run(&["trial", "p"]).code(0);
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "p"]);
    run.has("of 96 in, now 8.333 ft, that is 100 in");
}

#[test]
fn what_is_left_out_is_named_where_it_is_used() {
    let bench = Bench::new();
    let table = |cell: &str| {
        let tables = format!(
            "tables:\n  rails: {{doc: X., columns: {{impulse: N*s, rail: ft}}, rows: [[640, 6], [1600, {cell}]], source: {{club: x}}}}\nrules:"
        );
        let text = swap(PACK, "rules:", &tables);
        swap(&text, "rail >= 100 in", "rail >= by_steps(rocket.motor.total_impulse, rails.rail)")
    };
    let comma = "a decimal number has a point and no comma";
    for (text, message, place, name) in [
        (limited("8 feets"), "`feets` is not a unit known here did you mean `ft`?", "feets", "shortest"),
        (
            limited("8,5 ft"),
            "this comma parts two entries in braces a decimal number has a point and no comma: `8.5 ft`",
            "5 ft",
            "shortest",
        ),
        (
            limited("1,500 ft"),
            "this comma parts two entries in braces a number in braces has no comma: write `1500 ft`, or `1.500 ft` where that is meant",
            "500 ft",
            "shortest",
        ),
        (
            limited("2 * 4 ft"),
            "`*` is not a unit known here a limit is a value and is not worked out: write what it comes to",
            "*",
            "shortest",
        ),
        (table("9 feets"), "`feets` is not a unit known here did you mean `ft`?", "9 feets", "rails"),
        (
            table("9,5"),
            &*format!("a row has a value for each of 2 columns: impulse, rail {comma}, as `8.5`"),
            "[1600, 9,5]",
            "rails",
        ),
    ] {
        let left_out = format!(
            "`{name}` is left out, since something is wrong with it the mistake stands where it is written"
        );
        let expected = [(message.to_owned(), place.to_owned()), (left_out, name.to_owned())];
        assert_eq!(problems(&bench, &text), expected, "{text}");
    }
    // Beside a block, the reader of measures tells it.
    let block = swap(
        &limited("8 ft"),
        "{is: 8 ft, doc: A., source: {club: x}}",
        "\n    is: 8,5 ft\n    source: {club: x}",
    );
    let found = problems(&bench, &block);
    assert!(found[0].0.contains("write `8.5`: a decimal point is written `.`"), "{found:#?}");
}

#[test]
fn a_limit_without_a_unit_is_told_where_it_is_compared() {
    only(&[(
        limited("8"),
        "cannot compare a length and a plain number: this side is a plain number",
        "`shortest` is a plain number: its unit is written where it is set, as in `is: 12 in`",
        "shortest",
    )]);
}

#[test]
fn a_circle_is_told_once_and_a_name_that_is_taken_with_what_to_do() {
    let derived = |text: &str| swap(PACK, "rules:", &format!("derived:\n{text}rules:"));
    only(&[
        (
            derived(
                "  a: {of: rocket, is: rocket.b * 2, doc: A.}\n  b: {of: rocket, is: rocket.a * 2, doc: B.}\n",
            ),
            "`a` is worked out from itself: `a` from `b` from `a`",
            "one of them must be worked out without the others",
            "a",
        ),
        (
            derived("  wind: {of: flight, is: flight.rail * 2, doc: A.}\n"),
            "a flight already has `wind`",
            "choose another name; `holdpoint rules --quantities` lists those that are taken",
            "wind",
        ),
    ]);
}

#[test]
fn questions_about_rows_and_members_are_told_how_to_ask() {
    let table = |rows: &str| {
        swap(
            PACK,
            "rules:",
            &format!(
                "tables:\n  drills:\n    doc: Ours.\n    columns: {{size: in, pieces: number}}\n    rows:\n{rows}    source: {{club: x}}\nrules:"
            ),
        )
    };
    only(&[
        (
            requiring("every r of all rods has r.thread is \"1/4-20\""),
            "a thread cannot be this word",
            "`is` asks for a word; what a part or a row of a table is called asks `name_of(…) = \"…\"`, whether it is known `is given`",
            "\"1/4-20\"",
        ),
        (
            requiring(
                "some p of all parachute has p.opens_at is apogee and some p of all parachute has p.opens_at is main",
            ),
            "`p` already names something here",
            "what follows `has` goes on to the end: put the question before this one in brackets, or choose another name for the members",
            "p",
        ),
        (
            table("      - [0.25, 1]\n      - [4 mm, 2]\n"),
            "the first column rises from row to row: 4 mm does not come after 0.25 in",
            "",
            "4 mm",
        ),
        (
            table("      - [1/8, 1]\n      - [0.25, 2]\n"),
            "`1/8` has no unit; expected a length",
            "a fraction brings its unit along: `1/8 in`",
            "1/8",
        ),
    ]);
}

#[test]
fn blanks_of_a_word_processor_are_told() {
    let bench = Bench::new();
    let text = swap(PACK, "    why:", "\u{a0}   why:");
    let found = problems(&bench, &text);
    let (words, place) = &found[0];
    assert!(
        words.starts_with("a no-break space indents this line indent with the space of the keyboard"),
        "{found:#?}"
    );
    assert_eq!((place.as_str(), found.len()), ("\u{a0}", 1));
    // Among other blanks it is part of the key.
    let found = problems(&bench, &swap(PACK, "    why:", "    \u{a0}why:"));
    let told = "a no-break space, which looks like any other, is part of this key: write `why` anew";
    assert!(found.iter().any(|(words, place)| words.ends_with(told) && place == "\u{a0}why"), "{found:#?}");
}

fn trial(bench: &Bench, text: &str) -> Run {
    bench.write("p/pack.yaml", text);
    bench.run(&["trial", "p"])
}

/// A place as `trial` prints it: the line and column of a piece of the pack.
fn at(text: &str, piece: &str) -> String {
    let start = text.find(piece).unwrap_or_else(|| panic!("{piece}"));
    let before = &text[..start];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap().chars().count() + 1;
    format!("pack.yaml:{line}:{column}]")
}

#[test]
fn texts_that_yaml_reads_otherwise_are_warned_of() {
    let bench = Bench::new();
    let text = swap(PACK, "title: The rail is one of the club's", "title: Rail is #1 on the field");
    trial(&bench, &text)
        .code(0)
        .has("this is a comment, and no part of the text")
        .has(&at(&text, "#1 on"))
        .has("put the whole text in double quotes");
    let text = swap(PACK, "\"the rail is {rocket.flight.rail}\"", "“the rail is {rocket.flight.rail}”");
    trial(&bench, &text).code(0).has("these quotes are part of the text").has(&at(&text, "“the rail"));
    // A comment is one.
    let text = swap(PACK, "title: The rail is one of the club's", "title: The rail # 1 is the longest");
    assert!(!trial(&bench, &text).code(0).all().contains("this is a comment"));
}

#[test]
fn a_trial_that_cannot_be_read_is_told_once() {
    let bench = Bench::new();
    let text = swap(PACK, "{without: flight.rail", "{whithout: flight.rail");
    let run = trial(&bench, &text);
    run.code(2).has("a trial has no `whithout`").has(&at(&text, "whithout")).has("did you mean `without`?");
    assert!(!run.all().contains("came out") && !run.all().contains("has no trial"), "{}", run.all());
    let text = swap(PACK, "{expect: broken}", "{expect: broke}");
    let run = trial(&bench, &text);
    run.code(2).has("`broke` is not a word known here").has(&at(&text, "broke}"));
    assert!(!run.all().contains("has no trial"), "{}", run.all());
}

#[test]
fn what_is_wrong_with_a_trial_is_told_at_its_value() {
    let bench = Bench::new();
    let with = |changes: &str| swap(PACK, "{with: {flight.rail: 120 in}", &format!("{{with: {{{changes}}}"));
    for (changes, place, message, help) in [
        (
            "flight.rail: 72 kg",
            "72 kg",
            "`flight.rail`: expected a length, found `72 kg`",
            "a length is written in `in`",
        ),
        (
            "flight.rail: 120 in, wiring.circuits.main_a.fires: drogue_primaryy",
            "drogue_primaryy",
            "no charge is named",
            "did you mean `drogue_primary`?",
        ),
        (
            "drogue_cord.length: 72 in",
            "drogue_cord.length",
            "the specimen has no",
            "`holdpoint trial --specimen dual_deployment`",
        ),
        ("flight.rali.x: 72 in", "flight.rali.x", "the specimen has no `rali`", "did you mean `rail`?"),
    ] {
        let text = with(changes);
        let run = trial(&bench, &text);
        run.code(1)
            .has("a trial of `rail-in-club` could not be run: ")
            .has(message)
            .has(&at(&text, place))
            .has(help);
    }
    // A part is named alone where no other has its name.
    for (path, code) in [("fore_cord.length", 0), ("harnesses.fore_cord.length", 0), ("fore.length", 1)] {
        let run = trial(&bench, &with(&format!("flight.rail: 120 in, {path}: 9 ft")));
        run.code(code);
        assert_eq!(run.all().contains("the specimen has 3 parts named"), code == 1);
        assert_eq!(run.all().contains("write more of the path: `sections.av_bay"), code == 1);
    }
    let text = swap(PACK, "{without: flight.rail", "{without: flight.rial");
    trial(&bench, &text).code(1).has(&at(&text, "flight.rial")).has("did you mean `rail`?");
    let text = swap(PACK, "{expect: broken}", "{subject: flihgt, expect: broken}");
    trial(&bench, &text)
        .code(1)
        .has("the specimen has no rocket `flihgt`")
        .has(&at(&text, "flihgt"))
        .has("there is one rocket: leave `subject` out");
    let buttons = swap(&requiring("rail_button.clock > 30 deg"), "for: rocket", "for: rail_button");
    let text = swap(
        &swap(&buttons, "{rocket.flight.rail}", "x"),
        "{expect: broken}",
        "{subject: qqq, expect: broken}",
    );
    trial(&bench, &text)
        .code(1)
        .has("the specimen has no rail_button `qqq`")
        .has(&at(&text, "qqq"))
        .has("`sections.booster.rail_buttons.fore`, `sections.booster.rail_buttons.aft`");
}

#[test]
fn a_remedy_of_a_charge_is_words() {
    let bench = Bench::new();
    let text = swap(&requiring("charge.powder >= 0.6 g"), "for: rocket", "for: charge");
    let text = swap(&text, "{rocket.flight.rail}", "{charge.powder}");
    let trials = "      - {with: {recovery.charges.drogue_primary.powder: 0.5 g}, expect: broken}\n      - {expect: held}\n      - {without: recovery.charges.drogue_primary.powder, expect: unproven}\n";
    let start = text.find("    trials:\n").unwrap();
    let with = |remedy: &str| {
        let trials = trials.replace("expect: broken", &format!("expect: broken{remedy}"));
        format!(
            "{}    remedy: {{set: charge.powder, to: 1 g, say: \"take {{value in g}}\"}}\n    trials:\n{trials}",
            &text[..start]
        )
    };
    trial(&bench, &with(""))
        .code(1)
        .has("and a charge, is never written by the program")
        .has("1 remedy does not do");
    trial(&bench, &with(", remedy: none")).code(0);
    // A trial that says otherwise is told why.
    trial(&bench, &with(", remedy: settles"))
        .code(1)
        .has("the trial says settles")
        .has("and a charge, is never written by the program");
}
