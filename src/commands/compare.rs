//! `holdpoint compare`: two designs, or one design and an earlier revision of it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;

use super::files::{Placed, open};
use super::git::at_revision;
use super::invocation::{Invocation, Output};
use super::settings::{RuleSources, SettingsCache};
use crate::design::Design;
use crate::report::{AnswerFormat, comparison_concise, comparison_json, comparison_text};
use crate::review::{DesignReview, IncrementalReview, Options, compare as compare_reviews};
use crate::rules::HoldPoint;
use crate::tables::Tables;
use crate::vocabulary::Date;
use crate::yaml::no_commands;

/// What a design is compared with.
#[derive(Clone, Copy)]
enum Against<'o> {
    /// Another file.
    File(&'o PathBuf),
    /// The same file at a revision that git knows.
    Revision(&'o str),
}

/// Compare two designs, or a design with an earlier revision of itself
///
/// Tells what is written otherwise, which findings are new, gone or still there, and which margins grew or shrank.
/// Both are judged by the rules and settings of the new one.
///
/// Exit: that of a review of the new one.
#[derive(Args, Clone, Debug)]
pub struct CompareOptions {
    /// The old design and the new one; with --since, the design alone
    #[arg(required = true, num_args = 1..=2, value_name = "OLD NEW")]
    pub paths: Vec<PathBuf>,
    /// Compare with the file as it was at this revision, by git
    #[arg(long, value_name = "REVISION")]
    pub since: Option<String>,
    /// The form of the answer
    #[arg(long, value_enum, default_value_t)]
    pub format: AnswerFormat,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// Only what must be settled before this step
    #[arg(long, value_enum, value_name = "STEP")]
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
}

/// Compares two designs, both by the packs and settings of the one now. The exit code is that of a review of it.
pub(super) fn compare(options: &CompareOptions, invocation: &Invocation<'_>) -> Output {
    let (style, today) = (invocation.style, invocation.day(options.today));
    let mut how = Options::on(today);
    how.before = options.before;
    how.try_remedies = false;
    how.find_places = options.format.is_concise();
    how.find_working = false;
    how.find_not_judged = false;
    let (against, new) = match (options.paths.as_slice(), &options.since) {
        ([new], Some(revision)) => (Against::Revision(revision), new),
        ([old, new], None) => (Against::File(old), new),
        (_, Some(_)) => return Output::failed("with --since, one design is due\n"),
        (_, None) => {
            return Output::failed("two designs are due, the old one and the new one, or one and --since\n");
        }
    };
    let mut problems = Vec::new();
    let mut settings_cache = SettingsCache::new(&options.sources);
    let number = settings_cache.number(new, &mut problems);
    let old = match against {
        Against::File(path) => open(path),
        Against::Revision(revision) => at_revision(new, revision),
    };
    let mut sides = Vec::new();
    let mut incremental: Option<IncrementalReview<'_>> = None;
    for (side, source) in [old, open(new)].into_iter().enumerate() {
        let Some(force) = settings_cache.get(number) else { continue };
        let Some(design) = read(source, &force.library.tables, &mut problems) else { continue };
        // A waiver in the settings is of a design by its path; the earlier revision has the same.
        let path: &Path = match (against, side) {
            (Against::File(old), 0) => old,
            _ => new,
        };
        let how = force.options(path, &how);
        let incremental =
            incremental.get_or_insert_with(|| IncrementalReview::new(&force.library, how.clone()));
        incremental.set_waivers(how.waivers);
        sides.push(incremental.review(design));
    }
    let mut output = Output { complaints: settings_cache.ignored(), ..Output::default() };
    if let [old, new] = sides.as_slice() {
        let comparison = compare_reviews(old, new);
        output.report = if options.format.is_json() {
            comparison_json(&comparison)
        } else if options.format.is_concise() {
            no_commands(comparison_concise(&comparison))
        } else {
            no_commands(comparison_text(&comparison, style))
        };
        output.code = u8::from(!held(new));
    }
    output.complain(&problems, style);
    output
}

fn held(review: &DesignReview) -> bool {
    !review.findings.iter().any(crate::review::Finding::holds)
}

fn read(
    source: Result<crate::yaml::Source, Placed>,
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
