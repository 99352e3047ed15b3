//! The baseline file of a review: read, held against what is found, and written anew when that is asked for.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{Placed, of_path, open};
use super::writing::write_whole;
use crate::report::from_base;
use crate::review::{Baseline, DesignReview, Options};
use crate::rules::{Library, normalize_path};
use crate::yaml::{Problem, clean_line};

/// A baseline file, and what is done with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct BaselineFile {
    /// The file.
    pub(super) path: PathBuf,
    /// Write what is found now to it, in place of what it knows of the designs that are reviewed.
    pub(super) write: bool,
}

/// What one design brings to a baseline that is written: its name there, and what is found in it.
pub(super) type Taken = (String, Baseline);

/// A baseline, as it is held against designs.
pub(super) struct Held<'f> {
    file: &'f BaselineFile,
    here: PathBuf,
    /// The folder that its names begin in.
    folder: PathBuf,
    /// What it knows; `None` where it cannot be read.
    known: Option<Baseline>,
    unreadable: Option<Placed>,
    /// The designs that are not there any more.
    gone: Vec<String>,
}

impl<'f> Held<'f> {
    /// Reads a baseline; one that is to be written may be not there yet.
    pub(super) fn read(file: &'f BaselineFile) -> Self {
        let here = std::env::current_dir().unwrap_or_default();
        let whole = normalize_path(&here.join(&file.path));
        let folder = whole.parent().unwrap_or(Path::new("/")).to_path_buf();
        let (known, unreadable) = match (file.write && !file.path.exists(), open(&file.path)) {
            (true, _) => (Some(Baseline::default()), None),
            (false, Err(placed)) => (None, Some(placed)),
            (false, Ok(source)) => match Baseline::read(&source) {
                Ok(baseline) => (Some(baseline), None),
                Err(problem) => (None, Some((Arc::new(source), problem))),
            },
        };
        let paths = known.iter().flat_map(Baseline::paths);
        let gone = paths.filter(|path| !folder.join(path).exists()).map(str::to_owned).collect();
        Self { file, here, folder, known, unreadable, gone }
    }

    /// True when it is to be written: what becomes of each design's findings then depends on whether it could be.
    pub(super) fn is_written(&self) -> bool {
        self.file.write && self.known.is_some()
    }

    /// Passes over what it knows of a design; when it is to be written, that is all that is found in it.
    pub(super) fn hold(
        &self,
        review: &mut DesignReview,
        library: &Library,
        options: &Options,
    ) -> Option<Taken> {
        let whole = normalize_path(&self.here.join(review.design.source.name()));
        let whole = whole.to_string_lossy();
        let known = self.known.as_ref()?;
        // A version before named by its whole path what lies outside the folder of the baseline.
        let is_old = known.paths().any(|path| path == whole);
        let path = if is_old { whole.into_owned() } else { from_base(&whole, &self.folder) };
        if !self.file.write {
            known.apply(&path, review, library, options);
            return None;
        }
        let mut taken = Baseline::default();
        taken.take(&path, review);
        taken.apply(&path, review, library, options);
        Some((path, taken))
    }

    /// Writes it, if that is asked for. What is to be report beside the report comes back, or a problem.
    pub(super) fn finish(self, taken: Vec<Taken>, all_read: bool) -> Result<String, Placed> {
        let Some(mut baseline) = self.known else {
            return self.unreadable.map_or_else(|| Ok(String::new()), Err);
        };
        let path = &self.file.path;
        let name = clean_line(&path.to_string_lossy()).into_owned();
        let mut report = String::new();
        if !self.file.write {
            for path in &self.gone {
                report.push_str(&format!("{name}: `{}` is not there any more\n", clean_line(path)));
            }
            return Ok(report);
        }
        if !all_read {
            let message = "not written: what could not be reviewed has findings that nobody knows";
            return Err(of_path(path, Problem::of_file(message)));
        }
        let before = baseline.clone();
        for path in &self.gone {
            baseline.forget(path);
        }
        for (path, found) in taken {
            baseline.replace(&path, found);
        }
        if before != baseline || !path.exists() {
            let text = baseline.written();
            write_whole(path, |out| out.write_all(text.as_bytes()))
                .map_err(|why| of_path(path, Problem::of_file(format!("not written: {why}"))))?;
            report = format!("{name}: written, {} known; {} before\n", count(baseline.len()), before.len());
        }
        Ok(report)
    }
}

fn count(findings: usize) -> String {
    if findings == 1 { "1 finding".to_owned() } else { format!("{findings} findings") }
}
