//! A baseline: what was there is passed over by the exit code, and by nothing else.

use serde_json::Value as Json;

use super::{Bench, DUAL, MOTOR, Run, swap};

/// A design with one hole in its bay, where three are the least.
fn draft() -> String {
    swap(DUAL, "statics: {count: 3,", "statics: {count: 1,")
}

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("designs/a.rocket.yaml", draft());
    bench.write("designs/b.rocket.yaml", MOTOR);
    bench
}

fn review(bench: &Bench, more: &[&str]) -> Run {
    let own = ["review", "designs", "--today", "2026-06-01", "--format", "json", "--baseline", "known.json"];
    bench.run(&[&own, more].concat())
}

fn findings(run: &Run) -> Vec<Json> {
    let designs = run.json()["designs"].as_array().unwrap().clone();
    designs.iter().flat_map(|d| d["findings"].as_array().unwrap().clone()).collect()
}

fn known(bench: &Bench) -> Json {
    serde_json::from_str(&std::fs::read_to_string(bench.path().join("known.json")).unwrap()).unwrap()
}

#[test]
fn what_the_baseline_knows_holds_its_step_and_not_the_run() {
    let bench = bench();
    bench.run(&["review", "designs"]).code(1);
    review(&bench, &["--write-baseline"]).code(0).has("known.json: written, ");
    let written = std::fs::read_to_string(bench.path().join("known.json")).unwrap();
    assert_eq!(known(&bench)["format"], "holdpoint-baseline/2");
    assert!(known(&bench)["designs"]["designs/a.rocket.yaml"].as_array().unwrap().len() >= 2);
    let run = review(&bench, &[]);
    run.code(0);
    let design = run.json()["designs"][0].clone();
    assert_eq!(design["verdict"], "hold", "a baseline answers for nothing");
    let drilling =
        design["hold_points"].as_array().unwrap().iter().find(|h| h["name"] == "drilling").unwrap();
    assert_eq!(drilling["verdict"], "hold");
    let all = findings(&run);
    assert!(!all.is_empty() && all.iter().all(|f| f["standing"] == "baselined"), "{all:?}");
    let accounts = &design["accounts"];
    assert_eq!((&accounts["shown"], &accounts["baselined"]), (&0.into(), &accounts["total"]));
    // Not a byte of it changes by itself, in whichever folder the run is.
    assert_eq!(std::fs::read_to_string(bench.path().join("known.json")).unwrap(), written);
    let whole = bench.path().canonicalize().unwrap();
    let arguments =
        ["review", whole.to_str().unwrap(), "--baseline", whole.join("known.json").to_str().unwrap()]
            .map(str::to_owned);
    let elsewhere = Bench::new();
    elsewhere.run(&arguments.iter().map(String::as_str).collect::<Vec<_>>()).code(0);
    for (format, nothing) in
        [("github", "::error"), ("sarif", "\"ruleId\""), ("junit", "<failure"), ("concise", "error[")]
    {
        let run = bench.run(&["review", "designs", "--baseline", "known.json", "--format", format]);
        run.code(0);
        assert!(!run.out.contains(nothing), "{format}: {}", run.out);
    }
    bench.run(&["review", "designs", "--baseline", "known.json"]).code(0).has("in the baseline").has("HOLD");
}

#[test]
fn a_new_finding_is_not_taken_in() {
    let bench = bench();
    review(&bench, &["--write-baseline"]).code(0);
    let written = known(&bench);
    bench.write("designs/a.rocket.yaml", swap(&draft(), "wind: 8 mph", "wind: 28 mph"));
    let run = review(&bench, &[]);
    assert!(findings(&run).iter().any(|f| f["standing"] == "shown"), "{run:?}");
    assert_eq!(known(&bench), written);
    // Unproven and then broken is no finding that was known.
    bench.write("designs/a.rocket.yaml", swap(DUAL, "statics: {count: 3,", "statics: {"));
    review(&bench, &["--write-baseline"]).code(0);
    bench.write("designs/a.rocket.yaml", draft());
    let run = review(&bench, &[]);
    run.code(1);
    let area = findings(&run).into_iter().find(|f| f["rule"] == "bay-vent-area").unwrap();
    assert_eq!(area["standing"], "shown");
}

#[test]
fn what_is_not_found_any_more_is_a_finding() {
    let bench = bench();
    review(&bench, &["--write-baseline"]).code(0);
    bench.write("designs/a.rocket.yaml", DUAL);
    let run = review(&bench, &[]);
    run.code(0);
    let stale: Vec<Json> = findings(&run).into_iter().filter(|f| f["rule"] == "baseline-stale").collect();
    assert!(
        stale.iter().any(|f| f["message"].as_str().unwrap().contains("has `bay-vent-area` as broken on"))
    );
    assert!(stale.iter().all(|f| f["level"] == "warning" && f["standing"] == "shown"));
    assert_eq!(review(&bench, &["--fail-on", "warning"]).code, 1);
    // What is not asked about may still be there.
    assert!(findings(&review(&bench, &["--before", "parts"])).iter().all(|f| f["rule"] != "baseline-stale"));
    review(&bench, &["--write-baseline"]).code(0);
    let left = known(&bench)["designs"]["designs/a.rocket.yaml"].to_string();
    assert!(!left.contains("bay-vent-area"), "{left}");
    assert!(findings(&review(&bench, &[])).iter().all(|f| f["rule"] != "baseline-stale"));
}

#[test]
fn writing_keeps_what_was_not_reviewed() {
    let bench = bench();
    bench.write("designs/c.rocket.yaml", draft());
    review(&bench, &["--write-baseline"]).code(0);
    let all = known(&bench);
    bench.run(&["review", "designs/a.rocket.yaml", "--baseline", "known.json", "--write-baseline"]).code(0);
    assert_eq!(known(&bench), all);
    std::fs::remove_file(bench.path().join("designs/c.rocket.yaml")).unwrap();
    review(&bench, &[]).code(0).has("`designs/c.rocket.yaml` is not there any more");
    review(&bench, &["--write-baseline"]).code(0);
    assert!(known(&bench)["designs"].get("designs/c.rocket.yaml").is_none());
}

#[test]
fn a_waived_finding_is_not_taken_in() {
    let bench = bench();
    let waiver = "waivers:\n  - {rule: bay-vent-count, reason: two ports, by: club mentor, until: 2027-01-01, margin: -0.67}\n";
    bench.write("designs/a.rocket.yaml", draft() + waiver);
    review(&bench, &["--write-baseline"]).code(0);
    let entries = known(&bench)["designs"]["designs/a.rocket.yaml"].as_array().unwrap().clone();
    assert!(!entries.is_empty() && entries.iter().all(|e| e["rule"] != "bay-vent-count"), "{entries:?}");
}

#[test]
fn bad_baselines() {
    let bench = bench();
    review(&bench, &[]).code(2).has("known.json");
    bench.write("known.json", "{\"format\": \"holdpoint-baseline/2\",\n \"designs\": [}");
    let run = review(&bench, &[]);
    run.code(2).has("this is no baseline");
    assert_eq!(run.json()["problems"][0]["place"]["line"], 2);
    bench.write("known.json", "{\"format\": \"holdpoint-baseline/3\", \"designs\": {}}");
    review(&bench, &[]).code(2).has("baseline format `holdpoint-baseline/3` is not one this program reads");
    bench.write("known.json", "{\"format\": \"holdpoint-baseline/2\", \"designs\": {}, \"more\": 1}");
    review(&bench, &[]).code(2).has("more");
    bench.run(&["review", "designs", "--write-baseline"]).code(2);
    bench
        .run(&["review", "designs", "--baseline", "new.json", "--write-baseline", "--before", "parts"])
        .code(2);
    bench.write("designs/c.rocket.yaml", "holdpoint: [\n");
    bench
        .run(&["review", "designs", "--baseline", "new.json", "--write-baseline"])
        .code(2)
        .has("not written: what could not be reviewed");
    assert!(!bench.path().join("new.json").exists());
}

/// The design with a rail of some length, so that it leaves it too slowly.
fn on_a_rail(length: &str) -> String {
    swap(DUAL, "rail: 96 in", &format!("rail: {length}"))
}

fn rail_exit(run: &Run) -> Json {
    findings(run).into_iter().find(|f| f["rule"] == "rail-exit-fast-enough").unwrap()
}

#[test]
fn what_the_baseline_knows_and_got_worse_is_new_and_says_so() {
    let bench = Bench::new();
    bench.write("designs/a.rocket.yaml", on_a_rail("48 in"));
    review(&bench, &["--write-baseline"]).code(0);
    let entries = known(&bench)["designs"]["designs/a.rocket.yaml"].as_array().unwrap().clone();
    let entry = entries.iter().find(|e| e["rule"] == "rail-exit-fast-enough").unwrap();
    let margin: f64 = entry["margin"].as_str().unwrap().parse().unwrap();
    assert!((-0.5..0.0).contains(&margin), "{entry}");
    review(&bench, &[]).code(0);
    bench.write("designs/a.rocket.yaml", on_a_rail("42 in"));
    let run = review(&bench, &[]);
    run.code(1);
    let worse = rail_exit(&run);
    assert_eq!(worse["standing"], "shown");
    let words = format!("worse than the baseline knows it: a margin of {margin} there, and ");
    assert!(worse["message"].as_str().unwrap().contains(&words), "{worse}");
    for format in bench.words(&["review", "--format"]) {
        let arguments =
            ["review", "designs", "--today", "2026-06-01", "--baseline", "known.json", "--format", &format];
        let run = bench.run(&arguments);
        // Text is broken into lines.
        let flat = run
            .code(1)
            .out
            .split_whitespace()
            .filter(|word| !word.starts_with(['│', '×']))
            .collect::<Vec<_>>()
            .join(" ");
        assert!(flat.contains("worse than the baseline knows it"), "{format}: {}", run.out);
    }
    // What got better is still what was known.
    bench.write("designs/a.rocket.yaml", on_a_rail("50 in"));
    assert_eq!(rail_exit(review(&bench, &[]).code(0))["standing"], "baselined");
}

#[test]
fn a_baseline_without_margins_is_read_and_says_what_it_lacks() {
    let bench = Bench::new();
    bench.write("designs/a.rocket.yaml", on_a_rail("48 in"));
    review(&bench, &["--write-baseline"]).code(0);
    let mut old = known(&bench);
    old["format"] = "holdpoint-baseline/1".into();
    for entry in old["designs"]["designs/a.rocket.yaml"].as_array_mut().unwrap() {
        entry.as_object_mut().unwrap().remove("margin");
    }
    bench.write("known.json", old.to_string());
    bench.write("designs/a.rocket.yaml", on_a_rail("47 in"));
    let run = review(&bench, &[]);
    assert_eq!(rail_exit(run.code(0))["standing"], "baselined");
    let unbound = findings(&run).into_iter().find(|f| f["rule"] == "baseline-unbound").unwrap();
    assert_eq!((&unbound["level"], &unbound["standing"]), (&"warning".into(), &"shown".into()));
    assert!(unbound["message"].as_str().unwrap().contains("without a margin"), "{unbound}");
    // Written anew it has the margins, and nothing is left to say.
    review(&bench, &["--write-baseline"]).code(0);
    assert!(findings(review(&bench, &[]).code(0)).iter().all(|f| f["rule"] != "baseline-unbound"));
    bench.write("known.json", known(&bench).to_string().replacen("\"margin\":\"-", "\"margin\":\"wide", 1));
    review(&bench, &[]).code(2).has("is no margin");
}
