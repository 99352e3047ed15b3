//! `holdpoint compare`: two designs, or one design and an earlier revision of it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::git::at_revision;
use super::outputs::Format;
use super::settings::SettingsCache;
use super::{Output, Placed, open};
use crate::design::Design;
use crate::report::{Style, comparison_json, comparison_text, problem_text};
use crate::review::{DesignReview, IncrementalReview, Options, compare as compare_reviews};
use crate::rules::HoldPoint;
use crate::tables::Tables;
use crate::text::no_commands;
use crate::vocabulary::Date;

/// What a design is compared with.
#[derive(Clone, Debug)]
pub enum Against {
    /// Another file.
    File(PathBuf),
    /// The same file at a revision that git knows.
    Revision(String),
}

/// What `compare` is asked to do.
#[derive(Clone, Debug)]
pub struct CompareOptions {
    /// The design before.
    pub old: Against,
    /// The design now.
    pub new: PathBuf,
    /// More rule packs.
    pub rules: Vec<PathBuf>,
    /// Text or JSON.
    pub format: Format,
    /// Only what must be settled before this step.
    pub before: Option<HoldPoint>,
    /// The day it is.
    pub today: Date,
    /// How text is drawn.
    pub style: Style,
}

/// Compares two designs, both by the packs and settings of the one now. The exit code is that of a review of it.
#[must_use]
pub fn compare(options: &CompareOptions) -> Output {
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.rules);
    let number = settings_cache.number(&options.new, &mut problems);
    let mut how = Options::on(options.today);
    how.before = options.before;
    how.try_remedies = false;
    how.find_places = false;
    how.find_working = false;
    let old = match &options.old {
        Against::File(path) => open(path),
        Against::Revision(revision) => at_revision(&options.new, revision),
    };
    let mut sides = Vec::new();
    let mut incremental: Option<IncrementalReview<'_>> = None;
    for (side, source) in [old, open(&options.new)].into_iter().enumerate() {
        let Some(force) = settings_cache.get(number) else { continue };
        let Some(design) = read(source, &force.library.tables, &mut problems) else { continue };
        // A waiver in the settings is of a design by its path; the earlier revision has the same.
        let path: &Path = match (&options.old, side) {
            (Against::File(old), 0) => old,
            _ => &options.new,
        };
        let how = force.options(path, &how);
        let incremental =
            incremental.get_or_insert_with(|| IncrementalReview::new(&force.library, how.clone()));
        incremental.set_waivers(how.waivers);
        sides.push(incremental.review(design));
    }
    let mut output = Output::default();
    if let [old, new] = sides.as_slice() {
        let comparison = compare_reviews(old, new);
        output.report = match options.format {
            Format::Json => comparison_json(&comparison),
            _ => no_commands(comparison_text(&comparison, options.style)),
        };
        output.code = u8::from(!held(new));
    }
    for (source, problem) in &problems {
        output.complaints.push_str(&problem_text(source, problem, options.style));
        output.code = 2;
    }
    output
}

fn held(review: &DesignReview) -> bool {
    !review.findings.iter().any(crate::review::Finding::holds)
}

fn read(
    source: Result<crate::text::Source, Placed>,
    tables: &Tables,
    problems: &mut Vec<Placed>,
) -> Option<Design> {
    match source {
        Err(placed) => {
            problems.push(placed);
            None
        }
        Ok(source) => {
            let design = Design::read(source, tables);
            let source = Arc::new(design.source.clone());
            problems.extend(design.problems.iter().map(|p| (Arc::clone(&source), p.clone())));
            design.is_readable().then_some(design)
        }
    }
}
