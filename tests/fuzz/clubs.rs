//! What lies around designs: packs, tables, settings, records, baselines, papers; through the commands that read them.

use std::path::Path;
use std::sync::LazyLock;

use clap::{CommandFactory as _, Parser as _};
use holdpoint::commands::{Arguments, Invocation};
use holdpoint::report::Style;
use holdpoint::rules::TRIAL_DAY;
use serde_json::Value;
use tempfile::TempDir;

use super::choices::Choices;
use super::corpus::{DESIGNS, ODD, PACKS, TABLES, changed, mutated};
use super::driver::fuzz;

/// What a command prints, what it complains of, and its exit code.
struct Ran {
    printed: String,
    complaints: String,
    code: u8,
}

/// A command as the program runs it, with the day of the trials.
fn run(arguments: &[&str]) -> Ran {
    let all = ["holdpoint"].iter().chain(arguments);
    let arguments = Arguments::try_parse_from(all).unwrap_or_else(|e| panic!("{arguments:?}: {e}"));
    let mut out: Vec<u8> = Vec::new();
    let mut invocation = Invocation {
        style: Style::default(),
        today: TRIAL_DAY,
        ask: |_| None,
        out: &mut out,
        command_line: Arguments::command,
    };
    let output = arguments.command.run(&mut invocation);
    out.extend(output.report.as_bytes());
    let printed = String::from_utf8(out).expect("what is printed is UTF-8");
    assert!(output.code <= 2, "{}", output.code);
    let hostile = |c: char| c.is_control() && c != '\n';
    assert!(!printed.chars().chain(output.complaints.chars()).any(hostile), "{printed}{}", output.complaints);
    Ran { printed, complaints: output.complaints, code: output.code }
}

fn file(folder: &TempDir, name: &str, text: &str) -> String {
    let path = folder.path().join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(&path, text).unwrap();
    path.to_string_lossy().into_owned()
}

static SMALL_PACKS: LazyLock<Vec<String>> =
    LazyLock::new(|| PACKS.iter().filter(|pack| pack.len() < 12_000).cloned().collect());

/// Packs that name everything a pack may name; the README of rules shows them.
static SHOWN: LazyLock<Vec<String>> = LazyLock::new(|| {
    let readme =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/README.md")).unwrap();
    let blocks = readme.split("```yaml").skip(1).filter_map(|rest| rest.split("```").next());
    let packs = blocks.filter_map(|block| block.split_once('\n')).map(|(_, block)| block.to_owned());
    packs.filter(|block| block.starts_with("pack:")).collect()
});

#[test]
fn any_pack_is_refused_at_a_place_or_judged_by() {
    let folder = TempDir::new().unwrap();
    let design = file(&folder, "a.rocket.yaml", &DESIGNS[0]);
    fuzz("packs", 1, 90, |choices| {
        let text = match choices.below(3) {
            0 => mutated(&SMALL_PACKS, choices),
            _ => mutated(&SHOWN, choices),
        };
        let pack = file(&folder, "pack.yaml", &text);
        let trial = run(&["trial", &pack]);
        let review = run(&["review", &design, "--rules", &pack, "--format", "json"]);
        let document: Value = serde_json::from_str(&review.printed).unwrap();
        // What one of the two cannot read, the other does not take.
        let is_refused = !document["problems"].as_array().unwrap().is_empty();
        assert!(!is_refused || trial.code > 0, "{}\n{}\n{text}", review.printed, trial.printed);
        assert_eq!(is_refused, review.code == 2, "{}\n{text}", review.complaints);
        if !is_refused {
            run(&["rules", "--rules", &pack, "--markdown"]);
            run(&["checklist", &design, "--rules", &pack]);
        }
    });
}

#[test]
fn any_table_is_refused_or_read() {
    let folder = TempDir::new().unwrap();
    let design = file(&folder, "a.rocket.yaml", &DESIGNS[0]);
    let tables = folder.path().join("tables").to_string_lossy().into_owned();
    fuzz("tables", 1, 60, |choices| {
        let text = mutated(&TABLES, choices);
        file(&folder, "tables/ours.yaml", &text);
        run(&["review", &design, "--rules", &tables, "--format", "concise"]);
    });
}

/// Settings that say everything that settings may say, most of it rightly.
const SETTINGS: [&str; 3] = [
    "settings: 1\npacks: [packs/a.yaml]\nlimits:\n  - {pack: motor, limit: usual_thrust_to_weight, is: \"6\", reason: wind}\nlevels:\n  - {rule: waiver-expired, level: error, reason: we look}\nswitched_off:\n  - {rule: strong-wind-aloft-within-field, by: the mentor, until: 2027-04-30, reason: marsh}\nwaivers_need: [subject]\nwaivers:\n  - {design: \"*.rocket.yaml\", rule: rail-length, subject: rocket, by: the mentor, until: 2027-04-30, reason: seen}\n",
    "settings: 1\nextends: base.yaml\npaths: [\"*.rocket.yaml\", \"!b*\"]\ncodes: [everyday]\ntables: [tables]\n",
    "settings: 1\nextends: holdpoint.yaml\npacks:\n  - {path: packs/a.yaml, sha256: a0d3b8f6b96bebf0e2025e9cd72450a63a13bb8a8e523952960c29457a4387b2}\n",
];

#[test]
fn any_settings_are_refused_or_hold() {
    let folder = TempDir::new().unwrap();
    let design = file(&folder, "a.rocket.yaml", &DESIGNS[0]);
    file(&folder, "packs/a.yaml", "pack: ours\nabout: Ours.\nrules: {}\n");
    file(&folder, "base.yaml", SETTINGS[0]);
    let all = SETTINGS.map(str::to_owned);
    let path = folder.path().to_string_lossy().into_owned();
    fuzz("settings", 1, 60, |choices| {
        let text = mutated(&all, choices);
        let settings = file(&folder, "holdpoint.yaml", &text);
        let format = choices.one_of(&["json", "text", "sarif", "junit", "github", "concise", "html"]);
        let review = run(&["review", &path, "--format", format]);
        let locked = run(&["review", &design, "--locked", &settings]);
        run(&["review", "--show-settings", &design]);
        // What cannot be read is nothing that can be locked to.
        let is_yaml =
            holdpoint::yaml::Tree::parse(&holdpoint::yaml::Source::new("s", text.as_str())).tree.is_some();
        assert!(is_yaml || (review.code == 2 && locked.code == 2), "{}\n{text}", review.complaints);
    });
}

/// A text with values otherwise that a machine wrote: digits, words, whole lines.
fn damaged(text: &str, choices: &mut Choices<'_>) -> String {
    let mut out = text.to_owned();
    for _ in 0..=choices.below(4) {
        out = match choices.below(4) {
            0 => {
                let at =
                    out.match_indices(|c: char| c.is_ascii_digit()).map(|(at, _)| at).collect::<Vec<_>>();
                if at.is_empty() {
                    continue;
                }
                let at = *choices.member(&at);
                format!("{}{}{}", &out[..at], choices.one_of(&["9", "-", "", "e9", "00"]), &out[at + 1..])
            }
            _ => changed(&out, &ODD.map(str::to_owned), choices),
        };
    }
    out
}

#[test]
fn a_record_a_baseline_or_papers_that_were_damaged_are_told_or_hold() {
    let folder = TempDir::new().unwrap();
    let design = file(&folder, "a.rocket.yaml", &DESIGNS[0]);
    let passed = run(&["pass", "drilling", &design, "--by", "R. Bunting"]);
    let record = folder.path().join("a.passed.yaml");
    let record_text = std::fs::read_to_string(&record)
        .unwrap_or_else(|e| panic!("{e}: {}{}", passed.printed, passed.complaints));
    let draft = file(&folder, "b.rocket.yaml", &DESIGNS[3]);
    let baseline = folder.path().join("known.json").to_string_lossy().into_owned();
    run(&["review", &draft, "--baseline", &baseline, "--write-baseline"]);
    let baseline_text = std::fs::read_to_string(&baseline).unwrap();
    let papers_text = run(&["packet", &design]).printed;
    fuzz("records", 1, 60, |choices| match choices.below(3) {
        0 => {
            let text = damaged(&record_text, choices);
            std::fs::write(&record, &text).unwrap();
            let format = choices.one_of(&["json", "text", "html"]);
            run(&["review", &design, "--format", format]);
            run(&["pass", "bonding", &design, "--by", "R. Bunting"]);
            std::fs::write(&record, &record_text).unwrap();
        }
        1 => {
            let text = damaged(&baseline_text, choices);
            std::fs::write(&baseline, &text).unwrap();
            let review = run(&["review", &draft, "--baseline", &baseline, "--format", "json"]);
            assert!(review.code > 0 || serde_json::from_str::<Value>(&text).is_ok(), "{text}");
            run(&["review", &draft, "--baseline", &baseline, "--write-baseline"]);
        }
        _ => {
            let papers = file(&folder, "papers.html", &damaged(&papers_text, choices));
            run(&["packet", &design, "--verify", &papers]);
        }
    });
}
