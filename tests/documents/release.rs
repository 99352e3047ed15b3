//! What docs/install.md says of releases and of the action is what the workflow builds and the action takes.

use std::collections::BTreeSet;

use serde_yaml::Value;

use crate::{between, blocks, file};

fn yaml(path: &str) -> Value {
    serde_yaml::from_str(&file(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The value of a key of the manifest.
fn manifest(key: &str) -> String {
    let manifest = file("Cargo.toml");
    let line = manifest.lines().find_map(|l| l.strip_prefix(&format!("{key} = \"")));
    line.unwrap().trim_end_matches('"').to_owned()
}

/// The systems that the workflow builds for.
fn systems() -> BTreeSet<String> {
    let workflow = yaml(".github/workflows/release.yaml");
    let matrix = &workflow["jobs"]["build"]["strategy"]["matrix"]["include"];
    matrix.as_sequence().unwrap().iter().map(|row| row["system"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn the_files_that_are_told_are_those_that_are_built_and_installed() {
    let version = manifest("version");
    let ending = |system: &str| if system.starts_with("windows-") { "zip" } else { "tar.gz" };
    let built: BTreeSet<String> =
        systems().iter().map(|s| format!("holdpoint-{version}-{s}.{}", ending(s))).collect();
    let document = file("docs/install.md");
    let rows = document.lines().filter(|l| l.starts_with("| ") && l.contains("| `holdpoint-"));
    let told: BTreeSet<String> = rows.map(|l| l.split('`').nth(1).unwrap().to_owned()).collect();
    assert_eq!(told, built);
    let script = file(".ci/install");
    let installed: BTreeSet<String> = script
        .split("system=")
        .skip(1)
        .filter_map(|rest| rest.split_whitespace().next())
        .map(str::to_owned)
        .collect();
    assert_eq!(installed, systems());
    for named in document.split("holdpoint-").skip(1).filter(|rest| rest.starts_with(char::is_numeric)) {
        assert!(named.starts_with(&version), "another version than {version}: holdpoint-{named}");
    }
    for named in document.split("/holdpoint@v").chain(document.split("/holdpoint:")).skip(1) {
        let is_version = named.starts_with(char::is_numeric);
        assert!(!is_version || named.starts_with(&version), "another version than {version}: {named}");
    }
}

#[test]
fn a_release_is_built_by_the_oldest_rust_that_will_do() {
    let workflow = yaml(".github/workflows/release.yaml");
    assert_eq!(workflow["env"]["RUSTUP_TOOLCHAIN"].as_str().unwrap(), manifest("rust-version"));
}

#[test]
fn the_inputs_that_are_told_are_those_of_the_action() {
    let action = yaml("action.yml");
    let inputs = action["inputs"].as_mapping().unwrap();
    let list: String = inputs
        .iter()
        .map(|(name, of)| {
            format!("- `{}`: {}\n", name.as_str().unwrap(), of["description"].as_str().unwrap())
        })
        .collect();
    let document = file("docs/install.md");
    assert_eq!(between(&document, "inputs"), list);
    // The workflows that are shown give it nothing else, and ask it for nothing else.
    let mut shown = 0;
    for block in blocks(&document).iter().filter(|b| b.info == "yaml") {
        let whole: Value = serde_yaml::from_str(&block.text).unwrap();
        let steps = whole.get("steps").unwrap_or_else(|| &whole["jobs"]["designs"]["steps"]);
        for step in steps.as_sequence().unwrap() {
            if step["uses"].as_str().unwrap().starts_with("OWNER/holdpoint@") {
                shown += 1;
                for (name, _) in step["with"].as_mapping().unwrap() {
                    assert!(inputs.contains_key(name), "line {}: {name:?}", block.line);
                }
            }
        }
        for output in block.text.split("steps.holdpoint.outputs.").skip(1) {
            let name: String = output.chars().take_while(char::is_ascii_alphanumeric).collect();
            assert!(action["outputs"].get(name.as_str()).is_some(), "the action gives no `{name}`");
        }
    }
    assert_eq!(shown, 2);
}

/// Every `uses` of a workflow, as the file writes it.
fn uses(path: &str) -> Vec<String> {
    let text = file(path);
    let lines = text.lines().map(|l| l.trim_start().trim_start_matches("- "));
    lines.filter_map(|l| l.strip_prefix("uses: ").map(str::to_owned)).collect()
}

/// A digest in place of a tag has the tag behind it, so that a person can see how old it is.
#[test]
fn workflows_use_few_actions_and_each_by_its_tag_or_its_digest() {
    for path in [".github/workflows/release.yaml", ".github/workflows/check.yaml"] {
        let used = uses(path);
        assert!(!used.is_empty());
        for one in used.iter().filter(|one| !one.starts_with("./")) {
            assert!(one.starts_with("actions/"), "{path} uses code of others: {one}");
            let version = one.split_once('@').unwrap().1;
            let pinned = version.split_once(" # v").is_some_and(|(digest, _)| {
                digest.len() == 40 && digest.bytes().all(|b| b.is_ascii_hexdigit())
            });
            let tagged = version.strip_prefix('v').is_some_and(|v| v.parse::<u32>().is_ok());
            assert!(pinned || tagged, "{path}: {one}");
        }
    }
}
