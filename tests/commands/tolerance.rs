//! Tolerances, waivers and hold points, with a rule whose arithmetic a reader can do in the head.

use serde_json::Value as Json;

use super::{Bench, DUAL, Run, swap};

/// The gap between a tube and its ring is at least 0.01 in; a second rule waits for a later step.
const PACK: &str = "\
pack: trying
about: For trying tolerances.
rules:
  loose-mount:
    title: The mount tube leaves a gap
    before: bonding
    for: section
    when: section has motor_mount
    require: section.tube.inner_diameter - section.motor_mount.tube.outer_diameter >= 0.1 in
    level: error
    finding: \"{section} is too narrow\"
    why: It must go in.
    source: {club: trying}
  long-rail:
    title: The rail is long
    before: flight
    for: rocket
    require: rocket.flight.rail >= 10 ft
    level: error
    finding: \"the rail is {rocket.flight.rail}\"
    why: Speed.
    source: {club: trying}
";

fn design(inner: &str, outer: &str, rest: &str) -> String {
    format!(
        "holdpoint: 1\nname: T\nsections:\n  a:\n    tube: {{inner_diameter: {inner}}}\n    motor_mount:\n      tube: {{outer_diameter: {outer}}}\nflight: {{rail: 8 ft}}\n{rest}"
    )
}

fn review(inner: &str, outer: &str, rest: &str, more: &[&str]) -> Run {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design(inner, outer, rest));
    bench.write("pack.yaml", PACK);
    let arguments =
        ["review", "a.rocket.yaml", "--rules", "pack.yaml", "--format", "json", "--today", "2026-06-01"];
    bench.run(&[&arguments, more].concat())
}

/// The findings of the rules of this file's pack and of the waivers.
fn findings(run: &Run) -> Vec<Json> {
    let document = run.json();
    let all = document["designs"][0]["findings"].as_array().unwrap().clone();
    all.into_iter().filter(|f| f["pack"] == "trying" || f["pack"] == "waivers").collect()
}

#[track_caller]
fn outcome(inner: &str, outer: &str) -> Option<String> {
    let run = review(inner, outer, "", &["--before", "bonding"]);
    findings(&run).first().map(|f| f["outcome"].as_str().unwrap().to_owned())
}

/// A review of the design by the pack beside it, on the day of the specimens' trials.
fn by_the_pack(bench: &Bench) -> Run {
    bench.run(&[
        "review",
        "a.rocket.yaml",
        "--rules",
        "pack.yaml",
        "--format",
        "json",
        "--today",
        "2026-06-01",
    ])
}

#[test]
fn the_worst_corner_of_the_stated_tolerances_decides() {
    // As drawn the gap is 0.12 in; 0.1 in is needed.
    for (inner, outer, expected) in [
        ("3.9 in", "3.78 in", None),
        ("3.9 ± 0.01 in", "3.78 in", None),
        ("3.9 ± 0.03 in", "3.78 in", Some("tight")),
        ("3.9 in", "3.78 in ± 0.03 in", Some("tight")),
        // Neither by itself, both together.
        ("3.9 ± 0.015 in", "3.78 ± 0.015 in", Some("tight")),
        // Only the side that narrows the gap counts.
        ("3.9 in +0.05/-0.00", "3.78 in +0.00/-0.05", None),
        ("3.9 in +0.00/-0.05", "3.78 in", Some("tight")),
        ("3.9 in ± 1 %", "3.78 in", Some("tight")),
        ("99.06 mm ± 0.762 mm", "3.78 in", Some("tight")),
        ("3.9 in ± 0.254 mm", "3.78 in", None),
        ("3.85 ± 0.5 in", "3.78 in", Some("broken")),
    ] {
        assert_eq!(outcome(inner, outer).as_deref(), expected, "{inner} over {outer}");
    }
}

/// The gaps of five sections together are at least 0.5 in: ten tolerances, too many for every corner.
const MANY: &str = "\
pack: trying
about: For trying many tolerances.
rules:
  loose-mounts:
    title: The mount tubes leave a gap
    before: bonding
    for: rocket
    require: sum of (x.tube.inner_diameter - x.motor_mount.tube.outer_diameter) over x of rocket.sections >= 0.5 in
    level: error
    finding: \"the mounts are too narrow\"
    why: They must go in.
    source: {club: trying}
";

#[test]
fn with_many_tolerances_each_goes_to_its_worse_side() {
    // As drawn the gaps make 5 × 0.12 in = 0.6 in.
    for (first_inner, inner, outer, expected) in [
        ("3.9 in", "3.9 in", "3.78 in", None),
        // 0.6 - 10 × 0.005 = 0.55 in, and 0.6 - 10 × 0.015 = 0.45 in. All on their high sides, or all on their low ones, leave
        // 0.6 in: what a tube gives, its mount takes.
        ("3.9 ± 0.005 in", "3.9 ± 0.005 in", "3.78 ± 0.005 in", None),
        ("3.9 ± 0.015 in", "3.9 ± 0.015 in", "3.78 ± 0.015 in", Some("tight")),
        // Only the sides that widen the gaps: 0.6 in at the worst.
        ("3.9 in +0.05/-0.00", "3.9 in +0.05/-0.00", "3.78 in +0.00/-0.05", None),
        ("3.9 in +0.00/-0.015", "3.9 in +0.00/-0.015", "3.78 in +0.015/-0.00", Some("tight")),
        // One by itself is enough, on either side: 0.6 - 0.11 = 0.49 in.
        ("3.9 in +0.00/-0.11", "3.9 ± 0.0001 in", "3.78 ± 0.0001 in", Some("tight")),
        ("3.9 in +0.11/-0.00", "3.9 ± 0.0001 in", "3.78 ± 0.0001 in", None),
    ] {
        let bench = Bench::new();
        let section = |name: char| {
            let inner = if name == 'a' { first_inner } else { inner };
            format!(
                "  {name}:\n    tube: {{inner_diameter: {inner}}}\n    motor_mount:\n      tube: {{outer_diameter: {outer}}}\n"
            )
        };
        let sections: String = ('a'..='e').map(section).collect();
        bench.write("a.rocket.yaml", format!("holdpoint: 1\nname: T\nsections:\n{sections}"));
        bench.write("pack.yaml", MANY);
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", "pack.yaml", "--format", "json"]);
        assert_eq!(run.json()["problems"], serde_json::json!([]));
        let found = findings(&run);
        let outcome = found.first().map(|f| f["outcome"].as_str().unwrap());
        assert_eq!(outcome, expected, "{first_inner}, {inner} over {outer}: {found:?}");
    }
}

/// What is right at both ends of a tolerance need not be right between them.
#[test]
fn a_place_between_the_ends_decides_where_the_ends_hold() {
    let only = |inner: &str, outer: &str| {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", design(inner, outer, ""));
        let asked = "section.tube.inner_diameter <= 3.8 in or section.tube.inner_diameter >= section.motor_mount.tube.outer_diameter";
        let gap = "section.tube.inner_diameter - section.motor_mount.tube.outer_diameter >= 0.1 in";
        bench.write("pack.yaml", swap(PACK, gap, asked));
        let run = by_the_pack(&bench);
        findings(&run).into_iter().find(|f| f["rule"] == "loose-mount")
    };
    for (inner, outer) in [("3.7 ± 0.3 in", "3.95 in"), ("3.7 ± 0.3 in", "3.95 ± 0.01 in")] {
        let found = only(inner, outer).unwrap_or_else(|| panic!("{inner}: nothing is found"));
        assert_eq!(found["outcome"], "tight", "{found}");
        let message = found["message"].as_str().unwrap();
        assert!(
            message
                .starts_with("right as drawn and at the ends of the stated tolerances, but not between them"),
            "{message}"
        );
    }
    assert_eq!(only("3.7 ± 0.05 in", "3.95 in"), None);
}

/// Two values that move nothing alone may break a rule together: each of two sizes is enough, and both may come out too small.
#[test]
fn values_that_do_no_harm_alone_are_tried_together() {
    let only = |inner: &str, outer: &str| {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", design(inner, outer, ""));
        let asked =
            "section.tube.inner_diameter >= 3.7 in or section.motor_mount.tube.outer_diameter >= 3.7 in";
        let gap = "section.tube.inner_diameter - section.motor_mount.tube.outer_diameter >= 0.1 in";
        bench.write("pack.yaml", swap(PACK, gap, asked));
        let run = by_the_pack(&bench);
        let found = findings(&run).into_iter().find(|f| f["rule"] == "loose-mount");
        found.map(|f| f["outcome"].as_str().unwrap().to_owned())
    };
    let tight = Some("tight".to_owned());
    assert_eq!(only("3.8 +0.00/-0.2 in", "3.8 +0.00/-0.2 in"), tight);
    assert_eq!(only("3.8 ± 0.2 in", "3.8 ± 0.2 in"), tight);
    assert_eq!(only("3.8 ± 0.2 in", "3.8 ± 0.02 in"), None);
    assert_eq!(only("3.8 ± 0.02 in", "3.8 ± 0.02 in"), None);
}

#[test]
fn tight_holds_the_step() {
    let run = review("3.9 ± 0.03 in", "3.78 in", "", &["--before", "bonding"]);
    run.code(1);
    let document = run.json();
    let tight =
        document["designs"][0]["findings"].as_array().unwrap().iter().filter(|f| f["outcome"] == "tight");
    assert_eq!(document["designs"][0]["counts"]["tight"], tight.count());
    let point = &document["designs"][0]["hold_points"][1];
    assert_eq!((point["name"].as_str(), point["verdict"].as_str()), (Some("bonding"), Some("hold")));
    let found = &findings(&run)[0];
    assert!(
        found["message"].as_str().unwrap().contains("not at the worst of the stated tolerances"),
        "{found}"
    );
    assert!(
        found["places"]
            .as_array()
            .unwrap()
            .iter()
            .any(|p| p["label"].as_str().unwrap().contains("3.9 ± 0.03 in"))
    );
}

#[test]
fn only_an_error_holds_the_step() {
    for (level, verdict, code) in [("error", "hold", 1), ("warning", "clear", 0), ("note", "clear", 0)] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", DUAL);
        let rule = PACK.split("  long-rail:").nth(1).unwrap().replace("10 ft", "1000 ft");
        let pack = format!("pack: trying\nabout: x\nrules:\n  long-rail:{rule}");
        bench.write("pack.yaml", swap(&pack, "level: error", &format!("level: {level}")));
        let run = by_the_pack(&bench);
        run.code(code);
        let points = run.json()["designs"][0]["hold_points"].clone();
        let flight = points.as_array().unwrap().iter().find(|p| p["name"] == "flight").unwrap();
        assert_eq!(flight["verdict"], verdict, "{level}");
        assert_eq!(findings(&run)[0]["outcome"], "broken", "{level}");
    }
}

#[test]
fn a_margin_is_a_share_of_its_limit_and_a_gap_across_zero() {
    let margin = |inner: &str| {
        let run = review(inner, "3.78 in", "", &["--before", "bonding"]);
        let margin = findings(&run)[0]["margin"].clone();
        (margin["kind"].as_str().unwrap().to_owned(), margin["value"].as_f64().unwrap())
    };
    // 0.02 in of the 0.1 in needed; and 0.08 in too little where 0.1 in is needed.
    for (inner, entity_type, value) in [("3.8 in", "ratio", -0.8), ("3.7 in", "gap", -0.18)] {
        let (found, size) = margin(inner);
        assert_eq!(found, entity_type, "{inner}");
        assert!((size - value).abs() < 1e-9, "{inner}: {size}");
    }
    // At most 4 ft of rail, and there are 8: what is allowed is half of what there is.
    let bench = Bench::new();
    bench.write("a.rocket.yaml", design("3.9 in", "3.78 in", ""));
    bench.write("pack.yaml", swap(PACK, "rocket.flight.rail >= 10 ft", "rocket.flight.rail <= 4 ft"));
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "pack.yaml", "--format", "json"]);
    let found = findings(&run);
    let margin = &found.iter().find(|f| f["rule"] == "long-rail").unwrap()["margin"];
    assert_eq!((margin["kind"].as_str(), margin["value"].as_f64()), (Some("ratio"), Some(-0.5)));
}

#[test]
fn what_is_not_written_down_is_named_up_to_four() {
    let fields = ["rail", "wind", "ceiling", "site_elevation", "predicted_apogee", "field_radius"];
    for (count, told) in [
        (1, "(`flight.rail` is not written down)"),
        (4, "(`flight.rail`, `flight.wind`, `flight.ceiling`, `flight.site_elevation` are not written down)"),
        (5, "`flight.site_elevation` and 1 more are not written down)"),
    ] {
        let asked: Vec<String> =
            fields[..count].iter().map(|f| format!("rocket.flight.{f} = rocket.flight.{f} * 1.5")).collect();
        let rule = PACK.split("  long-rail:").nth(1).unwrap();
        let rule = swap(rule, "rocket.flight.rail >= 10 ft", &asked.join(" or "));
        let bench = Bench::new();
        bench.write("a.rocket.yaml", "holdpoint: 1\nname: T\nflight: {}\n");
        bench.write("pack.yaml", format!("pack: trying\nabout: x\nrules:\n  long-rail:{rule}"));
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", "pack.yaml", "--format", "json"]);
        let found = findings(&run);
        assert!(found[0]["message"].as_str().unwrap().ends_with(told), "{found:?}");
    }
}

#[test]
fn before_a_step_asks_only_for_what_it_needs() {
    let all = review("3.9 in", "3.78 in", "", &[]);
    assert!(findings(&all).iter().any(|f| f["rule"] == "long-rail"), "{all:?}");
    let bonding = review("3.9 in", "3.78 in", "", &["--before", "bonding"]);
    assert!(findings(&bonding).is_empty(), "{bonding:?}");
    let names: Vec<String> = bonding.json()["designs"][0]["hold_points"]
        .as_array()
        .unwrap()
        .iter()
        .map(|h| h["name"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(names, ["parts", "bonding"]);
}

fn waiver(fields: &str) -> String {
    format!("waivers:\n  - {{{fields}}}\n")
}

#[track_caller]
fn waived(inner: &str, fields: &str) -> (Vec<String>, bool) {
    let run = review(inner, "3.78 in", &waiver(fields), &["--before", "bonding"]);
    let found = findings(&run);
    let own = found.iter().find(|f| f["rule"] == "loose-mount");
    let waived = own.is_some_and(|f| !f["waived"].is_null());
    let counted = run.json()["designs"][0]["counts"]["waived"] == u64::from(waived);
    assert!(counted, "{run:?}");
    let about =
        found.iter().filter(|f| f["pack"] == "waivers").map(|f| f["rule"].as_str().unwrap().to_owned());
    (about.collect(), waived)
}

#[test]
fn waivers() {
    let base = "reason: tried by hand, by: R. Holt";
    // 3.8 - 3.78 = 0.02 in of the 0.1 in needed: a margin of -0.8.
    for (inner, fields, about, active) in [
        ("3.8 in", "rule: loose-mount, until: 2026-06-01, margin: -0.8", None, true),
        ("3.8 in", "rule: loose-mount, subject: a, until: 2026-12-31, margin: -0.8", None, true),
        ("3.8 in", "rule: loose-mount, subject: sections.a, until: 2026-12-31, margin: -0.8", None, true),
        ("3.8 in", "rule: loose-mount, until: 2026-12-31", Some("waiver-unbound"), false),
        ("3.8 in", "rule: loose-mount, until: 2026-12-31, margin: -0.9 in", Some("waiver-outgrown"), false),
        ("3.8 in", "rule: loose-mount, subject: b, until: 2026-12-31", Some("waiver-unused"), false),
        ("3.8 in", "rule: loose-mount, until: 2026-05-31", Some("waiver-expired"), false),
        ("3.8 in", "rule: lose-mount, until: 2026-12-31", Some("waiver-names-no-rule"), false),
        ("3.8 in", "rule: loose-mount, until: 2026-12-31, margin: -0.8", None, true),
        ("3.8 in", "rule: loose-mount, until: 2026-12-31, margin: -0.79", Some("waiver-outgrown"), false),
        ("3.9 in", "rule: loose-mount, until: 2026-12-31", Some("waiver-unused"), false),
    ] {
        let expected = (about.map(str::to_owned).into_iter().collect::<Vec<_>>(), active);
        assert_eq!(waived(inner, &format!("{fields}, {base}")), expected, "{inner} with {fields}");
    }
}

#[test]
fn a_waiver_of_a_misspelled_rule_says_which_was_meant() {
    let text = waiver("rule: lose-mount, reason: r, by: b, until: 2026-12-31");
    let run = review("3.8 in", "3.78 in", &text, &["--before", "bonding"]);
    let found = findings(&run);
    let about = found.iter().find(|f| f["rule"] == "waiver-names-no-rule").unwrap();
    assert!(about["message"].as_str().unwrap().contains("did you mean `loose-mount`?"), "{about}");
    assert_eq!(about["places"][0]["label"], "rule: lose-mount");
}

#[test]
fn a_waiver_that_lacks_a_field_is_a_mistake_of_the_file() {
    let run = review("3.8 in", "3.78 in", &waiver("rule: loose-mount, by: b, until: 2026-12-31"), &[]);
    run.code(2).has("`reason` is missing here");
    review("3.8 in", "3.78 in", "", &["--today", "tomorrow"]).code(2);
}

#[test]
fn a_waiver_says_how_it_is_bound() {
    let text = waiver("rule: loose-mount, reason: r, by: b, until: 2026-12-31");
    let run = review("3.8 in", "3.78 in", &text, &["--before", "bonding"]);
    let found = findings(&run);
    let about = found.iter().find(|f| f["rule"] == "waiver-unbound").unwrap();
    assert!(about["message"].as_str().unwrap().contains("write `margin: -0.8` in it"), "{about}");
    // An unproven finding has no margin; once it is judged, the waiver that let it pass holds no more.
    let standing = |flight: &str| {
        let bench = Bench::new();
        let text =
            design("3.9 in", "3.78 in", &waiver("rule: long-rail, reason: r, by: b, until: 2026-12-31"));
        bench.write("a.rocket.yaml", swap(&text, "rail: 8 ft", flight));
        bench.write("pack.yaml", PACK);
        let run = by_the_pack(&bench);
        let found = findings(&run);
        let own = found.iter().find(|f| f["rule"] == "long-rail").unwrap();
        (own["outcome"].as_str().unwrap().to_owned(), own["standing"].as_str().unwrap().to_owned())
    };
    let both = |outcome: &str, standing: &str| (outcome.to_owned(), standing.to_owned());
    assert_eq!(standing("wind: 1 m/s"), both("unproven", "waived"));
    assert_eq!(standing("rail: 8 ft"), both("broken", "shown"));
    let text = waiver("rule: long-rail, reason: r, by: b, until: 2026-12-31, margin: some");
    review("3.9 in", "3.78 in", &text, &[]).code(2).has("some");
}

#[test]
fn an_active_waiver_lets_the_step_be_taken() {
    let held = review("3.8 in", "3.78 in", "", &["--before", "bonding"]);
    assert_eq!(held.json()["designs"][0]["hold_points"][1]["verdict"], "hold");
    let text = waiver("rule: loose-mount, reason: r, by: b, until: 2026-12-31, margin: -0.8");
    let run = review("3.8 in", "3.78 in", &text, &["--before", "bonding"]);
    let own: Vec<Json> = run.json()["designs"][0]["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| {
            f["waived"].is_null()
                && f["level"] == "error"
                && f["before"] == "bonding"
                && f["pack"] == "trying"
        })
        .cloned()
        .collect();
    assert!(own.is_empty(), "{own:?}");
    assert_eq!(findings(&run)[0]["waived"]["by"], "b");
}
