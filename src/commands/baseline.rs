//! The baseline file of a review: read, held against what is found, and written anew when that is asked for.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::writing::write_whole;
use super::{Placed, of_path, open};
use crate::report::from_base;
use crate::review::{Baseline, DesignReview, Options};
use crate::rules::{Library, tidy};
use crate::text::{Problem, clean_line};

/// A baseline file, and what is done with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BaselineFile {
    /// The file.
    pub path: PathBuf,
    /// Write what is found now to it, in place of what it knows of the designs that are reviewed.
    pub write: bool,
}

/// Passes over what the baseline knows, or takes in what is found. What is to be told beside the report comes back.
pub(super) fn hold_against(
    file: &BaselineFile,
    designs: &mut [DesignReview],
    libraries: &[&Library],
    hows: &[Options],
    problems: &mut Vec<Placed>,
) -> String {
    let here = std::env::current_dir().unwrap_or_default();
    let whole = tidy(&here.join(&file.path));
    let folder = whole.parent().unwrap_or(Path::new("/")).to_path_buf();
    let named = |review: &DesignReview| {
        let path = tidy(&here.join(review.design.source.name()));
        from_base(&path.to_string_lossy(), &folder)
    };
    let mut told = String::new();
    let mut baseline = match (file.write && !file.path.exists(), open(&file.path)) {
        (true, _) => Baseline::default(),
        (false, Err(placed)) => {
            problems.push(placed);
            return told;
        }
        (false, Ok(source)) => match Baseline::read(&source) {
            Ok(baseline) => baseline,
            Err(problem) => {
                problems.push((Arc::new(source), problem));
                return told;
            }
        },
    };
    let gone: Vec<String> =
        baseline.paths().filter(|path| !folder.join(path).exists()).map(str::to_owned).collect();
    let name = clean_line(&file.path.to_string_lossy()).into_owned();
    if file.write {
        if !problems.is_empty() {
            let message = "not written: what could not be reviewed has findings that nobody knows";
            problems.push(of_path(&file.path, Problem::of_file(message)));
            return told;
        }
        let before = baseline.clone();
        for path in &gone {
            baseline.forget(path);
        }
        for review in &*designs {
            baseline.take(&named(review), review);
        }
        if before != baseline || !file.path.exists() {
            match write_whole(&file.path, &baseline.written()) {
                Ok(()) => told.push_str(&format!(
                    "{name}: written, {} known; {} before\n",
                    count(baseline.len()),
                    before.len()
                )),
                Err(why) => {
                    let message = format!("not written: {why}");
                    problems.push(of_path(&file.path, Problem::of_file(message)));
                    return told;
                }
            }
        }
    } else {
        for path in &gone {
            told.push_str(&format!("{name}: `{}` is not there any more\n", clean_line(path)));
        }
    }
    for ((review, library), options) in designs.iter_mut().zip(libraries).zip(hows) {
        let path = named(review);
        baseline.apply(&path, review, library, options);
    }
    told
}

fn count(findings: usize) -> String {
    if findings == 1 { "1 finding".to_owned() } else { format!("{findings} findings") }
}
