//! What programs written elsewhere make of what Holdpoint writes.
//!
//! They are looked for in `target/clients`, where `.ci/clients` puts them, and on the path; a test whose client is not there says so and
//! passes, or fails where `CI` is set.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

#[path = "../helpers/designs.rs"]
mod designs;
mod editors;
mod language_server;
#[path = "../helpers/skips.rs"]
mod skips;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use designs::examples;
use skips::skipped;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A client where `.ci/clients` puts it, or `None` with a word about what is skipped.
fn own(name: &str, below: &str) -> Option<PathBuf> {
    let found = Some(root().join("target/clients").join(below)).filter(|path| path.exists());
    if found.is_none() {
        skipped(&format!("{name} is not installed; `.ci/clients` installs it where a registry answers"));
    }
    found
}

/// A client that is a program, there or on the path.
fn client(name: &str, below: &str) -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&path).map(|folder| folder.join(name)).find(|file| file.is_file());
    match root().join("target/clients").join(below) {
        here if here.exists() => Some(here),
        _ if found.is_some() => found,
        _ => own(name, below),
    }
}

fn holdpoint(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(arguments)
        .current_dir(root())
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn report(format: &str, example: &str) -> String {
    let output =
        holdpoint(&["review", "--format", format, &format!("examples/{example}"), "--today", "2026-06-01"]);
    assert!(output.status.code().is_some_and(|code| code < 2), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The validator of the format's own makers, with the rules of the host that most people upload to: no result at all.
#[test]
fn sarif_pleases_its_makers_validator() {
    let Some(validator) =
        client("Sarif.Multitool", "node_modules/@microsoft/sarif-multitool-linux/Sarif.Multitool")
    else {
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    for example in examples() {
        let file = folder.path().join(format!("{example}.sarif"));
        let said = folder.path().join("said.sarif");
        std::fs::write(&file, report("sarif", &example)).unwrap();
        let output = Command::new(&validator)
            .args([
                "validate",
                file.to_str().unwrap(),
                "--rule-kind",
                "Ghas",
                "--log",
                "ForceOverwrite",
                "--output",
            ])
            .arg(&said)
            .env("DOTNET_SYSTEM_GLOBALIZATION_INVARIANT", "1")
            .output()
            .unwrap();
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(
            words.contains("1 files scanned") && words.contains("Analysis completed successfully"),
            "{output:?}"
        );
        let said: serde_json::Value =
            serde_json::from_str(std::fs::read_to_string(&said).unwrap().trim_start_matches('\u{feff}'))
                .unwrap();
        let results = said["runs"][0]["results"].as_array().unwrap();
        assert!(results.is_empty(), "{example}: {results:#?}");
    }
}

/// A library of another language reads the JUnit report and counts as we do.
#[test]
fn junit_is_counted_alike_by_a_library() {
    let Some(python) = own("junitparser", "python/bin/python") else { return };
    let folder = tempfile::tempdir().unwrap();
    for example in examples() {
        let file = folder.path().join(format!("{example}.xml"));
        std::fs::write(&file, report("junit", &example)).unwrap();
        let script = "import sys\nfrom junitparser import JUnitXml\nread = JUnitXml.fromfile(sys.argv[1])\ncases = [c for suite in read for c in suite]\nprint(len(cases), sum(1 for c in cases if not c.is_passed and not c.is_skipped), read.tests, read.failures)";
        let output = Command::new(&python).args(["-c", script]).arg(&file).output().unwrap();
        assert!(output.status.success(), "{output:?}");
        let counts: Vec<usize> =
            String::from_utf8_lossy(&output.stdout).split_whitespace().map(|n| n.parse().unwrap()).collect();
        let [cases, failed, tests, failures] = counts[..] else { panic!("{counts:?}") };
        assert_eq!((cases, failed), (tests, failures), "{example}");
        assert_eq!(failed > 0, example == "first-draft.rocket.yaml", "{example}: {failed}");
    }
}

/// Another validator than the one the other tests use takes the reports by the schemas, and the designs as well.
#[test]
fn schemas_and_reports_agree_for_another_validator() {
    let Some(python) = own("jsonschema", "python/bin/python") else { return };
    let folder = tempfile::tempdir().unwrap();
    let script = "import json, sys\nimport jsonschema\nschema = json.load(open(sys.argv[1]))\nvalidator = jsonschema.validators.validator_for(schema)\nvalidator.check_schema(schema)\nerrors = list(validator(schema).iter_errors(json.load(open(sys.argv[2]))))\nprint(len(errors), *[e.message[:200] for e in errors[:3]])";
    for example in examples() {
        for (format, schema) in
            [("json", "schemas/review.schema.json"), ("sarif", "tests/data/sarif-schema-2.1.0.json")]
        {
            let file = folder.path().join("report");
            std::fs::write(&file, report(format, &example)).unwrap();
            let output = Command::new(&python)
                .args(["-c", script])
                .arg(root().join(schema))
                .arg(&file)
                .output()
                .unwrap();
            assert!(output.status.success(), "{output:?}");
            assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), "0", "{example} as {format}");
        }
    }
}

/// A script that reads a design and writes it back by the commonest library, which is one of YAML 1.1, leaves it the same
/// rocket.
#[test]
fn a_design_that_a_script_wrote_back_is_the_same() {
    let Some(python) = own("PyYAML", "python/bin/python") else { return };
    let folder = tempfile::tempdir().unwrap();
    let script = "import sys\nimport yaml\nread = yaml.safe_load(open(sys.argv[1]))\nyaml.safe_dump(read, open(sys.argv[2], 'w'), sort_keys=False)";
    for example in examples() {
        let file = folder.path().join(&example);
        let output = Command::new(&python)
            .args(["-c", script])
            .arg(root().join("examples").join(&example))
            .arg(&file)
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
        let output =
            holdpoint(&["review", "--format", "json", "--today", "2026-06-01", file.to_str().unwrap()]);
        let mut written = serde_json::from_slice(&output.stdout).unwrap();
        let mut there = serde_json::from_str(&report("json", &example)).unwrap();
        without_places(&mut written);
        without_places(&mut there);
        assert_eq!(written, there, "{example}");
    }
}

/// Takes out of a report what says where and how in its file something is written.
fn without_places(report: &mut serde_json::Value) {
    use serde_json::Value;
    match report {
        Value::Object(map) => {
            // A label quotes a value that stands on one line.
            for place in [
                "path",
                "digest",
                "line",
                "column",
                "end_line",
                "end_column",
                "start_byte",
                "end_byte",
                "label",
            ] {
                map.remove(place);
            }
            map.values_mut().for_each(without_places);
        }
        Value::Array(all) => all.iter_mut().for_each(without_places),
        _ => {}
    }
}

/// The hook as the repository offers it, run by the program that people run it with, in a repository of designs.
#[test]
fn the_pre_commit_hook_stops_a_draft_and_lets_a_clean_design_through() {
    let Some(pre_commit) = client("pre-commit", "python/bin/pre-commit") else { return };
    let folder = tempfile::tempdir().unwrap();
    let git = |arguments: &[&str]| {
        let output = Command::new("git").args(arguments).current_dir(folder.path()).output().unwrap();
        assert!(output.status.success(), "{output:?}");
    };
    let offered = std::fs::read_to_string(root().join(".pre-commit-hooks.yaml")).unwrap();
    // As offered, but taken from here: `repo: local` needs no tag of a published repository, and the program is the one just built.
    let hook: String = offered
        .lines()
        .filter(|l| !l.trim_start().starts_with('#'))
        .map(|l| format!("      {l}\n"))
        .collect();
    let hook = hook.replace("language: rust", "language: system");
    std::fs::write(
        folder.path().join(".pre-commit-config.yaml"),
        format!("repos:\n  - repo: local\n    hooks:\n{hook}"),
    )
    .unwrap();
    git(&["init", "-q"]);
    let bin = Path::new(env!("CARGO_BIN_EXE_holdpoint")).parent().unwrap().to_path_buf();
    let path = std::env::join_paths(
        std::iter::once(bin).chain(std::env::split_paths(&std::env::var_os("PATH").unwrap())),
    )
    .unwrap();
    for (example, clean) in [("marsh-harrier", true), ("first-draft", false)] {
        let name = format!("{example}.rocket.yaml");
        std::fs::copy(root().join("examples").join(&name), folder.path().join(&name)).unwrap();
        git(&["add", &name]);
        let output = Command::new(&pre_commit)
            .args(["run", "holdpoint", "--files", &name])
            .current_dir(folder.path())
            .env("PATH", &path)
            .env("PRE_COMMIT_HOME", folder.path().join("kept"))
            .env("NO_COLOR", "1")
            .output()
            .unwrap();
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        assert_eq!(output.status.success(), clean, "{words}");
        assert!(words.contains(if clean { "Passed" } else { "hold, " }), "{words}");
    }
    // What is no design is none of its business.
    std::fs::write(folder.path().join("notes.yaml"), "a: 1\n").unwrap();
    git(&["add", "notes.yaml"]);
    let output = Command::new(&pre_commit)
        .args(["run", "holdpoint", "--files", "notes.yaml"])
        .current_dir(folder.path())
        .env("PATH", &path)
        .env("PRE_COMMIT_HOME", folder.path().join("kept"))
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&output.stdout).contains("no files to check"), "{output:?}");
}
