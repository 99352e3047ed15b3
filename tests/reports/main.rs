//! Reports as they are printed. A change here is a change that every reader sees: look at it with their eyes.
#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "a test may panic")]

use std::path::Path;
use std::process::Command;

fn printed(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    format!(
        "exit {}\n{}{}",
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap()
    )
}

/// One small design with mistakes, written where the report's path stays the same on every machine.
fn small(name: &str, text: &str, arguments: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    std::fs::write(&path, text).unwrap();
    let mut all = arguments.to_vec();
    all.push(path.to_str().unwrap());
    printed(&all).replace(folder.path().to_str().unwrap(), "FOLDER")
}

#[test]
fn a_draft_one_line_a_finding() {
    insta::assert_snapshot!(printed(&["review", "--format", "concise", "examples/first-draft.rocket.yaml"]));
}

#[test]
fn a_clean_design_in_full() {
    insta::assert_snapshot!(printed(&["review", "examples/marsh-harrier.rocket.yaml"]));
}

#[test]
fn a_file_full_of_slips_of_the_pen() {
    let text = "\
holdpoint: 1
nmae: Dunlin
seeks: level two
sections:
  booster:
    tube: {material: fibreglas, length: 30, outer_diameter: 4.02 inch es, inner_diameter: 3.9 lb}
    vents: {relief: {count: three, diameter: -1/8 in, at: 3 in}}
    tube: {length: 31 in}
joints:
  top: {between: [nose, boster], parts_at: apogee}
motors: {a: 1}
";
    insta::assert_snapshot!(small("dunlin.rocket.yaml", text, &["review"]));
}

#[test]
fn a_tolerance_and_a_waiver() {
    let draft = std::fs::read_to_string(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/marsh-harrier.rocket.yaml"),
    )
    .unwrap();
    let text = draft
        .replace(
            "outer_diameter: 3.888 in, inner_diameter: 3.77 in",
            "outer_diameter: 3.888 ± 0.02 in, inner_diameter: 3.77 in",
        )
        .replace("statics: {count: 4, diameter: 9/64 in", "statics: {count: 2, diameter: 13/64 in")
        + "\nwaivers:\n  - {rule: bay-vent-count, reason: two ports by the maker's manual, by: club mentor, until: 2026-10-01, margin: -0.3334}\n\
           \x20 - {rule: bay-vent-cuont, reason: none, by: nobody, until: 2026-10-01}\n";
    insta::assert_snapshot!(small("tern.rocket.yaml", &text, &["review", "--today", "2026-06-01"]));
}

#[test]
fn a_rule_file_with_mistakes() {
    let text = "\
pack: club
about: Mistakes of every entity_type.
limits:
  lowest: {is: 3 furlong, source: {club: ours}}
rules:
  length-against-force:
    title: t
    before: parts
    for: tube
    require: tube.length >= 12 lbf
    level: error
    finding: \"{tube.lenght}\"
    why: w
    source: {club: ours}
  never:
    title: t
    before: parts
    for: joint
    require: joint.parts_at is one of (apogee, mian)
    level: fatal
    finding: f
    why: w
    source: {club: ours}
  pattern:
    title: t
    before: parts
    for: motor
    require: motor.designation matches /K(/
    level: error
    finding: f
    why: w
    source: {club: ours}
";
    insta::assert_snapshot!(small("club.yaml", text, &["trial"]));
}

#[test]
fn a_number_with_its_working() {
    insta::assert_snapshot!(printed(&[
        "explain",
        "examples/marsh-harrier.rocket.yaml",
        "apogee_joint.coast_pull"
    ]));
    insta::assert_snapshot!(
        "as_json",
        printed(&[
            "explain",
            "examples/marsh-harrier.rocket.yaml",
            "drogue_first.pressure",
            "--format",
            "json"
        ])
    );
    insta::assert_snapshot!("a_rule", printed(&["explain", "bay-vent-area"]));
}
