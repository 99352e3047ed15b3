//! Digests of packs: what a club's settings say of the packs that they name, held against the files.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{Placed, of_path, open, rule_files};
use crate::review::digest;
use crate::rules::Settings;
use crate::yaml::{Problem, scalar_text};

/// SHA-256 in hexadecimal of the rule files of a path. That of a file is of its bytes. That of a folder is of a list of
/// its rule files in order of their names, one a line: the file's digest, two spaces, its path from the folder.
fn digest_of(path: &Path) -> Result<String, Vec<Placed>> {
    let files = rule_files(path);
    let mut problems = Vec::new();
    let mut digests: Vec<(String, String)> = Vec::new();
    for file in files.packs.into_iter().chain(files.tables) {
        match open(&file) {
            Ok(source) => {
                let from = file.strip_prefix(path).unwrap_or(&file);
                let steps: Vec<_> = from.components().map(|c| c.as_os_str().to_string_lossy()).collect();
                digests.push((steps.join("/"), digest(source.text().as_bytes())));
            }
            Err(placed) => problems.push(placed),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    if !path.is_dir() {
        return Ok(digests.into_iter().map(|(_, digest)| digest).collect());
    }
    digests.sort();
    let list: String = digests.iter().map(|(name, digest)| format!("{digest}  {name}\n")).collect();
    Ok(digest(list.as_bytes()))
}

/// Holds each pack that the settings name with a digest against its files. What cannot be read has been reported where the
/// packs were read.
pub(super) fn check(settings: &Settings, problems: &mut Vec<Placed>) {
    for lock in &settings.locks {
        let Ok(found) = digest_of(&lock.pack.path()) else { continue };
        if !found.eq_ignore_ascii_case(&lock.sha256.text) {
            let message = format!("`{}` is not as it was when this was written", lock.pack.text);
            let help = format!("see what changed in it; if that is meant, write `sha256: {found}`");
            let problem = Problem::at(lock.sha256.at.span, message).help(help);
            problems.push((Arc::clone(&lock.sha256.at.source), problem));
        }
    }
}

/// What a club's settings say under `packs` for some paths.
pub(super) fn locks_text(paths: &[PathBuf], problems: &mut Vec<Placed>) -> String {
    let mut text = String::from("packs:\n");
    for path in paths {
        if rule_files(path).is_empty() {
            problems.push(of_path(path, Problem::of_file("no rule files here")));
            continue;
        }
        match digest_of(path) {
            Ok(sha256) => {
                let path = scalar_text(&path.to_string_lossy());
                text.push_str(&format!("  - {{path: {path}, sha256: {sha256}}}\n"));
            }
            Err(found) => problems.extend(found),
        }
    }
    text
}
