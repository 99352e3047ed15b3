//! Rows of a club's own: beside its packs, in a folder `tables`, named by designs like those that are built in.

use serde_json::Value as Json;

use super::{Bench, DUAL, swap};

const MATERIALS: &str = "\
table: materials
about: What our members build with.
groups:
  - source: {club: weighed by our members}
    rows:
      our_phenolic: {density: 1.22 g/cm^3, shear_modulus: 0.9 GPa, porous: true, metal: false, melts: false, also: [club board]}
";

const THREADS: &str = "\
table: threads
about: Our screws.
groups:
  - source: {club: measured by our members}
    rows:
      club-9: {major_diameter: 4.50 mm, pitch: 0.75 mm, pitch_diameter: 4.0 mm, minor_diameter: 3.7 mm, stress_area: 11.6 mm^2, root_area: 10.1 mm^2}
";

const CLEARANCE: &str = "\
table: clearance_drills
about: Drills for our screws.
groups:
  - source: {club: measured by our members}
    rows:
      club-9: {diameter: 4.6 mm}
";

const TAPS: &str = "\
table: tap_drills
about: Taps for our screws.
groups:
  - source: {club: measured by our members}
    rows:
      club-9: {thread: club-9, drill: mm_3_8, diameter: 3.8 mm, percent_thread: 72 %}
";

const CONNECTORS: &str = "\
table: connectors
about: Our connectors.
groups:
  - source: {club: bought by the hundred}
    rows:
      club_plug: {doc: A plug with a latch., keyed: true, locking: true, separable: true}
";

const PACK: &str = "\
pack: club
about: Rules of a club.
rules:
  fins-of-light-board:
    title: Fins are of board that is lighter than water with some salt in it
    before: parts
    for: fins
    require: fins.material.density < 1.21 g/cm^3
    level: error
    finding: \"the fins are of {fins.material}, which weighs {fins.material.density}\"
    why: Heavy fins want a heavy nose.
    source: {club: field rules}
    trials:
      - {expect: broken}
      - {with: {booster.fins.material: our_phenolic}, expect: broken}
      - {with: {booster.fins.material: balsa}, expect: held}
      - {without: booster.fins.material, expect: unproven}
";

/// A specimen with three rows of a club.
fn design() -> String {
    let text =
        swap(DUAL, "      material: fibreglass\n      root", "      material: our_phenolic\n      root");
    let text = swap(
        &text,
        "kind: machine screw, count: 4, thread: 6-32",
        "kind: machine screw, count: 4, thread: club-9",
    );
    swap(
        &text,
        "      connector: {family: latched_housing, contacts: 2, altimeter_half: socket}",
        "      connector: {family: club_plug, contacts: 2, altimeter_half: socket}",
    )
}

fn club() -> Bench {
    let bench = Bench::new();
    bench.write("holdpoint.yaml", "settings: 1\npacks: [club]\n");
    bench.write("club/rules.yaml", PACK);
    bench.write("club/tables/materials.yaml", MATERIALS);
    bench.write("club/tables/threads.yaml", THREADS);
    bench.write("club/tables/drills/clearance.yaml", CLEARANCE);
    bench.write("club/tables/drills/taps.yaml", TAPS);
    bench.write("club/tables/connectors.yaml", CONNECTORS);
    bench.write("a.rocket.yaml", design());
    bench
}

#[test]
fn rows_of_a_club_are_named_by_designs_and_read_by_rules() {
    let bench = club();
    let run = bench.run(&["review", "a.rocket.yaml", "--format", "json"]);
    assert_eq!(run.err, "", "nothing is unknown");
    let report = run.code(1).json();
    let findings = report["designs"][0]["findings"].as_array().unwrap().clone();
    let mine = findings.iter().find(|f| f["rule"] == "fins-of-light-board").expect("the club's rule");
    assert_eq!(mine["message"], "the fins are of our_phenolic, which weighs 76.16 lb/ft³");
    // Another spelling is the same row.
    bench.write("b.rocket.yaml", swap(&design(), "our_phenolic", "Club board"));
    bench.run(&["review", "b.rocket.yaml"]).has("the fins are of our_phenolic, which weighs 76.16 lb/ft³");
    // Fields, computed quantities and drills are those of the club's rows.
    bench.run(&["explain", "a.rocket.yaml", "booster.fins.material"]).code(0).has("our_phenolic");
    bench.run(&["explain", "a.rocket.yaml", "bay_joint.held_by.holes.diameter"]).code(0).has("0.1811 in");
    bench.run(&["checklist", "a.rocket.yaml"]).code(0);
    bench.run(&["compare", "a.rocket.yaml", "b.rocket.yaml"]).code(1);
    bench.run(&["mend", "a.rocket.yaml", "--diff"]);
    assert!(!bench.run(&["mend", "a.rocket.yaml", "--diff"]).all().contains("cannot be read"));
}

#[test]
fn a_design_without_the_tables_names_the_row_it_does_not_know() {
    let bench = club();
    bench.write("holdpoint.yaml", "settings: 1\n");
    let run = bench.run(&["review", "a.rocket.yaml"]);
    run.code(2).has("`our_phenolic` is").has("not a material in the tables");
    run.has("`club-9` is not a thread in the tables")
        .has("`club_plug` is not a connector_family in the tables");
    // Packs and tables of the command line are one folder, too.
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "club", "--format", "concise"]);
    run.code(1).has("fins-of-light-board");
    assert!(!run.all().contains("in the tables"), "{run:?}");
    // A file, or the folder itself, is a table where it lies in a folder of that name.
    let tables = ["club/tables/materials.yaml", "club/tables"];
    for path in tables {
        let run = bench.run(&["review", "a.rocket.yaml", "--rules", path]);
        assert!(!run.all().contains("`our_phenolic` is not"), "{path}: {run:?}");
    }
}

#[test]
fn a_misspelled_row_is_met_by_those_of_the_club() {
    let bench = club();
    bench.write("a.rocket.yaml", swap(&design(), "our_phenolic", "our_fenolic"));
    bench.run(&["review", "a.rocket.yaml"]).code(2).has("did you mean `our_phenolic`?");
}

#[test]
fn trials_schemas_and_settings_know_the_rows() {
    let bench = club();
    bench.run(&["trial", "club"]).code(0).has("4 trials of 1 rule: 4 as expected");
    bench
        .run(&["trial", "club/rules.yaml"])
        .code(1)
        .has("`our_phenolic` is")
        .has("not a material in the tables");
    let listed = |run: super::Run| {
        let schema: Json = run.code(0).json();
        let words = schema["$defs"]["fins"]["properties"]["material"]["anyOf"][0]["enum"].clone();
        words.as_array().unwrap().iter().any(|word| word == "our_phenolic")
    };
    assert!(listed(bench.run(&["schema", "design"])), "of the settings in the folder of the run");
    bench.write("holdpoint.yaml", "settings: 1\n");
    assert!(!listed(bench.run(&["schema", "design"])));
    assert!(listed(bench.run(&["schema", "design", "--rules", "club"])));
    let bench = club();
    bench
        .run(&["review", "--show-settings", "a.rocket.yaml"])
        .code(0)
        .has("table club/tables/materials.yaml");
}

#[test]
fn papers_are_bound_to_the_rows() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("tables/materials.yaml", MATERIALS);
    let packet = ["packet", "a.rocket.yaml", "--today", "2026-06-01", "--rules", "tables"];
    bench.write("papers.md", &bench.run(&[&packet[..], &["--format", "markdown"]].concat()).code(0).out);
    let verified = [&packet[..], &["--verify", "papers.md"]].concat();
    bench.run(&verified).code(0);
    bench.write("tables/materials.yaml", swap(MATERIALS, "1.22 g/cm^3", "1.23 g/cm^3"));
    bench.run(&verified).code(1).has("the rules in force are not those");
}

/// What a review says of a club whose table of materials, or another file, is this text.
#[track_caller]
fn refused(file: &str, text: &str, words: &[&str]) {
    let bench = club();
    bench.write(file, text);
    let places = bench.run(&["review", "a.rocket.yaml", "--format", "concise"]).code(2).all();
    // The text says what to do besides, in lines that are broken wherever they are long.
    let help = bench.run(&["review", "a.rocket.yaml"]).all();
    let help: Vec<&str> = help.split_whitespace().filter(|word| *word != "│").collect();
    let reported = format!("{places}{}", help.join(" "));
    for word in words {
        assert!(reported.contains(word), "`{word}` is not in:\n{reported}");
    }
}

#[test]
fn a_name_that_is_taken_is_told_with_both_places() {
    let file = "club/tables/materials.yaml";
    let built_in = include_str!("../../rules/tables/materials.yaml");
    let line = built_in.lines().position(|l| l.trim_start().starts_with("fibreglass:")).unwrap() + 1;
    let at = format!("`fibreglass` (built in, rules/tables/materials.yaml, line {line})");
    for name in ["fibreglass", "G10", "Fibreglass"] {
        let words = [&*format!("`{name}` names a material already"), &at, "materials.yaml:6:"];
        refused(file, &swap(MATERIALS, "our_phenolic:", &format!("{name}:")), &words);
    }
    refused(file, &swap(MATERIALS, "club board", "glass"), &["`glass` names a material already", &at]);
    // Of two files of the club, and in one.
    let words = [
        "club/tables/second.yaml:6:7",
        "`our_phenolic` names a material already",
        "(club/tables/materials.yaml, line 6)",
    ];
    refused("club/tables/second.yaml", MATERIALS, &words);
    let twice = MATERIALS
        .replace("groups:\n", "groups:\n  - source: {club: ours}\n    rows: {club board: {porous: true}}\n");
    refused(file, &twice, &["materials.yaml:8:", "`club board` names a material already"]);
}

#[test]
fn tables_are_checked_as_those_that_are_built_in() {
    let file = "club/tables/materials.yaml";
    refused(
        file,
        &swap(MATERIALS, "source: {club: weighed by our members}", "note: none"),
        &["`source` is missing here"],
    );
    let words = ["this source names nothing that a reader could look up or ask", "materials.yaml:4:"];
    refused(file, &swap(MATERIALS, "{club: weighed by our members}", "{note: hearsay}"), &words);
    refused(file, &swap(MATERIALS, "1.22 g/cm^3", "1.22 GPa"), &["materials.yaml:6:"]);
    refused(file, &swap(MATERIALS, "density:", "desnity:"), &["did you mean `density`?"]);
    refused(
        file,
        &swap(MATERIALS, "table: materials", "table: material"),
        &["`material` is no table", "did you mean `materials`?"],
    );
    refused(file, &swap(MATERIALS, "table: materials\n", ""), &["`table` is missing here", "adhesives"]);
    refused(file, "table: [", &["materials.yaml:1"]);
    let taps = "club/tables/drills/taps.yaml";
    refused(
        taps,
        &swap(TAPS, "thread: club-9", "thread: club_8"),
        &["`club_8` is not a thread in the tables"],
    );
    refused(
        taps,
        &swap(TAPS, "drill: mm_3_8", "drill: mm_3_88"),
        &["`mm_3_88` is not a drill in the tables", "did you mean"],
    );
    let clearance = "club/tables/drills/clearance.yaml";
    refused(
        clearance,
        &swap(CLEARANCE, "club-9", "club-99"),
        &["`club-99` is not a thread in the tables", "`club-9`?"],
    );
}
