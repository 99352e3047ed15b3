//! Starters: readable, with nothing wrong in them that was not left to the builder.

use super::{Bench, DUAL};

const SHAPES: &[&[&str]] = &[
    &["--deployment", "dual"],
    &["--deployment", "dual", "--diameter", "98 mm", "--motor-diameter", "54 mm", "--motor-class", "k"],
    &["--deployment", "single", "--diameter", "4.02 in"],
    &["--deployment", "motor-ejection", "--diameter", "66 mm", "--motor-diameter", "29 mm"],
    &["--deployment", "motor-ejection", "--name", "Marsh: \"Tit\" # 2"],
];

/// What a starter may break: of these nothing written means that there is none, and a starter has none yet.
const NONE_YET: &[&str] = &["fin-fillets-sensible", "switches-have-their-turn", "joint-ground-tested"];

#[test]
fn a_starter_reads_and_is_unproven_rather_than_wrong() {
    for shape in SHAPES {
        let bench = Bench::new();
        let made = bench.run(&[&["new", "mine.rocket.yaml"], *shape].concat());
        made.code(0).has("mine.rocket.yaml is written");
        let document = bench.run(&["review", "mine.rocket.yaml", "--format", "json"]).code(1).json();
        let design = &document["designs"][0];
        assert!(document["problems"].as_array().unwrap().is_empty(), "{shape:?}: {}", document["problems"]);
        let findings = design["findings"].as_array().unwrap();
        assert!(findings.len() > 60, "{shape:?}: {}", findings.len());
        for finding in findings {
            let rule = finding["rule"].as_str().unwrap();
            assert!(
                finding["outcome"] == "unproven" || NONE_YET.contains(&rule),
                "{shape:?}: {rule} is {}: {}",
                finding["outcome"],
                finding["message"]
            );
        }
    }
}

/// Whoever follows the starter to its end comes to a design in good order: every key it asks for is one that a design has.
#[test]
fn the_keys_a_starter_asks_for_are_those_of_a_design() {
    let bench = Bench::new();
    let text = bench.run(&["new", "-", "--deployment", "dual", "--diameter", "4.02 in"]).code(0).out.clone();
    let asked: Vec<&str> = text
        .lines()
        .filter_map(|line| line.trim_start().strip_prefix("# "))
        .filter_map(|line| line.split_once(":   ").map(|(key, _)| key))
        .collect();
    assert!(asked.len() > 100, "{}", asked.len());
    for key in ["shape", "thrust_curve", "powder", "site_elevation", "main_height", "finish"] {
        assert!(asked.contains(&key), "{key} is not asked for");
    }
    // The other way round: what a rocket in good order writes, the starter has or asks for, but for a few that are one's own choice.
    let own = ["name", "seeks", "mass", "clock", "ends", "ceiling", "strength", "length", "balance_point"];
    let written = DUAL.lines().filter_map(|line| line.trim_start().split_once(':')).map(|(key, _)| key);
    let known = |key: &str| {
        asked.contains(&key) || text.lines().any(|l| l.trim_start().starts_with(&format!("{key}:")))
    };
    for key in [
        "nose_cone",
        "shoulder",
        "bulkheads",
        "fin_slots",
        "motor_mount",
        "rail_buttons",
        "bonds",
        "joints",
        "recovery",
        "wiring",
    ] {
        assert!(known(key), "{key}");
        assert!(written.clone().any(|k| k == key) || own.contains(&key));
    }
}

#[test]
fn a_starter_never_takes_the_place_of_a_file() {
    let bench = Bench::new();
    bench.write("mine.rocket.yaml", DUAL);
    bench.run(&["new", "mine.rocket.yaml", "--deployment", "dual"]).code(2).has("exists");
    assert_eq!(std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap(), DUAL);
    bench.run(&["new", "mine.yaml"]).code(2).has("rocket.yaml");
    bench.run(&["new", "nowhere/mine.rocket.yaml"]).code(2);
}

#[test]
fn flags_that_make_no_sense_are_told() {
    let bench = Bench::new();
    bench.run(&["new", "-", "--diameter", "98"]).code(2).has("--diameter");
    bench.run(&["new", "-", "--diameter", "98 kg"]).code(2).has("no length above zero");
    bench.run(&["new", "-", "--diameter", "-2 in"]).code(2);
    bench.run(&["new", "-", "--diameter", "98 mm, mass: 1 kg"]).code(2);
    bench.run(&["new", "-", "--motor-class", "Q"]).code(2).has("no class of motor");
    bench.run(&["new", "-", "--deployment", "sideways"]).code(2).has("motor-ejection");
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
