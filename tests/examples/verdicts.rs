//! What each example comes to, through the real program.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output};

use holdpoint::rules::{Library, Verdict, coverage, inspect};

use super::{DRAFT, clean, designs::examples, example, reviewed, text_of};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_holdpoint")).args(arguments).output().unwrap()
}

fn review_of(path: &Path) -> (i32, String) {
    let output = run(&["review", path.to_str().unwrap()]);
    (output.status.code().unwrap(), String::from_utf8(output.stdout).unwrap())
}

#[test]
fn clean_examples_are_clear_without_a_remark() {
    assert!(clean().len() >= 4, "{:?}", clean());
    for name in clean() {
        let (code, report) = review_of(&example(&name));
        assert_eq!(code, 0, "{report}");
        let review = reviewed(&Library::built_in(), &text_of(&name));
        let found: Vec<&str> = review.findings.iter().map(|f| f.rule.as_str()).collect();
        assert!(found.is_empty(), "{name}: {found:?}");
        assert!(review.counts.held > 40, "{name}: {:?}", review.counts);
    }
}

#[test]
fn the_first_draft_holds_for_mistakes_of_every_family() {
    let (code, report) = review_of(&example(DRAFT));
    assert_eq!(code, 1, "{report}");
    let review = reviewed(&Library::built_in(), &text_of(DRAFT));
    let broken: BTreeSet<&str> =
        review.findings.iter().filter(|f| f.outcome == Verdict::Broken).map(|f| f.rule.as_str()).collect();
    let packs: BTreeSet<&str> =
        review.findings.iter().filter(|f| f.outcome == Verdict::Broken).map(|f| f.pack.as_str()).collect();
    let unproven = review.findings.iter().filter(|f| f.outcome == Verdict::Unproven).count();
    assert!(broken.len() >= 15, "{broken:?}");
    for family in [
        "venting",
        "joints",
        "fins",
        "motor_mount",
        "rail",
        "wiring",
        "bonds",
        "recovery_hardware",
        "ascent",
        "descent",
        "packing",
    ] {
        assert!(packs.contains(family), "nothing of {family} in {packs:?}");
    }
    assert!(unproven >= 3, "{unproven}");
    // Each broken rule is drawn under the lines that decided it.
    for finding in review.findings.iter().filter(|f| f.outcome == Verdict::Broken) {
        assert!(!finding.places.is_empty(), "{} has no place", finding.rule);
        assert!(report.contains(&finding.rule), "{} is not in the report", finding.rule);
    }
}

#[test]
fn every_place_of_every_example_is_the_text_its_label_speaks_of() {
    for name in examples() {
        // Characters of more than one byte before everything else, and on the lines of the values.
        let text = format!(
            "# Größe 98 mm ± 1 µm, 日本\n{}",
            text_of(&name).replace("count: ", "count:  ").replace("#", "# é ")
        );
        let review = reviewed(&Library::built_in(), &text);
        assert!(review.problems().is_empty(), "{name}: {:?}", review.problems());
        for finding in &review.findings {
            for place in &finding.places {
                let slice = review.design.source.slice(place.span);
                assert!(!slice.is_empty(), "{}: {place:?}", finding.rule);
                assert!(
                    place.label.contains(slice),
                    "{}: `{slice}` is not in `{}`",
                    finding.rule,
                    place.label
                );
            }
        }
    }
}

#[test]
fn a_broken_file_does_not_hide_the_others() {
    let folder = tempfile::tempdir().unwrap();
    for name in examples() {
        std::fs::copy(example(&name), folder.path().join(&name)).unwrap();
    }
    std::fs::write(
        folder.path().join("spoonbill.rocket.yaml"),
        "holdpoint: 1\nname: \"Spoonbill\nsections: [\n",
    )
    .unwrap();
    let (code, report) = review_of(folder.path());
    assert_eq!(code, 2, "{report}");
    for name in
        ["Marsh Harrier", "Sand Martin", "Bittern", "Jack Snipe", "Water Rail", "spoonbill.rocket.yaml"]
    {
        assert!(report.contains(name), "{name} is not in the report");
    }
    assert_eq!(
        run(&["review", folder.path().join("spoonbill.rocket.yaml").to_str().unwrap()]).status.code(),
        Some(2)
    );
}

#[test]
fn every_trial_of_every_rule_comes_out_as_it_says() {
    let library = Library::built_in();
    assert!(
        library.problems.is_empty(),
        "{:?}",
        library.problems.iter().map(|(s, p)| (s.name(), p)).collect::<Vec<_>>()
    );
    assert!(library.rules.len() >= 40, "{}", library.rules.len());
    assert!(library.packs.len() >= 5);
    let remarks: Vec<String> =
        inspect(&library, &|_| true).iter().map(|r| format!("{}: {}", r.source.name(), r.problem)).collect();
    assert!(remarks.is_empty(), "{remarks:#?}");
    let (results, coverage) = coverage(&library, &|_| true);
    for result in &results {
        let rule = &library.rules[result.rule];
        assert!(result.as_expected, "{}, trial {}: {:?}", rule.name, result.trial + 1, result.outcome);
    }
    for rule in &library.rules {
        for wanted in [Verdict::Broken, Verdict::Held, Verdict::Unproven] {
            assert!(
                rule.trials().iter().any(|t| t.expect == wanted),
                "{} has no trial that is {}",
                rule.name,
                wanted.name()
            );
        }
        assert!(!rule.citation.is_empty(), "{} has no source", rule.name);
    }
    let never: Vec<String> =
        coverage.lacking.iter().map(|l| format!("{}: {}", l.owner, l.condition)).collect();
    assert!(
        coverage.percent() >= 95.0,
        "{:.1} % of the outcomes of conditions: {never:#?}",
        coverage.percent()
    );
    assert!(coverage.outcomes > 1500, "{}", coverage.outcomes);
    assert_eq!(run(&["trial", concat!(env!("CARGO_MANIFEST_DIR"), "/rules")]).status.code(), Some(0));
}

#[test]
fn reports_are_the_same_every_time() {
    let path = example(DRAFT);
    let once = review_of(&path);
    for threads in ["1", "2", "7"] {
        let again = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(["review", path.to_str().unwrap()])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert_eq!(String::from_utf8(again.stdout).unwrap(), once.1);
    }
}
