//! Words and units as builders write them, in a whole design.

use super::{Bench, DUAL, MOTOR, swap};

/// The findings of a design in which one thing is written otherwise.
fn findings(bench: &Bench, text: &str) -> Vec<String> {
    bench.write("mine.rocket.yaml", text);
    let run = bench.run(&["review", "mine.rocket.yaml", "--format", "json", "--today", "2026-06-01"]);
    assert_ne!(run.code, 2, "{run:?}");
    let all = run.json()["designs"][0]["findings"].as_array().unwrap().clone();
    all.iter().map(|one| format!("{} {} {}", one["rule"], one["subject"], one["outcome"])).collect()
}

#[test]
fn other_spellings_mean_the_same() {
    let bench = Bench::new();
    let plain = findings(&bench, DUAL);
    for (written, otherwise) in [
        ("material: fibreglass", "material: G10"),
        ("kind: forged eye bolt", "kind: Forged Eye-Bolt"),
        ("kind: screw cap", "kind: screw-cap"),
        ("sealed: epoxy", "sealed: Epoxy"),
    ] {
        assert!(DUAL.contains(written), "{written}");
        assert_eq!(findings(&bench, &DUAL.replace(written, otherwise)), plain, "{otherwise}");
    }
    let cord = MOTOR.replace("material: aramid", "material: aramid cord");
    assert_eq!(findings(&bench, &cord), findings(&bench, MOTOR));
    findings(&bench, &MOTOR.replace("material: aramid", "material: tubular nylon"));
}

#[test]
fn a_word_that_stands_for_several_sorts_asks_which() {
    let bench = Bench::new();
    bench.write("mine.rocket.yaml", DUAL.replace("kind: forged eye bolt", "kind: eyebolt"));
    let run = bench.run(&["review", "mine.rocket.yaml"]);
    run.code(2).has("say which sort: `forged eye bolt`, `welded eye bolt`, `bent eye bolt`");
}

#[test]
fn a_decimal_comma_is_refused_with_its_cure() {
    let bench = Bench::new();
    bench.write("mine.rocket.yaml", swap(MOTOR, "length: 900 mm", "length: \"900,5 mm\""));
    bench.run(&["review", "mine.rocket.yaml"]).code(2).has("write `900.5`: a decimal point is written `.`");
}

#[test]
fn a_report_prints_the_units_that_are_asked_for() {
    let bench = Bench::new();
    let printed = |text: &str| {
        bench.write("mine.rocket.yaml", text);
        bench.run(&["review", "mine.rocket.yaml", "--today", "2026-06-01"]).out.clone()
    };
    for (text, units, has, has_not) in [
        (DUAL, "metric", [" kg ready to fly", " m/s", " m in still air"], " ft/s"),
        (MOTOR, "inch", [" lb", " ft/s", " ft in still air"], " m/s"),
    ] {
        let own = printed(text);
        assert!(own.contains(has_not), "{own}");
        let asked = printed(&swap(text, "holdpoint: 1\n", &format!("holdpoint: 1\nunits: {units}\n")));
        for unit in has {
            assert!(asked.contains(unit), "{unit} is not in {asked}");
        }
        let summary = asked.split("── ").next().unwrap();
        assert!(!summary.contains(has_not), "{summary}");
    }
    bench.write("mine.rocket.yaml", swap(MOTOR, "holdpoint: 1\n", "holdpoint: 1\nunits: imperial\n"));
    bench.run(&["review", "mine.rocket.yaml"]).code(2).has("it is one of `metric`, `inch`");
}
