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

#[test]
fn a_held_rule_is_never_short_and_a_denied_comparison_counts_the_other_way_round() {
    let bench = Bench::new();
    let root = env!("CARGO_MANIFEST_DIR");
    let harrier = format!("{root}/examples/marsh-harrier.rocket.yaml");
    // No ring under a button is thinner than so much: what is more than that is to spare.
    let run = bench.run(&["explain", &harrier, "rail-button-ring-thick-enough"]);
    run.code(0).has("sections.booster.rail_buttons.fore: held, 2 % to spare");
    let text = std::fs::read_to_string(&harrier).unwrap();
    let thin = swap(
        &text,
        "fore: {at: 18.375 in from aft, into: ring, thread: 8-32",
        "fore: {at: 18.375 in from aft, into: ring, thread: 1/4-20",
    );
    bench.write("a.rocket.yaml", thin);
    let report = bench.run(&["review", "--format", "json", "--today", "2026-06-01", "a.rocket.yaml"]).json();
    let findings = report["designs"][0]["findings"].as_array().unwrap();
    let broken = findings.iter().find(|f| f["rule"] == "rail-button-ring-thick-enough").unwrap();
    let margin = broken["margin"]["value"].as_f64().unwrap();
    assert!((margin - (0.25 / 0.375 - 1.0)).abs() < 1e-6, "{broken}");
    let keys: Vec<&str> =
        broken["places"].as_array().unwrap().iter().filter_map(|p| p["key"].as_str()).collect();
    assert!(
        keys.iter().all(|key| ["thread", "thickness", "fore"].iter().any(|end| key.ends_with(end))),
        "only what decides is underlined: {keys:?}"
    );
    for name in super::designs::examples() {
        let run = bench.run(&[
            "review",
            "--margins",
            "--format",
            "html",
            "--today",
            "2026-06-01",
            &format!("{root}/examples/{name}"),
        ]);
        let table =
            run.out.split("<table class=\"margins\">").skip(1).filter_map(|t| t.split("</table>").next());
        for table in table {
            assert!(!table.contains(" short<"), "{name}: {table}");
        }
    }
}

#[test]
fn a_path_that_leads_on_beyond_what_is_written_says_where_it_stops() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    for (path, words) in [
        ("payload.tube.measured.sized", "`sections.payload.tube` has no `measured`"),
        ("av_bay.air_volme", "did you mean `av_bay.air_volume`?"),
        ("rocket.apoge", "did you mean `rocket.apogee`?"),
    ] {
        bench.run(&["explain", "a.rocket.yaml", path]).code(2).has(words);
    }
    // What is not there adds nothing to a sum, and is not printed.
    bench.run(&["explain", "a.rocket.yaml", "payload.stated_parts"]).code(0).has("= tube.mass\n");
}
