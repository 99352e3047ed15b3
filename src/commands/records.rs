//! Records of passed hold points beside designs, and a design reviewed against its own.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::files::{Placed, open};
use super::invocation::Output;
use super::settings::{RuleSources, SettingsCache};
use super::spread_option::SpreadOption;
use crate::design::Design;
use crate::report::Style;
use crate::review::{DesignReview, Options, Passes, hold_to, review};
use crate::rules::Library;
use crate::vocabulary::Date;

/// The record beside a design: `name.passed.yaml` for `name.rocket.yaml`.
pub(super) fn record_of(design: &Path) -> PathBuf {
    design.with_file_name(format!("{}.passed.yaml", stem_of(design)))
}

/// What files that belong to a design begin with: `name` for `name.rocket.yaml`.
pub(super) fn stem_of(design: &Path) -> String {
    let name = design.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let stem = name.strip_suffix(".yaml").unwrap_or(&name);
    stem.strip_suffix(".rocket").unwrap_or(stem).to_owned()
}

/// The record of a design, where there is one.
pub(super) fn read_record(design: &Path) -> Result<Option<(Passes, String)>, Vec<Placed>> {
    let path = record_of(design);
    if !path.exists() {
        return Ok(None);
    }
    let source = open(&path).map_err(|placed| vec![placed])?;
    match Passes::read(&source) {
        Ok(passes) => Ok(Some((passes, source.text().to_owned()))),
        Err(problems) => {
            let source = Arc::new(source);
            Err(problems.into_iter().map(|p| (Arc::clone(&source), p)).collect())
        }
    }
}

/// Holds each design to the record beside it. A record that cannot be read is a problem of its own.
pub(super) fn hold_to_records(
    designs: &mut [DesignReview],
    libraries: &[&Library],
    problems: &mut Vec<Placed>,
) {
    for (one, library) in designs.iter_mut().zip(libraries) {
        match read_record(Path::new(one.design.source.name())) {
            Ok(None) => {}
            Ok(Some((passes, _))) => hold_to(one, &passes, library),
            Err(found) => problems.extend(found),
        }
    }
}

/// A design with its review, and the rules it was reviewed by. Where one cannot be had the output says so.
pub(super) fn reviewed(
    path: &Path,
    sources: &RuleSources,
    (today, spread): (Date, SpreadOption),
    style: Style,
    output: &mut Output,
) -> Option<(Library, DesignReview)> {
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(sources);
    let number = settings_cache.number(path, &mut problems);
    output.complaints.push_str(&settings_cache.ignored());
    let force = settings_cache.get(number)?;
    let design = match open(path) {
        Ok(source) => Some(Design::read(source, &force.library.tables)),
        Err(placed) => {
            problems.push(placed);
            None
        }
    };
    output.complain(&problems, style);
    if let Some(design) = &design {
        output.complain_of(design, style);
    }
    let Some(design) = design.filter(|d| problems.is_empty() && d.problems.is_empty() && d.is_readable())
    else {
        output.code = 2;
        return None;
    };
    let how = Options { try_remedies: false, spread: spread.request(), ..Options::on(today) };
    let mut reviewed = review(design, &force.library, &force.options(path, &how));
    hold_to_records(std::slice::from_mut(&mut reviewed), &[&force.library], &mut problems);
    if problems.is_empty() {
        return Some((force.library.clone(), reviewed));
    }
    output.complain(&problems, style);
    None
}
