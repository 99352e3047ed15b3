//! Papers: what stands in them, what they are bound to, and when there are none.

use std::path::Path;

use holdpoint::design::Design;
use holdpoint::model::Model;
use holdpoint::report::{Bound, Mismatch, PaperForm};
use holdpoint::review::{applicable_packs, digest, steps};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::tables::Tables;
use holdpoint::yaml::Source;

use super::{EXAMPLES, file, printed, select, sound};

const DAY: &str = "2026-06-01";

fn packet(more: &[&str]) -> (String, i32) {
    printed(&[&["packet", "--today", DAY], more].concat())
}

fn write(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn hold_everything_that_is_handed_in() {
    for (design, _) in EXAMPLES.iter().filter(|(_, code)| *code == 0) {
        let (text, code) = packet(&[design]);
        assert_eq!(code, 0);
        let page = sound(&text);
        let headings: Vec<String> = page.select(&select("h2")).map(|h| h.text().collect()).collect();
        for expected in [
            "Summary",
            "Drawing",
            "Weights",
            "Recovery",
            "Where it lands",
            "Drill sheet",
            "Wiring",
            "Ground tests",
            "Waivers",
            "Field checklist",
            "Signatures",
        ] {
            assert!(headings.iter().any(|h| h.starts_with(expected)), "{expected} in {headings:?}");
        }
        assert!(page.select(&select("svg.rocket")).count() >= 2);
        assert!(page.select(&select(".rule-line")).count() >= 9, "lines to sign on");
        assert_eq!(page.select(&select(".unknown")).count(), 0, "not known, in papers of a clear design");
        assert!(text.contains(&digest(file(design).as_bytes())), "bound to the design");
        assert!(text.contains(&Library::built_in().digest()), "and to the rules");
        let (markdown, code) = packet(&["--format", "markdown", design]);
        assert_eq!(code, 0);
        // Each step of the day can be ticked, in both forms.
        let library = Library::built_in();
        let read = Design::read(Source::new(*design, file(design)), Tables::built_in());
        let model = Model::new(&read, library.environment(TRIAL_DAY));
        let expected = steps(&model, &library, &applicable_packs(&model, &library, &[])).len();
        assert_eq!(page.select(&select(".tick li .box")).count(), expected);
        assert_eq!(markdown.matches("- [ ] ").count(), expected);
        for caution in ["second pair of eyes, not permission", "licensed and trained", "Disarm before"] {
            assert!(text.contains(caution) && markdown.contains(caution), "{caution}");
        }
        // A table of Markdown has as many cells in each row as in its head.
        let cells = |line: &str| line.replace("\\|", "").matches('|').count();
        for pair in markdown.lines().collect::<Vec<_>>().windows(2) {
            if pair[0].starts_with('|') && pair[1].starts_with('|') {
                assert_eq!(cells(pair[0]), cells(pair[1]), "{pair:?}");
            }
        }
    }
}

#[test]
fn are_refused_while_anything_holds() {
    let (text, code) = packet(&[EXAMPLES[2].0]);
    assert_eq!((text.as_str(), code), ("", 1), "nothing goes to the file that the shell has opened");
    let output = std::process::Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["packet", "--today", DAY, EXAMPLES[2].0])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    let reported = String::from_utf8(output.stderr).unwrap();
    let report: serde_json::Value =
        serde_json::from_str(&printed(&["review", "--today", DAY, "--format", "json", EXAMPLES[2].0]).0)
            .unwrap();
    let mut holding = 0;
    for finding in report["designs"][0]["findings"].as_array().unwrap() {
        // What is not written down is listed part by part, each with the rules that wait for its values; what makes no sense
        // together, by its reason.
        let text = |key: &str| finding[key].as_str().unwrap();
        let listed = if finding["outcome"] == "unproven" {
            let places = finding["places"].as_array().unwrap();
            let waits = |line: &str| {
                places.iter().any(|place| {
                    let key = place["key"].as_str().unwrap();
                    let (part, name) = key.rsplit_once('.').unwrap_or(("the rocket", key));
                    line.contains(&format!(" of {part}, first before "))
                        && (line.contains(&format!("`{name}`")) || line.contains(" more of "))
                })
            };
            let conflicts = |line: &str| {
                line.trim().rsplit_once(": ").is_some_and(|(reason, rules)| {
                    rules.contains(" rule") && text("message").contains(reason)
                })
            };
            reported.lines().any(|line| waits(line) || conflicts(line))
        } else {
            reported.contains(text("message"))
        };
        assert!(listed || finding["level"] != "error", "{finding}");
        assert!(finding["outcome"] == "unproven" || listed == (finding["level"] == "error"), "{finding}");
        holding += usize::from(listed);
    }
    assert!(holding > 20, "{holding}");
    assert_eq!(packet(&["no-such.rocket.yaml"]).1, 2);
}

#[test]
fn go_to_a_file_only_when_there_are_papers() {
    let folder = tempfile::TempDir::new().unwrap();
    let clear = write(folder.path(), "a.rocket.yaml", &file(EXAMPLES[0].0));
    let draft = write(folder.path(), "b.rocket.yaml", &file(EXAMPLES[2].0));
    let papers = folder.path().join("papers.html");
    let to = papers.to_str().unwrap();
    let (told, code) = packet(&["--output", to, &clear]);
    assert!(code == 0 && told.contains("papers.html"), "{told}");
    let written = std::fs::read_to_string(&papers).unwrap();
    assert_eq!(written, packet(&[&clear]).0, "the same bytes as to standard output");
    // Refused papers, and a design that cannot be read, leave the old ones as they are.
    for (design, code) in [(draft.as_str(), 1), ("no-such.rocket.yaml", 2)] {
        assert_eq!(packet(&["--output", to, design]), (String::new(), code));
        assert_eq!(std::fs::read_to_string(&papers).unwrap(), written);
    }
    // Old papers are replaced, whole; in a folder they take the name of the design.
    assert_eq!(packet(&["--output", to, &clear]).1, 0);
    let there = folder.path().to_str().unwrap();
    assert_eq!(packet(&["--output", there, "--format", "markdown", &clear]).1, 0);
    assert!(folder.path().join("a.papers.md").is_file());
    // Nothing else is written over: neither a design nor a file that somebody else wrote.
    let notes = write(folder.path(), "notes.html", "<p>mine</p>");
    for taken in [clear.as_str(), draft.as_str(), notes.as_str()] {
        let before = std::fs::read_to_string(taken).unwrap();
        assert_eq!(packet(&["--output", taken, &clear]).1, 2, "{taken}");
        assert_eq!(std::fs::read_to_string(taken).unwrap(), before);
    }
    assert_eq!(packet(&["--output", folder.path().join("no/such/p.html").to_str().unwrap(), &clear]).1, 2);
    let left = std::fs::read_dir(folder.path()).unwrap().map(|one| one.unwrap().file_name());
    assert!(left.into_iter().all(|name| !name.to_string_lossy().ends_with(".part")));
}

#[test]
fn stand_only_for_the_bytes_that_they_were_written_for() {
    let folder = tempfile::TempDir::new().unwrap();
    let text = file(EXAMPLES[0].0);
    let design = write(folder.path(), "a.rocket.yaml", &text);
    for form in PaperForm::WORDS {
        let (written, code) = packet(&["--format", form, &design]);
        assert_eq!(code, 0);
        let papers = write(folder.path(), "papers", &written);
        let verify = |design: &str| packet(&["--verify", &papers, design]);
        let (reported, code) = verify(&design);
        assert_eq!(code, 0, "{reported}");
        assert!(reported.contains("are the papers of") && reported.contains(DAY), "{reported}");
        // One byte of the design, be it a comment's.
        let other = write(folder.path(), "b.rocket.yaml", &format!("{text}# later\n"));
        let (reported, code) = verify(&other);
        assert!(code == 1 && reported.contains("the design is not the one"), "{reported}");
        // One word of the papers.
        let forged = written.replacen("121.4 lbf", "101.4 lbf", 1);
        assert_ne!(forged, written);
        write(folder.path(), "papers", &forged);
        let (reported, code) = verify(&design);
        assert!(code == 1 && reported.contains("changed after they were written"), "{reported}");
        assert!(!reported.contains("the design is not"), "{reported}");
        // Other rules.
        write(folder.path(), "papers", &written);
        let pack = write(
            folder.path(),
            "club.yaml",
            "pack: club\nabout: Ours.\nlimits:\n  longest: {is: 1 m, source: {club: ours}}\n",
        );
        let (reported, code) = packet(&["--rules", &pack, "--verify", &papers, &design]);
        assert!(code == 1 && reported.contains("the rules in force are not those"), "{reported}");
        // No papers at all.
        let (reported, code) = packet(&["--verify", &design, &design]);
        assert!(code == 1 && reported.contains("no file of papers"), "{reported}");
    }
}

#[test]
fn fall_when_a_waiver_runs_out() {
    let folder = tempfile::TempDir::new().unwrap();
    let text = file(EXAMPLES[0].0).replace(
        "cells: lithium polymer, guarded: true, connector: latched_housing, held: zip tie}",
        "cells: lithium polymer, guarded: true, connector: latched_housing, held: tape}",
    );
    assert_ne!(text, file(EXAMPLES[0].0));
    let waivers = "waivers:\n  - {rule: battery-held, reason: a printed cage <b>, by: a mentor | of ours, until: 2026-07-01}\n";
    let design = write(folder.path(), "a.rocket.yaml", &format!("{text}{waivers}"));
    let (written, code) = packet(&[&design]);
    assert_eq!(code, 0);
    let page = sound(&written);
    let reported = page.select(&select("main")).next().unwrap().text().collect::<String>();
    assert!(
        reported.contains("a printed cage <b>")
            && reported.contains("a mentor | of ours")
            && reported.contains("2026-07-01")
    );
    let (markdown, _) = packet(&["--format", "markdown", &design]);
    assert!(
        markdown.contains("a printed cage &lt;b&gt;") && markdown.contains("a mentor \\| of ours"),
        "{markdown}"
    );
    let papers = write(folder.path(), "papers", &written);
    assert_eq!(printed(&["packet", "--today", "2026-07-01", "--verify", &papers, &design]).1, 0);
    let (reported, code) = printed(&["packet", "--today", "2026-07-02", "--verify", &papers, &design]);
    assert!(
        code == 1 && reported.contains("something holds now") && reported.contains("battery-held"),
        "{reported}"
    );
}

#[test]
fn the_line_that_binds_is_read_back() {
    assert_eq!(Bound::read("no papers").unwrap_err(), Mismatch::NoPapers);
    let cut = "<!-- holdpoint-papers/1 design=ab packs=cd day=2026-01-01 version=1 papers=ef -->";
    assert_eq!(Bound::read(cut).unwrap_err(), Mismatch::NoPapers);
    let library = Library::built_in();
    let other = Library::load(vec![Source::new(
        "club.yaml",
        "pack: club\nabout: Ours.\nlimits:\n  longest: {is: 1 m, source: {club: ours}}\n",
    )]);
    assert_ne!(library.digest(), other.digest());
    assert_eq!(library.digest(), Library::built_in().digest());
}
