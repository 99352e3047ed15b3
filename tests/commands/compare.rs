//! Two designs compared, and a design with an earlier revision of itself.

use std::process::Command;

use serde_json::Value as Json;

use super::skips::skipped;
use super::{Bench, DUAL, Run, swap};

/// A design that was changed in one value that breaks a rule, in one that does not, and in one that is gone.
fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("old.rocket.yaml", DUAL);
    let text = swap(DUAL, "name: Reed Bunting", "name: \"Reed Bunting\"   # the same, written otherwise");
    let text = swap(&text, "wind: 8 mph", "wind: 9 mph");
    bench.write("new.rocket.yaml", broken(&text));
    bench
}

/// The design with a single hole in the bay.
fn broken(text: &str) -> String {
    swap(text, "statics: {count: 3,", "statics: {count: 1,")
}

fn compared(run: &Run) -> Json {
    let schema = Bench::new().run(&["schema", "compare"]).code(0).json();
    assert!(jsonschema::draft202012::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let document = run.json();
    let errors: Vec<String> = validator.iter_errors(&document).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let mut wrong = document.clone();
    wrong["extra"] = 1.into();
    assert!(!validator.is_valid(&wrong));
    document
}

fn rules(list: &Json) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|f| f["rule"].as_str().unwrap()).collect()
}

#[test]
fn what_was_changed_and_what_it_did() {
    let bench = bench();
    let run = bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--format", "json"]);
    run.code(1);
    let document = compared(&run);
    let values = document["values"].as_array().unwrap();
    let keys: Vec<&str> = values.iter().map(|v| v["key"].as_str().unwrap()).collect();
    assert_eq!(keys, ["sections.av_bay.vents.statics.count", "flight.wind"]);
    let line = |text: &str, what: &str| text.lines().position(|l| l.contains(what)).unwrap() + 1;
    assert_eq!(values[0]["old"], serde_json::json!({"text": "3", "line": line(DUAL, "statics: {count")}));
    assert_eq!(values[1]["new"], serde_json::json!({"text": "9 mph", "line": line(DUAL, "wind: 8 mph")}));
    assert_eq!((&document["old"]["verdict"], &document["new"]["verdict"]), (&"clear".into(), &"hold".into()));
    let findings = &document["findings"];
    assert!(rules(&findings["new"]).contains(&"bay-vent-area"), "{findings}");
    assert!(findings["gone"].as_array().unwrap().is_empty());
    // A third of the holes is a third of the area: margins of the vent area shrink, and more wind lets it drift further.
    let margins = document["margins"].as_array().unwrap();
    let margin = |rule: &str| margins.iter().find(|m| m["rule"] == rule).unwrap_or_else(|| panic!("{rule}"));
    let size = |m: &Json| m["value"].as_f64().unwrap();
    let area = margin("bay-vent-area");
    let (old, new) = (size(&area["old"]) + 1.0, size(&area["new"]) + 1.0);
    assert!((new / old - 1.0 / 3.0).abs() < 1e-9, "{area}");
    assert!(size(&margin("drift-within-field")["old"]) > size(&margin("drift-within-field")["new"]));
    let growth: Vec<f64> = margins.iter().map(|m| size(&m["new"]) - size(&m["old"])).collect();
    assert!(growth.first().unwrap() < &0.0 && growth.iter().all(|g| *g != 0.0), "{growth:?}");
    let drilling =
        document["hold_points"].as_array().unwrap().iter().find(|h| h["name"] == "drilling").unwrap();
    assert_eq!((&drilling["old"], &drilling["new"]), (&"clear".into(), &"hold".into()));
    bench
        .run(&["compare", "old.rocket.yaml", "new.rocket.yaml"])
        .code(1)
        .has("sections.av_bay.vents.statics.count: 3 -> 1 (line ")
        .has("── new findings")
        .has("error bay-vent-area (before drilling)")
        .has("── margins that shrank, the narrowest first")
        .has("drilling  clear -> HOLD")
        .has("2 values changed")
        .has("This is a second pair of eyes");
}

#[test]
fn the_other_way_round_findings_are_gone() {
    let bench = bench();
    let run = bench.run(&["compare", "new.rocket.yaml", "old.rocket.yaml", "--format", "json"]);
    run.code(0);
    let document = compared(&run);
    assert!(rules(&document["findings"]["gone"]).contains(&"bay-vent-area"));
    assert!(document["findings"]["new"].as_array().unwrap().is_empty());
    let same = bench.run(&["compare", "new.rocket.yaml", "new.rocket.yaml"]);
    same.code(1).has("Nothing is written otherwise").has("── findings that are still there");
    assert!(!same.out.contains("── new findings") && !same.out.contains("── margins"), "{}", same.out);
}

#[test]
fn values_are_told_by_their_keys_however_they_are_laid_out() {
    let bench = Bench::new();
    let waiver = "waivers:\n  - {rule: rail-length, reason: r, by: b, until: 2030-01-01}\n";
    let old = format!(
        "holdpoint: 1\nsections: {{a: {{}}, b: {{mass: 1 kg}}, c: {{}}}}\njoints:\n  j: {{between: [a, b]}}\n  k: {{between: [b, c]}}\n{waiver}"
    );
    bench.write("old.rocket.yaml", &old);
    let changed = |new: &str| {
        bench.write("new.rocket.yaml", new);
        let document =
            compared(&bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--format", "json"]));
        let values = document["values"].as_array().unwrap().iter();
        values.map(|v| v["key"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(changed(&old), [""; 0]);
    assert_eq!(
        changed(&swap(&old, "{between: [a, b]}", "\n    between:\n      - a\n      - \"b\"")),
        [""; 0]
    );
    assert_eq!(changed(&swap(&old, "{between: [a, b]}", "{between: [a, c]}")), ["joints.j.between"]);
    assert_eq!(changed(&swap(&old, "reason: r", "reason: s")), ["waivers.0.reason"]);
    assert_eq!(changed(&swap(&old, "a: {}", "a: {mass: 1 kg}")), ["sections.a.mass", "sections.a"]);
}

#[test]
fn a_finding_that_is_judged_now_says_what_it_was() {
    let bench = Bench::new();
    bench.write("old.rocket.yaml", swap(DUAL, "statics: {count: 3,", "statics: {"));
    bench.write("new.rocket.yaml", broken(DUAL));
    let document =
        compared(&bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--format", "json"]));
    let still = document["findings"]["still"].as_array().unwrap();
    let area = still.iter().find(|f| f["rule"] == "bay-vent-area").unwrap();
    assert_eq!((&area["was"], &area["outcome"]), (&"unproven".into(), &"broken".into()));
    bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml"]).has("(it was unproven)");
}

/// Runs git in the bench, as a person without settings of their own.
fn git(bench: &Bench, arguments: &[&str]) {
    let output = Command::new("git")
        .args(["-c", "user.name=A", "-c", "user.email=a@example.org", "-c", "init.defaultBranch=main"])
        .args(arguments)
        .current_dir(bench.path())
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
}

#[test]
fn a_design_with_an_earlier_revision_of_itself() {
    if Command::new("git").arg("--version").output().is_err() {
        skipped("git is not installed");
        return;
    }
    let bench = Bench::new();
    git(&bench, &["init", "-q"]);
    bench.write("designs/my rocket.rocket.yaml", DUAL);
    git(&bench, &["add", "."]);
    git(&bench, &["commit", "-q", "-m", "first"]);
    bench.write("designs/my rocket.rocket.yaml", broken(DUAL));
    let since =
        |revision: &str, path: &str| bench.run(&["compare", "--since", revision, path, "--format", "json"]);
    let run = since("HEAD", "designs/my rocket.rocket.yaml");
    run.code(1);
    let document = compared(&run);
    assert_eq!(document["old"]["path"], "HEAD:designs/my rocket.rocket.yaml");
    assert_eq!(document["values"].as_array().unwrap().len(), 1);
    assert!(rules(&document["findings"]["new"]).contains(&"bay-vent-area"));
    let whole = bench.path().join("designs/my rocket.rocket.yaml");
    assert_eq!(compared(&since("main", whole.to_str().unwrap()))["values"], document["values"]);
    since("nowhere", "designs/my rocket.rocket.yaml").code(2).has("git has no `nowhere:designs/my rocket");
    bench.write("designs/other.rocket.yaml", DUAL);
    since("HEAD", "designs/other.rocket.yaml").code(2).has("git has no `HEAD:designs/other.rocket.yaml`");
    for hostile in ["--output=x", "-h", "HEAD:designs/my rocket.rocket.yaml", ""] {
        let equals = format!("--since={hostile}");
        bench.run(&["compare", &equals, "designs/my rocket.rocket.yaml"]).code(2).has("is no revision");
    }
    assert!(!bench.path().join("x").exists());
    let outside = Bench::new();
    outside.write("a.rocket.yaml", DUAL);
    outside
        .run(&["compare", "--since", "HEAD", "a.rocket.yaml"])
        .code(2)
        .has("git has no `HEAD:a.rocket.yaml`");
}

#[test]
fn bad_calls_and_files() {
    let bench = bench();
    bench.run(&["compare", "old.rocket.yaml"]).code(2).has("two designs are due");
    bench
        .run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--since", "HEAD"])
        .code(2)
        .has("one design is due");
    bench.run(&["compare", "old.rocket.yaml", "none.rocket.yaml"]).code(2).has("none.rocket.yaml");
    bench.write("broken.rocket.yaml", "holdpoint: [\n");
    bench.run(&["compare", "broken.rocket.yaml", "new.rocket.yaml"]).code(2).has("broken.rocket.yaml");
    bench.write("faulty.rocket.yaml", swap(DUAL, "name: Reed Bunting", "nmae: x"));
    let run = bench.run(&["compare", "old.rocket.yaml", "faulty.rocket.yaml"]);
    run.code(2).has("did you mean `name`?").has("name: no more; it was Reed Bunting");
}

#[test]
fn hostile_values_stay_values() {
    let bench = Bench::new();
    let evil = "::error::x\\e[2J\\u202E\\nforged: ##[error]";
    bench.write("old.rocket.yaml", swap(DUAL, "name: Reed Bunting", &format!("notes: \"{evil}\"")));
    bench.write(
        "new.rocket.yaml",
        swap(DUAL, "name: Reed Bunting", &format!("notes: \"{evil}{}\"", "n".repeat(10_240))),
    );
    for format in bench.words(&["compare", "--format"]) {
        let run = bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--format", &format]);
        let raw = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!run.all().chars().any(raw), "{}", run.all());
        assert!(!run.out.lines().any(|l| l.trim_start().starts_with("::") || l.starts_with("forged")));
        if format == "text" {
            assert!(!run.out.contains("##[") && run.out.len() < 5_000, "{}", run.out);
        }
    }
}

#[test]
fn one_line_each_is_what_it_says() {
    let bench = bench();
    let run = bench.run(&["compare", "old.rocket.yaml", "new.rocket.yaml", "--format", "concise"]);
    let line = DUAL.lines().position(|l| l.contains("statics: {count")).unwrap() + 1;
    run.code(1)
        .has(&format!("new.rocket.yaml:{line}: value sections.av_bay.vents.statics.count: 3 -> 1\n"))
        .has(": new error[bay-vent-area] ")
        .has("new.rocket.yaml: drilling: clear -> hold\n")
        .has("new.rocket.yaml: hold, 2 values changed; findings: ");
    let place = regex::Regex::new(r"^(?:old|new)\.rocket\.yaml(?::\d+){0,2}: [a-z]").unwrap();
    assert!(run.out.lines().all(|l| place.is_match(l)), "{}", run.out);
    let back = bench.run(&["compare", "new.rocket.yaml", "old.rocket.yaml", "--format", "concise"]);
    back.code(0).has(": gone error[bay-vent-area] ").has("new.rocket.yaml:");
    let same = bench.run(&["compare", "new.rocket.yaml", "new.rocket.yaml", "--format", "concise"]);
    same.code(1).has(": still error[bay-vent-area] ").has("0 values changed; findings: 0 new, 0 gone");
}
