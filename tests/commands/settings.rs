//! A club's settings: found, joined, told where they come from, and wrong in every way.

use serde_json::Value as Json;

use super::{Bench, DUAL, Run, swap};

const RAIL: &str = "\
pack: club
about: What this club asks besides.
limits:
  least_rail: {is: 100 in, source: {club: the rails that we have}}
rules:
  club-rail:
    title: The rail is one of the club's
    before: flight
    for: rocket
    require: rocket.flight.rail >= least_rail
    level: warning
    finding: \"the rail is {rocket.flight.rail} long\"
    why: The club has no other.
    source: {club: the rails that we have}
";

/// A club: settings at the top, a pack beside the designs, a design whose rail is 96 in long.
fn club(settings: &str) -> Bench {
    let bench = Bench::new();
    bench.write("holdpoint.yaml", settings);
    bench.write("packs/rail.yaml", RAIL);
    bench.write("designs/dual.rocket.yaml", DUAL);
    bench
}

fn review(bench: &Bench, more: &[&str]) -> Run {
    let own = ["review", "designs/dual.rocket.yaml", "--today", "2026-06-01", "--format", "json"];
    bench.run(&[&own, more].concat())
}

/// The finding of a rule, or null.
fn finding(run: &Run, rule: &str) -> Json {
    let document = run.json();
    let found = document["designs"][0]["findings"].as_array().unwrap().iter().find(|f| f["rule"] == rule);
    found.cloned().unwrap_or_default()
}

#[test]
fn a_clubs_pack_limits_and_levels_hold_for_the_designs_below() {
    let bench = club("settings: 1\n");
    assert_eq!(finding(&review(&bench, &[]), "club-rail"), Json::Null);
    bench.write("holdpoint.yaml", "settings: 1\npacks: [packs]\n");
    let run = review(&bench, &[]);
    assert_eq!(finding(&run, "club-rail")["level"], "warning");
    assert!(run.json()["designs"][0]["settings"].as_str().unwrap().contains("1 pack set by the club"));
    bench.write(
        "holdpoint.yaml",
        "settings: 1\npacks: [packs]\nlevels: [{rule: club-rail, level: error, reason: ours}]\n",
    );
    let run = review(&bench, &[]);
    run.code(1);
    assert_eq!(finding(&run, "club-rail")["level"], "error");
    bench.write(
        "holdpoint.yaml",
        "settings: 1\npacks: [packs/rail.yaml]\nlimits: [{pack: club, limit: least_rail, is: 8 ft, reason: an old rail}]\n",
    );
    assert_eq!(finding(&review(&bench, &[]), "club-rail"), Json::Null);
    // The same pack named twice is one pack.
    let run = review(&bench, &["--rules", "packs"]);
    assert_eq!(run.json()["problems"].as_array().unwrap().len(), 0, "{run:?}");
    // A built-in limit, and the report says that settings are in force.
    bench.write(
        "holdpoint.yaml",
        "settings: 1\nlimits: [{pack: joints, limit: least_pins, is: 5, reason: we fly heavy}]\n",
    );
    let broken = review(&bench, &[]);
    assert_ne!(finding(&broken, "pins-not-alone"), Json::Null, "{broken:?}");
    bench
        .run(&["review", "designs/dual.rocket.yaml"])
        .has("settings: holdpoint.yaml: 1 limit set by the club");
}

#[test]
fn the_nearest_file_wins_and_another_is_extended_only_by_name() {
    let bench = club("settings: 1\npacks: [packs]\nlevels: [{rule: club-rail, level: error, reason: top}]\n");
    bench.write("designs/holdpoint.yaml", "settings: 1\n");
    assert_eq!(finding(&review(&bench, &[]), "club-rail"), Json::Null);
    bench.write("designs/holdpoint.yaml", "settings: 1\nextends: ../holdpoint.yaml\n");
    assert_eq!(finding(&review(&bench, &[]), "club-rail")["level"], "error");
    bench.write(
        "designs/holdpoint.yaml",
        "settings: 1\nextends: ../holdpoint.yaml\nlevels: [{rule: club-rail, level: note, reason: near}]\n",
    );
    assert_eq!(finding(&review(&bench, &[]), "club-rail")["level"], "note");
    bench.write("designs/holdpoint.yaml", "settings: 1\nextends: ../nowhere.yaml\n");
    review(&bench, &[]).code(2).has("`../nowhere.yaml` cannot be read");
    bench.write("designs/holdpoint.yaml", "settings: 1\nextends: ../holdpoint.yaml\n");
    bench.write("holdpoint.yaml", "settings: 1\nextends: designs/../designs/holdpoint.yaml\n");
    review(&bench, &[]).code(2).has("these settings extend each other in a circle");
}

#[test]
fn the_search_ends_at_the_root_of_the_repository() {
    let bench = club("settings: 1\npacks: [packs]\n");
    bench.write("designs/.git/HEAD", "ref: refs/heads/main\n");
    assert_eq!(finding(&review(&bench, &[]), "club-rail"), Json::Null);
    bench.write("designs/holdpoint.yaml", "settings: 1\npacks: [../packs]\n");
    assert_ne!(finding(&review(&bench, &[]), "club-rail"), Json::Null);
}

#[test]
fn standard_input_has_the_settings_of_the_folder_of_the_run() {
    let bench = club("settings: 1\npacks: [packs]\n");
    let run = bench.run_with(&["review", "-", "--format", "json"], Some(DUAL.as_bytes()), &[]);
    assert_ne!(finding(&run, "club-rail"), Json::Null);
}

#[test]
fn mistakes_in_settings_are_told_at_their_place() {
    for (settings, place, words) in [
        ("levels: []\n", "1:1", "`settings` is missing here"),
        ("settings: 2\n", "1:11", "settings format 2 is not one this program reads"),
        ("settings: 1\npakcs: [packs]\n", "2:1", "`pakcs`"),
        ("settings: 1\npacks: [nowhere]\n", "", "nowhere"),
        (
            "settings: 1\nlimits: [{pack: jonts, limit: least_pins, is: 3, reason: r}]\n",
            "2:17",
            "no pack is named `jonts`",
        ),
        (
            "settings: 1\nlimits: [{pack: joints, limit: least_pin, is: 3, reason: r}]\n",
            "2:32",
            "pack `joints` has no limit `least_pin`",
        ),
        (
            "settings: 1\nlimits: [{pack: joints, limit: pin_edge, is: 3 kg, reason: r}]\n",
            "2:46",
            "`pin_edge` is a length, as in 1/4 in; this is a mass",
        ),
        (
            "settings: 1\nlimits: [{pack: joints, limit: pin_edge, is: 3 furlong, reason: r}]\n",
            "2:46",
            "furlong",
        ),
        (
            "settings: 1\nlimits: [{pack: joints, limit: pin_edge, is: 3 mm}]\n",
            "2:11",
            "`reason` is missing here",
        ),
        (
            "settings: 1\nlevels: [{rule: club-rial, level: note, reason: r}]\n",
            "2:17",
            "no rule is named `club-rial`",
        ),
        ("settings: 1\nlevels: [{rule: rail-long, level: fatal, reason: r}]\n", "2:35", "`fatal`"),
        ("settings: 1\nwaivers_need: [subject, blood]\n", "2:25", "`blood` is nothing that a waiver"),
        ("settings: 1\npaths: [\"a[\"]\n", "2:9", "this is no pattern"),
        (
            "settings: 1\nwaivers: [{design: gone.rocket.yaml, rule: r, reason: r, by: b, until: 2030-01-01}]\n",
            "2:20",
            "there is no design `gone.rocket.yaml`",
        ),
        (
            "settings: 1\nwaivers: [{design: designs/dual.rocket.yaml, rule: r, reason: r, by: b, until: 2030-01-01, margin: much}]\n",
            "2:100",
            "much",
        ),
        ("settings: [\n", "", "holdpoint.yaml"),
    ] {
        let bench = club(settings);
        let run = bench.run(&["review", "designs", "--format", "concise"]);
        let file = if place.is_empty() {
            String::new()
        } else {
            format!("holdpoint.yaml:{place}: error[unreadable] ")
        };
        run.code(2).has(&file).has(words);
        assert!(run.out.lines().any(|l| l.contains(&file) && l.contains(words)), "{}", run.out);
        // The design is reviewed all the same.
        run.has("designs/dual.rocket.yaml: ");
    }
}

#[test]
fn the_settings_say_where_each_value_comes_from() {
    let bench = club(
        "settings: 1\npacks: [packs]\nlimits:\n  - {pack: joints, limit: least_pins, is: 4, reason: heavy rockets}\nlevels:\n  - {rule: club-rail, level: error, reason: top}\nwaivers_need: [margin]\n",
    );
    bench.write(
        "designs/holdpoint.yaml",
        "settings: 1\nextends: ../holdpoint.yaml\npaths: [\"*.rocket.yaml\"]\nlevels: [{rule: club-rail, level: note, reason: near}]\n",
    );
    let run = bench.run(&["review", "--show-settings", "designs/dual.rocket.yaml"]);
    run.code(0)
        .has("file designs/holdpoint.yaml (the nearest)")
        .has("file holdpoint.yaml (extended)")
        .has("pack packs (holdpoint.yaml, line 2)")
        .has("path *.rocket.yaml (designs/holdpoint.yaml, line 3)")
        .has("limit joints.least_pins = 4 (holdpoint.yaml, line 4: heavy rockets)")
        .has("limit joints.pin_edge = 1/4 in (the pack)")
        .has("limit club.least_rail = 100 in (the pack)")
        .has("level of club-rail = note (designs/holdpoint.yaml, line 4: near)")
        .has("a waiver says its margin (holdpoint.yaml, line 7)");
    assert!(!run.out.contains("level of club-rail = error"), "{}", run.out);
    bench
        .run(&["review", "--show-settings", "designs/none.rocket.yaml"])
        .code(2)
        .has("there is no such file");
}

#[test]
fn what_departs_from_the_packs_is_shown_before_what_does_not() {
    let limits = "limits: [{pack: joints, limit: least_pins, is: 4, reason: heavy rockets}]";
    let levels = format!("levels: [{{rule: {ANY_RULE}, level: note, reason: ours}}]");
    let bench = club(&format!("settings: 1\n{limits}\n{levels}\n"));
    let run = bench.run(&["review", "--show-settings", "designs/dual.rocket.yaml"]);
    let at = |words: &str| run.code(0).out.find(words).unwrap_or_else(|| panic!("{words}: {}", run.out));
    let rest = at("\n  and as the packs have them:\n");
    assert!(at("limit joints.least_pins = 4 (") < rest);
    assert!(at(&format!("level of {ANY_RULE} = note (")) < rest);
    assert!(at("limit joints.pin_edge = 1/4 in (the pack)") > rest);
}

/// A rule that is built in.
const ANY_RULE: &str = "bay-vents-evenly-spaced";

#[test]
fn a_folder_takes_in_what_git_and_the_settings_take_in() {
    let bench = club("settings: 1\npaths: [\"*.rocket.yaml\", \"!drafts/\"]\n");
    for name in ["drafts/a", "build/b", "designs/kept", "designs/private"] {
        bench.write(&format!("{name}.rocket.yaml"), DUAL);
    }
    bench.write("designs/rocket.yaml", DUAL);
    bench.write("designs/.gitignore", "private*\n");
    bench.write(".gitignore", "/build/\n");
    // The files are those of a repository, as they are for git.
    bench.write(".git/HEAD", "ref: refs/heads/main\n");
    let reviewed = |paths: &[&str]| -> Vec<String> {
        let document = bench.run(&[&["review", "--format", "json"], paths].concat()).json();
        let designs = document["designs"].as_array().unwrap().clone();
        designs.iter().map(|d| d["path"].as_str().unwrap().trim_start_matches("./").to_owned()).collect()
    };
    assert_eq!(reviewed(&["."]), ["designs/dual.rocket.yaml", "designs/kept.rocket.yaml"]);
    // What was left out by settings is told, and what is named is reviewed.
    bench.run(&["review", "."]).has("2 designs left out by `paths` of holdpoint.yaml, line 2");
    for named in
        ["drafts/a.rocket.yaml", "build/b.rocket.yaml", "designs/private.rocket.yaml", "designs/rocket.yaml"]
    {
        assert_eq!(reviewed(&[named]), [named]);
    }
}

/// Settings with a waiver of the rail, which is 96 in of 100 in long: a margin of -0.04.
fn waiver(fields: &str, more: &str) -> Bench {
    club(&format!(
        "settings: 1\npacks: [packs]\n{more}waivers:\n  - {{design: designs/dual.rocket.yaml, rule: club-rail, reason: a short rail, by: club mentor, {fields}}}\n"
    ))
}

#[test]
fn a_waiver_in_settings_holds_for_its_design() {
    let bench = waiver("until: 2026-12-31, margin: -0.04", "");
    let waived = finding(&review(&bench, &[]), "club-rail");
    assert_eq!((&waived["standing"], &waived["waived"]["by"]), (&"waived".into(), &"club mentor".into()));
    bench.write("designs/other.rocket.yaml", DUAL);
    let other = bench.run(&["review", "designs/other.rocket.yaml", "--format", "json"]);
    assert_eq!(finding(&other, "club-rail")["standing"], "shown");
    let sarif = bench
        .run(&[
            "review",
            "designs/dual.rocket.yaml",
            "--today",
            "2026-06-01",
            "--format",
            "sarif",
            "--show-waived",
        ])
        .json();
    let results = sarif["runs"][0]["results"].as_array().unwrap().clone();
    let result = results.iter().find(|r| r["ruleId"] == "club-rail").unwrap();
    assert_eq!(result["suppressions"][0]["kind"], "external");
}

#[test]
fn a_waiver_in_settings_that_does_not_hold_is_a_finding() {
    for (fields, more, name, words) in [
        (
            "until: 2026-05-31, margin: -0.04",
            "",
            "waiver-expired",
            "ran out on 2026-05-31 (holdpoint.yaml, line 4)",
        ),
        (
            "until: 2026-12-31, margin: -0.039",
            "",
            "waiver-outgrown",
            "waived at a margin of -0.039, and it is -0.04 now",
        ),
        ("until: 2026-12-31, margin: -1 in", "", "waiver-outgrown", "waived at a margin of -1 in"),
        ("until: 2026-12-31", "", "waiver-unbound", "write `margin: -0.04` in it"),
        ("until: 2026-12-31, subject: av_bay, margin: 0", "", "waiver-unused", "covers nothing"),
        (
            "until: 2026-12-31, margin: -0.04",
            "waivers_need: [subject]\n",
            "waiver-incomplete",
            "has no `subject`",
        ),
    ] {
        let run = review(&waiver(fields, more), &[]);
        assert_eq!(finding(&run, "club-rail")["standing"], "shown", "{fields}");
        let about = finding(&run, name);
        assert!(about["message"].as_str().is_some_and(|m| m.contains(words)), "{fields}: {about}");
        assert_eq!((&about["level"], &about["pack"]), (&"warning".into(), &"waivers".into()));
    }
    let bench = waiver("until: 2026-12-31, margin: -0.04", "");
    let text = std::fs::read_to_string(bench.path().join("holdpoint.yaml")).unwrap();
    bench.write("holdpoint.yaml", swap(&text, "rule: club-rail", "rule: club-rial"));
    let about = finding(&review(&bench, &[]), "waiver-names-no-rule");
    assert!(about["message"].as_str().unwrap().contains("did you mean `club-rail`?"), "{about}");
}

#[test]
fn the_settings_of_the_documents_are_right() {
    let document = include_str!("../../docs/waivers-and-settings.md");
    let block = document.split("```yaml\n").find(|b| b.starts_with("settings: 1\n")).unwrap();
    let bench = club(block.split("```").next().unwrap());
    bench.write("designs/tern.rocket.yaml", swap(DUAL, "name: Reed Bunting", "name: Tern"));
    let run = bench.run(&["review", ".", "--format", "json", "--today", "2026-06-01"]);
    assert!(run.code < 2 && run.json()["problems"].as_array().unwrap().is_empty(), "{run:?}");
    assert_eq!(run.json()["designs"].as_array().unwrap().len(), 2);
}

#[test]
fn mending_and_explaining_go_by_the_settings_too() {
    let bench =
        club("settings: 1\npacks: [packs]\nlevels: [{rule: club-rail, level: error, reason: ours}]\n");
    bench.run(&["mend", "designs", "--diff"]).has("error club-rail: the rail is 96 in long");
    bench.run(&["explain", "club-rail"]).code(0).has("The club has no other.");
}

#[test]
fn the_schema_takes_settings_and_refuses_what_is_unknown() {
    let schema = Bench::new().run(&["schema", "settings"]).code(0).json();
    assert!(jsonschema::draft202012::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let mut settings: Json = serde_yaml::from_str(
        "{settings: 1, extends: a.yaml, packs: [p, {path: q, sha256: abc}], paths: ['!x'], waivers_need: [margin], limits: [{pack: p, limit: l, is: 3 in, reason: r}], levels: [{rule: r, level: note, reason: r}], waivers: [{design: d, rule: r, reason: r, by: b, until: '2026-01-01', margin: -0.5}]}",
    )
    .unwrap();
    let errors: Vec<String> = validator.iter_errors(&settings).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    for (pointer, key) in [("", "limit"), ("/limits/0", "unit"), ("/levels/0", "to"), ("/waivers/0", "name")]
    {
        let mut wrong = settings.clone();
        wrong.pointer_mut(pointer).unwrap()[key] = "x".into();
        assert!(!validator.is_valid(&wrong), "{key} was taken");
    }
    settings["levels"][0]["level"] = "fatal".into();
    assert!(!validator.is_valid(&settings));
}
