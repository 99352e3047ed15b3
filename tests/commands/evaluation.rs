//! Whoever asks, asks on the same day and gets the same answer; margins that have no common measure are not compared.

use super::{Bench, DUAL, Run};

/// A rule that asks for the day, with a remedy; and a quantity that does.
const PACK: &str = "\
pack: club_days
about: Rules of a club that ask for the day.
derived:
  days_since_weighing:
    of: rocket
    is: today - rocket.measured.date
    doc: How long ago it was weighed.
rules:
  long-rail-after-a-winter:
    title: A rocket that lay over a winter flies from a long rail
    before: flight
    for: rocket
    require: rocket.days_since_weighing < 100 days or rocket.flight.rail >= 16 ft
    level: error
    finding: \"weighed {rocket.days_since_weighing} ago, and the rail is {rocket.flight.rail}\"
    why: Glue and cords age.
    source: {club: field rules}
    remedy: {set: rocket.flight.rail, to: 16 ft, say: \"fly from {value}\"}
    trials:
      - {today: 2026-04-12, expect: held}
      - {today: 2026-12-12, expect: broken}
      - {without: measured.date, today: 2026-12-12, expect: unproven}
";

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("rules/club.yaml", PACK);
    bench.write("a.rocket.yaml", DUAL);
    bench
}

fn run(bench: &Bench, command: &str, day: &str, more: &[&str]) -> Run {
    bench.run(&[&[command, "a.rocket.yaml", "--rules", "rules", "--today", day], more].concat())
}

#[test]
fn what_a_review_offers_mending_makes_on_the_same_day() {
    let bench = bench();
    run(&bench, "review", "2026-04-12", &[]).code(0);
    run(&bench, "review", "2026-12-12", &[])
        .code(1)
        .has("fly from 16 ft (tried on a copy: clears this and breaks nothing else)");
    run(&bench, "mend", "2026-12-12", &["--diff", "--rule", "long-rail-after-a-winter"])
        .has("-  rail: 96 in")
        .has("+  rail: 192 in");
    // On a day when the rule holds there is nothing to make.
    let early = run(&bench, "mend", "2026-04-12", &["--diff", "--rule", "long-rail-after-a-winter"]);
    assert!(!early.all().contains("192 in"), "{early:?}");
}

#[test]
fn a_quantity_that_asks_for_the_day_is_explained_on_a_day() {
    let bench = bench();
    run(&bench, "explain", "2026-12-12", &["days_since_weighing"]).code(0).has("245 days");
    // Without a day it is today, whenever that is.
    let now = bench.run(&["explain", "a.rocket.yaml", "days_since_weighing", "--rules", "rules"]);
    assert!(!now.all().contains("not known"), "{now:?}");
    run(&bench, "checklist", "2026-12-12", &[]).code(0).has("field checklist");
}

fn margin_of(require: &str) -> serde_json::Value {
    let bench = Bench::new();
    let pack = format!(
        "pack: club\nabout: One rule.\nrules:\n  measured:\n    title: It is so\n    before: parts\n    for: rocket\n    require: {require}\n    level: error\n    finding: it is not so\n    why: It should be.\n    source: {{club: field rules}}\n"
    );
    bench.write("rules/club.yaml", pack);
    bench.write("a.rocket.yaml", DUAL);
    let run = run(&bench, "review", "2026-06-01", &["--format", "json"]);
    let document = run.json();
    let findings = document["designs"][0]["findings"].as_array().unwrap().clone();
    let found = findings.iter().find(|f| f["rule"] == "measured").unwrap_or_else(|| panic!("{run:?}"));
    found["margin"].clone()
}

#[test]
fn places_are_apart_by_a_length_whatever_their_distance_from_the_nose() {
    let gap = margin_of("least of b.fore_station over b of all rail_button >= rocket.length + 1 in");
    assert_eq!((gap["kind"].as_str(), gap["unit"].as_str()), (Some("gap"), Some("in")), "{gap}");
    assert!(gap["value"].as_f64().unwrap() < -1.0, "{gap}");
    // A length against a length is a share of it.
    let share = margin_of("rocket.flight.rail >= 192 in");
    assert_eq!((share["kind"].as_str(), share["value"].as_f64()), (Some("ratio"), Some(-0.5)), "{share}");
}

#[test]
fn a_share_and_a_gap_are_not_set_against_each_other() {
    // Both sides are broken: the gap by a hair, the share by half. The share is what is told.
    let margin = margin_of("rocket.flight.rail - 96.001 in >= 0 in or rocket.flight.rail >= 192 in");
    assert_eq!((margin["kind"].as_str(), margin["value"].as_f64()), (Some("ratio"), Some(-0.5)), "{margin}");
}

#[test]
fn a_canopy_without_a_size_is_asked_for_its_diameter_alone() {
    let bench = Bench::new();
    let (before, after) = DUAL.split_once("\n    main:").unwrap();
    let (size, after) = after.split_once("diameter: ").unwrap();
    let (_, after) = after.split_once(", ").unwrap();
    bench.write("a.rocket.yaml", format!("{before}\n    main:{size}{after}"));
    let run = bench.run(&["review", "--today", "2026-06-01", "a.rocket.yaml"]);
    run.code(1).has("recovery.parachutes.main (line");
    assert!(run.all().contains("`diameter`") && !run.all().contains("reference_area"), "{run:?}");
}
