//! What README.md shows is what the program prints, and the schemas and the page of rules are those it gives.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test may panic"
)]

use std::process::Command;

fn root(path: &str) -> String {
    format!("{}/{path}", env!("CARGO_MANIFEST_DIR"))
}

fn printed(arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn readme_shows_what_is_printed() {
    let readme = std::fs::read_to_string(root("README.md")).unwrap();
    let mut shown = 0;
    for block in readme.split("```console\n").skip(1) {
        let block = block.split("```").next().unwrap();
        let (command, rest) = block.split_once('\n').unwrap();
        let arguments: Vec<&str> = command.strip_prefix("$ holdpoint ").unwrap().split(' ').collect();
        let output = printed(&arguments);
        for excerpt in rest.split("…\n") {
            assert!(!excerpt.trim().is_empty());
            assert!(
                output.contains(excerpt.trim_end()),
                "README.md shows what `{command}` does not print:\n{excerpt}\n---\n{output}"
            );
            shown += 1;
        }
    }
    assert!(shown >= 4, "{shown}");
}

#[test]
fn the_first_commands_are_the_two_of_the_readme() {
    let readme = std::fs::read_to_string(root("README.md")).unwrap();
    let first = readme.split("```sh\n").nth(1).unwrap().split("```").next().unwrap();
    assert_eq!(first, "cargo run --release -- review examples/first-draft.rocket.yaml\ncargo test\n");
}

#[test]
fn schemas_in_the_repository_are_up_to_date() {
    for name in ["design", "pack", "review", "compare", "settings"] {
        let kept = std::fs::read_to_string(root(&format!("schemas/{name}.schema.json"))).unwrap();
        assert_eq!(
            kept,
            printed(&["schema", name]),
            "run `holdpoint schema {name} > schemas/{name}.schema.json`"
        );
    }
}

#[test]
fn the_page_of_the_rules_is_up_to_date() {
    let kept = std::fs::read_to_string(root("rules/RULES.md")).unwrap();
    let now = printed(&["rules", "--markdown"]);
    let line = kept.lines().zip(now.lines()).position(|(a, b)| a != b);
    assert!(
        kept == now,
        "run `holdpoint rules --markdown > rules/RULES.md`: they differ from line {line:?} on"
    );
}
