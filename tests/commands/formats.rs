//! The forms for other programs, each read back by a reader that was written elsewhere: places, counts and escapes.

use holdpoint::report::Format;

use super::contract::{FILES, WIDE, bench};
use super::format_places::{Annotation, annotation, is_grouped, unescaped, whole};
use super::{Bench, Run, swap};

/// The forms of a report, by name.
pub(super) fn names() -> Vec<&'static str> {
    Format::WORDS.to_vec()
}

/// The forms, and those that a flag changes.
pub(super) fn forms() -> Vec<&'static str> {
    names().into_iter().chain(["sarif --show-waived"]).collect()
}

pub(super) fn report(bench: &Bench, paths: &[&str], form: &str) -> Run {
    let (name, more) = form.split_once(' ').map_or((form, None), |(name, more)| (name, Some(more)));
    let mut arguments = vec!["review", "--rules", "pack.yaml", "--today", "2026-01-01", "--format", name];
    arguments.extend(more);
    arguments.extend(paths);
    bench.run(&arguments)
}

/// The designs of the bench and one with waivers, of which one covers something.
pub(super) fn with_waivers() -> Bench {
    let bench = bench();
    let waivers = "waivers:\n  - {rule: windless, reason: \"a <calm> & \\\"quiet\\\" field\", by: club mentor, until: 2030-01-01, margin: -0.7}\n  - {rule: wide-vents, reason: as before, by: club mentor, until: 2020-01-01}\n";
    bench.write("waived.rocket.yaml", format!("{WIDE}{waivers}"));
    bench
}

pub(super) fn all_files() -> Vec<String> {
    FILES.iter().chain(&["waived"]).map(|f| format!("{f}.rocket.yaml")).collect()
}

#[test]
fn junit_is_read_back_with_its_counts_and_words() {
    let bench = with_waivers();
    for file in all_files().iter().map(String::as_str).chain(["."]) {
        let run = report(&bench, &[file], "junit");
        let document = roxmltree::Document::parse(&run.out).unwrap_or_else(|e| panic!("{e}: {}", run.out));
        let root = document.root_element();
        assert_eq!(root.tag_name().name(), "testsuites");
        let count = |node: roxmltree::Node<'_, '_>, name: &str| {
            node.descendants().filter(|n| n.has_tag_name(name)).count().to_string()
        };
        let suites: Vec<_> = root.children().filter(|n| n.has_tag_name("testsuite")).collect();
        for node in suites.iter().copied().chain([root]) {
            for (attribute, tag) in
                [("tests", "testcase"), ("failures", "failure"), ("errors", "error"), ("skipped", "skipped")]
            {
                assert_eq!(node.attribute(attribute), Some(count(node, tag).as_str()), "{file}: {attribute}");
            }
        }
        assert_eq!(
            run.code == 1,
            root.attribute("failures") != Some("0") && root.attribute("errors") == Some("0")
        );
        assert_eq!(run.code == 2, root.attribute("errors") != Some("0"), "{file}");
    }
    let run = report(&bench, &["waived.rocket.yaml"], "junit");
    let document = roxmltree::Document::parse(&run.out).unwrap();
    let skipped = document.descendants().find(|n| n.has_tag_name("skipped")).unwrap();
    assert_eq!(
        skipped.attribute("message"),
        Some("waived by club mentor until 2030-01-01: a <calm> & \"quiet\" field")
    );
    let narrow = |n: &roxmltree::Node<'_, '_>| {
        n.has_tag_name("failure")
            && n.parent().unwrap().attribute("name").unwrap().starts_with("wide-vents: ")
    };
    let failure = document.descendants().find(narrow).unwrap();
    let text = failure.text().unwrap();
    let line = WIDE.lines().nth(3).unwrap();
    let column = line[..line.find("3 mm").unwrap()].chars().count() + 1;
    assert!(text.starts_with(&format!("waived.rocket.yaml:4:{column}: error:")), "{text}");
    assert_eq!(failure.parent().unwrap().attribute("line"), Some("4"));
}

#[test]
fn every_finding_is_accounted_for_in_every_form() {
    let bench = with_waivers();
    let levels = bench.words(&["review", "--level"]);
    for file in ["dual", "wide", "faulty", "waived"].map(|f| format!("{f}.rocket.yaml")) {
        for level in &levels {
            let run = |form: &str| {
                let mut run =
                    bench.run(&["review", &file, "--rules", "pack.yaml", "--format", form, "--level", level]);
                run.err.clear();
                run
            };
            let document = run("json").json();
            let Some(design) = document["designs"].get(0) else { continue };
            let accounts = &design["accounts"];
            let of = |key: &str| whole(accounts, key);
            let total = design["findings"].as_array().unwrap().len() as u64;
            assert_eq!(of("total"), total, "{file}");
            assert_eq!(of("shown") + of("waived") + of("baselined") + of("below"), total, "{file}");
            let problems = document["problems"].as_array().unwrap().len() as u64;
            let log = run("sarif").json();
            let results = log["runs"][0]["results"].as_array().unwrap().len() as u64;
            assert_eq!(results, of("shown") + problems, "{file}");
            let reported = &log["runs"][0]["properties"]["designs"][0];
            // What is not proven is told part by part, or value by value that makes no sense.
            let annotated = run("github").out;
            let annotations = annotated.lines().filter_map(annotation);
            let (grouped, single): (Vec<Annotation>, Vec<Annotation>) = annotations.partition(is_grouped);
            let all = design["findings"].as_array().unwrap().iter().filter(|f| f["standing"] == "shown");
            let unproven = all.filter(|f| f["outcome"] == "unproven").count() as u64;
            assert_eq!(single.len() as u64, of("shown") + of("waived") - unproven + problems, "{file}");
            assert!(
                (grouped.is_empty() == (unproven == 0)) && grouped.len() as u64 <= 2 * unproven,
                "{file}"
            );
            let concise = run("concise").out;
            assert_eq!(concise.matches("[not-written-down] ").count(), grouped.len(), "{file}");
            let xml = run("junit").out;
            let parsed = roxmltree::Document::parse(&xml).unwrap();
            for key in ["shown", "waived", "baselined", "below", "total"] {
                assert_eq!(reported[key], accounts[key], "{file}");
                let property = parsed.descendants().find(|n| n.attribute("name") == Some(key)).unwrap();
                assert_eq!(property.attribute("value"), Some(of(key).to_string().as_str()), "{file}: {key}");
            }
            let words = format!(
                "{} shown, {} waived, {} in the baseline, {} below the level shown",
                of("shown"),
                of("waived"),
                of("baselined"),
                of("below")
            );
            for form in ["text", "concise", "github"] {
                run(form).has(&words);
            }
        }
    }
}

#[test]
fn what_is_waived_is_left_out_of_sarif_unless_it_is_asked_for() {
    let bench = with_waivers();
    let of = |form: &str| {
        let log = report(&bench, &["waived.rocket.yaml"], form).json();
        let results = log["runs"][0]["results"].as_array().unwrap().clone();
        results.into_iter().filter(|r| r["ruleId"] == "windless").collect::<Vec<_>>()
    };
    assert!(of("sarif").is_empty());
    let waived = of("sarif --show-waived");
    assert_eq!(waived.len(), 1);
    let suppression = &waived[0]["suppressions"][0];
    assert_eq!((&suppression["kind"], &suppression["status"]), (&"inSource".into(), &"accepted".into()));
    assert_eq!(suppression["justification"], "a <calm> & \"quiet\" field (club mentor, until 2030-01-01)");
}

#[test]
fn every_form_that_a_person_may_read_says_what_it_is() {
    let bench = with_waivers();
    // One line a finding and the contract are read by programs.
    for form in names().into_iter().filter(|form| !["concise", "json"].contains(form)) {
        report(&bench, &["wide.rocket.yaml"], form)
            .has("second pair of eyes, not permission")
            .has("Disarm before");
    }
}

#[test]
fn one_run_writes_several_reports() {
    let bench = with_waivers();
    let review = ["review", "wide.rocket.yaml", "--rules", "pack.yaml", "--today", "2026-01-01"];
    let outputs: Vec<String> = names().iter().map(|f| format!("{f}=out.{f}")).collect();
    let mut arguments = review.to_vec();
    for output in &outputs {
        arguments.extend(["--output", output]);
    }
    bench.write("out.json", "an old report");
    let run = bench.run(&arguments);
    run.code(1);
    assert_eq!(run.out, report(&bench, &["wide.rocket.yaml"], "text").out);
    for form in names() {
        let written = std::fs::read_to_string(bench.path().join(format!("out.{form}"))).unwrap();
        assert_eq!(written, report(&bench, &["wide.rocket.yaml"], form).out, "{form}");
    }
    // Nothing else is left behind.
    let left = std::fs::read_dir(bench.path())
        .unwrap()
        .filter(|e| e.as_ref().unwrap().file_name().to_string_lossy().starts_with('.'));
    assert_eq!(left.count(), 0);
}

#[test]
fn a_report_never_takes_the_place_of_a_design() {
    let bench = with_waivers();
    bench.write("folder/note.txt", "x");
    let review = |outputs: &[&str]| {
        let mut arguments = vec!["review", "wide.rocket.yaml", "--rules", "pack.yaml"];
        for output in outputs {
            arguments.extend(["--output", output]);
        }
        bench.run(&arguments)
    };
    review(&["json=wide.rocket.yaml"]).code(2).has("wide.rocket.yaml: not written: it is one of the designs");
    review(&["json=./folder/../wide.rocket.yaml"]).code(2).has("it is one of the designs");
    assert_eq!(std::fs::read_to_string(bench.path().join("wide.rocket.yaml")).unwrap(), WIDE);
    review(&["json=a", "sarif=a"]).code(2).has("a: not written: another report goes there");
    review(&["json=folder"]).code(2).has("folder: not written: it is a folder");
    review(&["json=no/such/folder"]).code(2).has("not written");
    review(&["sarf=a"]).code(2).has("did you mean `sarif`?");
    review(&["sarif"]).code(2).has("a form and a file are due");
}

#[cfg(unix)]
#[test]
fn a_strange_path_is_a_uri_and_a_property() {
    let bench = with_waivers();
    let path = "a b/é%:,#.rocket.yaml";
    bench.write(path, WIDE);
    let log = report(&bench, &[path], "sarif").json();
    let uri =
        log["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["artifactLocation"]["uri"].clone();
    assert_eq!(uri, "a%20b/%C3%A9%25%3A%2C%23.rocket.yaml");
    assert_eq!(unescaped(uri.as_str().unwrap()), path);
    let run = report(&bench, &[path], "github");
    let first = run.out.lines().find_map(annotation).unwrap();
    assert_eq!(first.properties["file"], path);
    // The same file by its whole path is named from where the run was.
    let whole = bench.path().canonicalize().unwrap().join(path);
    let again = report(&bench, &[whole.to_str().unwrap()], "github");
    assert_eq!(again.out.lines().find_map(annotation).unwrap().properties["file"], path);
}

/// Text made to break out of each form.
const HOSTILE: &str =
    "x<script>alert(1)</script>'\\\"&]]>%0A::error file=y::forged [a](http://b) {0} ##[error]z\\e[2J\\u202E";

#[test]
fn hostile_text_stays_text_in_every_form() {
    let bench = with_waivers();
    bench.write("hostile.rocket.yaml", swap(WIDE, "name: 日本 é", &format!("name: \"::error::{HOSTILE}\"")));
    let pack = format!(
        "pack: hostile\nabout: x\nrules:\n  hostile:\n    title: \"{HOSTILE}\"\n    before: parts\n    for: rocket\n    require: rocket.flight.wind > 100 m/s\n    level: error\n    finding: \"{}\"\n    why: \"::warning::{HOSTILE}\"\n    source: {{club: \"{HOSTILE}\"}}\n    remedy: {{say: \"::debug::{HOSTILE}\"}}\n",
        HOSTILE.replace("{0}", "(0)")
    );
    bench.write("hostile.yaml", pack);
    for form in forms() {
        let (name, more) = form.split_once(' ').map_or((form, None), |(name, more)| (name, Some(more)));
        let mut arguments = vec![
            "review",
            "hostile.rocket.yaml",
            "--rules",
            "hostile.yaml",
            "--color",
            "never",
            "--format",
            name,
        ];
        arguments.extend(more);
        let run = bench.run(&arguments);
        run.code(1);
        let raw = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!run.all().chars().any(raw), "{form}");
        let commands: Vec<&str> = run.out.lines().filter(|l| l.trim_start().starts_with("::")).collect();
        match name {
            "json" => drop(run.json()),
            "sarif" => {
                let log = run.json();
                let results = log["runs"][0]["results"].as_array().unwrap();
                let result = results.iter().find(|r| r["ruleId"] == "hostile").unwrap();
                let text = result["message"]["text"].as_str().unwrap();
                // A reader of the standard would make a link of the one and look for an argument for the other.
                assert!(text.contains("[a] (http://b)") && !text.contains("]("), "{text}");
                let help = log["runs"][0]["tool"]["driver"]["rules"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .find(|r| r["id"] == "hostile")
                    .unwrap()["help"]["text"]
                    .as_str()
                    .unwrap();
                assert!(help.contains("{{0}}") && !help.replace("{{0}}", "").contains("{0}"), "{help}");
            }
            "junit" => {
                let document = roxmltree::Document::parse(&run.out).unwrap();
                let known = [
                    "testsuites",
                    "testsuite",
                    "properties",
                    "property",
                    "testcase",
                    "failure",
                    "system-out",
                ];
                for node in document.descendants().filter(roxmltree::Node::is_element) {
                    assert!(known.contains(&node.tag_name().name()), "{node:?}");
                }
                let failure = document.descendants().find(|n| n.has_tag_name("failure")).unwrap();
                assert!(failure.attribute("message").unwrap().contains("<script>alert(1)</script>'\"&]]>"));
            }
            "github" => {
                assert!(!commands.is_empty());
                for line in commands {
                    let reported = annotation(line).unwrap();
                    assert_eq!(reported.properties["file"], "hostile.rocket.yaml", "{line}");
                    assert!(!line.contains("##["), "{line}");
                }
            }
            // A page is read by a browser: what is markup there is held to in the tests of pages.
            "html" => assert!(!run.out.contains("<script>alert")),
            _ => assert!(commands.is_empty() && !run.out.contains("##["), "{form}: {commands:?}"),
        }
    }
}
