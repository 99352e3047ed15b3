//! Many designs in one run: in order, in little memory, and with a word where the report cannot be printed.

use std::process::{Command, Stdio};

use holdpoint::report::Format;
use serde_json::Value as Json;

use super::{Bench, DUAL, Run};

/// More designs than are read at a time by one thread, of which some cannot be read and some have mistakes.
fn bench() -> Bench {
    let bench = Bench::new();
    for number in 0..37 {
        let text = match number % 9 {
            3 => "no: [design".to_owned(),
            5 => format!("holdpoint: 1\nname: Rail {number}\nwingspan: 3 m\n"),
            _ => format!("holdpoint: 1\nname: Rail {number}\n"),
        };
        bench.write(&format!("d/{number:02}.rocket.yaml"), text);
    }
    bench
}

fn review(bench: &Bench, path: &str, form: &str, threads: &str) -> Run {
    let arguments = ["review", path, "--today", "2026-06-01", "--before", "bonding", "--format", form];
    bench.run_with(&arguments, None, &[("RAYON_NUM_THREADS", threads)])
}

#[test]
fn any_number_of_threads_prints_the_same_bytes() {
    let bench = bench();
    for form in Format::WORDS {
        let one = review(&bench, "d", form, "1");
        assert_eq!(one.code, 2);
        for threads in ["2", "8"] {
            assert_eq!(review(&bench, "d", form, threads), one, "{form}, {threads} threads");
        }
    }
}

/// Each list of a long run is the lists of its files' own runs, one after the other.
#[test]
fn a_long_run_says_of_each_design_what_a_run_of_its_own_says() {
    let bench = bench();
    let long = review(&bench, "d", "json", "2").json();
    let list = |json: &Json, key: &str| json[key].as_array().unwrap().clone();
    let (mut designs, mut problems) = (Vec::new(), Vec::new());
    for number in 0..37 {
        let own = review(&bench, &format!("d/{number:02}.rocket.yaml"), "json", "1").json();
        designs.extend(list(&own, "designs"));
        problems.extend(list(&own, "problems"));
    }
    assert!(designs.len() > 30 && problems.len() > 5, "{} {}", designs.len(), problems.len());
    assert_eq!(list(&long, "designs"), designs);
    assert_eq!(list(&long, "problems"), problems);
}

/// Results and files are numbered with those of the problems first, though these are known last.
#[test]
fn the_numbers_of_a_long_log_hold() {
    let bench = bench();
    let log = review(&bench, "d", "sarif", "2").json();
    let run = &log["runs"][0];
    let mut seen = 0;
    for result in run["results"].as_array().unwrap() {
        let at = usize::try_from(result["ruleIndex"].as_u64().unwrap()).unwrap();
        assert_eq!(run["tool"]["driver"]["rules"][at]["id"], result["ruleId"]);
        let file = &result["locations"][0]["physicalLocation"]["artifactLocation"];
        let at = usize::try_from(file["index"].as_u64().unwrap()).unwrap();
        assert_eq!(run["artifacts"][at]["location"]["uri"], file["uri"]);
        seen += 1;
    }
    assert!(seen > 100, "{seen}");
    assert_eq!(run["tool"]["driver"]["rules"][0]["id"], "unreadable");
    assert_eq!(run["results"][0]["ruleId"], "unreadable");
}

#[test]
fn a_baseline_that_is_not_written_passes_over_nothing() {
    let bench = bench();
    let arguments = ["review", "d", "--baseline", "known.json", "--write-baseline", "--format", "json"];
    let run = bench.run(&arguments);
    run.code(2).has("not written: what could not be reviewed");
    let designs = run.json()["designs"].as_array().unwrap().clone();
    let all: Vec<&Json> = designs.iter().flat_map(|d| d["findings"].as_array().unwrap()).collect();
    assert!(all.len() > 100 && all.iter().all(|f| f["standing"] == "shown"), "{}", all.len());
}

/// The arguments of a run of each command that prints something; a new command without one fails the test.
#[cfg(target_os = "linux")]
pub(super) fn runs() -> Vec<Vec<&'static str>> {
    let mut runs: Vec<Vec<&str>> = [
        "mend --diff a.rocket.yaml",
        "checklist a.rocket.yaml",
        "failures a.rocket.yaml",
        "packet a.rocket.yaml",
        "packet a.rocket.yaml --format markdown",
        "packet a.rocket.yaml --verify a.rocket.yaml",
        "compare a.rocket.yaml a.rocket.yaml",
        "compare a.rocket.yaml b.rocket.yaml --format json",
        "pass parts a.rocket.yaml --by Mentor",
        "templates a.rocket.yaml --output drawings",
        "explain bay-vent-area",
        "explain bay-vent-area --format json",
        "explain a.rocket.yaml apogee",
        "explain a.rocket.yaml apogee --format json",
        "trial p.yaml",
        "rules",
        "rules --quantities",
        "rules --markdown",
        "rules --format json",
        "new -",
        "new new.rocket.yaml",
        "completions bash",
        "man",
        "schema design",
        "review --show-settings a.rocket.yaml",
        "review a.rocket.yaml --output json=report.json",
        "review a.rocket.yaml --baseline known.json --write-baseline",
        "review not-there",
        "--help",
        "review --help",
        "--version",
    ]
    .map(|words| words.split(' ').collect())
    .into();
    let forms = |design| Format::WORDS.iter().map(move |form| vec!["review", design, "--format", form]);
    runs.extend([vec!["watch", "a.rocket.yaml"], vec!["next", "--diff", "a.rocket.yaml"]]);
    runs.extend(forms("a.rocket.yaml").chain(forms("b.rocket.yaml")));
    runs
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench.write("b.rocket.yaml", super::swap(DUAL, "rail: 96 in", "rail: 48 in"));
    bench.write("p.yaml", "pack: ours\nabout: Ours.\nrules: {}\n");
    let help = bench.run(&["--help"]).out;
    let commands = help.split_once("Commands:").unwrap().1.split_once("Options:").unwrap().0;
    let commands: Vec<&str> = commands
        .lines()
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next())
        .collect();
    assert!(commands.len() > 10, "{help}");
    // An editor's server prints nothing unless it is asked something.
    for command in commands.into_iter().filter(|command| *command != "language-server") {
        assert!(runs().iter().any(|arguments| arguments[0] == command), "no run of `{command}`");
    }
    for arguments in runs() {
        let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
        let output = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(&arguments)
            .current_dir(bench.path())
            .stdout(full)
            .output()
            .unwrap();
        let reported = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {reported}");
        assert!(reported.contains("standard output: not written: "), "{arguments:?}: {reported}");
    }
}

#[test]
fn a_reader_that_went_away_is_no_error() {
    let bench = bench();
    bench.write("good/a.rocket.yaml", DUAL);
    for (path, form, code) in [("good", "json", 0), ("good", "text", 0), ("d", "json", 2)] {
        let mut child = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
            .args(["review", path, "--today", "2026-06-01", "--format", form])
            .current_dir(bench.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(code), "{path} {form}");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{path} {form}");
    }
}

/// A run that held its designs and its report would need several times as much.
#[cfg(target_os = "linux")]
#[test]
fn many_designs_take_no_more_memory_than_few() {
    let bench = Bench::new();
    for number in 0..600 {
        bench.write(&format!("d/{number:03}.rocket.yaml"), "holdpoint: 1\n");
    }
    for form in ["json", "sarif"] {
        let output = Command::new("sh")
            .args(["-c", "ulimit -v 90000; RAYON_NUM_THREADS=1 exec \"$0\" review d --format \"$1\""])
            .args([env!("CARGO_BIN_EXE_holdpoint"), form])
            .current_dir(bench.path())
            .stdout(Stdio::null())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(1), "{form}: {}", String::from_utf8_lossy(&output.stderr));
    }
}
