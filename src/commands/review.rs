//! `holdpoint review`: the main job.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;

use super::baseline::{BaselineFile, hold_against};
use super::outputs::{Format, OutputFile, write_reports};
use super::pass::hold_to_records;
use super::progress::bar;
use super::settings::{Shelf, show};
use super::{Output, Placed, is_built_in, of_path, open, read_source, rule_files};
use crate::design::Design;
use crate::report::{Review, Style};
use crate::review::{DesignReview, FailOn, Options, review as review_design, show_from};
use crate::rules::{HoldPoint, Level, Library, More, Said, Settings, tidy};
use crate::tables::Tables;
use crate::text::{Problem, Source};
use crate::vocabulary::Date;

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
    /// Reports in other forms, each to a file.
    pub outputs: Vec<OutputFile>,
    /// A baseline, whose findings the exit code passes over.
    pub baseline: Option<BaselineFile>,
    /// Only say which settings hold for this design, and where each comes from.
    pub show_settings: Option<PathBuf>,
    /// Waived findings too, in a form that otherwise leaves them out.
    pub show_waived: bool,
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
    library_set(paths, None, problems)
}

/// The packs in force where a club has settings: the built-in ones, those of some paths, and the club's.
pub(super) fn library_set(
    paths: &[PathBuf],
    settings: Option<&Settings>,
    problems: &mut Vec<Placed>,
) -> Library {
    let mut more = More::default();
    let of_settings: Vec<PathBuf> = settings.iter().flat_map(|s| &s.packs).map(Said::path).collect();
    let mut seen = std::collections::BTreeSet::new();
    for path in paths.iter().chain(&of_settings) {
        let files = rule_files(path);
        if files.is_empty() {
            problems.push(of_path(path, Problem::of_file("no rule files here")));
        }
        for (files, sources) in [(files.packs, &mut more.packs), (files.tables, &mut more.tables)] {
            // A file that is named twice is one file.
            for file in files.into_iter().filter(|f| seen.insert(tidy(f))) {
                match open(&file) {
                    Ok(source) if is_built_in(&source) => {}
                    Ok(source) => sources.push(source),
                    Err(problem) => problems.push(problem),
                }
            }
        }
    }
    let library = match settings {
        Some(settings) => Library::load_set(more, settings),
        None => Library::load(more),
    };
    problems.extend(library.problems.iter().cloned());
    library
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

/// Reviews designs, each with the settings of the club whose folder it lies in.
#[must_use]
pub fn review(options: &ReviewOptions) -> Output {
    if let Some(design) = &options.show_settings {
        return show(design, &options.rules, options.style);
    }
    let mut problems = Vec::new();
    let mut told = String::new();
    let mut shelf = Shelf::new(&options.rules);
    let mut files = designs(&options.paths, &mut problems);
    shelf.keep(&mut files, &options.paths, &mut problems, &mut told);
    if files.is_empty() {
        // What is wrong with the packs is told all the same.
        shelf.number(Path::new("-"), &mut problems);
    }
    let numbers: Vec<usize> = files.iter().map(|file| shelf.number(file, &mut problems)).collect();
    if let Some(complaint) = shelf.unknown_codes(&options.codes) {
        return Output::failed(complaint);
    }
    let tables = |number| shelf.get(number).map_or(Tables::built_in(), |force| &force.library.tables);
    let read: Vec<Result<Design, Placed>> = files
        .par_iter()
        .zip(&numbers)
        .map(|(path, number)| read_one(path).map(|source| Design::read(source, tables(*number))))
        .collect();
    let mut readable = Vec::new();
    for ((path, number), result) in files.iter().zip(numbers).zip(read) {
        match result {
            Ok(design) => {
                let source = Arc::new(design.source.clone());
                problems.extend(design.problems.iter().map(|p| (Arc::clone(&source), p.clone())));
                if design.is_readable() {
                    readable.push((design, path, number));
                }
            }
            Err(problem) => problems.push(problem),
        }
    }
    let mut how = Options::on(options.today);
    how.before = options.before;
    how.codes.clone_from(&options.codes);
    let progress = bar(readable.len());
    let (mut designs, settled): (Vec<DesignReview>, Vec<(&Library, Options)>) = readable
        .into_par_iter()
        .filter_map(|(design, path, number)| {
            let force = shelf.get(number)?;
            let how = force.options(path, &how);
            let review = review_design(design, &force.library, &how);
            progress.inc(1);
            Some((review, (&force.library, how)))
        })
        .unzip();
    progress.finish_and_clear();
    let (libraries, hows): (Vec<&Library>, Vec<Options>) = settled.into_iter().unzip();
    hold_to_records(&mut designs, &libraries, &mut problems);
    if let Some(file) = &options.baseline {
        told.push_str(&hold_against(file, &mut designs, &libraries, &hows, &mut problems));
    }
    show_from(&mut designs, options.fail_on.shows(options.level));
    let review = Review { designs, problems, fail_on: options.fail_on };
    let mut output = write_reports(&review, &libraries, &files, options);
    output.complaints.insert_str(0, &told);
    output
}
