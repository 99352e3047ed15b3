//! `explain` with a design and a rule: the rule on each part that it is about.

use super::{Bench, DUAL, swap};

#[test]
fn a_rule_is_explained_on_a_design() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let run = bench.run(&["explain", "a.rocket.yaml", "rail-exit-fast-enough"]);
    run.code(0)
        .has("require  ")
        .has("on a.rocket.yaml")
        .has("the rocket: held, ")
        .has("to spare")
        .has("rail: 96 in");
    let line = DUAL.lines().position(|l| l.contains("rail: 96 in")).unwrap() + 1;
    run.has(&format!("line {line:>3}  rail: 96 in"));

    bench.write("slow.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 20 in"));
    bench
        .run(&["explain", "slow.rocket.yaml", "rail-exit-fast-enough"])
        .code(0)
        .has("the rocket: broken")
        .has("short");
    // Each part by its name, and what the rule does not apply to.
    bench.run(&["explain", "a.rocket.yaml", "switch-hole-off-the-rail"]).code(0).has("av_bay");
}

#[test]
fn a_rule_on_a_design_as_json() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    let run = bench.run(&["explain", "a.rocket.yaml", "rail-exit-fast-enough", "--format", "json"]);
    let json = run.code(0).json();
    let subject = &json["subjects"][0];
    assert_eq!(
        (json["rule"].as_str(), subject["outcome"].as_str()),
        (Some("rail-exit-fast-enough"), Some("held"))
    );
    assert!(subject["margin"]["value"].as_f64().unwrap() > 0.0);
    assert!(subject["places"].as_array().unwrap().iter().any(|place| place["key"] == "flight.rail"));
}

#[test]
fn what_is_neither_a_quantity_nor_a_rule_is_told() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench
        .run(&["explain", "a.rocket.yaml", "rail-exit-fast-enuogh"])
        .code(2)
        .has("no rule is named so")
        .has("did you mean `rail-exit-fast-enough`?");
}
