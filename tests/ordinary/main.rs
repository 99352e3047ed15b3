//! Ordinary rockets, each written down as its builder would, and the examples of configurations: all are clear, and what is still remarked
//! is listed here with its reason. An example is clear without any remark.
#![allow(missing_docs, clippy::unwrap_used, clippy::indexing_slicing, reason = "a test may panic")]

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::Command;

/// What the review remarks of a rocket that is in good order: rocket, rule, part, and why that is fair.
const REMARKS: &[(&str, &str, &str, &str)] = &[
    ("coot", "one-altimeter-alone", "rocket", "one altimeter, and nothing behind it"),
    (
        "coot",
        "screwed-joint-bears-charge",
        "bay_joint",
        "four screws in glassed cardboard bear the pins' strength, but not half as much again",
    ),
    (
        "crane",
        "landing-energy-of-piece",
        "booster",
        "a heavy booster that lands at 4 m/s, which no field here forbids",
    ),
    (
        "curlew",
        "altimeter-stays-up-while-firing",
        "sections.av_bay.altimeters.only",
        "a block of 9 V sags far below what this altimeter needs; only its maker knows whether its store carries it",
    ),
    ("curlew", "one-altimeter-alone", "rocket", "one altimeter, and nothing behind it"),
    (
        "dunlin",
        "fins-well-below-flutter",
        "booster.fins",
        "thin birch on a fast small rocket: flown often, and worth knowing",
    ),
    (
        "dunlin",
        "descent-not-too-long",
        "rocket",
        "a single parachute from 1.3 km takes its time, and the drift holds",
    ),
    (
        "dunlin",
        "strong-wind-aloft-within-field",
        "rocket",
        "true of a high flight under one parachute: ask for the wind aloft",
    ),
    ("gadwall", "pins-share-the-load", "apogee_joint", "two pins are usual at 54 mm"),
    ("gadwall", "pins-share-the-load", "main_joint", "two pins are usual at 54 mm"),
    ("garganey", "small-space-relieved", "main", "kits of 38 mm are sold without a relief hole"),
    (
        "garganey",
        "descent-not-too-long",
        "rocket",
        "a single parachute from 1.25 km takes its time, and the drift holds",
    ),
    ("grebe", "pins-share-the-load", "apogee_joint", "two pins are usual in so narrow a rocket"),
    ("grebe", "pins-share-the-load", "main_joint", "two pins are usual in so narrow a rocket"),
    (
        "heron",
        "landing-energy-of-piece",
        "booster",
        "a heavy booster that lands at 4 m/s, which no field here forbids",
    ),
    (
        "redshank",
        "descent-not-too-long",
        "rocket",
        "a single parachute from 1.4 km takes its time, and the drift holds",
    ),
    (
        "redshank",
        "apogee-well-under-ceiling",
        "rocket",
        "4 % below the ceiling, which the height is not known to",
    ),
    (
        "redshank",
        "strong-wind-aloft-within-field",
        "rocket",
        "true of a high flight under one parachute: ask for the wind aloft",
    ),
    ("ruff", "pins-share-the-load", "apogee_joint", "two pins are usual in so narrow a rocket"),
    ("ruff", "pins-share-the-load", "main_joint", "two pins are usual in so narrow a rocket"),
    ("scaup", "one-altimeter-alone", "rocket", "one altimeter, and nothing behind it"),
    ("knot", "plate-catches-the-throw", "plate", "such plates are flown; a thicker one is worth knowing of"),
    (
        "knot",
        "landing-energy-of-piece",
        "booster",
        "a heavy booster that lands at 4 m/s, which no field here forbids",
    ),
];

/// One example for each way of coming down.
const CONFIGURATIONS: &str = "examples/configurations";

fn rockets() -> Vec<PathBuf> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let folders =
        ["tests/ordinary", CONFIGURATIONS].map(|folder| std::fs::read_dir(root.join(folder)).unwrap());
    let files = folders.into_iter().flatten().map(|entry| entry.unwrap().path());
    let mut found: Vec<PathBuf> =
        files.filter(|path| path.to_string_lossy().ends_with(".rocket.yaml")).collect();
    found.sort();
    found
}

fn stem(path: &std::path::Path) -> String {
    path.file_name().unwrap().to_string_lossy().trim_end_matches(".rocket.yaml").to_owned()
}

#[test]
fn ordinary_rockets_are_clear_but_for_remarks_that_are_fair() {
    let all = rockets();
    assert!(all.len() >= 20, "{all:?}");
    for path in all {
        let run = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(["review", "--format", "json", "--today", "2026-11-29", path.to_str().unwrap()])
            .output()
            .unwrap();
        let report: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
        let name = stem(&path);
        let mut found = BTreeSet::new();
        for finding in report["designs"][0]["findings"].as_array().unwrap() {
            let of = |key: &str| finding[key].as_str().unwrap_or_default().to_owned();
            assert_ne!(of("level"), "error", "{name}: {finding}");
            assert_eq!(of("outcome"), "broken", "{name}: {finding}");
            // What is about the rocket as a whole has no path.
            let subject = of("subject");
            found.insert((of("rule"), if subject.is_empty() { "rocket".to_owned() } else { subject }));
        }
        let fair = |rule: &str, subject: &str| {
            REMARKS
                .iter()
                .any(|(of, listed, about, _)| *of == name && *listed == rule && subject.contains(about))
        };
        let unlisted: Vec<_> = found.iter().filter(|(rule, subject)| !fair(rule, subject)).collect();
        assert!(unlisted.is_empty(), "{name} is in good order, and is told {unlisted:?}");
        let listed = REMARKS.iter().filter(|(of, ..)| *of == name).count();
        assert_eq!(listed, found.len(), "{name}: a remark is listed that is not made, {found:?}");
        assert_eq!(run.status.code(), Some(0), "{name}");
        assert!(report["problems"].as_array().unwrap().is_empty(), "{name}");
    }
}

#[test]
fn examples_of_configurations_are_clear_without_a_remark_and_say_that_they_are_invented() {
    let mut seen = 0;
    for path in rockets().into_iter().filter(|path| path.to_string_lossy().contains(CONFIGURATIONS)) {
        let name = stem(&path);
        assert!(REMARKS.iter().all(|(of, ..)| *of != name), "{name}");
        let text = std::fs::read_to_string(&path).unwrap();
        let head = text.split_once("\nholdpoint: 1").unwrap().0;
        assert!(head.lines().all(|line| line.starts_with("# ")), "{name}: {head}");
        assert!(head.ends_with("All data are invented."), "{name}: {head}");
        seen += 1;
    }
    assert_eq!(seen, 6);
}

#[test]
fn every_remark_is_of_a_rocket_and_has_its_reason() {
    let names: BTreeSet<String> = rockets().iter().map(|path| stem(path)).collect();
    for (of, rule, _, reason) in REMARKS {
        assert!(names.contains(*of), "{of}");
        assert!(!rule.is_empty() && reason.len() > 20, "{of}: {rule}");
    }
}
