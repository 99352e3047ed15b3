//! One unit for each kind of quantity throughout every report: the one that the author mostly writes.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

use holdpoint::report::Format;
use regex::Regex;

/// Units that no report of one design mixes: each group has its choices, and a choice the units that are multiples of one another.
const GROUPS: &[(&str, &[&[&str]])] = &[
    ("sizes of parts", &[&["in"], &["mm"], &["cm"]]),
    ("distances", &[&["ft"], &["m"]]),
    ("volumes", &[&["in³"], &["cm³"], &["mL"], &["L"]]),
    ("forces", &[&["lbf"], &["N", "kN"]]),
    ("speeds", &[&["ft/s"], &["m/s"], &["mph"], &["km/h"]]),
    ("accelerations", &[&["ft/s²"], &["m/s²"]]),
    ("pressures", &[&["psi"], &["Pa", "kPa", "MPa", "GPa"], &["bar"]]),
    ("energies", &[&["ft-lbf"], &["J"]]),
    ("temperatures", &[&["degF"], &["degC"]]),
    ("differences of temperature", &[&["deltaF"], &["deltaC"]]),
    ("densities", &[&["lb/ft³"], &["kg/m³"], &["g/cm³"]]),
    ("masses", &[&["oz", "lb"], &["g", "kg"]]),
    ("areas", &[&["in²"], &["mm²", "cm²", "m²"]]),
];

/// What the rules, the tables and the program's own documents say in their own units.
fn said_beside(design: &str) -> String {
    // The rule of one quarter-inch hole for each hundred cubic inches stands in a formula as the trade has it.
    let mut all = format!("{design} 100 in³ ");
    for folder in ["rules", "rules/codes", "rules/tables"] {
        for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|e| e == "yaml") {
                all.push_str(&std::fs::read_to_string(path).unwrap());
            }
        }
    }
    all
}

/// The units of each group that a report prints, of values that stand neither in the design nor in a rule.
fn units_of(report: &str, beside: &str) -> BTreeMap<&'static str, BTreeMap<usize, BTreeSet<String>>> {
    let units: Vec<&str> = GROUPS.iter().flat_map(|(_, choices)| choices.concat()).collect();
    let mut longest = units.clone();
    longest.sort_by_key(|unit| std::cmp::Reverse(unit.len()));
    let names: Vec<String> = longest.iter().map(|unit| regex::escape(unit)).collect();
    let found = Regex::new(&format!(
        r"(-?\d[\d.]*(?:e-?\d+)?(?: \d+/\d+|/\d+)?) ({})(?:[^\w²³/·*^-]|$)",
        names.join("|")
    ));
    let mut all: BTreeMap<&'static str, BTreeMap<usize, BTreeSet<String>>> = BTreeMap::new();
    for captured in found.unwrap().captures_iter(report) {
        let (number, unit) = (&captured[1], &captured[2]);
        let text = format!("{number} {unit}");
        let value: f64 = number.parse().unwrap_or(1.0);
        // Powder is weighed in grams everywhere, wires are sold by the square millimetre, and motors are called by millimetres.
        let motor = unit == "mm" && [29.0, 38.0, 54.0, 75.0, 98.0].contains(&value);
        let small = (unit == "g" && value < 30.0) || (unit == "mm²" && value < 6.0) || motor;
        if small || value == 0.0 || beside.contains(&text) {
            continue;
        }
        for (group, choices) in GROUPS {
            if let Some(choice) = choices.iter().position(|choice| choice.contains(&unit)) {
                all.entry(group).or_default().entry(choice).or_default().insert(text.clone());
            }
        }
    }
    all
}

fn report(design: &str, format: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.rocket.yaml");
    std::fs::write(&path, design).unwrap();
    let run = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["review", "--format", format, "--today", "2026-06-01", path.to_str().unwrap()])
        .output()
        .unwrap();
    let printed = String::from_utf8(run.stdout).unwrap();
    // An edit is a part of the file, in the unit that stands there.
    let edits = match format {
        "json" => r#""text": "[^"]*""#,
        _ => r#""insertedContent": ?\{\s*"text": ?"[^"]*""#,
    };
    Regex::new(edits).unwrap().replace_all(&printed, "").into_owned()
}

fn example(name: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name)).unwrap()
}

/// The first choice of each group is an inch author's, and the second a metric one's.
fn one_choice(design: &str, metric: bool) {
    let beside = said_beside(design);
    let mut seen = BTreeSet::new();
    for format in Format::WORDS {
        for (group, choices) in units_of(&report(design, format), &beside) {
            assert_eq!(choices.len(), 1, "{format}: {group} in several units: {choices:?}");
            let choice = *choices.keys().next().unwrap();
            // Speeds go by the one speed that is written, the wind.
            if group != "speeds" {
                assert_eq!(choice, usize::from(metric), "{format}: {group}: {choices:?}");
            }
            seen.insert(group);
        }
    }
    assert!(seen.len() >= 5, "{seen:?}");
}

#[test]
fn a_design_in_inches_is_told_in_inches() {
    one_choice(&example("first-draft.rocket.yaml"), false);
}

/// A clean example with a fault in every corner, so that there is something to tell.
fn faulty(name: &str) -> String {
    let text = example(name);
    let worse = Regex::new(r"(wall|thickness|span|diameter|recess): (\d+(?:\.\d+)?) (mm|in)\b").unwrap();
    let mut place = 0;
    worse
        .replace_all(&text, |found: &regex::Captures<'_>| {
            place += 1;
            let size: f64 = found[2].parse().unwrap();
            let size = if place % 3 == 0 { size * 0.83 } else { size };
            format!("{}: {size:.3} {}", &found[1], &found[3])
        })
        .into_owned()
}

#[test]
fn a_design_in_millimetres_is_told_in_millimetres() {
    one_choice(&faulty("bittern.rocket.yaml"), true);
    one_choice(&faulty("jack-snipe.rocket.yaml"), true);
}

#[test]
fn a_mixed_design_is_told_in_what_it_mostly_writes() {
    let text = faulty("marsh-harrier.rocket.yaml");
    // Every sixth length in millimetres.
    let length = Regex::new(r": (\d+(?:\.\d+)?) in\b").unwrap();
    let mut place = 0;
    let mixed = length.replace_all(&text, |found: &regex::Captures<'_>| {
        place += 1;
        let inches: f64 = found[1].parse().unwrap();
        if place % 6 == 0 { format!(": {:.2} mm", inches * 25.4) } else { found[0].to_owned() }
    });
    assert!(mixed.matches(" mm").count() > 5);
    one_choice(&mixed, false);
}

#[test]
fn waits_and_winds_do_not_choose_the_units_of_the_flight() {
    let design = example("marsh-harrier.rocket.yaml");
    assert!(design.contains("wind: 8 mph"), "the example is written otherwise now");
    let waits = design.replace("pad: {people_distance", "pad: {wait: 2 h, people_distance");
    let waits = if waits == design { design } else { waits };
    let slow = waits.replace("recovery_radius: 2600 ft", "recovery_radius: 600 ft");
    let reported = report(&slow, "concise");
    let drift = reported.lines().find(|line| line.contains("[drift-within-field]")).unwrap();
    assert!(drift.contains("8 mph") && drift.contains(" s;") && !drift.contains(" h;"), "{drift}");
}
