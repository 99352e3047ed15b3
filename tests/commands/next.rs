//! A rocket written down step by step, by the answers of one builder: how much is asked for, and when the first answer comes.

use super::{Bench, DUAL, MOTOR};

/// What a builder measured of one rocket, by the end of its path: the longest end that fits counts.
const BEARDED_TIT: &str = include_str!("bearded_tit.txt");

/// The paths of the values that are asked for in a text, with the numbers of their lines.
fn asked(text: &str) -> Vec<(usize, String)> {
    let mut path: Vec<&str> = Vec::new();
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let key = line.trim_start();
        let Some((word, value)) = key.split_once(':').filter(|_| !key.starts_with('#')) else { continue };
        path.truncate((line.len() - key.len()) / 2);
        path.push(word);
        if value.starts_with(" unknown") {
            found.push((number, path.join(".")));
        }
    }
    found
}

/// A line as far as its value.
fn without_remark(line: &str) -> &str {
    line.split_once("   #").map_or(line, |(value, _)| value)
}

fn answer(path: &str) -> &'static str {
    let fits = |end: &str| path == end || path.ends_with(&format!(".{end}"));
    let all = BEARDED_TIT.lines().filter_map(|line| line.split_once(": ")).filter(|(end, _)| fits(end));
    all.max_by_key(|(end, _)| end.len()).unwrap_or_else(|| panic!("nobody measured {path}")).1
}

/// Writes one value in place of `unknown`; what stands behind it stays.
fn write(text: &str, number: usize, value: &str) -> String {
    let line = |(at, line): (usize, &str)| {
        if at == number { line.replacen(": unknown", &format!(": {value}"), 1) } else { line.to_owned() }
    };
    text.lines().enumerate().map(line).collect::<Vec<_>>().join("\n") + "\n"
}

fn started(bench: &Bench, deployment: &str) -> String {
    bench
        .run(&[
            "new",
            "tit.rocket.yaml",
            "--name",
            "Bearded Tit",
            "--kit",
            "paper",
            "--diameter",
            "79 mm",
            "--motor-diameter",
            "38 mm",
            "--deployment",
            deployment,
            "--seeks",
            "level 1",
        ])
        .code(0);
    text(bench)
}

fn text(bench: &Bench) -> String {
    std::fs::read_to_string(bench.path().join("tit.rocket.yaml")).unwrap()
}

/// So many values may be asked for at a time.
const MOST_AT_ONCE: usize = 15;

/// A one-altimeter rocket of 79 mm cardboard, with the motor's own charge as the backup, from nothing to clear.
#[test]
fn a_one_altimeter_rocket_takes_at_most_150_values() {
    let bench = Bench::new();
    let mut now = started(&bench, "motor-backup");
    let (mut values, mut runs) = (0, 0);
    loop {
        let open = asked(&now);
        assert!(open.len() <= MOST_AT_ONCE, "{} values at once:\n{now}", open.len());
        for (number, path) in &open {
            now = write(&now, *number, answer(path));
        }
        values += open.len();
        bench.write("tit.rocket.yaml", &now);
        let run = bench.run(&["next", "tit.rocket.yaml", "--today", "2026-11-01"]);
        if run.code(0).out.contains("nothing is left to ask for") {
            break;
        }
        let grown = text(&bench);
        // What was written stands there still, line by line; remarks of the command's own go with the value that they ask for.
        let written = |line: &&str| !line.trim_start().starts_with('#') && !line.trim().is_empty();
        let mut lines = grown.lines().map(without_remark);
        for line in now.lines().filter(written).map(without_remark) {
            assert!(lines.any(|other| other == line), "`{line}` is gone from\n{grown}");
        }
        assert!(!asked(&grown).is_empty(), "{run:?}");
        now = grown;
        runs += 1;
        assert!(runs < 30, "{now}");
    }
    assert!((100..=150).contains(&values), "{values} values");
    assert!(runs <= 17, "{runs} runs");
    let report = bench.run(&["review", "tit.rocket.yaml", "--today", "2026-11-01"]);
    report.code(0).has("clear, nothing holds").has("weakest link");
    assert!(!report.out.contains("not known yet"), "{}", report.out);
}

/// A ring that is too large for its tube, the values written in the order of the file: how many until that is told.
#[test]
fn the_first_useful_answer_comes_after_at_most_15_values() {
    let bench = Bench::new();
    let mut now = started(&bench, "motor-backup");
    for _ in 1..=15 {
        let (number, path) = asked(&now).first().cloned().unwrap();
        let value = if path.ends_with("rings.fore.outer_diameter") { "77 mm" } else { answer(&path) };
        now = write(&now, number, value);
        bench.write("tit.rocket.yaml", &now);
        let document = bench.run(&["review", "tit.rocket.yaml", "--format", "json"]).json();
        let findings = document["designs"][0]["findings"].as_array().unwrap().clone();
        let reported = |finding: &serde_json::Value| {
            finding["rule"] == "ring-fits-body-tube" && finding["outcome"] == "broken"
        };
        if findings.iter().any(reported) {
            return;
        }
    }
    panic!("15 values, and no answer:\n{now}");
}

#[test]
fn a_step_is_not_left_while_its_values_are_unknown() {
    let bench = Bench::new();
    let now = started(&bench, "motor-ejection");
    bench
        .run(&["next", "tit.rocket.yaml"])
        .code(1)
        .has("are still unknown, and parts needs them")
        .has("--anyway");
    assert_eq!(text(&bench), now);
    let shown = bench.run(&["next", "tit.rocket.yaml", "--anyway", "--diff"]);
    shown.code(0).has("+      length: unknown   # ");
    assert_eq!(text(&bench), now);
    bench.run(&["next", "tit.rocket.yaml", "--anyway"]).code(0).has("parts asks for");
    bench.run(&["next", "tit.rocket.yaml", "--anyway"]).code(0).has("parts asks for");
    bench.run(&["next", "tit.rocket.yaml", "--anyway"]).code(0).has("bonding asks for");
    assert!(text(&bench).contains("before_closing:"));
}

/// Each way of coming apart is followed to its end, and no other.
#[test]
fn later_steps_belong_to_the_way_of_coming_apart_that_was_chosen() {
    for (deployment, altimeters, has) in [
        ("dual", 2, "main_backup:"),
        ("one-altimeter", 1, "drogue_charge:"),
        ("single", 2, "backs_up: apogee_charge"),
        ("motor-backup", 1, "delay:"),
        ("dual-motor-backup", 1, "delay:"),
        ("release", 1, "release:"),
        ("motor-ejection", 0, "kind: friction"),
    ] {
        let bench = Bench::new();
        started(&bench, deployment);
        for _ in 0..40 {
            let before = asked(&text(&bench)).len();
            bench.run(&["next", "tit.rocket.yaml", "--anyway"]).code(0);
            let now = asked(&text(&bench)).len();
            // The first step is asked for in portions of its own.
            assert!(before == 0 || now - before <= MOST_AT_ONCE + 3, "{deployment}: {before}, {now}");
        }
        let grown = text(&bench);
        assert!(grown.contains(has), "{deployment}:\n{grown}");
        let switches =
            ["    arm_1:\n", "    arm_2:\n"].iter().filter(|switch| grown.contains(**switch)).count();
        assert_eq!(switches, altimeters, "{deployment}:\n{grown}");
        assert_eq!(grown.contains("release:"), deployment == "release", "{deployment}");
        bench.run(&["review", "tit.rocket.yaml"]).code(1);
    }
}

#[test]
fn a_design_in_order_is_asked_for_nothing() {
    for design in [DUAL, MOTOR] {
        let bench = Bench::new();
        bench.write("mine.rocket.yaml", design);
        bench
            .run(&["next", "mine.rocket.yaml", "--today", "2026-06-01"])
            .code(0)
            .has("nothing is left to ask for");
        assert_eq!(std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap(), design);
    }
}

/// A rocket of its own kind, in braces, without any outline.
#[test]
fn what_is_in_braces_stays_in_braces() {
    let bench = Bench::new();
    bench.write(
        "mine.rocket.yaml",
        "holdpoint: 1\nsections: {pod: {tube: {length: 1 m}, vents: none}}\njoints: none\n",
    );
    bench.run(&["next", "mine.rocket.yaml"]).code(0).has("parts asks for");
    bench.run(&["next", "mine.rocket.yaml", "--anyway"]).code(0).has("parts asks for");
    let grown = std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap();
    assert!(
        grown.contains(
            "tube: {length: 1 m, outer_diameter: unknown, inner_diameter: unknown, material: unknown}"
        ),
        "{grown}"
    );
    bench.run(&["review", "mine.rocket.yaml"]).code(1);
    bench.write("bad.rocket.yaml", "holdpoint: 1\nsectoins: none\n");
    bench.run(&["next", "bad.rocket.yaml"]).code(2).has("did you mean `sections`").has("nothing was added");
    bench.run(&["next", "none.rocket.yaml"]).code(2);
}

/// What a charge fills is measured; until it is, what the drawing leaves there is told, and never written by itself.
#[test]
fn what_a_charge_fills_is_proposed() {
    let bench = Bench::new();
    let open = DUAL.replace("powder: 1.4 g, free_volume: 115 in^3", "powder: 1.4 g, free_volume: unknown");
    assert_ne!(open, DUAL);
    bench.write("mine.rocket.yaml", &open);
    for command in ["next", "review"] {
        let run = bench.run(&[command, "mine.rocket.yaml", "--today", "2026-06-01"]);
        run.code(1).has("`free_volume` comes to").has("compare it with a measure, and write it");
    }
    assert_eq!(std::fs::read_to_string(bench.path().join("mine.rocket.yaml")).unwrap(), open);
}

/// A recess that is there and not measured is no recess of nothing: how long the rods must be is not known then.
#[test]
fn a_recess_that_is_not_measured_is_not_taken_for_none() {
    let bench = Bench::new();
    let open = DUAL.replacen("recess: 1/8 in", "recess: unknown", 1);
    bench.write("mine.rocket.yaml", &open);
    let run = bench.run(&["next", "mine.rocket.yaml", "--today", "2026-06-01"]);
    run.code(1).has("1 value is still unknown").has("sections.av_bay.lids.fore: `recess`");
}

/// `unknown` and `?` count as nothing written, in every sort of field, and are never wrong.
#[test]
fn unknown_is_missing_and_never_wrong() {
    let bench = Bench::new();
    let lines: Vec<&str> = MOTOR.lines().collect();
    let mut changed = 0;
    for (at, line) in lines.iter().enumerate() {
        let key = line.trim_start();
        let Some((name, value)) = key.split_once(": ").filter(|_| !key.starts_with('#')) else { continue };
        if value.starts_with(['{', '['])
            || value.contains([',', '}'])
            || name == "holdpoint"
            || name.contains('{')
        {
            continue;
        }
        let with = |word: &str| {
            let mut all: Vec<String> = lines.iter().map(|line| (*line).to_owned()).collect();
            let indent = " ".repeat(line.len() - key.len());
            all[at] = format!(
                "{indent}{name}: {word}{}",
                if word.is_empty() { "" } else { "   # not measured yet" }
            );
            bench.write("mine.rocket.yaml", all.join("\n"));
            let run = bench.run(&["review", "mine.rocket.yaml", "--format", "json", "--today", "2026-06-01"]);
            assert_ne!(run.code, 2, "{line} as `{word}`: {run:?}");
            // Places are counted in bytes, and these differ.
            let of = |one: &serde_json::Value| {
                format!("{} {} {} {}", one["rule"], one["subject"], one["outcome"], one["message"])
            };
            run.json()["designs"][0]["findings"].as_array().unwrap().iter().map(of).collect::<Vec<String>>()
        };
        let nothing = with("");
        assert_eq!(with("unknown"), nothing, "{line}");
        assert_eq!(with("?"), nothing, "{line}");
        changed += 1;
    }
    assert!(changed > 25, "{changed}");
}
