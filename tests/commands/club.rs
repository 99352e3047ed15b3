//! The club of `examples/club/`: its packs pass their trials, its designs are judged by its settings, its workflow runs.

use std::path::Path;

use super::{Bench, Run, swap};

const CLUB: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/club");

fn copy(from: &Path, bench: &Bench, to: &str) {
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let name = format!("{to}{}", path.file_name().unwrap().to_string_lossy());
        if path.is_dir() {
            copy(&path, bench, &format!("{name}/"));
        } else {
            bench.write(&name, std::fs::read(&path).unwrap());
        }
    }
}

/// A copy of the club's folder.
fn club() -> Bench {
    let bench = Bench::new();
    copy(Path::new(CLUB), &bench, "");
    bench
}

fn review(bench: &Bench, more: &[&str]) -> Run {
    bench.run(&[&["review", ".", "--today", "2026-06-01"], more].concat())
}

#[test]
fn the_clubs_rules_pass_their_trials_and_no_condition_is_untried() {
    club()
        .run(&["trial", "packs", "--coverage"])
        .code(0)
        .has("82 trials of 20 rules: 82 as expected, 0 not; 0 rules lack a trial")
        .has("100.0 %");
}

#[test]
fn the_rules_of_a_mentor_pass_their_trials_and_no_condition_is_untried() {
    let bench = Bench::new();
    copy(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/mentor")), &bench, "");
    for (pack, rules) in [("everyday.yaml", 15), ("harder.yaml", 10)] {
        let run = bench.run(&["trial", pack, "--coverage"]);
        run.code(0)
            .has(&format!(" trials of {rules} rules: "))
            .has(", 0 not; 0 rules lack a trial")
            .has("100.0 %");
        assert!(!run.out.contains("warning"), "{}", run.out);
    }
    // Beside each other, and beside the club's.
    bench.write("a.rocket.yaml", super::DUAL);
    let run = bench.run(&["review", "a.rocket.yaml", "--rules", "everyday.yaml", "--rules", "harder.yaml"]);
    assert!(run.code < 2, "{run:?}");
}

#[test]
fn the_clubs_designs_are_judged_by_its_rules_and_settings() {
    let bench = club();
    let run = review(&bench, &["--format", "concise"]);
    run.code(0)
        .has("designs/avocet.rocket.yaml: clear, 0 findings")
        .has("waived error[saltmarsh-batteries-held] battery `cell_one`")
        .has("3 designs: 3 clear, 0 held; 2 findings: 0 shown, 2 waived, 0 in the baseline, 0 below the level shown\n");
    assert!(!run.out.contains("strong-wind-aloft-within-field]"), "{}", run.out);
    review(&bench, &[]).has("3 packs, 1 limit, 1 level, 1 rule off set by the club");
    let text = std::fs::read_to_string(bench.path().join("designs/redshank.rocket.yaml")).unwrap();
    bench.write("designs/redshank.rocket.yaml", swap(&text, "rail: 2.4 m", "rail: 2 m"));
    review(&bench, &["--format", "concise"])
        .code(1)
        .has("error[saltmarsh-rail] the rail is 2 m long; at 4 m we fly from 2.4 m")
        .has("3 designs: 2 clear, 1 held; 3 findings: 1 shown");
}

#[test]
fn the_clubs_settings_hold_its_packs_to_their_digests() {
    let bench = club();
    let packs =
        ["building", "field", "large"].map(|pack| ["--rules".to_owned(), format!("packs/{pack}.yaml")]);
    let packs: Vec<&str> = packs.iter().flatten().map(String::as_str).collect();
    let reported = bench.run(&[&["rules", "--digest"], packs.as_slice()].concat());
    let settings = std::fs::read_to_string(bench.path().join("holdpoint.yaml")).unwrap();
    for line in reported.code(0).out.lines().filter(|l| l.contains("sha256")) {
        assert!(settings.contains(line), "examples/club/holdpoint.yaml is due:\n{}", reported.out);
    }
    let pack = std::fs::read_to_string(bench.path().join("packs/field.yaml")).unwrap();
    bench.write("packs/field.yaml", swap(&pack, "is: 7 m/s", "is: 17 m/s"));
    review(&bench, &[]).code(2).has("`packs/field.yaml` is not as it was");
}

#[test]
fn the_commands_of_the_clubs_workflow_run() {
    let bench = club();
    let workflow = std::fs::read_to_string(bench.path().join(".github/workflows/designs.yaml")).unwrap();
    let steps: Vec<&str> =
        workflow.lines().filter_map(|l| l.trim().strip_prefix("- run: holdpoint ")).collect();
    assert_eq!(steps.len(), 2, "{workflow}");
    for step in steps {
        bench.run(&step.split(' ').collect::<Vec<_>>());
    }
    let log = std::fs::read_to_string(bench.path().join("review.sarif")).unwrap();
    assert!(log.contains("\"2.1.0\""), "{log}");
    // The document shows the same steps.
    let document = include_str!("../../docs/ci.md");
    assert!(document.contains(&workflow), "docs/ci.md shows another workflow");
}

#[test]
fn a_waiver_of_several_designs_covers_each_and_is_no_finding_where_it_covers_nothing() {
    let bench = club();
    let settings = std::fs::read_to_string(bench.path().join("holdpoint.yaml")).unwrap();
    let one = swap(
        &settings,
        "\"designs/*.rocket.yaml\", rule: saltmarsh-batteries-held, subject: cell_one",
        "\"designs/a*.rocket.yaml\", rule: saltmarsh-batteries-held, subject: cell_one",
    );
    bench.write("holdpoint.yaml", &one);
    let run = review(&bench, &["--format", "concise"]);
    run.code(1).has(" error[saltmarsh-batteries-held] battery `cell_one`");
    assert!(!run.out.contains("waiver-unused"), "{}", run.out);
    let none = swap(&one, "\"designs/a*.rocket.yaml\"", "\"designs/z*.rocket.yaml\"");
    bench.write("holdpoint.yaml", &none);
    review(&bench, &[]).code(2).has("there is no design `designs/z*.rocket.yaml` to waive anything in");
    bench.write("holdpoint.yaml", swap(&one, "\"designs/a*.rocket.yaml\"", "\"designs/[.rocket.yaml\""));
    review(&bench, &[]).code(2).has("this is no pattern");
}

/// A waiver for several designs that covers nothing in any of them is told where the whole folder is reviewed.
#[test]
fn a_waiver_of_several_designs_that_covers_nothing_at_all_is_told() {
    let bench = club();
    let settings = std::fs::read_to_string(bench.path().join("holdpoint.yaml")).unwrap();
    let words = "the waiver of `saltmarsh-batteries-held` on `cell_nine` (holdpoint.yaml, line ";
    assert!(!review(&bench, &[]).all().contains("covers nothing"));
    let idle = swap(&settings, "subject: cell_one", "subject: cell_nine");
    bench.write("holdpoint.yaml", &idle);
    review(&bench, &["--format", "concise"])
        .has(words)
        .has("covers nothing in any design: remove it, or mend its");
    // One design, or the first steps alone, say nothing of the others.
    for arguments in [&["designs/avocet.rocket.yaml"][..], &[".", "--before", "parts"]] {
        let run = bench.run(&[&["review", "--today", "2026-06-01"], arguments].concat());
        assert!(!run.all().contains("covers nothing"), "{}", run.all());
    }
    // A rule that is not there is a finding already.
    bench.write(
        "holdpoint.yaml",
        swap(
            &idle,
            "rule: saltmarsh-batteries-held, subject: cell_nine",
            "rule: none-such, subject: cell_nine",
        ),
    );
    let run = review(&bench, &["--format", "concise"]);
    assert!(
        run.out.contains("waiver-names-no-rule") && !run.all().contains("covers nothing"),
        "{}",
        run.all()
    );
}

/// Rules that a mentor wrote from the guide alone: tables, months, what if, functions, lists, angles.
#[test]
fn rules_written_from_the_guide_alone_pass_their_trials() {
    let bench = Bench::new();
    copy(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/club_rules")), &bench, "packs/");
    bench
        .run(&["trial", "packs"])
        .code(0)
        .has("127 trials of 26 rules: 127 as expected, 0 not; 0 rules lack a trial");
}
