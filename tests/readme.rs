//! What the documents show is what the program prints, and the schemas and the page of rules are those it gives.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

use std::io::Write as _;
use std::process::{Command, Output, Stdio};

use holdpoint::commands::SchemaOf;

fn root(path: &str) -> String {
    format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))
}

/// What the program makes of arguments and of a text on its standard input.
fn run(arguments: &[&str], input: &str) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that reads nothing may be gone by now.
    let _ = program.stdin.take().unwrap().write_all(input.as_bytes());
    program.wait_with_output().unwrap()
}

fn printed(arguments: &[&str]) -> String {
    String::from_utf8(run(arguments, "").stdout).unwrap()
}

/// The documents, each with its text.
fn documents() -> Vec<(String, String)> {
    let mut names = vec!["README.md".to_owned(), "DEVELOPERS.md".to_owned(), "rules/README.md".to_owned()];
    for entry in std::fs::read_dir(root("docs")).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        if name.ends_with(".md") {
            names.push(format!("docs/{name}"));
        }
    }
    names.sort();
    names
        .into_iter()
        .map(|name| {
            let text = std::fs::read_to_string(root(&name)).unwrap();
            (name, text)
        })
        .collect()
}

/// The blocks of a document behind a fence with these words.
fn blocks<'d>(document: &'d str, info: &'d str) -> impl Iterator<Item = &'d str> {
    let fence = format!("\n```{info}\n");
    let from: Vec<usize> = document.match_indices(&fence).map(|(at, _)| at + fence.len()).collect();
    from.into_iter().map(|from| document[from..].split("```").next().unwrap())
}

#[test]
fn documents_show_what_is_printed() {
    let mut shown = 0;
    let mut outputs = std::collections::BTreeMap::new();
    for (name, text) in documents() {
        for block in blocks(&text, "console") {
            let (command, rest) = block.split_once('\n').unwrap();
            let words = command.strip_prefix("$ holdpoint ").unwrap();
            let output = outputs
                .entry(words.to_owned())
                .or_insert_with(|| printed(&words.split(' ').collect::<Vec<&str>>()));
            for excerpt in rest.split("…\n") {
                assert!(!excerpt.trim().is_empty(), "{name}: {command}");
                assert!(
                    output.contains(excerpt.trim_end()),
                    "{name} shows what `{command}` does not print:\n{excerpt}\n---\n{output}"
                );
                shown += 1;
            }
        }
    }
    assert!(shown >= 16, "{shown}");
}

/// The commands of the program that a document shows and does not run: lines of `sh` blocks, and spans of code.
fn commands(document: &str) -> Vec<String> {
    let lines = blocks(document, "sh").flat_map(str::lines).map(|l| l.split(" #").next().unwrap());
    let prose: String = document.split("```").step_by(2).collect();
    let spans: Vec<String> = prose
        .split('`')
        .skip(1)
        .step_by(2)
        .map(|s| s.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    let lines = lines.map(str::to_owned).chain(spans);
    lines.filter(|l| l.starts_with("holdpoint ")).map(|l| l.trim().to_owned()).collect()
}

#[test]
fn commands_that_are_shown_have_the_flags_that_they_are_shown_with() {
    let mut helps = std::collections::BTreeMap::new();
    let mut flags = 0;
    for (name, text) in documents() {
        for line in commands(&text) {
            let words: Vec<&str> = line.split(' ').collect();
            // `holdpoint >= 0.1` is a version that a pack needs.
            if words[1].starts_with('-') || ["COMMAND", ">="].contains(&words[1]) {
                continue;
            }
            let help = helps.entry(words[1].to_owned()).or_insert_with(|| printed(&[words[1], "--help"]));
            assert!(!help.is_empty(), "{name}: `{line}`: there is no such command");
            for flag in words.iter().filter(|w| w.starts_with("--")) {
                let known = help.split(|c: char| !(c.is_alphanumeric() || c == '-')).any(|w| w == *flag);
                assert!(known, "{name}: `{line}` has `{flag}`, and the command has no such flag");
                flags += 1;
            }
        }
    }
    assert!(flags > 20, "{flags}");
}

/// What a document adds to a design is read and kept without a complaint about the file.
#[test]
fn pieces_of_designs_that_are_shown_can_be_read() {
    let design = std::fs::read_to_string(root("rules/specimens/dual_deployment.rocket.yaml")).unwrap();
    let mut read = 0;
    for (name, text) in documents() {
        let pieces =
            blocks(&text, "yaml").filter(|b| ["waivers:", "codes:"].iter().any(|k| b.starts_with(k)));
        for piece in pieces {
            let output = run(
                &["review", "-", "--format", "json", "--today", "2026-06-01"],
                &format!("{design}\n{piece}"),
            );
            let reported = String::from_utf8_lossy(&output.stdout);
            assert_ne!(output.status.code(), Some(2), "{name}:\n{piece}\n---\n{reported}");
            read += 1;
        }
    }
    assert_eq!(read, 2);
}

#[test]
fn the_first_commands_are_the_two_of_the_readme() {
    let readme = std::fs::read_to_string(root("README.md")).unwrap();
    let first = readme.split("```sh\n").nth(1).unwrap().split("```").next().unwrap();
    assert_eq!(first, "cargo run --release -- review examples/first-draft.rocket.yaml\ncargo test\n");
}

/// A file is what a command prints; else the lines that differ are told.
#[track_caller]
fn same(kept: &str, now: &str, command: &str) {
    let difference = similar::TextDiff::from_lines(kept, now);
    assert!(kept == now, "run `holdpoint {command}`:\n{}", difference.unified_diff().context_radius(3));
}

#[test]
fn schemas_in_the_repository_are_up_to_date() {
    for name in SchemaOf::WORDS {
        let kept = std::fs::read_to_string(root(&format!("schemas/{name}.schema.json"))).unwrap();
        same(&kept, &printed(&["schema", name]), &format!("schema {name} > schemas/{name}.schema.json"));
    }
}

#[test]
fn the_page_of_the_rules_is_up_to_date() {
    let kept = std::fs::read_to_string(root("rules/RULES.md")).unwrap();
    same(&kept, &printed(&["rules", "--markdown"]), "rules --markdown > rules/RULES.md");
}
