//! The guide of a first rocket, from nothing to its papers: its commands are run in order, with what its builder writes between them.

use std::collections::BTreeMap;

use super::Bench;

const GUIDE: &str = "docs/first-rocket.md";
/// The design as it is at the end of the guide.
const FINISHED: &str = "docs/sedge-warbler.rocket.yaml";
const FILE: &str = "warbler.rocket.yaml";
/// The day on which the guide is read, for rules that ask how old a test is.
const DAY: &str = "2026-11-30";

fn file_of(path: &str) -> String {
    std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// The values of a design in block style: the number of the line, the path of the key, and what stands behind it.
fn values(text: &str) -> Vec<(usize, String, String)> {
    let mut path: Vec<&str> = Vec::new();
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let key = line.trim_start();
        let Some((word, value)) = key.split_once(':').filter(|_| !key.starts_with('#')) else { continue };
        path.truncate((line.len() - key.len()) / 2);
        path.push(word);
        let value = value.split("   #").next().unwrap().trim();
        if !value.is_empty() {
            found.push((number, path.join("."), value.to_owned()));
        }
    }
    found
}

/// A design with answers in place of what is unknown, and of what was answered otherwise before.
fn filled(text: &str, answers: &BTreeMap<String, String>, changed: &[String]) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    for (number, path, value) in values(text) {
        if value == "unknown" || changed.contains(&path) {
            let answer = answers.get(&path).unwrap_or_else(|| panic!("nobody measured {path}"));
            lines[number] = lines[number].replacen(&format!(": {value}"), &format!(": {answer}"), 1);
        }
    }
    lines.join("\n") + "\n"
}

#[test]
fn the_guide_shows_what_happens() {
    let bench = Bench::new();
    let file = bench.path().join(FILE);
    let finished: BTreeMap<String, String> =
        values(&file_of(FINISHED)).into_iter().map(|(_, path, value)| (path, value)).collect();
    let mut answers = finished.clone();
    let mut steps = 0;
    for block in file_of(GUIDE).split("\n```").skip(1).step_by(2) {
        let (info, body) = block.split_once('\n').unwrap();
        let text = std::fs::read_to_string(&file).unwrap_or_default();
        match info {
            // What the builder writes otherwise than it ends up: a mistake, and how it is mended.
            "yaml write" => {
                let written: Vec<(&str, &str)> =
                    body.lines().map(|line| line.split_once(": ").unwrap()).collect();
                let paths: Vec<String> = written.iter().map(|(path, _)| (*path).to_owned()).collect();
                answers.extend(written.iter().map(|(path, value)| ((*path).to_owned(), (*value).to_owned())));
                let known: Vec<String> = values(&text)
                    .into_iter()
                    .filter(|(_, _, value)| value != "unknown")
                    .map(|(_, path, _)| path)
                    .collect();
                let changed: Vec<String> = paths.into_iter().filter(|path| known.contains(path)).collect();
                if !changed.is_empty() {
                    std::fs::write(&file, filled(&text, &answers, &changed)).unwrap();
                }
            }
            "yaml" => {
                for line in body.lines().filter(|line| line.trim() != "…") {
                    assert!(text.lines().any(|written| written == line), "`{line}` is not in\n{text}");
                }
            }
            "console step" => {
                let (command, rest) = body.split_once('\n').unwrap();
                let mut words: Vec<String> = Vec::new();
                // Words in quotation marks are one.
                for (place, piece) in command.strip_prefix("$ holdpoint ").unwrap().split('"').enumerate() {
                    if place % 2 == 1 {
                        words.push(piece.to_owned());
                    } else {
                        words.extend(piece.split_whitespace().map(str::to_owned));
                    }
                }
                if !text.is_empty() {
                    std::fs::write(&file, filled(&text, &answers, &[])).unwrap();
                }
                if ["next", "review", "checklist", "packet"].contains(&&*words[0]) {
                    words.extend(["--today".to_owned(), DAY.to_owned()]);
                }
                let run = bench.run(&words.iter().map(String::as_str).collect::<Vec<_>>());
                let printed = run.all();
                for excerpt in rest.split("…\n") {
                    assert!(!excerpt.trim().is_empty(), "{command}");
                    assert!(
                        printed.contains(excerpt.trim_end()),
                        "the guide shows what `{command}` does not print:\n{excerpt}\n---\n{printed}"
                    );
                }
                steps += 1;
            }
            _ => panic!("a block of the guide is `{info}`"),
        }
    }
    assert!(steps >= 12, "{steps}");
    let grown: BTreeMap<String, String> = values(&std::fs::read_to_string(&file).unwrap())
        .into_iter()
        .map(|(_, path, value)| (path, value))
        .collect();
    assert_eq!(grown, finished);
}
