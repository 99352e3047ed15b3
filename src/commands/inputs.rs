//! What commands read: the packs in force, and the designs of some paths.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{Placed, is_built_in, of_path, open, read_source, rule_files};
use crate::rules::{Library, More, Settings, Spanned, normalize_path};
use crate::yaml::{Problem, Source};

/// The packs in force: the built-in ones and those of some paths.
pub(super) fn library(paths: &[PathBuf], problems: &mut Vec<Placed>) -> Library {
    library_set(paths, None, problems)
}

/// The packs in force where a club has settings: the built-in ones, those of some paths, and the club's.
pub(super) fn library_set(
    paths: &[PathBuf],
    settings: Option<&Settings>,
    problems: &mut Vec<Placed>,
) -> Library {
    let more = rule_sources(paths, settings, problems);
    let library = match settings {
        Some(settings) => Library::load_set(more, settings),
        None => Library::load(more),
    };
    problems.extend(library.problems.iter().cloned());
    if let Some(settings) = settings {
        super::locks::check(settings, problems);
    }
    library
}

/// The packs and tables of some paths and of a club's settings.
pub(super) fn rule_sources(
    paths: &[PathBuf],
    settings: Option<&Settings>,
    problems: &mut Vec<Placed>,
) -> More {
    let mut more = More::default();
    let of_settings = settings.iter().flat_map(|s| &s.packs).map(|named| (named.path(), Some(named)));
    let named = paths.iter().map(|path| (path.clone(), None)).chain(of_settings);
    let mut seen = BTreeSet::new();
    for (path, setting) in named {
        // What settings name and nobody finds is a mistake of the settings, at its place there.
        let at = |setting: &Spanned, message: &str| {
            let message = format!("{message} `{}`", setting.text);
            (Arc::clone(&setting.at.source), Problem::at(setting.at.span, message))
        };
        if let Some(setting) = setting.filter(|_| !path.exists()) {
            problems.push(at(setting, "there is no file and no folder"));
            continue;
        }
        let files = rule_files(&path);
        if files.is_empty() {
            problems.push(match setting {
                Some(setting) => at(setting, "no rule files are in"),
                None => of_path(&path, Problem::of_file("no rule files here")),
            });
        }
        for (files, sources) in [(files.packs, &mut more.packs), (files.tables, &mut more.tables)] {
            // A file that is named twice is one file.
            for file in files.into_iter().filter(|f| seen.insert(normalize_path(f))) {
                match open(&file) {
                    Ok(source) if is_built_in(&source) => {}
                    Ok(source) => sources.push(source),
                    Err(problem) => problems.push(problem),
                }
            }
        }
    }
    more
}

/// Whether a file is a design, by its name.
pub(super) fn is_design(path: &Path) -> bool {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    name == "rocket.yaml" || name.ends_with(".rocket.yaml")
}

/// The design files of the paths, each once whatever it is called, and what could not be found. Links are not followed inside
/// folders: a link to a file of one of the folders is that file, and one that leads out of them is named.
pub(super) fn designs(paths: &[PathBuf], problems: &mut Vec<Placed>) -> Vec<PathBuf> {
    let mut found: Vec<(PathBuf, bool)> = Vec::new();
    for path in paths {
        if !path.is_dir() {
            found.push((path.clone(), false));
            continue;
        }
        let mut inside = Vec::new();
        for entry in super::files::walk(path) {
            match entry {
                // What cannot be read is kept too: reading it says so, where skipping it would say nothing.
                Ok(entry) if is_design(entry.path()) && !entry.path().is_dir() => {
                    let is_link = entry.path_is_symlink();
                    inside.push((entry.into_path(), is_link));
                }
                Ok(_) => {}
                Err(error) => problems.push(of_path(path, Problem::of_file(error.to_string()))),
            }
        }
        if inside.is_empty() {
            let message = "no designs here: a design is `rocket.yaml` or ends in `.rocket.yaml`";
            problems.push(of_path(path, Problem::of_file(message)));
        }
        inside.sort();
        found.extend(inside);
    }
    let place = |path: &PathBuf| std::fs::canonicalize(path).unwrap_or_else(|_| path.clone());
    let folders: Vec<PathBuf> = paths.iter().filter(|path| path.is_dir()).map(place).collect();
    let plain: BTreeSet<PathBuf> =
        found.iter().filter(|(_, is_link)| !is_link).map(|(path, _)| place(path)).collect();
    let mut seen = BTreeSet::new();
    let mut designs = Vec::new();
    for (path, is_link) in found {
        let target = place(&path);
        if is_link && plain.contains(&target) {
            continue;
        }
        if is_link && path.exists() && !folders.iter().any(|folder| target.starts_with(folder)) {
            let message = "this link leads out of the folders that are reviewed";
            problems
                .push(of_path(&path, Problem::of_file(message).help("name the file itself to review it")));
        } else if seen.insert(target) {
            designs.push(path);
        }
    }
    designs
}

pub(super) fn read_one(path: &Path) -> Result<Source, Placed> {
    if path.as_os_str() == "-" {
        return read_source("standard input", std::io::stdin().lock());
    }
    open(path)
}
