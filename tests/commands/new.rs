//! Starters: short, readable, with nothing wrong in them that was not left to the builder.

use super::{Bench, DUAL};

const SHAPES: &[&[&str]] = &[
    &["--deployment", "dual"],
    &["--deployment", "dual", "--diameter", "98 mm", "--motor-diameter", "54 mm", "--motor-class", "k"],
    &["--deployment", "one-altimeter", "--diameter", "3.1 in", "--kit", "glass"],
    &["--deployment", "single", "--diameter", "4.02 in"],
    &["--deployment", "motor-backup", "--kit", "paper", "--seeks", "level 1"],
    &["--deployment", "dual-motor-backup", "--kit", "glass", "--seeks", "level 2"],
    &["--deployment", "release", "--kit", "paper"],
    &["--deployment", "motor-ejection", "--diameter", "66 mm", "--motor-diameter", "29 mm"],
    &["--deployment", "motor-ejection", "--name", "Marsh: \"Tit\" # 2"],
];

/// What a starter breaks: it describes no slots, pins and rail buttons yet, and nothing written means none.
const NOT_YET: &[&str] = &[
    "charge-opened-joint-pinned",
    "fins-through-the-wall-have-slots",
    "motor-charge-is-foreseen",
    "two-rail-buttons",
];

#[test]
fn a_starter_is_short_and_nothing_before_the_first_step_is_wrong() {
    for shape in SHAPES {
        let bench = Bench::new();
        let made = bench.run(&[&["new", "mine.rocket.yaml"], *shape].concat());
        made.code(0).has("mine.rocket.yaml is written").has("holdpoint next mine.rocket.yaml");
        let text = std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap();
        let asked = text.lines().filter(|line| line.contains(": unknown")).count();
        assert!(text.lines().count() < 120 && (8..=18).contains(&asked), "{shape:?}: {asked}\n{text}");
        let document = bench.run(&["review", "mine.rocket.yaml", "--format", "json"]).code(1).json();
        let design = &document["designs"][0];
        assert!(document["problems"].as_array().unwrap().is_empty(), "{shape:?}: {}", document["problems"]);
        for finding in design["findings"].as_array().unwrap() {
            let rule = finding["rule"].as_str().unwrap();
            assert!(
                finding["outcome"] == "unproven" || NOT_YET.contains(&rule),
                "{shape:?}: {rule} is {}: {}",
                finding["outcome"],
                finding["message"]
            );
            assert!(finding["before"] != "parts" || finding["outcome"] == "unproven", "{rule}");
        }
        // What is told of it takes a screen, not hundreds of lines.
        let report = bench.run(&["review", "mine.rocket.yaml", "--before", "parts"]).code(1).out.clone();
        assert!(report.lines().count() < 100, "{shape:?}: {report}");
    }
}

#[test]
fn each_value_says_what_it_is_and_what_may_stand_there() {
    let first_step = |diameter: &str| {
        let bench = Bench::new();
        let new = ["new", "mine.rocket.yaml", "--deployment", "dual", "--diameter", diameter];
        bench.run(&new).code(0);
        for _ in 0..2 {
            bench.run(&["next", "mine.rocket.yaml", "--anyway"]).code(0).has("parts asks for");
        }
        std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap()
    };
    let text = first_step("98 mm");
    for line in text.lines().filter(|line| line.contains(": unknown")) {
        let (_, remark) = line.split_once("   # ").unwrap_or_else(|| panic!("{line}"));
        assert!(remark.contains(", like ") || remark.contains(": "), "{line}");
    }
    for hint in [", like 860 mm", ": screw cap, flange, snap ring", ": true or false"] {
        assert!(text.contains(hint), "{hint} is not in {text}");
    }
    let text = first_step("4.02 in");
    assert!(text.contains(", like 19.5 in"), "{text}");
}

#[test]
fn a_starter_never_takes_the_place_of_a_file() {
    let bench = Bench::new();
    bench.write("mine.rocket.yaml", DUAL);
    let again = bench.run(&["new", "mine.rocket.yaml", "--deployment", "dual"]);
    again.code(2).has("mine.rocket.yaml exists, and nothing is written over it: choose another name");
    assert!(!again.all().contains("os error"), "{again:?}");
    assert_eq!(std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap(), DUAL);
    bench.run(&["new", "mine.yaml"]).code(2).has("rocket.yaml");
    bench.run(&["new", "nowhere/mine.rocket.yaml"]).code(2).has("there is no folder nowhere");
}

#[test]
fn flags_that_make_no_sense_are_told() {
    let bench = Bench::new();
    bench.run(&["new", "-", "--diameter", "98"]).code(2).has("--diameter").has("write `98 in` or `98 mm`");
    bench.run(&["new", "-", "--diameter", "98 kg"]).code(2).has("expected a length");
    bench.run(&["new", "-", "--diameter=-2 in"]).code(2).has("no length above zero");
    bench.run(&["new", "-", "--diameter", "98 mm, mass: 1 kg"]).code(2);
    bench.run(&["new", "-", "--motor-class", "Q"]).code(2).has("no class of motor");
    bench.run(&["new", "-", "--deployment", "sideways"]).code(2).has("motor-ejection");
    bench.run(&["new", "-", "--seeks", "level 9"]).code(2).has("level 1, level 2, level 3");
    let evil = bench.run(&["new", "-", "--name", "a\u{1b}[2J\u{202e}"]);
    evil.code(2).has("a name is plain text");
    assert!(!evil.all().contains('\u{1b}') && !evil.all().contains('\u{202e}'));
}

#[test]
fn the_class_tells_its_impulse() {
    let bench = Bench::new();
    bench
        .run(&["new", "-", "--motor-class", "K"])
        .code(0)
        .has("class K is above 1280 N·s and up to 2560 N·s");
    bench.run(&["new", "-", "--motor-class", "I"]).code(0).has("class I is above 320 N·s and up to 640 N·s");
}

/// Where no person is at a terminal nothing is asked, and nothing waits for an answer.
#[test]
fn without_a_person_nothing_is_asked() {
    let bench = Bench::new();
    let run = bench.run_with(&["new", "-"], Some(b"Dunlin\npaper\n"), &[]);
    run.code(0).has("sections:");
    assert!(!run.all().contains("Dunlin"), "{run:?}");
}

/// What a person answers is checked as it is typed: a wrong word is asked for again at once.
#[test]
fn a_wrong_answer_is_asked_for_again() {
    use holdpoint::commands::{Arguments, Invocation};
    use std::sync::Mutex;

    static ASKED: Mutex<Vec<String>> = Mutex::new(Vec::new());
    fn answer(question: &str) -> Option<String> {
        let mut asked = ASKED.lock().unwrap();
        asked.push(question.to_owned());
        let answers = ["Bearded Tit", "wood", "paper", "79", "79 mm", "38mm", "backup", "motor-b", "L1"];
        answers.get(asked.len() - 1).map(|answer| (*answer).to_owned())
    }
    let arguments = <Arguments as clap::Parser>::parse_from(["holdpoint", "new", "-"]);
    let mut out = Vec::new();
    let mut invocation = Invocation {
        style: holdpoint::report::Style::default(),
        today: "2026-06-01".parse().unwrap(),
        ask: answer,
        out: &mut out,
        command_line: <Arguments as clap::CommandFactory>::command,
    };
    let output = arguments.command.run(&mut invocation);
    assert_eq!((output.code, &*output.complaints), (0, ""));
    for text in [
        "name: Bearded Tit",
        "seeks: level 1",
        "material: cardboard",
        "outer_diameter: 79 mm",
        "diameter: 38mm",
    ] {
        assert!(output.report.contains(text), "{text} is not in {}", output.report);
    }
    let asked = ASKED.lock().unwrap();
    assert_eq!(asked.len(), 9, "{asked:?}");
    assert!(asked[2].starts_with("`wood` is none of paper, glass"), "{}", asked[2]);
    assert!(asked[4].contains("`79` has no unit"), "{}", asked[4]);
    assert!(
        asked[7].starts_with("`backup` fits dual-motor-backup and motor-backup: which is it?"),
        "{}",
        asked[7]
    );
}

#[test]
fn a_pack_is_refused_in_words() {
    let bench = Bench::new();
    bench.run(&["new", "--pack", "club", "a.yaml"]).code(0);
    bench
        .run(&["new", "--pack", "club", "a.yaml"])
        .code(2)
        .has("a.yaml exists, and nothing is written over it");
    let run = bench.run(&["new", "--pack", "club", "none/a.yaml"]);
    run.code(2).has("there is no such folder");
    assert!(!run.all().contains("os error"), "{run:?}");
}
