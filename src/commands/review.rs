//! `holdpoint review`: the main job.

use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::{Output, is_built_in, open, rule_files};
use crate::design::Design;
use crate::report::{Review, Style, concise, json, text};
use crate::review::{Options, review_all};
use crate::rules::{HoldPoint, Library};
use crate::text::{Problem, Source};
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
}

/// What `review` is asked to do.
#[derive(Clone, Debug)]
pub struct ReviewOptions {
    /// Files, folders, or `-` for standard input.
    pub paths: Vec<PathBuf>,
    /// More rule packs.
    pub rules: Vec<PathBuf>,
    /// The form of the report.
    pub format: Format,
    /// How text is drawn.
    pub style: Style,
    /// Only what must be settled before this step.
    pub before: Option<HoldPoint>,
    /// The day it is.
    pub today: Date,
}

/// The packs in force: the built-in ones and those of some paths.
pub(super) fn library(paths: &[PathBuf], problems: &mut Vec<(Arc<Source>, Problem)>) -> Library {
    let mut more = Vec::new();
    for path in paths {
        let files = rule_files(path);
        if files.is_empty() {
            problems.push(of_path(path, "no rule files here"));
        }
        for file in files {
            match open(&file) {
                Ok(source) if is_built_in(&source) => {}
                Ok(source) => more.push(source),
                Err(complaint) => problems.push(of_path(&file, complaint.trim())),
            }
        }
    }
    let library = Library::load(more);
    problems.extend(library.problems.iter().cloned());
    library
}

fn of_path(path: &Path, message: &str) -> (Arc<Source>, Problem) {
    let name = path.to_string_lossy().into_owned();
    let message = message.strip_prefix(&format!("{name}: ")).unwrap_or(message).to_owned();
    (Arc::new(Source::new(name, "")), Problem::of_file(message))
}

fn is_design(path: &Path) -> bool {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    name == "rocket.yaml" || name.ends_with(".rocket.yaml")
}

/// The design files of the paths, and what could not be found. Links are not followed inside folders.
fn designs(paths: &[PathBuf], problems: &mut Vec<(Arc<Source>, Problem)>) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = Vec::new();
    for path in paths {
        if !path.is_dir() {
            found.push(path.clone());
            continue;
        }
        let mut inside = Vec::new();
        for entry in ignore::WalkBuilder::new(path).hidden(true).build() {
            match entry {
                Ok(entry) if entry.path().is_file() && is_design(entry.path()) => {
                    inside.push(entry.into_path())
                }
                Ok(_) => {}
                Err(error) => problems.push(of_path(path, &error.to_string())),
            }
        }
        if inside.is_empty() {
            problems
                .push(of_path(path, "no designs here: a design is `rocket.yaml` or ends in `.rocket.yaml`"));
        }
        inside.sort();
        found.extend(inside);
    }
    let mut seen = std::collections::BTreeSet::new();
    found.retain(|path| seen.insert(path.clone()));
    found
}

fn read_one(path: &Path) -> Result<Source, (Arc<Source>, Problem)> {
    if path.as_os_str() != "-" {
        return open(path).map_err(|complaint| of_path(path, complaint.trim()));
    }
    let mut bytes = Vec::new();
    let input = std::io::stdin().lock().take(16 << 20).read_to_end(&mut bytes);
    let named = |problem| (Arc::new(Source::new("standard input", "")), problem);
    input.map_err(|error| named(Problem::of_file(error.to_string())))?;
    Source::from_bytes("standard input", bytes).map_err(named)
}

/// Reviews designs.
#[must_use]
pub fn review(options: &ReviewOptions) -> Output {
    let mut problems = Vec::new();
    let library = library(&options.rules, &mut problems);
    let files = designs(&options.paths, &mut problems);
    let read: Vec<Result<Design, (Arc<Source>, Problem)>> =
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
    let review = Review { designs: review_all(readable, &library, &how), problems };
    let report = match options.format {
        Format::Text => text(&review, options.style),
        Format::Concise => concise(&review),
        Format::Json => json(&review),
    };
    Output { report, complaints: String::new(), code: review.exit_code() }
}
