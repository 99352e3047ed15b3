//! What comes into the build is what `deny.toml` lets in: licences, registries, and no package in two versions but those with a reason.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;

use crate::file;

/// The texts in quotes of one list of `deny.toml`.
fn quoted(text: &str) -> BTreeSet<String> {
    text.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

/// A list of `deny.toml`, by what it begins with.
fn list(policy: &str, start: &str) -> String {
    let (_, rest) = policy.split_once(start).unwrap_or_else(|| panic!("deny.toml has no `{start}`"));
    rest.split_once("\n]").or_else(|| rest.split_once(']')).unwrap().0.to_owned()
}

/// The packages of `Cargo.lock`: name, version, where from, whether it has a checksum.
fn locked() -> Vec<(String, String, Option<String>, bool)> {
    let lock = file("Cargo.lock");
    let value = |block: &str, key: &str| {
        let line = block.lines().find_map(|line| line.strip_prefix(&format!("{key} = \"")));
        line.map(|text| text.trim_end_matches('"').to_owned())
    };
    let blocks = lock.split("[[package]]").skip(1);
    let all: Vec<_> = blocks
        .map(|block| {
            let named = |key| value(block, key).unwrap_or_else(|| panic!("no {key} in {block}"));
            (named("name"), named("version"), value(block, "source"), value(block, "checksum").is_some())
        })
        .collect();
    assert!(all.len() > 100, "{}", all.len());
    all
}

#[test]
fn all_packages_come_from_the_one_registry_with_their_checksums() {
    let policy = file("deny.toml");
    let registries = quoted(&list(&policy, "allow-registry = ["));
    for (name, version, source, has_checksum) in locked() {
        let Some(source) = source else {
            assert_eq!(name, "holdpoint", "{name} {version} lies in the repository");
            continue;
        };
        let registry =
            source.strip_prefix("registry+").unwrap_or_else(|| panic!("{name} comes from {source}"));
        assert!(registries.contains(registry) && has_checksum, "{name} {version} from {source}");
    }
}

#[test]
fn no_package_is_there_twice_but_for_a_reason() {
    let policy = file("deny.toml");
    let skipped = list(&policy, "skip = [");
    let skipped: BTreeSet<String> = skipped
        .lines()
        .filter_map(|line| line.split("crate = \"").nth(1)?.split('"').next().map(str::to_owned))
        .collect();
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, version, ..) in locked() {
        versions.entry(name).or_default().insert(version);
    }
    let mut reasons = skipped.clone();
    for (name, all) in versions.iter().filter(|(_, all)| all.len() > 1) {
        let is_told = |version: &&String| skipped.contains(&format!("{name}@{version}"));
        assert_eq!(all.iter().filter(|version| !is_told(version)).count(), 1, "{name}: {all:?}");
        reasons.retain(|reason| !all.iter().any(|version| *reason == format!("{name}@{version}")));
    }
    assert!(reasons.is_empty(), "these are no longer there twice: {reasons:?}");
}

/// Whether a licence expression can be kept by what is allowed.
fn is_kept(expression: &str, allowed: &BTreeSet<String>) -> bool {
    let expression = expression.replace('/', " OR ").replace(['(', ')'], "");
    expression.split(" AND ").all(|part| {
        part.split(" OR ").any(|one| allowed.contains(one.split(" WITH ").next().unwrap_or(one).trim()))
    })
}

#[test]
fn every_licence_is_one_that_is_let_in() {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline", "--filter-platform"])
        .arg(host())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let policy = file("deny.toml");
    let allowed = quoted(&list(&policy, "\nallow = ["));
    let exceptions = list(&policy, "exceptions = [");
    let mut looked_at = 0;
    for package in metadata["packages"].as_array().unwrap() {
        let name = package["name"].as_str().unwrap();
        let licence = package["license"].as_str().unwrap_or_else(|| panic!("{name} names no licence"));
        let is_exception = exceptions.lines().any(|line| {
            line.contains(&format!("crate = \"{name}\""))
                && line.contains(&format!("allow = [\"{licence}\"]"))
        });
        assert!(is_kept(licence, &allowed) || is_exception, "{name}: {licence}");
        looked_at += 1;
    }
    assert!(looked_at > 100, "{looked_at}");
    assert!(!is_kept("GPL-3.0-only", &allowed) && !is_kept("MIT AND GPL-3.0-only", &allowed));
}

/// The system that this is built on, as the compiler names it.
fn host() -> String {
    let output = Command::new("rustc").arg("-vV").output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().find_map(|line| line.strip_prefix("host: ")).unwrap().to_owned()
}

/// The oldest version of each dependency that is asked for is the one that the tests run with, so that no older one is said to do.
#[test]
fn the_least_version_of_a_dependency_is_the_one_that_is_tried() {
    let locked: BTreeSet<(String, String)> =
        locked().into_iter().map(|(name, version, ..)| (name, version)).collect();
    let manifest = file("Cargo.toml");
    let (mut is_list, mut asked) = (false, 0);
    for line in manifest.lines() {
        if line.starts_with('[') {
            is_list = line.ends_with("dependencies]");
        }
        let Some((name, rest)) = line.split_once(" = ").filter(|_| is_list) else { continue };
        let of =
            |key: &str| rest.split(&format!("{key} = \"")).nth(1).and_then(|text| text.split('"').next());
        let version = of("version").or_else(|| rest.split('"').nth(1)).unwrap().trim_start_matches('=');
        let package = of("package").unwrap_or(name);
        assert!(
            locked.contains(&(package.to_owned(), version.to_owned())),
            "{package} {version} is not in Cargo.lock"
        );
        asked += 1;
    }
    assert!(asked > 30, "{asked}");
}
