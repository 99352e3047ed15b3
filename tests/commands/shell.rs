//! What the program tells of itself to shells and to readers of manuals, and the hook for commits.

use std::process::{Command, Stdio};

use super::Bench;
use super::skips::skipped;

#[test]
fn completions_of_every_shell() {
    let bench = Bench::new();
    for shell in bench.words(&["completions"]) {
        let run = bench.run(&["completions", &shell]);
        run.code(0);
        for word in ["review", "--write-baseline", "sarif"] {
            assert!(run.out.contains(word.trim_start_matches('-')), "{shell} lacks {word}");
        }
    }
    bench.run(&["completions", "abacus"]).code(2);
    // A shell takes the script, and completes a command and a value with it.
    let script = bench.run(&["completions", "bash"]).out;
    bench.write("holdpoint.bash", script);
    let ask = "source holdpoint.bash; COMP_WORDS=(holdpoint review --format sa); COMP_CWORD=3; \
               _holdpoint holdpoint sa --format; echo \"${COMPREPLY[*]}\"";
    let Ok(output) = Command::new("bash").args(["--norc", "-c", ask]).current_dir(bench.path()).output()
    else {
        skipped("bash is not installed");
        return;
    };
    assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), "sarif", "{output:?}");
}

#[test]
fn manual_pages() {
    let bench = Bench::new();
    for (arguments, words) in [
        (&["man"][..], ".TH holdpoint 1"),
        (&["man", "review"][..], ".TH holdpoint\\-review 1"),
        (&["man", "compare"][..], "earlier revision of itself"),
    ] {
        let run = bench.run(arguments);
        let page = run.code(0).out.replace("holdpoint-review", "holdpoint\\-review");
        assert!(page.contains(words), "{page}");
    }
    let unknown = bench.run(&["man", "revue"]);
    unknown.code(2).has("no command is named `revue`; they are review, ");
    let (_, commands) = unknown.err.trim_end().split_once("they are ").unwrap();
    for command in commands.split(", ") {
        let page = bench.run(&["man", command]);
        page.code(0).has(&format!("holdpoint {command}").replace([' ', '-'], "\\-")).has(".SH OPTIONS");
        bench.run(&[command, "--help"]).code(0).has(&format!("Usage: holdpoint {command}"));
    }
}

#[test]
fn no_bar_where_there_is_no_terminal() {
    let bench = Bench::new();
    for number in 0..45 {
        bench.write(&format!("{number}.rocket.yaml"), "holdpoint: 1\n");
    }
    assert_eq!(bench.run(&["review", ".", "--format", "concise"]).err, "");
}

#[test]
fn a_bar_on_a_terminal_and_nothing_of_it_in_the_report() {
    let bench = Bench::new();
    for number in 0..45 {
        bench.write(&format!("{number}.rocket.yaml"), "holdpoint: 1\n");
    }
    let plain = bench.run(&["review", ".", "--format", "concise"]);
    let command = format!("{} review . --format concise >report", env!("CARGO_BIN_EXE_holdpoint"));
    let output = Command::new("script")
        .args(["-qefc", &command, "typescript"])
        .current_dir(bench.path())
        .env("TERM", "xterm")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .status();
    if output.is_err() {
        skipped("script is not installed");
        return;
    }
    let seen = std::fs::read_to_string(bench.path().join("typescript")).unwrap();
    assert!(seen.contains("of 45 designs reviewed"), "{seen:?}");
    assert_eq!(std::fs::read_to_string(bench.path().join("report")).unwrap(), plain.out);
}

#[test]
fn the_hook_for_commits_names_a_command_and_files_that_are_there() {
    let hooks: serde_json::Value =
        serde_yaml::from_str(include_str!("../../.pre-commit-hooks.yaml")).unwrap();
    for hook in hooks.as_array().unwrap() {
        let entry = hook["entry"].as_str().unwrap();
        let pattern = regex::Regex::new(hook["files"].as_str().unwrap()).unwrap();
        for (path, wanted) in [
            ("rocket.yaml", true),
            ("designs/tern.rocket.yaml", true),
            ("designs/rocket.yaml", true),
            ("designs/sprocket.yaml", false),
            ("designs/tern.rocket.yaml.orig", false),
        ] {
            assert_eq!(pattern.is_match(path), wanted, "{path}");
        }
        let bench = Bench::new();
        bench.write("tern.rocket.yaml", super::DUAL);
        let mut arguments: Vec<&str> = entry.strip_prefix("holdpoint ").unwrap().split(' ').collect();
        arguments.push("tern.rocket.yaml");
        bench.run(&arguments).code(0);
    }
}
