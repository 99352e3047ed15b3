//! `holdpoint review`: the main job.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::{Output, Placed, is_built_in, of_path, open, read_source, rule_files};
use crate::design::Design;
use crate::report::{Review, Style, concise, json, page, text};
use crate::review::{FailOn, Options, review_all, show_from, unknown_code};
use crate::rules::{HoldPoint, Level, Library};
use crate::text::{Problem, Source, clean_line};
use crate::vocabulary::Date;

/// The form of a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// As a mentor would write it.
    #[default]
    Text,
    /// One line a finding.
    Concise,
    /// The contract for programs.
    Json,
    /// One page for a browser or a printer.
    Html,
}

/// What `review` is asked to do.
#[derive(Clone, Debug)]
pub struct ReviewOptions {
    /// Files, folders, or `-` for standard input.
    pub paths: Vec<PathBuf>,
    /// More rule packs.
    pub rules: Vec<PathBuf>,
    /// Code packs that are judged whatever a design says.
    pub codes: Vec<String>,
    /// The form of the report.
    pub format: Format,
    /// How text is drawn.
    pub style: Style,
    /// Only what must be settled before this step.
    pub before: Option<HoldPoint>,
    /// The day it is.
    pub today: Date,
    /// What makes exit code 1.
    pub fail_on: FailOn,
    /// The least grave level to show; what makes the review fail is shown all the same.
    pub level: Level,
}

/// The packs in force: the built-in ones and those of some paths.
pub(super) fn library(paths: &[PathBuf], problems: &mut Vec<Placed>) -> Library {
    let mut more = Vec::new();
    for path in paths {
        let files = rule_files(path);
        if files.is_empty() {
            problems.push(of_path(path, Problem::of_file("no rule files here")));
        }
        for file in files {
            match open(&file) {
                Ok(source) if is_built_in(&source) => {}
                Ok(source) => more.push(source),
                Err(problem) => problems.push(problem),
            }
        }
    }
    let library = Library::load(more);
    problems.extend(library.problems.iter().cloned());
    library
}

/// What to complain of in the names of codes that were asked for, if anything.
pub(super) fn unknown_codes(codes: &[String], library: &Library) -> Option<String> {
    let all: Vec<String> = codes.iter().filter_map(|name| unknown_code(name, library)).collect();
    (!all.is_empty()).then(|| format!("{}\n", clean_line(&all.join(" "))))
}

fn is_design(path: &Path) -> bool {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    name == "rocket.yaml" || name.ends_with(".rocket.yaml")
}

/// The design files of the paths, and what could not be found. Links are not followed inside folders.
pub(super) fn designs(paths: &[PathBuf], problems: &mut Vec<Placed>) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = Vec::new();
    for path in paths {
        if !path.is_dir() {
            found.push(path.clone());
            continue;
        }
        let mut inside = Vec::new();
        for entry in ignore::WalkBuilder::new(path).hidden(true).build() {
            match entry {
                // A link that leads nowhere is kept too: reading it says so, where skipping it would say nothing.
                Ok(entry) if is_design(entry.path()) && !entry.path().is_dir() => {
                    inside.push(entry.into_path())
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
    let mut seen = std::collections::BTreeSet::new();
    found.retain(|path| seen.insert(path.clone()));
    found
}

fn read_one(path: &Path) -> Result<Source, Placed> {
    if path.as_os_str() == "-" {
        return read_source("standard input", std::io::stdin().lock());
    }
    open(path)
}

/// Reviews designs.
#[must_use]
pub fn review(options: &ReviewOptions) -> Output {
    let mut problems = Vec::new();
    let library = library(&options.rules, &mut problems);
    if let Some(complaint) = unknown_codes(&options.codes, &library) {
        return Output::failed(complaint);
    }
    let files = designs(&options.paths, &mut problems);
    let read: Vec<Result<Design, Placed>> =
        files.par_iter().map(|path| read_one(path).map(Design::read)).collect();
    let mut readable = Vec::new();
    for result in read {
        match result {
            Ok(design) => {
                let source = Arc::new(design.source.clone());
                problems.extend(design.problems.iter().map(|p| (Arc::clone(&source), p.clone())));
                if design.is_readable() {
                    readable.push(design);
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    let mut how = Options::on(options.today);
    how.before = options.before;
    how.codes.clone_from(&options.codes);
    let mut designs = review_all(readable, &library, &how);
    show_from(&mut designs, options.fail_on.shows(options.level));
    let review = Review { designs, problems, fail_on: options.fail_on };
    let report = match options.format {
        Format::Text => text(&review, options.style),
        Format::Concise => concise(&review),
        Format::Json => json(&review),
        Format::Html => page(&review, &library),
    };
    Output { report, complaints: String::new(), code: review.exit_code() }
}
