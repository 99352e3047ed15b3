//! `holdpoint review`: the main job.

use std::collections::BTreeMap;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};

use clap::Args;
use indicatif::ProgressBar;
use rayon::prelude::*;

use super::baseline::{BaselineFile, Held, Taken};
use super::files::Placed;
use super::inputs::{designs, read_one};
use super::invocation::{Invocation, Output};
use super::outputs::{OutputFile, gatherings, may_print_at_once, write_reports};
use super::progress::bar;
use super::records::hold_to_records;
use super::report_writer::{Printed, ReportWriter};
use super::settings::{RuleSources, SettingsCache, show};
use super::spread_option::SpreadOption;
use crate::design::Design;
use crate::report::{Format, List, Part, ReportOptions, Style};
use crate::review::{DesignReview, FailOn, Options, review as review_design, show_from, waivers_of_several};
use crate::rules::{HoldPoint, Level};
use crate::tables::Tables;
use crate::vocabulary::Date;
use crate::yaml::{Problem, Source, clean_line};

/// Review designs: what is wrong, what is not proven, and what to change
///
/// Exit: 0 nothing holds, 1 something holds (see --fail-on), 2 something could not be reviewed.
#[derive(Args, Clone, Debug)]
pub struct ReviewOptions {
    /// Design files, folders, or `-` for standard input
    #[arg(required_unless_present = "show_settings")]
    pub paths: Vec<PathBuf>,
    /// Only say which settings hold for this design, and where each value comes from
    #[arg(long, value_name = "FILE")]
    pub show_settings: Option<PathBuf>,
    /// The form of the report
    #[arg(long, value_enum, default_value_t)]
    pub format: Format,
    /// A report in another form to a file besides: `sarif=review.sarif`; may be given again
    #[arg(long = "output", value_name = "FORM=FILE")]
    pub outputs: Vec<OutputFile>,
    /// A baseline: what it knows still holds its step, and only the exit code passes it over
    #[arg(long, value_name = "FILE")]
    pub baseline: Option<PathBuf>,
    /// Write what is found now to the baseline, in place of what it knows of these designs
    #[arg(long, requires = "baseline", conflicts_with = "before")]
    pub write_baseline: bool,
    /// Findings that are waived or in the baseline too, as suppressed ones, where the form leaves them out (sarif)
    #[arg(long)]
    pub show_waived: bool,
    #[allow(missing_docs, reason = "the flags say what each is for")]
    #[command(flatten)]
    pub sources: RuleSources,
    /// A code, law or guide that designs are judged by besides those they name themselves; may be given again
    #[arg(long = "code", value_name = "NAME")]
    pub codes: Vec<String>,
    /// Only what must be settled before this step
    #[arg(long, value_enum, value_name = "STEP")]
    pub before: Option<HoldPoint>,
    /// The day it is, for waivers and dates (year-month-day); today where not said
    #[arg(long, value_name = "DATE")]
    pub today: Option<Date>,
    /// What makes exit code 1: a finding of this level or a graver one
    #[arg(long, value_enum, value_name = "LEVEL", default_value_t)]
    pub fail_on: FailOn,
    /// Show findings of this level and graver ones; the others are counted. What makes exit code 1 is always shown
    #[arg(long, value_enum, value_name = "LEVEL", default_value_t = Level::Note)]
    pub level: Level,
    #[allow(missing_docs, reason = "the flag says what it is for")]
    #[command(flatten)]
    pub spread: SpreadOption,
    /// List every margin of what is held in the text report, and not the five narrowest only
    #[arg(long)]
    pub margins: bool,
}

/// So many designs a thread are read at a time, so that their order is settled and few are held.
const AT_A_TIME: usize = 8;

/// Reviews designs, each with the settings of the club whose folder it lies in, and prints the report to `out`: as it
/// comes, where its form can be printed so. What could not be printed is complaints in what comes back.
#[must_use]
pub(super) fn review(options: &ReviewOptions, invocation: &mut Invocation<'_>) -> Output {
    let style = Style { margins: options.margins, ..invocation.style };
    if let Some(design) = &options.show_settings {
        return show(design, &options.sources, style);
    }
    let mut problems = Vec::new();
    let mut complaints = String::new();
    let mut settings_cache = SettingsCache::new(&options.sources);
    let mut files = designs(&options.paths, &mut problems);
    settings_cache.keep(&mut files, &options.paths, &mut problems, &mut complaints);
    if files.is_empty() {
        // What is wrong with the packs is complaints all the same.
        settings_cache.number(Path::new("-"), &mut problems);
    }
    let in_force: Vec<usize> = files.iter().map(|file| settings_cache.number(file, &mut problems)).collect();
    if let Some(complaint) = settings_cache.unknown_codes(&options.codes) {
        return Output::failed(complaint);
    }
    let mut how = Options::on(options.today.unwrap_or(invocation.today));
    how.before = options.before;
    how.codes.clone_from(&options.codes);
    // The other forms print neither working nor margins of what is held.
    let mut forms = options.outputs.iter().map(|file| file.format).chain([options.format]);
    how.find_working = forms.any(Format::shows_working);
    how.find_margins = how.find_working;
    let mut forms = options.outputs.iter().map(|file| file.format).chain([options.format]);
    how.find_not_judged = forms.any(Format::shows_not_judged);
    how.spread = options.spread.request();
    let base = std::env::current_dir().unwrap_or_default();
    let file = options.baseline.clone().map(|path| BaselineFile { path, write: options.write_baseline });
    let baseline = file.as_ref().map(Held::read);
    let is_written = baseline.as_ref().is_some_and(Held::is_written);
    let shown =
        ReportOptions { style, base: &base, show_waived: options.show_waived, fail_on: options.fail_on };
    let all = || gatherings(options.format, &options.outputs, shown);
    let mut reports = all();
    let mut printed = Some(&mut *invocation.out);
    if !is_written && may_print_at_once(&options.outputs) {
        printed = reports.first_mut().and_then(|report| printed.take().and_then(|out| report.onto(out)));
    }
    // Whether the bar and the report would come to the same terminal at the same time.
    let is_mixed = printed.is_none() && std::io::stdout().is_terminal();
    let progress = bar(if is_mixed { 0 } else { files.len() });
    let mut run = Run {
        options,
        settings_cache: &settings_cache,
        how,
        baseline,
        // Until all is read, nobody knows whether the baseline will be written: both reports are made.
        unheld: if is_written { all() } else { Vec::new() },
        reports,
        place: 0,
        fails: false,
        unheld_fails: false,
        late: Vec::new(),
        taken: Vec::new(),
        of_several: BTreeMap::new(),
    };
    let mut any_problem = !problems.is_empty();
    for (source, problem) in &problems {
        run.problem(source, problem);
    }
    drop(problems);
    let files_in_force: Vec<(&PathBuf, usize)> = files.iter().zip(in_force).collect();
    for some in files_in_force.chunks(AT_A_TIME * rayon::current_num_threads()) {
        any_problem |= run.some(some, &progress);
    }
    progress.finish_and_clear();
    any_problem |= !run.late.is_empty();
    for parts in std::mem::take(&mut run.late) {
        run.put(List::Problems, parts);
    }
    run.finish(&files, &base, printed, any_problem, complaints)
}

/// A part for each report, those of the reports that no baseline is held against last.
type Parts = Vec<Part>;

/// A review that is under way.
struct Run<'r, 'o> {
    options: &'r ReviewOptions,
    settings_cache: &'r SettingsCache,
    how: Options,
    baseline: Option<Held<'r>>,
    reports: Vec<ReportWriter<'o>>,
    /// The same reports, of designs that no baseline is held against; none where it is not to be written.
    unheld: Vec<ReportWriter<'o>>,
    /// How many designs could be read so far.
    place: usize,
    fails: bool,
    unheld_fails: bool,
    /// Problems that come after those of all designs.
    late: Vec<Parts>,
    taken: Vec<Taken>,
    /// The waivers for several designs, and whether one of the designs so far has something that they cover.
    of_several: BTreeMap<String, bool>,
}

/// What came of one design.
#[derive(Default)]
struct Done {
    problems: Vec<Parts>,
    late: Vec<Parts>,
    design: Option<Parts>,
    fails: bool,
    unheld_fails: bool,
    taken: Option<Taken>,
    of_several: Vec<(String, bool)>,
}

impl Run<'_, '_> {
    /// Reviews some designs on all cores, and puts what comes of them into the reports in order. True when there is a
    /// problem with one of them.
    fn some(&mut self, files: &[(&PathBuf, usize)], progress: &ProgressBar) -> bool {
        let settings_cache = self.settings_cache;
        let tables =
            |number| settings_cache.get(number).map_or(Tables::built_in(), |force| &force.library.tables);
        let read = |(path, number): &(&PathBuf, usize)| {
            read_one(path).map(|source| Design::read(source, tables(*number)))
        };
        let read: Vec<Result<Design, Placed>> = files.par_iter().map(read).collect();
        // A design is complaints its place before it is reviewed: links on a page begin with it.
        let numbered: Vec<_> = read
            .into_iter()
            .zip(files)
            .map(|(read, (path, number))| {
                self.place += usize::from(read.as_ref().is_ok_and(Design::is_readable));
                (read, *path, *number, self.place)
            })
            .collect();
        let run: &Self = self;
        let done: Vec<Done> = numbered
            .into_par_iter()
            .with_max_len(1)
            .map(|(read, path, number, place)| {
                let done = run.one(read, path, number, place);
                progress.inc(1);
                done
            })
            .collect();
        let mut any_problem = false;
        for one in done {
            any_problem |= !one.problems.is_empty();
            for parts in one.problems {
                self.put(List::Problems, parts);
            }
            if let Some(parts) = one.design {
                self.put(List::Designs, parts);
            }
            self.late.extend(one.late);
            self.taken.extend(one.taken);
            for (waiver, covers) in one.of_several {
                *self.of_several.entry(waiver).or_default() |= covers;
            }
            self.fails |= one.fails;
            self.unheld_fails |= one.unheld_fails;
        }
        any_problem
    }

    /// Reviews a design that was read, and lets go of it.
    fn one(&self, read: Result<Design, Placed>, path: &Path, number: usize, place: usize) -> Done {
        let mut done = Done::default();
        let design = match read {
            Ok(design) => design,
            Err((source, problem)) => {
                done.problems.push(self.parts_of_problem(&source, &problem));
                return done;
            }
        };
        let parts = |problem| self.parts_of_problem(&design.source, problem);
        done.problems.extend(design.problems.iter().map(parts));
        let Some(force) = self.settings_cache.get(number).filter(|_| design.is_readable()) else {
            return done;
        };
        let how = force.options(path, &self.how);
        let mut review = review_design(design, &force.library, &how);
        done.of_several = waivers_of_several(&review, &force.library, &how);
        let mut late = Vec::new();
        hold_to_records(std::slice::from_mut(&mut review), &[&force.library], &mut late);
        done.late.extend(late.iter().map(|(source, problem)| self.parts_of_problem(source, problem)));
        let level = self.options.fail_on.shows(self.options.level);
        let fails = |review: &DesignReview| review.findings.iter().any(|f| self.options.fail_on.fails(f));
        let mut unheld = Vec::new();
        if !self.unheld.is_empty() {
            let mut review = review.clone();
            show_from(std::slice::from_mut(&mut review), level);
            let parts = self.unheld.iter().map(|r| r.form().design(&review, &force.library, place));
            unheld.extend(parts);
            done.unheld_fails = fails(&review);
        }
        if let Some(baseline) = &self.baseline {
            done.taken = baseline.hold(&mut review, &force.library, &how);
        }
        show_from(std::slice::from_mut(&mut review), level);
        let mut parts: Parts =
            self.reports.iter().map(|r| r.form().design(&review, &force.library, place)).collect();
        done.fails = fails(&review);
        parts.extend(unheld);
        done.design = Some(parts);
        done
    }

    fn parts_of_problem(&self, source: &Source, problem: &Problem) -> Parts {
        self.reports.iter().chain(&self.unheld).map(|r| r.form().problem(source, problem)).collect()
    }

    fn problem(&mut self, source: &Source, problem: &Problem) {
        let parts = self.parts_of_problem(source, problem);
        self.put(List::Problems, parts);
    }

    fn put(&mut self, list: List, parts: Parts) {
        for (report, part) in self.reports.iter_mut().chain(&mut self.unheld).zip(parts) {
            report.put(list, part);
        }
    }

    /// Writes the baseline and the reports. The exit code is 0 when nothing that was found makes the review fail, 1 when
    /// something does, 2 when something could not be reviewed.
    fn finish(
        mut self,
        files: &[PathBuf],
        base: &Path,
        printed: Option<&mut Printed>,
        mut any_problem: bool,
        complaints: String,
    ) -> Output {
        let mut output = Output { complaints, ..Output::default() };
        // A whole folder was reviewed, and not up to a step: what covers nothing then covers nothing at all.
        if self.options.before.is_none() && self.options.paths.iter().any(|path| path.is_dir()) {
            for (waiver, _) in self.of_several.iter().filter(|(_, covers)| !**covers) {
                let words = format!(
                    "{waiver} covers nothing in any design: remove it, or mend its `rule`, `subject` or `design`; a subject is a part's name as `--format json` gives it"
                );
                output.complaints.push_str(&format!("{}\n", clean_line(&words)));
            }
        }
        if let Some(baseline) = self.baseline.take() {
            match baseline.finish(std::mem::take(&mut self.taken), !any_problem) {
                Ok(words) => output.complaints.push_str(&words),
                Err((source, problem)) => {
                    self.problem(&source, &problem);
                    any_problem = true;
                    if !self.unheld.is_empty() {
                        self.reports = std::mem::take(&mut self.unheld);
                        self.fails = self.unheld_fails;
                    }
                }
            }
        }
        output.code = if self.place == 0 || any_problem { 2 } else { u8::from(self.fails) };
        write_reports(self.reports, files, &self.options.outputs, base, printed, &mut output);
        output
    }
}
